// Package event is what happens at competitions. Everything is a fact of the
// event's log: a Decision turns a request into facts, and Apply folds facts into
// the state. Both are pure: time, actor and season are arguments. Package host
// keeps states and the log together, package api answers EventService over them.
package event

import (
	"slices"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/standing"
	"github.com/rinktally/rinktally/server/store"
)

// State is an event as its facts tell it. The zero State is that of an event
// without facts. It is not safe for use by several goroutines.
type State struct {
	ID         string
	Seq        uint64    // of the last fact
	Time       time.Time // when it was recorded
	Data       *logv1.EventData
	Categories []*Category
	Panel      *Panel // of the segments without their own; nil before it is set
	Entries    []*Entry
	Tokens     []*Token
	Seats      []*Seat  // one a desk that somebody was to sit down at by a code
	Focus      *Segment // the segment that was worked on last; nil before the first starts
	// Damage says where the log behind the state is damaged; nil where it is whole.
	Damage *store.DamagedError
	// Unerased are the facts, by sequence number, whose part that stands apart is
	// still in the log although the person was erased.
	Unerased []uint64

	hash      store.Hash         // of the last fact
	salts     []uint64           // facts of calls that changed nothing, with their salts
	nextEntry int                // number for the next entry without an id
	requests  map[string]Request // by the caller's request id
}

// Category is a group of skaters who compete with each other.
type Category struct {
	ID       string
	Title    string
	Rules    string // category key of the season
	Segments []*Segment
}

// Segment is a segment of a category.
type Segment struct {
	Category     *Category
	Key          string
	Title        string
	Scope        string  // which values hold where the season has several: the compulsory dance
	Panel        *Panel  // its own; nil takes the event's
	Absent       []int32 // judges, sorted
	Draw         *logv1.OrderDrawn
	Drawn        uint64 // sequence number of the draw; 0 before it
	Started      bool
	Published    bool
	Performances []*Performance // in starting order
}

// Panel is who judges.
type Panel struct {
	Judges  int32
	Members []*logv1.PanelMember
	Counted []int32 // judges whose marks count; empty = all
}

// Entry is a competitor.
type Entry struct {
	*logv1.EntryData
	Seq    uint64 // of the fact that added it
	Status standing.Status
	Reason string

	erased bool     // the person was erased, and has no other name since
	apart  []uint64 // facts that have something of the person apart
	inside uint64   // a fact that has it inside, from before it stood apart; 0 when none has
}

// Out reports that the entry withdrew or was disqualified.
func (e *Entry) Out() bool { return e.Status != standing.Competing }

// Performance is what one entry skates in one segment.
type Performance struct {
	Segment     *Segment
	Entry       *Entry
	Number      int32 // starting number, from 1
	Group       int32 // warm-up group, from 1
	Elements    []*Element
	Components  map[string]map[int32]rules.Points // marks by component and judge
	Deductions  []*logv1.Deduction
	Absent      []int32      // judges that were absent when it was confirmed
	Score       *logv1.Score // as announced; nil before it is confirmed
	Corrections []Correction
	Called      uint64 // sequence number of the call to the ice; 0 before it

	stage pb.PerformanceState_Value // WAITING, ON_ICE, REVIEW or CONFIRMED
	last  int32                     // number of the element called last
}

// State returns how far the performance is.
func (p *Performance) State() pb.PerformanceState_Value {
	if p.Entry.Out() && p.stage != pb.PerformanceState_CONFIRMED {
		return pb.PerformanceState_OUT
	}
	return p.stage
}

// Element is an element as called.
type Element struct {
	Number     int32
	Seq        uint64 // of the fact that called it
	Code       string // canonical
	SecondHalf bool
	InReview   bool
	Marks      map[int32]int32     // by judge
	Skated     *pb.LevelledElement // what the code was found from; nil when it was called by code
}

// Correction is a change of a confirmed score.
type Correction struct {
	Time          time.Time
	By            string // actor
	Reason        string
	Before, After rules.Points
}

// Token is a token without its secret.
type Token struct {
	*logv1.TokenIssued
	Seq     uint64 // of the fact that made it
	Created time.Time
	Revoked bool
}

