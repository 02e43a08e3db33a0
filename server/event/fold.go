package event

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/standing"
	"github.com/rinktally/rinktally/server/store"
)

// Apply folds one record into the state. The record must be the next of the
// stream. It fails on a record that does not fit, which Decide never makes; the
// state is then not to be used any more.
func (s *State) Apply(r *store.Record) error {
	if r.Seq != s.Seq+1 {
		return fmt.Errorf("event %s: record %d follows record %d", r.Stream, r.Seq, s.Seq)
	}
	fact, err := decode(&r.Fact)
	if err != nil {
		return fmt.Errorf("event %s, record %d: %w", r.Stream, r.Seq, err)
	}
	s.ID, s.Seq, s.Time = r.Stream, r.Seq, r.RecordedAt
	s.remember(r)
	if err := s.apply(fact, r); err != nil {
		return fmt.Errorf("event %s, record %d (%s): %w", r.Stream, r.Seq, r.Kind, err)
	}
	return nil
}

func (s *State) remember(r *store.Record) {
	id, digest, ok := splitRequestID(r.RequestID)
	if !ok {
		return
	}
	if s.requests == nil {
		s.requests = map[string]request{}
	}
	if seen, ok := s.requests[id]; ok {
		s.requests[id] = request{digest: digest, span: Span{seen.span.First, r.Seq}}
		return
	}
	s.requests[id] = request{digest: digest, span: Span{r.Seq, r.Seq}}
}

func (s *State) apply(fact proto.Message, r *store.Record) error {
	switch f := fact.(type) {
	case *logv1.EventCreated:
		s.Data = f.GetEvent()
	case *logv1.EventChanged:
		s.Data = f.GetEvent()
	case *logv1.TokenIssued:
		s.Tokens = append(s.Tokens, &Token{TokenIssued: f, Seq: r.Seq, Created: r.RecordedAt})
	case *logv1.TokenRevoked:
		t := s.Token(f.GetId())
		if t == nil {
			return fmt.Errorf("there is no token %q", f.GetId())
		}
		t.Revoked = true
	case *logv1.CategorySet, *logv1.CategoryRemoved, *logv1.PanelSet, *logv1.AbsentJudgesSet,
		*logv1.OrderDrawn, *logv1.SegmentStarted, *logv1.SegmentPublished:
		return s.applyCategory(fact)
	case *logv1.EntryAdded, *logv1.EntryChanged, *logv1.EntryWithdrawn, *logv1.EntryReinstated:
		return s.applyEntry(fact, r.Seq)
	case interface{ GetAt() *logv1.At }:
		p, err := s.at(f.GetAt())
		if err != nil {
			return err
		}
		s.Focus = p.Segment
		return p.apply(fact, r)
	default:
		return fmt.Errorf("%T is not known", fact)
	}
	return nil
}

func (s *State) applyCategory(fact proto.Message) error {
	switch f := fact.(type) {
	case *logv1.CategorySet:
		s.setCategory(f)
		return nil
	case *logv1.CategoryRemoved:
		s.Categories = slices.DeleteFunc(s.Categories, func(c *Category) bool { return c.ID == f.GetCategory() })
		return nil
	case *logv1.PanelSet:
		panel := &Panel{Judges: f.GetJudges(), Members: f.GetMembers(), Counted: f.GetCountedJudges()}
		return s.setPanel(f, panel)
	}
	f, ok := fact.(interface {
		GetCategory() string
		GetSegment() string
	})
	if !ok {
		return fmt.Errorf("%T names no segment", fact)
	}
	g, err := s.segment(f.GetCategory(), f.GetSegment())
	if err != nil {
		return err
	}
	switch f := fact.(type) {
	case *logv1.AbsentJudgesSet:
		g.Absent = f.GetJudges()
	case *logv1.OrderDrawn:
		return s.draw(g, f)
	case *logv1.SegmentStarted:
		g.Started = true
		s.Focus = g
	case *logv1.SegmentPublished:
		g.Published = true
		s.Focus = g
	}
	return nil
}

