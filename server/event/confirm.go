package event

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/store"
)

// ConfirmSkater decides to confirm a performance and announce its score.
func (d Decision) ConfirmSkater(r *pb.ConfirmSkaterRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	if err != nil {
		return nil, err
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	lack := d.Lacks(season, p)
	if r.GetAcceptMissingMarks() {
		lack.Elements = nil
	}
	if missing := lack.All(); len(missing) > 0 {
		return nil, d.incomplete(missing, "the score of %s cannot be confirmed yet", p.Entry.GetName())
	}
	score, err := d.Compute(season, p)
	if err != nil {
		return nil, err
	}
	return facts(&logv1.SkaterConfirmed{At: p.at(), AbsentJudges: p.AbsentJudges(), Score: score})
}

func (d Decision) incomplete(missing []string, format string, args ...any) error {
	all := strings.Join(missing, "; ")
	return refuse(pb.ErrorReason_INCOMPLETE, fmt.Sprintf(format, args...)+": "+all, "event", d.ID, "missing", all)
}

// PublishSegment decides to sign a segment's result.
func (d Decision) PublishSegment(r *pb.PublishSegmentRequest) ([]proto.Message, error) {
	g, err := d.FindSegment(r.GetCategory(), r.GetSegment())
	if err != nil {
		return nil, err
	}
	switch state := g.State(); state {
	case pb.SegmentState_SKATED:
		if missing := d.leftOut(g); len(missing) > 0 {
			return nil, d.incomplete(missing, "the result of %s cannot be signed without who is not in its starting order: set the order again, or withdraw who does not skate", g.Title)
		}
		return facts(&logv1.SegmentPublished{Category: g.Category.ID, Segment: g.Key})
	case pb.SegmentState_OFFICIAL:
		return nil, d.NotNow(state, "CorrectResult", "the result of %s is signed already", g.Title)
	case pb.SegmentState_RUNNING:
		var missing []string
		for _, p := range g.Performances {
			if p.open() {
				missing = append(missing, fmt.Sprintf("%s is not confirmed", p.Entry.GetName()))
			}
		}
		return nil, d.incomplete(missing, "the result of %s cannot be signed yet", g.Title)
	default:
		return nil, d.NotNow(state, "StartSegment", "%s has not started", g.Title)
	}
}

// Corrects is a request that says what of a confirmed performance was wrong.
type Corrects interface {
	Place
	GetReason() string
	GetRevisedElements() []*pb.RevisedElement
	GetRemovedElements() []int32
	GetAddedElements() []*pb.AddedElement
	GetElementMarks() []*pb.CorrectedElementMark
	GetComponentMarks() []*pb.CorrectedComponentMark
	GetDeductions() *pb.CorrectedDeductions
}

// CorrectResult changes a confirmed performance: the facts that say what was
// wrong, and behind them one with the reason and the new score.
func (d Decision) CorrectResult(r *pb.CorrectResultRequest) ([]proto.Message, error) {
	c, err := d.correct(r, needed)
	if err != nil {
		return nil, err
	}
	return append(c.facts, &logv1.ResultCorrected{At: c.before.at(), Reason: c.reason, Score: c.after.Score}), nil
}

// Corrected returns a confirmed performance as it is and as a correction would make
// it, with the score that the correction would give it. The reason may be missing.
func (d Decision) Corrected(r Corrects) (before, after *Performance, err error) {
	c, err := d.correct(r, ask.Text)
	if err != nil {
		return nil, nil, err
	}
	return c.before, c.after, nil
}

// correct tries a correction; reason reads its reason.
func (d Decision) correct(r Corrects, reason func(*rules.FieldErrors, string, string, int) string) (*correction, error) {
	p, err := d.FindPerformance(r)
	if err != nil {
		return nil, err
	}
	if s := p.State(); s != pb.PerformanceState_CONFIRMED {
		return nil, d.NotNow(s, "ConfirmSkater", "the score of %s is not confirmed, so it needs no correction: change it directly", p.Entry.GetName())
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	var faults rules.FieldErrors
	c := &correction{
		Decision: d, season: season, before: p, after: p.clone(), faults: &faults,
		said: map[string]bool{}, fields: map[int32]string{},
	}
	c.reason = reason(&faults, "reason", r.GetReason(), maxReason)
	for _, step := range []func(Corrects) error{c.elements, c.added, c.elementMarks, c.componentMarks, c.deduct} {
		if err := step(r); err != nil {
			return nil, err
		}
	}
	if len(faults) == 0 {
		c.marked()
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if len(c.facts) == 0 {
		return nil, rules.FieldErrors{{Field: "revisedElements", Reason: rules.ReasonFieldRequired, Message: "is empty, as everything else: say what was wrong"}}
	}
	c.after.Score, err = d.Compute(season, c.after)
	return c, err
}

// correction gathers the facts of a correction and what they make of the
// performance.
type correction struct {
	Decision
	season        *rules.Season
	before, after *Performance
	faults        *rules.FieldErrors
	reason        string
	facts         []proto.Message
	said          map[string]bool  // what the request corrects, once each
	fields        map[int32]string // where the request revises or adds each element
}

// once reports what a request corrects twice, since only one of the two can hold.
func (c *correction) once(field, format string, args ...any) {
	what := fmt.Sprintf(format, args...)
	if c.said[what] {
		c.faults.Add(field, rules.ReasonFieldInvalid, "%s is corrected twice", what)
	}
	c.said[what] = true
}

// add tries a fact on the performance and keeps it. Faults that the season has
// against its codes are reported under field.
func (c *correction) add(fact proto.Message, field string) error {
	if err := c.after.apply(fact, &store.Record{}); err != nil {
		return err
	}
	c.facts = append(c.facts, fact)
	if len(*c.faults) > 0 { // they would be reported again, as if they were this fact's
		return nil
	}
	for _, fault := range c.Decision.faults(c.season, c.after) {
		c.faults.Add(field, fault.Reason, "%s", fault.Message)
	}
	return nil
}

func (c *correction) elements(r Corrects) error {
	for i, revised := range r.GetRevisedElements() {
		if err := gather(c.faults, c.revise(fmt.Sprintf("revisedElements[%d].", i), revised)); err != nil {
			return err
		}
	}
	for i, number := range r.GetRemovedElements() {
		at := fmt.Sprintf("removedElements[%d]", i)
		_, err := c.element(c.after, number, at)
		if err == nil {
			err = c.add(&logv1.ElementRemoved{At: c.before.at(), Element: number}, at)
		}
		if err := gather(c.faults, err); err != nil {
			return err
		}
	}
	return nil
}

func (c *correction) revise(at string, revised *pb.RevisedElement) error {
	e, err := c.element(c.after, revised.GetElement(), at+"element")
	if err != nil {
		return err
	}
	c.once(at+"element", "element %d", e.Number)
	fact := &logv1.ElementRevised{At: c.before.at(), Element: e.Number, Code: e.Code, SecondHalf: e.SecondHalf, Skated: e.Skated}
	if revised.GetCode() != "" {
		fact.Skated = nil
		if fact.Code, err = c.read(revised.GetCode(), at+"code"); err != nil {
			return err
		}
	}
	if revised.SecondHalf != nil {
		fact.SecondHalf = revised.GetSecondHalf()
	}
	c.fields[e.Number] = at + "code"
	return c.add(fact, at+"code")
}

func (c *correction) added(r Corrects) error {
	for i, e := range r.GetAddedElements() {
		if err := gather(c.faults, c.insert(fmt.Sprintf("addedElements[%d].", i), e)); err != nil {
			return err
		}
	}
	return nil
}

func (c *correction) insert(at string, e *pb.AddedElement) error {
	code, err := c.read(e.GetCode(), at+"code")
	if err != nil {
		return err
	}
	if code == "" {
		return required(at+"code", "the element's code")
	}
	if e.GetBefore() != 0 {
		if _, err := c.element(c.after, e.GetBefore(), at+"before"); err != nil {
			return err
		}
	}
	number := c.after.last + 1
	fact := &logv1.ElementCalled{At: c.before.at(), Element: number, Code: code, SecondHalf: e.GetSecondHalf(), Before: e.GetBefore()}
	if err := c.add(fact, at+"code"); err != nil {
		return err
	}
	judges := c.judges(c.after)
	marked := map[int32]bool{}
	for j, m := range e.GetMarks() {
		at := fmt.Sprintf("%smarks[%d].", at, j)
		if marked[m.GetJudge()] {
			c.faults.Add(at+"judge", rules.ReasonJudgeUnknown, "judge %d is named twice", m.GetJudge())
		}
		marked[m.GetJudge()] = true
		if err := c.mark(at, number, m.GetJudge(), m.Mark); err != nil {
			return err
		}
	}
	c.fields[number] = at + "marks"
	if n := len(e.GetMarks()); n > 0 && n != len(judges) {
		c.faults.Add(at+"marks", rules.ReasonPanelSize, "has %d marks; the marks of %s are needed", n, judgeList(judges))
	}
	return nil
}

func (c *correction) elementMarks(r Corrects) error {
	for i, m := range r.GetElementMarks() {
		at := fmt.Sprintf("elementMarks[%d].", i)
		_, err := c.element(c.after, m.GetElement(), at+"element")
		if err := gather(c.faults, err); err != nil {
			return err
		}
		c.once(at+"judge", "the mark of judge %d for element %d", m.GetJudge(), m.GetElement())
		if err := c.mark(at, m.GetElement(), m.GetJudge(), m.Mark); err != nil {
			return err
		}
	}
	return nil
}

// marked reports the elements that have a value only now and lack marks. They were
// confirmed without, since what has no value needs none; those that had a value lack only
// what the referee accepted.
func (c *correction) marked() {
	valued := map[int32]bool{}
	for i, points := range c.Running(c.season, c.before) {
		valued[c.before.Elements[i].Number] = points.Base != 0
	}
	judges := c.judges(c.after)
	for i, points := range c.Running(c.season, c.after) {
		e := c.after.Elements[i]
		if points.Base == 0 || valued[e.Number] || e.markedBy(judges) {
			continue
		}
		field := cmp.Or(c.fields[e.Number], "elementMarks") // what has no code of its own here got its value by another's
		c.faults.Add(field, rules.ReasonPanelSize, "has %d marks for %s, which has a value; the marks of %s are needed", len(e.Marks), e.Code, judgeList(judges))
	}
}

// mark corrects one judge's mark for an element.
func (c *correction) mark(at string, element, judge int32, mark *int32) error {
	c.judge(at+"judge", judge)
	if mark == nil {
		c.markRequired(at)
	} else {
		checkMark(c.faults, c.season, at+"mark", *mark)
	}
	if len(*c.faults) > 0 {
		return nil
	}
	return c.add(&logv1.ElementMarksGiven{
		At: c.before.at(), Judge: judge, Marks: []*logv1.ElementMark{{Element: element, Mark: mark}},
	}, at+"mark")
}

func (c *correction) componentMarks(r Corrects) error {
	for i, m := range r.GetComponentMarks() {
		at := fmt.Sprintf("componentMarks[%d].", i)
		c.judge(at+"judge", m.GetJudge())
		key := m.GetComponent().String()
		checkComponent(c.faults, c.before.PrintedComponents(c.season), at+"component", key)
		c.once(at+"judge", "the mark of judge %d for %s", m.GetJudge(), key)
		var points int64
		if m.Mark == nil {
			c.markRequired(at)
		} else {
			points = int64(componentMark(c.faults, c.season, at+"mark", m.GetMark()))
		}
		if len(*c.faults) > 0 {
			continue
		}
		fact := &logv1.ComponentMarksGiven{
			At: c.before.at(), Judge: m.GetJudge(), Marks: []*logv1.ComponentMark{{Component: key, Mark: &points}},
		}
		if err := c.add(fact, at+"mark"); err != nil {
			return err
		}
	}
	return nil
}

// markRequired refuses a mark that is left out: it would be 0.
func (c *correction) markRequired(at string) {
	c.faults.Add(at+"mark", rules.ReasonFieldRequired, "is left out: give the mark of the judge")
}

func (c *correction) judge(field string, judge int32) {
	if judges := c.judges(c.before); !slices.Contains(judges, judge) {
		c.faults.Add(field, rules.ReasonJudgeUnknown, "judge %d is not on the panel or was absent; there are: %s", judge, judgeList(judges))
	}
}

func (c *correction) deduct(r Corrects) error {
	if r.GetDeductions() == nil || len(*c.faults) > 0 {
		return nil
	}
	const field = "deductions.deductions"
	fact, err := c.deductions(c.after, r.GetDeductions().GetDeductions(), field)
	if err != nil {
		return err
	}
	return c.add(fact, field)
}

// applyScore folds a performance's confirmation and its corrections.
func (p *Performance) applyScore(fact proto.Message, r *store.Record) error {
	switch f := fact.(type) {
	case *logv1.SkaterConfirmed:
		p.stage, p.Absent, p.Score = pb.PerformanceState_CONFIRMED, f.GetAbsentJudges(), f.GetScore()
	case *logv1.ResultCorrected:
		p.Corrections = append(p.Corrections, Correction{
			Time: r.RecordedAt, By: r.Actor, Reason: f.GetReason(),
			Before: rules.Points(p.Score.GetSegmentScore()), After: rules.Points(f.GetScore().GetSegmentScore()),
		})
		p.Score = f.GetScore()
	default:
		return errOtherFact
	}
	return nil
}
