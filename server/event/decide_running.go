package event

import (
	"fmt"
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/store"
)

func (d decision) startSegment(r *pb.StartSegmentRequest) ([]proto.Message, error) {
	g, err := d.segment(r.GetCategory(), r.GetSegment())
	if err != nil {
		return nil, err
	}
	switch {
	case g.Started:
		return nil, d.notNow(g.State(), "CallSkater", "%s has started already", g.Title)
	case g.Draw == nil:
		return nil, d.notNow(g.State(), "DrawStartingOrder", "%s has no starting order yet: draw it first", g.Title)
	case d.PanelOf(g) == nil:
		return nil, d.notNow(g.State(), "SetPanel", "there is no panel yet: set it first")
	}
	if before := g.unfinishedBefore(); before != nil {
		return nil, d.notNow(before.State(), "ConfirmSkater, WithdrawEntry", "%s is skated before %s and is not finished", before.Title, g.Title)
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

// iceIsFree tells whether nobody of any segment is on the ice or waits for a
// score: an event has one sheet of ice and one scoreboard.
func (d decision) iceIsFree() error {
	for _, g := range d.Segments() {
		if p := g.Current(); p != nil {
			return d.notNow(p.State(), "ConfirmSkater, WithdrawEntry", "the score of %s in %s of %s is not confirmed yet: confirm it first, or withdraw the entry",
				p.Entry.GetName(), g.Title, g.Category.Title)
		}
	}
	return nil
}

// leftOut names the entries that compete and do not stand in the order of their
// first segment, such as one that came after the draw. To later segments not
// everybody comes.
func (d decision) leftOut(g *Segment) []string {
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

func (d decision) callSkater(r *pb.CallSkaterRequest) ([]proto.Message, error) {
	g, err := d.segment(r.GetCategory(), r.GetSegment())
	if err != nil {
		return nil, err
	}
	if !g.Started {
		return nil, d.notNow(g.State(), "StartSegment", "%s has not started: start it first", g.Title)
	}
	if err := d.iceIsFree(); err != nil {
		return nil, err
	}
	var p *Performance
	if r.GetEntry() != "" {
		if p, err = d.performance(r); err != nil {
			return nil, err
		}
		if s := p.State(); s != pb.PerformanceState_WAITING {
			return nil, d.notNow(s, "CorrectResult, ReinstateEntry", "%s cannot be called again", p.Entry.GetName())
		}
	} else if next := g.Next(1); len(next) > 0 {
		p = next[0]
	} else {
		return nil, d.notNow(g.State(), "PublishSegment", "everybody of %s has skated", g.Title)
	}
	return facts(&logv1.SkaterCalled{At: p.at()})
}

func (d decision) endProgram(r *pb.EndProgramRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	if err != nil || p.State() == pb.PerformanceState_REVIEW {
		return nil, err
	}
	return facts(&logv1.ProgramEnded{At: p.at()})
}

func (d decision) callElement(r *pb.CallElementRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	if err != nil {
		return nil, err
	}
	if r.GetBefore() != 0 {
		if _, err := d.element(p, r.GetBefore(), "before"); err != nil {
			return nil, err
		}
	}
	code, err := d.codeOf(p, r, r.GetBefore())
	if err != nil {
		return nil, err
	}
	if code == "" {
		return nil, required("code", "the element's code, or skated")
	}
	fact := &logv1.ElementCalled{
		At: p.at(), Element: p.last + 1, Code: code, SecondHalf: r.GetSecondHalf(), Before: r.GetBefore(), Skated: r.GetSkated(),
	}
	if err := d.checkElement(p, fact, fact.GetElement(), "code"); err != nil {
		return nil, err
	}
	return d.recall(p, fact)
}

// called is how requests say what an element is.
type called interface {
	GetCode() string
	GetSkated() *pb.LevelledElement
}

// codeOf gives the canonical code of an element that stands in front of another
// one: the request's own, or the one found from what was skated there and before.
// It is empty when the request says neither.
func (d decision) codeOf(p *Performance, r called, before int32) (string, error) {
	if r.GetSkated() == nil {
		return canonical(r.GetCode(), "code")
	}
	if r.GetCode() != "" {
		return "", rules.FieldErrors{{Field: "skated", Reason: rules.ReasonFieldInvalid, Message: "stands beside code; give one of the two"}}
	}
	req := d.levelsRequest(p, before)
	last := len(req.GetElements())
	req.Elements = append(req.Elements, r.GetSkated())
	season, err := d.Season()
	if err != nil {
		return "", err
	}
	res, err := scoring.LevelsIn(season, nil, req)
	if err != nil {
		return "", underSkated(err, last)
	}
	call := res.GetElements()[last]
	if call.GetCode() == "" {
		return "", rules.FieldErrors{{
			Field: "skated", Reason: rules.ReasonFieldInvalid,
			Message: "makes no element: " + strings.Join(call.GetNotes(), " "),
		}}
	}
	return canonical(foundCode(call), "skated")
}

// foundCode gives the code of an element whose level was found.
func foundCode(call *pb.CalledElement) string {
	if code := call.GetCode(); code == "" || !call.GetNoValue() || strings.HasSuffix(code, "*") {
		return code
	}
	return call.GetCode() + "*"
}

// recall gives a change and, behind it, the revisions of other elements that it
// makes: what counts in an element depends on what was skated before it. Where
// the season has no value for the new code, the old ones stay.
func (d decision) recall(p *Performance, change proto.Message) ([]proto.Message, error) {
	after, err := p.with(change)
	if err != nil {
		return nil, err
	}
	req := d.levelsRequest(after, 0)
	if len(req.GetElements()) == 0 {
		return facts(change)
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	res, err := scoring.LevelsIn(season, nil, req)
	if err != nil {
		return nil, err
	}
	all := []proto.Message{change}
	calls := res.GetElements()
	for _, e := range after.Elements {
		if e.Skated == nil {
			continue
		}
		code, err := canonical(foundCode(calls[0]), "skated")
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

func canonical(code, field string) (string, error) {
	if code == "" {
		return "", nil
	}
	parsed, err := element.Parse(code)
	if err != nil {
		return "", rules.FieldErrors{{Field: field, Reason: rules.ReasonCodeInvalid, Message: err.Error()}}
	}
	return parsed.String(), nil
}

// levelsRequest asks for the levels of what was skated in front of an element, or
// in the whole performance when before is 0.
func (s *State) levelsRequest(p *Performance, before int32) *pb.CallLevelsRequest {
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

// underSkated gives the paths of the level call as those of the panel's request.
func underSkated(err error, last int) error {
	faults, ok := err.(rules.FieldErrors) //nolint:errorlint // Levels gives bare FieldErrors
	if !ok {
		return err
	}
	own := fmt.Sprintf("elements[%d]", last)
	out := make(rules.FieldErrors, len(faults))
	for i, f := range faults {
		if rest, ok := strings.CutPrefix(f.Field, own); ok {
			f.Field = "skated" + rest
		}
		out[i] = f
	}
	return out
}

// checkElement tries a fact about an element and tells what the season has
// against it.
func (d decision) checkElement(p *Performance, fact proto.Message, element int32, field string) error {
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

// with gives the performance as it is after some facts.
func (p *Performance) with(facts ...proto.Message) (*Performance, error) {
	after := p.clone()
	for _, fact := range facts {
		if err := after.apply(fact, &store.Record{}); err != nil {
			return nil, err
		}
	}
	return after, nil
}

func (d decision) reviseElement(r *pb.ReviseElementRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	if err != nil {
		return nil, err
	}
	e, err := d.element(p, r.GetElement(), "element")
	if err != nil {
		return nil, err
	}
	code, err := d.codeOf(p, r, e.Number)
	if err != nil {
		return nil, err
	}
	fact := &logv1.ElementRevised{At: p.at(), Element: e.Number, Code: code, SecondHalf: e.SecondHalf, Skated: r.GetSkated()}
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

func (d decision) removeElement(r *pb.RemoveElementRequest) ([]proto.Message, error) {
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

func (d decision) reviewElement(r *pb.ReviewElementRequest) ([]proto.Message, error) {
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
