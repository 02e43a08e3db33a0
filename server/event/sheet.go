package event

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/score"
	"github.com/rinktally/rinktally/rules/value"
)

// AbsentJudges returns the judges whose marks do not count: those of the confirmation,
// before it those of the segment.
func (p *Performance) AbsentJudges() []int32 {
	if p.stage == pb.PerformanceState_CONFIRMED {
		return p.Absent
	}
	return p.Segment.Absent
}

// judges returns the judges whose marks a performance needs, in order.
func (s *State) judges(p *Performance) []int32 {
	panel := s.PanelOf(p.Segment)
	if panel == nil {
		return nil
	}
	return present(panel, p.AbsentJudges())
}

func present(panel *Panel, absent []int32) []int32 {
	there := make([]int32, 0, panel.Judges)
	for judge := int32(1); judge <= panel.Judges; judge++ {
		if !slices.Contains(absent, judge) {
			there = append(there, judge)
		}
	}
	return there
}

// Present returns the numbers of a segment's judges that are there, in order.
func (s *State) Present(g *Segment) []int32 {
	panel := s.PanelOf(g)
	if panel == nil {
		return nil
	}
	return present(panel, g.Absent)
}

// segmentScore returns a performance as the calculation takes it. Marks that are
// missing are named as such, so that they count as the season says. What the
// calculation cannot do without is filled in: an element that nobody has marked
// gets 0 from everybody, a missing component mark is the lowest of the scale. Who
// needs these must see first that nothing of the kind lacks.
func (s *State) segmentScore(season *rules.Season, p *Performance) *score.Segment {
	in := &score.Segment{
		Category: p.Segment.Category.Rules, Segment: p.Segment.Key, Scope: p.Segment.Scope, Absent: p.AbsentJudges(),
	}
	if panel := s.PanelOf(p.Segment); panel != nil {
		for _, judge := range panel.Counted {
			if !slices.Contains(in.Absent, judge) {
				in.Counted = append(in.Counted, judge)
			}
		}
	}
	judges := s.judges(p)
	for _, e := range p.Elements {
		element := score.Element{Code: e.Code, SecondHalf: e.SecondHalf}
		for _, judge := range judges {
			if mark, ok := e.Marks[judge]; ok {
				element.Marks = append(element.Marks, mark)
			} else {
				element.Missing = append(element.Missing, judge)
			}
		}
		if len(element.Marks) == 0 {
			element.Marks, element.Missing = make([]int32, len(judges)), nil
		}
		in.Elements = append(in.Elements, element)
	}
	for _, c := range p.PrintedComponents(season) {
		component := score.Component{Key: c.Key}
		for _, judge := range judges {
			mark, ok := p.Components[c.Key][judge]
			if !ok {
				mark = season.ComponentMarks.Min
			}
			component.Marks = append(component.Marks, mark)
		}
		in.Components = append(in.Components, component)
	}
	for _, d := range p.Deductions {
		in.Deductions = append(in.Deductions, score.Deduction{
			Kind: d.GetKind(), Count: int(d.GetCount()), Value: rules.Points(d.GetValue()), Note: d.GetNote(),
		})
	}
	return in
}

// PrintedComponents returns the components of a performance's segment in printed order.
func (p *Performance) PrintedComponents(season *rules.Season) []rules.Component {
	category, err := season.Category(p.Segment.Category.Rules)
	if err != nil {
		return nil
	}
	segment, err := category.Segment(p.Segment.Key)
	if err != nil {
		return nil
	}
	return segment.Panel
}

// Lack is what a performance still lacks for its confirmation, in words.
type Lack struct {
	Other    []string // what must be there
	Elements []string // element marks of judges who are there
}

// All returns everything that lacks.
func (l Lack) All() []string { return append(slices.Clone(l.Other), l.Elements...) }

// Lacks says what a performance still lacks for its confirmation.
func (s *State) Lacks(season *rules.Season, p *Performance) Lack {
	var lack Lack
	judges, running := s.judges(p), s.Running(season, p)
	for i, e := range p.Elements {
		if e.InReview {
			lack.Other = append(lack.Other, fmt.Sprintf("element %d (%s): the review is not finished", i+1, e.Code))
		}
		if running[i].Base == 0 {
			continue // it scores 0.00 whatever the marks
		}
		without := slices.DeleteFunc(slices.Clone(judges), func(judge int32) bool { return has(e.Marks, judge) })
		switch len(without) {
		case 0:
		case len(judges):
			lack.Other = append(lack.Other, fmt.Sprintf("element %d (%s): nobody has marked it", i+1, e.Code))
		default:
			lack.Elements = append(lack.Elements, fmt.Sprintf("element %d (%s): no mark of %s", i+1, e.Code, judgeList(without)))
		}
	}
	for _, c := range p.PrintedComponents(season) {
		without := slices.DeleteFunc(slices.Clone(judges), func(judge int32) bool { return has(p.Components[c.Key], judge) })
		if len(without) > 0 {
			lack.Other = append(lack.Other, fmt.Sprintf("%s: no mark of %s", c.Name, judgeList(without)))
		}
	}
	return lack
}