func (s *State) setPanel(f *logv1.PanelSet, panel *Panel) error {
	if f.GetSegment() == "" {
		s.Panel = panel
	} else {
		g, err := s.segment(f.GetCategory(), f.GetSegment())
		if err != nil {
			return err
		}
		g.Panel = panel
	}
	// Judges who are no longer on a panel are not absent from it either.
	for _, g := range s.Segments() {
		if p := s.PanelOf(g); p != nil {
			g.Absent = slices.DeleteFunc(slices.Clone(g.Absent), func(judge int32) bool { return judge > p.Judges })
		}
	}
	return nil
}

func (s *State) setCategory(f *logv1.CategorySet) {
	c := s.Category(f.GetCategory())
	if c == nil {
		c = &Category{ID: f.GetCategory()}
		s.Categories = append(s.Categories, c)
	}
	before := c.Segments
	c.Title, c.Rules, c.Segments = f.GetTitle(), f.GetRulesCategory(), nil
	for _, d := range f.GetSegments() {
		g := &Segment{Category: c, Key: d.GetSegment(), Title: d.GetTitle(), Scope: d.GetScope()}
		if i := slices.IndexFunc(before, func(b *Segment) bool { return b.Key == g.Key }); i >= 0 {
			g.Panel, g.Absent = before[i].Panel, before[i].Absent
		}
		c.Segments = append(c.Segments, g)
	}
}

func (s *State) draw(g *Segment, f *logv1.OrderDrawn) error {
	order := make([]*Performance, len(f.GetEntries()))
	for i, id := range f.GetEntries() {
		e := s.Entry(id)
		if e == nil {
			return fmt.Errorf("there is no entry %q", id)
		}
		p := g.Performance(id) // in a segment that runs, what was skated stays
		if p == nil {
			p = &Performance{Segment: g, Entry: e}
			p.blank()
		}
		p.Number, p.Group = number(i+1), 1
		if size := f.GetGroupSize(); size > 0 {
			p.Group = number(i)/size + 1
		}
		order[i] = p
	}
	g.Draw, g.Performances = f, order
	return nil
}

// blank makes the performance one that has not begun.
func (p *Performance) blank() {
	p.stage, p.Elements, p.Deductions = pb.PerformanceState_WAITING, nil, nil
	p.Components = map[string]map[int32]rules.Points{}
}

func (s *State) applyEntry(fact proto.Message, seq uint64) error {
	switch f := fact.(type) {
	case *logv1.EntryAdded:
		s.Entries = append(s.Entries, &Entry{EntryData: f.GetEntry(), Seq: seq})
		if n, err := strconv.Atoi(f.GetEntry().GetEntry()); err == nil && n < maxEntryNumber {
			s.nextEntry = max(s.nextEntry, n)
		}
		return nil
	case *logv1.EntryChanged:
		e, err := s.entry(f.GetEntry().GetEntry())
		if err == nil {
			e.EntryData = f.GetEntry()
		}
		return err
	case *logv1.EntryWithdrawn:
		e, err := s.entry(f.GetEntry())
		if err != nil {
			return err
		}
		e.Status, e.Reason = standing.Status(f.GetStatus()), f.GetReason()
		for _, g := range s.Segments() {
			// What was skated before the withdrawal stays in the log only. Should
			// the entry come back, it begins anew.
			if p := g.Performance(f.GetEntry()); p != nil && p.stage != pb.PerformanceState_CONFIRMED {
				p.blank()
			}
		}
		return nil
	case *logv1.EntryReinstated:
		e, err := s.entry(f.GetEntry())
		if err == nil {
			e.Status, e.Reason = standing.Competing, ""
		}
		return err
	}
	return fmt.Errorf("%T is not known", fact)
}

