package event

import (
	"fmt"
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/store"
)

// StartSegment decides to open a segment.
func (d Decision) StartSegment(r *pb.StartSegmentRequest) ([]proto.Message, error) {
	g, err := d.FindSegment(r.GetCategory(), r.GetSegment())
	if err != nil {
		return nil, err
	}
	switch {
	case g.Started:
		return nil, d.NotNow(g.State(), "CallSkater", "%s has started already", g.Title)
	case g.Draw == nil:
		return nil, d.NotNow(g.State(), "DrawStartingOrder", "%s has no starting order yet: draw it first", g.Title)
	case d.PanelOf(g) == nil:
		return nil, d.NotNow(g.State(), "SetPanel", "there is no panel yet: set it first")
	}
	if before := g.unfinishedBefore(); before != nil {
		return nil, d.NotNow(before.State(), "ConfirmSkater, WithdrawEntry", "%s is skated before %s and is not finished", before.Title, g.Title)
	}
	if err := d.iceIsFree(); err != nil {
		return nil, err
	}
	if _, err := d.Season(); err != nil {
		return nil, err
	}
	if missing := d.leftOut(g); len(missing) > 0 {
		return nil, d.incomplete(missing, "the starting order of %s was made without everybody: draw it again, or withdraw who does not skate", g.Title)
	}
	return facts(&logv1.SegmentStarted{Category: g.Category.ID, Segment: g.Key})
}

// iceIsFree reports whether nobody of any segment is on the ice or waits for a
// score: an event has one sheet of ice and one scoreboard.
func (d Decision) iceIsFree() error {
	for _, g := range d.Segments() {
		if p := g.Current(); p != nil {
			return d.NotNow(p.State(), "ConfirmSkater, WithdrawEntry", "the score of %s in %s of %s is not confirmed yet: confirm it first, or withdraw the entry",
				p.Entry.GetName(), g.Title, g.Category.Title)
		}
	}
	return nil
}

// leftOut names the entries that compete and do not stand in the order of their
// first segment, such as one that came after the draw. To later segments not
// everybody comes.
func (d Decision) leftOut(g *Segment) []string {
	if g != g.Category.Segments[0] {
		return nil
	}
	var names []string
	for _, e := range d.EntriesOf(g.Category.ID) {
		if !e.Out() && g.Performance(e.GetEntry()) == nil {
			names = append(names, e.GetName())
		}
	}
	return names
}

// CallSkater decides to call a skater to the ice: the one named, or the next.
func (d Decision) CallSkater(r *pb.CallSkaterRequest) ([]proto.Message, error) {
	g, err := d.FindSegment(r.GetCategory(), r.GetSegment())
	if err != nil {
		return nil, err
	}
	if !g.Started {
		return nil, d.NotNow(g.State(), "StartSegment", "%s has not started: start it first", g.Title)
	}
	if err := d.iceIsFree(); err != nil {
		return nil, err
	}
	var p *Performance
	if r.GetEntry() != "" {
		if p, err = d.FindPerformance(r); err != nil {
			return nil, err
		}
		if s := p.State(); s != pb.PerformanceState_WAITING {
			return nil, d.NotNow(s, "CorrectResult, ReinstateEntry", "%s cannot be called again", p.Entry.GetName())
		}
	} else if next := g.Next(1); len(next) > 0 {
		p = next[0]
	} else {
		return nil, d.NotNow(g.State(), "PublishSegment", "everybody of %s has skated", g.Title)
	}
	return facts(&logv1.SkaterCalled{At: p.at()})
}

// EndProgram decides that a skater has finished, or has not.
func (d Decision) EndProgram(r *pb.EndProgramRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	switch {
	case err != nil || r.GetTakeBack() == (p.State() == pb.PerformanceState_ON_ICE):
		return nil, err
	case r.GetTakeBack():
		return facts(&logv1.ProgramResumed{At: p.at()})
	default:
		return facts(&logv1.ProgramEnded{At: p.at()})
	}
}

// CallElement decides to add an element, by its code or by what was skated.
func (d Decision) CallElement(r *pb.CallElementRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	if err != nil {
		return nil, err
	}
	if r.GetBefore() != 0 {
		if _, err := d.element(p, r.GetBefore(), "before"); err != nil {
			return nil, err
		}
	}
	code, skated, err := d.codeOf(p, r, r.GetBefore())
	if err != nil {
		return nil, err
	}
	if code == "" {
		return nil, required("code", "the element's code, or skated")
	}
	fact := &logv1.ElementCalled{
		At: p.at(), Element: p.last + 1, Code: code, SecondHalf: r.GetSecondHalf(), Before: r.GetBefore(), Skated: skated,
	}
	if err := d.checkElement(p, fact, fact.GetElement(), "code"); err != nil {
		return nil, err
	}
	return d.recall(p, fact)
}