func has[M any](marks map[int32]M, judge int32) bool {
	_, ok := marks[judge]
	return ok
}

// judgeList names judges in words: "judge 2", "judges 2, 5".
func judgeList(judges []int32) string {
	texts := make([]string, len(judges))
	for i, judge := range judges {
		texts[i] = fmt.Sprint(judge)
	}
	if len(texts) == 1 {
		return "judge " + texts[0]
	}
	return "judges " + strings.Join(texts, ", ")
}

// Compute returns the score of a performance that lacks nothing.
func (s *State) Compute(season *rules.Season, p *Performance) (*logv1.Score, error) {
	r, err := score.Compute(season, s.segmentScore(season, p))
	if err != nil {
		return nil, err
	}
	out := &logv1.Score{
		ElementScore: int64(r.ElementScore), ComponentScore: int64(r.ComponentScore),
		TotalDeductions: int64(r.TotalDeductions), SegmentScore: int64(r.SegmentScore),
	}
	for i, e := range r.Elements {
		out.Elements = append(out.Elements, &logv1.ElementScore{
			Element: p.Elements[i].Number, BaseValue: int64(e.Base), Goe: int64(e.GOE), Score: int64(e.Score),
		})
	}
	for _, c := range r.Components {
		out.Components = append(out.Components, &logv1.ComponentScore{
			Component: c.Key, Name: c.Name, Factor: int64(c.Factor), PanelScore: int64(c.Panel), Score: int64(c.Score),
		})
	}
	for _, d := range r.Deductions {
		out.Deductions = append(out.Deductions, &logv1.Deduction{
			Kind: d.Kind, Count: number(d.Count), Value: int64(d.Value), Note: d.Note,
		})
	}
	for _, w := range r.Warnings {
		out.Warnings = append(out.Warnings, &logv1.Warning{
			Code: string(w.Code), Message: w.Message, Rule: w.Rule, Confidence: string(w.Confidence), Fields: w.Fields,
		})
	}
	return out, nil
}

// Running is an element's points before the confirmation.
type Running struct {
	Base   rules.Points
	GOE    rules.Points
	Marked bool // all judges have marked it or it has no value, so that GOE is known
}

// Running returns the points of a performance's elements so far: base values, and
// the grade of execution of each element that all judges have marked.
func (s *State) Running(season *rules.Season, p *Performance) []Running {
	judges := s.judges(p)
	out := make([]Running, len(p.Elements))
	r, err := score.Compute(season, s.segmentScore(season, p))
	if err == nil {
		for i, e := range r.Elements {
			out[i] = Running{Base: e.Base}
			if e.Base == 0 || p.Elements[i].markedBy(judges) {
				out[i].GOE, out[i].Marked = e.GOE, true
			}
		}
		return out
	}
	// A mark whose points the table lacks stops the calculation. What remains
	// known is the base values; the confirmation says what is wrong.
	place, err := value.NewContext(season, p.Segment.Category.Rules, p.Segment.Key, p.Segment.Scope)
	if err != nil {
		return out
	}
	skated := make([]value.Skated, len(p.Elements))
	for i, e := range p.Elements {
		skated[i] = value.Skated{Code: e.Code, SecondHalf: e.SecondHalf}
	}
	valued, err := place.Elements(nil, skated, &rules.Warnings{})
	if err != nil {
		return out
	}
	for i := range valued {
		out[i] = Running{Base: valued[i].Base}
	}
	return out
}

func (e *Element) markedBy(judges []int32) bool {
	for _, judge := range judges {
		if !has(e.Marks, judge) {
			return false
		}
	}
	return len(judges) > 0
}

// faults returns what the season's calculation has against the codes and
// deductions of a performance, whatever marks it has yet.
func (s *State) faults(season *rules.Season, p *Performance) rules.FieldErrors {
	in := s.segmentScore(season, p)
	for i := range in.Elements {
		in.Elements[i].Marks, in.Elements[i].Missing = make([]int32, len(s.judges(p))), nil
	}
	_, faults := score.Compute(season, in)
	return slices.DeleteFunc(faults, func(f rules.FieldError) bool { return f.Reason == rules.ReasonGOEUnknown })
}

// clone copies a performance, so that a change can be tried on it.
func (p *Performance) clone() *Performance {
	c := *p
	c.Elements = make([]*Element, len(p.Elements))
	for i, e := range p.Elements {
		copied := *e
		copied.Marks = maps.Clone(e.Marks)
		c.Elements[i] = &copied
	}
	c.Components = make(map[string]map[int32]rules.Points, len(p.Components))
	for key, marks := range p.Components {
		c.Components[key] = maps.Clone(marks)
	}
	c.Corrections = slices.Clone(p.Corrections)
	return &c
}
