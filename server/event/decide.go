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
	"github.com/rinktally/rinktally/server/errs"
)

// Command is a request with everything that its decision rests on besides the
// state.
type Command struct {
	Request proto.Message // a request of EventService that changes an event
	Actor   access.Actor
	Time    time.Time
	Season  SeasonFunc
	Chance  uint64 // the seed of a draw that names none
	Hash    []byte // with CreateToken: hash of the new token
}

// SeasonFunc gives the season's table that the event is scored by, or why it is
// not there.
type SeasonFunc func() (*rules.Season, error)

// Decide gives the facts that a command makes of a state, none when it changes
// nothing. It does not change the state. The error says why the command is not
// possible: rules.FieldErrors, or a status of package errs.
func Decide(s *State, c *Command) ([]proto.Message, error) {
	if r, ok := c.Request.(*pb.CreateEventRequest); ok {
		return decision{s, c}.createEvent(r)
	}
	if s.Data == nil {
		return nil, errs.UnknownEvent(s.ID)
	}
	d := decision{s, c}
	switch r := c.Request.(type) {
	case *pb.UpdateEventRequest:
		return d.updateEvent(r)
	case *pb.SetCategoryRequest:
		return d.setCategory(r)
	case *pb.RemoveCategoryRequest:
		return d.removeCategory(r)
	case *pb.SetPanelRequest:
		return d.setPanel(r)
	case *pb.SetAbsentJudgesRequest:
		return d.setAbsentJudges(r)
	case *pb.AddEntryRequest:
		return d.addEntry(r)
	case *pb.UpdateEntryRequest:
		return d.updateEntry(r)
	case *pb.ImportEntriesRequest:
		return d.importEntries(r)
	case *pb.WithdrawEntryRequest:
		return d.withdrawEntry(r)
	case *pb.ReinstateEntryRequest:
		return d.reinstateEntry(r)
	case *pb.DrawStartingOrderRequest:
		return d.drawStartingOrder(r)
	case *pb.CreateTokenRequest:
		return d.createToken(r)
	case *pb.RevokeTokenRequest:
		return d.revokeToken(r)
	default:
		return d.running(c.Request)
	}
}

// running decides what happens while a segment runs.
func (d decision) running(request proto.Message) ([]proto.Message, error) {
	switch r := request.(type) {
	case *pb.StartSegmentRequest:
		return d.startSegment(r)
	case *pb.CallSkaterRequest:
		return d.callSkater(r)
	case *pb.CallElementRequest:
		return d.callElement(r)
	case *pb.ReviseElementRequest:
		return d.reviseElement(r)
	case *pb.RemoveElementRequest:
		return d.removeElement(r)
	case *pb.ReviewElementRequest:
		return d.reviewElement(r)
	case *pb.EndProgramRequest:
		return d.endProgram(r)
	case *pb.SetElementMarksRequest:
		return d.setElementMarks(r)
	case *pb.SetComponentMarksRequest:
		return d.setComponentMarks(r)
	case *pb.SetDeductionsRequest:
		return d.setDeductions(r)
	case *pb.ConfirmSkaterRequest:
		return d.confirmSkater(r)
	case *pb.CorrectResultRequest:
		return d.correctResult(r)
	case *pb.PublishSegmentRequest:
		return d.publishSegment(r)
	default:
		return nil, fmt.Errorf("%T changes no event", request)
	}
}

type decision struct {
	*State
	*Command
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
// all come together. It gives back an error of another kind.
func gather(faults *rules.FieldErrors, err error) error {
	var more rules.FieldErrors
	if errors.As(err, &more) {
		*faults = append(*faults, more...)
		return nil
	}
	return err
}

// notNow says that something does not fit how far the event is.
func (d decision) notNow(state fmt.Stringer, allowed, format string, args ...any) error {
	return errs.Refuse(pb.ErrorReason_NOT_NOW, fmt.Sprintf(format, args...),
		"event", d.ID, "state", state.String(), "allowed", allowed)
}

func (d decision) category(id string) (*Category, error) {
	if id == "" {
		return nil, required("category", "a category of the event")
	}
	if c := d.State.Category(id); c != nil {
		return c, nil
	}
	var allowed []string
	for _, c := range d.Categories {
		allowed = append(allowed, c.ID)
	}
	return nil, notIn("category", id, "category", allowed)
}

func (d decision) segment(category, segment string) (*Segment, error) {
	c, err := d.category(category)
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

func (d decision) entry(id string) (*Entry, error) {
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

// place is how requests name a performance.
type place interface {
	GetCategory() string
	GetSegment() string
	GetEntry() string
}

func (d decision) performance(r place) (*Performance, error) {
	g, err := d.segment(r.GetCategory(), r.GetSegment())
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
func (d decision) open(r place) (*Performance, error) {
	p, err := d.performance(r)
	if err != nil {
		return nil, err
	}
	switch state := p.State(); state {
	case pb.PerformanceState_ON_ICE, pb.PerformanceState_REVIEW:
		return p, nil
	case pb.PerformanceState_WAITING:
		return nil, d.notNow(state, "CallSkater", "%s has not been called to the ice: call the skater first", p.Entry.GetName())
	case pb.PerformanceState_CONFIRMED:
		return nil, d.notNow(state, "CorrectResult", "the score of %s is confirmed: only a correction with a reason changes it", p.Entry.GetName())
	default:
		return nil, d.notNow(state, "ReinstateEntry", "%s no longer competes", p.Entry.GetName())
	}
}

func (d decision) element(p *Performance, number int32, field string) (*Element, error) {
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