// recall returns a change and, behind it, the revisions of other elements that it
// makes: what counts in an element depends on what was skated before it. Where
// the season has no value for the new code, the old ones stay.
func (d Decision) recall(p *Performance, change proto.Message) ([]proto.Message, error) {
	after, err := p.with(change)
	if err != nil {
		return nil, err
	}
	req := d.LevelsRequest(after, 0)
	if len(req.GetElements()) == 0 {
		return facts(change)
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	res, faults := scoring.LevelsIn(season, nil, req)
	if len(faults) > 0 {
		return nil, faults
	}
	all := []proto.Message{change}
	calls := res.GetElements()
	for _, e := range after.Elements {
		if e.Skated == nil {
			continue
		}
		code, err := FoundCode(calls[0])
		if err != nil {
			return nil, err
		}
		if calls = calls[1:]; code != "" && code != e.Code {
			all = append(all, &logv1.ElementRevised{At: p.at(), Element: e.Number, Code: code, SecondHalf: e.SecondHalf, Skated: e.Skated})
		}
	}
	if after, err = p.with(all...); err != nil {
		return nil, err
	}
	if len(d.faults(season, after)) > 0 {
		return facts(change)
	}
	return all, nil
}

// LevelsRequest asks for the levels of what was skated in front of an element, or
// in the whole performance when before is 0.
func (s *State) LevelsRequest(p *Performance, before int32) *pb.CallLevelsRequest {
	req := &pb.CallLevelsRequest{
		Season: s.Data.GetSeason(), Revision: s.Data.GetRevision(), Category: p.Segment.Category.Rules, Segment: p.Segment.Key,
	}
	for _, e := range p.Elements {
		if e.Number == before {
			break
		}
		if e.Skated != nil {
			req.Elements = append(req.Elements, e.Skated)
		}
	}
	return req
}

// checkElement tries a fact about an element and reports what the season has
// against it.
func (d Decision) checkElement(p *Performance, fact proto.Message, element int32, field string) error {
	season, err := d.Season()
	if err != nil {
		return err
	}
	after, err := p.with(fact)
	if err != nil {
		return err
	}
	own := fmt.Sprintf("elements[%d].", slices.IndexFunc(after.Elements, func(e *Element) bool { return e.Number == element }))
	faults := d.faults(season, after)
	for i := range faults {
		if strings.HasPrefix(faults[i].Field, own) {
			faults[i].Field = field
		}
	}
	return faults.Err()
}

// with returns the performance as it is after some facts.
func (p *Performance) with(facts ...proto.Message) (*Performance, error) {
	after := p.clone()
	for _, fact := range facts {
		if err := after.apply(fact, &store.Record{}); err != nil {
			return nil, err
		}
	}
	return after, nil
}

// ReviseElement decides to change an element.
func (d Decision) ReviseElement(r *pb.ReviseElementRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	if err != nil {
		return nil, err
	}
	e, err := d.element(p, r.GetElement(), "element")
	if err != nil {
		return nil, err
	}
	code, skated, err := d.codeOf(p, r, e.Number)
	if err != nil {
		return nil, err
	}
	fact := &logv1.ElementRevised{At: p.at(), Element: e.Number, Code: code, SecondHalf: e.SecondHalf, Skated: skated}
	if code == "" {
		fact.Code, fact.Skated = e.Code, e.Skated
	}
	if r.SecondHalf != nil {
		fact.SecondHalf = r.GetSecondHalf()
	}
	if fact.GetCode() == e.Code && fact.GetSecondHalf() == e.SecondHalf && proto.Equal(fact.GetSkated(), e.Skated) {
		return nil, nil
	}
	if err := d.checkElement(p, fact, e.Number, "code"); err != nil {
		return nil, err
	}
	return d.recall(p, fact)
}

// RemoveElement decides to take an element out: the one named, or the one called last.
func (d Decision) RemoveElement(r *pb.RemoveElementRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	if err != nil {
		return nil, err
	}
	number := r.GetElement()
	if number == 0 {
		for _, e := range p.Elements {
			number = max(number, e.Number)
		}
	}
	if _, err := d.element(p, number, "element"); err != nil {
		return nil, err
	}
	return d.recall(p, &logv1.ElementRemoved{At: p.at(), Element: number})
}

// ReviewElement decides to mark an element to be looked at again.
func (d Decision) ReviewElement(r *pb.ReviewElementRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	if err != nil {
		return nil, err
	}
	e, err := d.element(p, r.GetElement(), "element")
	if err != nil || e.InReview == r.GetInReview() {
		return nil, err
	}
	return facts(&logv1.ElementReviewed{At: p.at(), Element: e.Number, InReview: r.GetInReview()})
}

// applySegment folds how far a segment is.
func (s *State) applySegment(fact proto.Message, _ *store.Record) error {
	f, ok := fact.(interface {
		GetCategory() string
		GetSegment() string
	})
	if !ok {
		return errOtherFact
	}
	g, err := s.segment(f.GetCategory(), f.GetSegment())
	if err != nil {
		return err
	}
	switch fact.(type) {
	case *logv1.SegmentStarted:
		g.Started = true
	case *logv1.SegmentPublished:
		g.Published = true
	default:
		return errOtherFact
	}
	s.Focus = g
	return nil
}

// applyCall folds what is called of a performance.
func (p *Performance) applyCall(fact proto.Message, r *store.Record) error {
	switch f := fact.(type) {
	case *logv1.SkaterCalled:
		p.stage, p.Called = pb.PerformanceState_ON_ICE, r.Seq
	case *logv1.ProgramEnded:
		p.stage = pb.PerformanceState_REVIEW
	case *logv1.ProgramResumed:
		p.stage = pb.PerformanceState_ON_ICE
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
	default:
		return errOtherFact
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