// apply folds a fact about a performance. It does not ask how far the
// performance is: that was Decide's to check.
func (p *Performance) apply(fact proto.Message, r *store.Record) error {
	switch f := fact.(type) {
	case *logv1.SkaterCalled:
		p.stage, p.called = pb.PerformanceState_ON_ICE, r.Seq
	case *logv1.ProgramEnded:
		p.stage = pb.PerformanceState_REVIEW
	case *logv1.ElementCalled:
		p.insert(f, r)
	case *logv1.ElementRemoved:
		p.Elements = slices.DeleteFunc(p.Elements, func(e *Element) bool { return e.Number == f.GetElement() })
	case *logv1.ElementRevised:
		e, err := p.element(f.GetElement())
		if err != nil {
			return err
		}
		e.Code, e.SecondHalf, e.Skated = f.GetCode(), f.GetSecondHalf(), f.GetSkated()
	case *logv1.ElementReviewed:
		e, err := p.element(f.GetElement())
		if err != nil {
			return err
		}
		e.InReview = f.GetInReview()
	case *logv1.ElementMarksGiven:
		for _, m := range f.GetMarks() {
			e, err := p.element(m.GetElement())
			if err != nil {
				return err
			}
			set(e.Marks, f.GetJudge(), m.Mark)
		}
	case *logv1.ComponentMarksGiven:
		for _, m := range f.GetMarks() {
			marks := p.Components[m.GetComponent()]
			if marks == nil {
				marks = map[int32]rules.Points{}
				p.Components[m.GetComponent()] = marks
			}
			set(marks, f.GetJudge(), (*rules.Points)(m.Mark))
		}
	case *logv1.DeductionsSet:
		p.Deductions = f.GetDeductions()
	case *logv1.SkaterConfirmed:
		p.stage, p.Absent, p.Score = pb.PerformanceState_CONFIRMED, f.GetAbsentJudges(), f.GetScore()
	case *logv1.ResultCorrected:
		p.Corrections = append(p.Corrections, Correction{
			Time: r.RecordedAt, By: r.Actor, Reason: f.GetReason(),
			Before: rules.Points(p.Score.GetSegmentScore()), After: rules.Points(f.GetScore().GetSegmentScore()),
		})
		p.Score = f.GetScore()
	default:
		return fmt.Errorf("%T is not known", fact)
	}
	return nil
}

func (p *Performance) insert(f *logv1.ElementCalled, r *store.Record) {
	e := &Element{
		Number: f.GetElement(), Seq: r.Seq, Code: f.GetCode(), SecondHalf: f.GetSecondHalf(),
		Skated: f.GetSkated(), Marks: map[int32]int32{},
	}
	p.last = max(p.last, e.Number)
	at := slices.IndexFunc(p.Elements, func(b *Element) bool { return b.Number == f.GetBefore() })
	if at < 0 {
		at = len(p.Elements)
	}
	p.Elements = slices.Insert(p.Elements, at, e)
}

// set puts a judge's mark in, or takes it out when it is nil.
func set[M any](marks map[int32]M, judge int32, mark *M) {
	if mark == nil {
		delete(marks, judge)
		return
	}
	marks[judge] = *mark
}

func (s *State) at(at *logv1.At) (*Performance, error) {
	g, err := s.segment(at.GetCategory(), at.GetSegment())
	if err != nil {
		return nil, err
	}
	if p := g.Performance(at.GetEntry()); p != nil {
		return p, nil
	}
	return nil, fmt.Errorf("entry %q does not skate in %s of %s", at.GetEntry(), g.Key, g.Category.ID)
}

func (s *State) segment(category, segment string) (*Segment, error) {
	if c := s.Category(category); c != nil {
		if g := c.Segment(segment); g != nil {
			return g, nil
		}
	}
	return nil, fmt.Errorf("there is no segment %q of category %q", segment, category)
}

func (s *State) entry(id string) (*Entry, error) {
	if e := s.Entry(id); e != nil {
		return e, nil
	}
	return nil, fmt.Errorf("there is no entry %q", id)
}

func (p *Performance) element(number int32) (*Element, error) {
	if e := p.Element(number); e != nil {
		return e, nil
	}
	return nil, fmt.Errorf("there is no element %d", number)
}

// number takes a count of entries, elements or judges, which are bounded far below
// what it holds.
func number(n int) int32 { return int32(n) }

// maxEntryNumber bounds the numbers given to entries without an id.
const maxEntryNumber = 1_000_000

// splitRequestID takes a stored request id apart: the caller's id and the digest
// of the request. Ids that the server made have none.
func splitRequestID(stored string) (id, digest string, ok bool) {
	at := strings.LastIndexByte(stored, '#')
	if at < 0 {
		return "", "", false
	}
	return stored[:at], stored[at+1:], true
}
