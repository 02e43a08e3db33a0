package event

import (
	"errors"
	"fmt"
	"strconv"
	"time"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
)

// Command is what a decision rests on besides the state and the request.
type Command struct {
	Actor  access.Actor
	Time   time.Time
	Season SeasonFunc
	Chance uint64 // the seed of a draw that names none
	Token  string // with CreateToken and TakeSeat: the new token; the fact has its hash
	Code   string // with CreateSeatCode: the new code; the fact has its hash
}

// SeasonFunc returns the season's table that the event is scored by, or why it is
// not there.
type SeasonFunc func() (*rules.Season, error)

// Decision decides commands on a state. Each method is one command and returns the
// facts that it makes of the state, none when it changes nothing. It does not
// change the state. The error says why the command is not possible:
// rules.FieldErrors, a *Refusal, or why the season's table is not there.
type Decision struct {
	*State
	*Command
}

// Refusal says why a state does not admit a command that is well formed.
type Refusal struct {
	Reason   pb.ErrorReason_Value
	Message  string
	Metadata []string // key, value, key, value, as error_reason.proto names them
}

// Error returns the words of the refusal.
func (r *Refusal) Error() string { return r.Message }

// Refused returns the reason of the refusal, and its metadata as key, value, key,
// value.
func (r *Refusal) Refused() (reason pb.ErrorReason_Value, metadata []string) {
	return r.Reason, r.Metadata
}

func refuse(reason pb.ErrorReason_Value, message string, metadata ...string) error {
	return &Refusal{reason, message, metadata}
}

func facts(list ...proto.Message) ([]proto.Message, error) { return list, nil }

// reasonNotInEvent equals the ErrorReason name of the public contract.
const reasonNotInEvent rules.Reason = "NOT_IN_EVENT"

// notIn says that the event has no such thing, and what it has.
func notIn(field, found, what string, allowed []string) error {
	const most = 20
	switch {
	case len(allowed) == 0:
		allowed = []string{"none yet"}
	case len(allowed) > most:
		allowed = append(allowed[:most:most], "…")
	}
	return rules.FieldErrors{rules.Fault(field, reasonNotInEvent, "there is no %s %s; there are: %s", what, rules.Quote(found), rules.AllowList(allowed))}
}

// gather puts what is wrong with a request to the faults found before, so that
// all come together. It returns an error of another kind.
func gather(faults *rules.FieldErrors, err error) error {
	var more rules.FieldErrors
	if errors.As(err, &more) {
		*faults = append(*faults, more...)
		return nil
	}
	return err
}

// NotNow is the refusal of what does not fit how far the event is. allowed names
// the calls that would be possible.
func (s *State) NotNow(state fmt.Stringer, allowed, format string, args ...any) error {
	return refuse(pb.ErrorReason_NOT_NOW, fmt.Sprintf(format, args...),
		"event", s.ID, "state", state.String(), "allowed", allowed)
}

// FindCategory finds a category that a request names. The error is
// rules.FieldErrors and says which categories there are.
func (s *State) FindCategory(id string) (*Category, error) {
	if id == "" {
		return nil, required("category", "a category of the event")
	}
	if c := s.Category(id); c != nil {
		return c, nil
	}
	var allowed []string
	for _, c := range s.Categories {
		allowed = append(allowed, c.ID)
	}
	return nil, notIn("category", id, "category", allowed)
}

// FindSegment finds a segment that a request names. The error is
// rules.FieldErrors and says which segments there are.
func (s *State) FindSegment(category, segment string) (*Segment, error) {
	c, err := s.FindCategory(category)
	if err != nil {
		return nil, err
	}
	if segment == "" {
		return nil, required("segment", "a segment of the category")
	}
	if g := c.Segment(segment); g != nil {
		return g, nil
	}
	var allowed []string
	for _, g := range c.Segments {
		allowed = append(allowed, g.Key)
	}
	return nil, notIn("segment", segment, "segment of "+c.ID, allowed)
}

func (d Decision) entry(id string) (*Entry, error) {
	if id == "" {
		return nil, required("entry", "an entry of the event")
	}
	if e := d.State.Entry(id); e != nil {
		return e, nil
	}
	var allowed []string
	for _, e := range d.Entries {
		allowed = append(allowed, e.GetEntry())
	}
	return nil, notIn("entry", id, "entry", allowed)
}

// Place is how requests name a performance.
type Place interface {
	GetCategory() string
	GetSegment() string
	GetEntry() string
}

// FindPerformance finds the performance that a request names. The error is
// rules.FieldErrors and says who skates in the segment.
func (s *State) FindPerformance(r Place) (*Performance, error) {
	g, err := s.FindSegment(r.GetCategory(), r.GetSegment())
	if err != nil {
		return nil, err
	}
	if r.GetEntry() == "" {
		return nil, required("entry", "an entry of the starting order")
	}
	if p := g.Performance(r.GetEntry()); p != nil {
		return p, nil
	}
	var allowed []string
	for _, p := range g.Performances {
		allowed = append(allowed, p.Entry.GetEntry())
	}
	return nil, notIn("entry", r.GetEntry(), "starter of "+g.Key, allowed)
}

// open finds a performance that is on the ice or in review.
func (d Decision) open(r Place) (*Performance, error) {
	p, err := d.FindPerformance(r)
	if err != nil {
		return nil, err
	}
	switch state := p.State(); state {
	case pb.PerformanceState_ON_ICE, pb.PerformanceState_REVIEW:
		return p, nil
	case pb.PerformanceState_WAITING:
		return nil, d.NotNow(state, "CallSkater", "%s has not been called to the ice: call the skater first", p.Entry.GetName())
	case pb.PerformanceState_CONFIRMED:
		return nil, d.NotNow(state, "CorrectResult", "the score of %s is confirmed: only a correction with a reason changes it", p.Entry.GetName())
	default:
		return nil, d.NotNow(state, "ReinstateEntry", "%s no longer competes", p.Entry.GetName())
	}
}

func (d Decision) element(p *Performance, number int32, field string) (*Element, error) {
	if e := p.Element(number); e != nil {
		return e, nil
	}
	var allowed []string
	for _, e := range p.Elements {
		allowed = append(allowed, strconv.Itoa(int(e.Number)))
	}
	return nil, notIn(field, strconv.Itoa(int(number)), "element", allowed)
}

// at names a performance in a fact.
func (p *Performance) at() *logv1.At {
	return &logv1.At{Category: p.Segment.Category.ID, Segment: p.Segment.Key, Entry: p.Entry.GetEntry()}
}

func required(field, what string) error {
	return rules.FieldErrors{{Field: field, Reason: rules.ReasonFieldRequired, Message: "is empty: give " + what}}
}