// State returns how far a segment is.
func (g *Segment) State() pb.SegmentState_Value {
	switch {
	case g.Published:
		return pb.SegmentState_OFFICIAL
	case g.Draw == nil:
		return pb.SegmentState_PLANNED
	case !g.Started:
		return pb.SegmentState_DRAWN
	case slices.ContainsFunc(g.Performances, (*Performance).open):
		return pb.SegmentState_RUNNING
	default:
		return pb.SegmentState_SKATED
	}
}

// open reports that the performance has still to be confirmed.
func (p *Performance) open() bool {
	return p.State() != pb.PerformanceState_CONFIRMED && p.State() != pb.PerformanceState_OUT
}

// Current returns the performance that is on the ice or waits for its
// confirmation, or nil. There is at most one.
func (g *Segment) Current() *Performance {
	for _, p := range g.Performances {
		if s := p.State(); s == pb.PerformanceState_ON_ICE || s == pb.PerformanceState_REVIEW {
			return p
		}
	}
	return nil
}

// unfinishedBefore returns the first segment of the category before this one that
// is not skated to its end, or nil.
func (g *Segment) unfinishedBefore() *Segment {
	for _, before := range g.Category.Segments {
		if before == g {
			break
		}
		if s := before.State(); s != pb.SegmentState_SKATED && s != pb.SegmentState_OFFICIAL {
			return before
		}
	}
	return nil
}

// Next returns the first performances that wait, at most so many.
func (g *Segment) Next(most int) []*Performance {
	var next []*Performance
	for _, p := range g.Performances {
		if len(next) < most && p.State() == pb.PerformanceState_WAITING {
			next = append(next, p)
		}
	}
	return next
}

// Performance finds an entry's performance, or nil.
func (g *Segment) Performance(entry string) *Performance {
	for _, p := range g.Performances {
		if p.Entry.GetEntry() == entry {
			return p
		}
	}
	return nil
}

// PanelOf returns the panel that holds for a segment, or nil.
func (s *State) PanelOf(g *Segment) *Panel {
	if g.Panel != nil {
		return g.Panel
	}
	return s.Panel
}

// Category finds a category, or nil.
func (s *State) Category(id string) *Category {
	for _, c := range s.Categories {
		if c.ID == id {
			return c
		}
	}
	return nil
}

// Segment finds a segment of the category, or nil.
func (c *Category) Segment(key string) *Segment {
	for _, g := range c.Segments {
		if g.Key == key {
			return g
		}
	}
	return nil
}

// Segments returns all segments of the event in order.
func (s *State) Segments() []*Segment {
	var all []*Segment
	for _, c := range s.Categories {
		all = append(all, c.Segments...)
	}
	return all
}

// Entry finds an entry, or nil.
func (s *State) Entry(id string) *Entry {
	for _, e := range s.Entries {
		if e.GetEntry() == id {
			return e
		}
	}
	return nil
}

// EntriesOf returns the entries of a category; "" means all.
func (s *State) EntriesOf(category string) []*Entry {
	var list []*Entry
	for _, e := range s.Entries {
		if category == "" || e.GetCategory() == category {
			list = append(list, e)
		}
	}
	return list
}

// Element finds an element by its number, or nil.
func (p *Performance) Element(number int32) *Element {
	for _, e := range p.Elements {
		if e.Number == number {
			return e
		}
	}
	return nil
}

// Token finds a token by its id, or nil.
func (s *State) Token(id string) *Token {
	for _, t := range s.Tokens {
		if t.GetId() == id {
			return t
		}
	}
	return nil
}

// Latest returns the performance that was called last, or nil before the first.
func (g *Segment) Latest() *Performance {
	var latest *Performance
	for _, p := range g.Performances {
		if p.Called > 0 && (latest == nil || p.Called > latest.Called) {
			latest = p
		}
	}
	return latest
}

// ScoredBefore returns what the performance's entry has scored in the other
// segments of the category.
func (s *State) ScoredBefore(p *Performance) rules.Points {
	var sum rules.Points
	for _, g := range p.Segment.Category.Segments {
		if other := g.Performance(p.Entry.GetEntry()); g != p.Segment && other != nil {
			sum += rules.Points(other.Score.GetSegmentScore())
		}
	}
	return sum
}
