package scoring

import (
	"fmt"
	"math"
	"strconv"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/score"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/answer"
)

// toSkated takes the element codes of a request.
func toSkated(elements []*pb.SkatedElement) []value.Skated {
	skated := make([]value.Skated, len(elements))
	for i, e := range elements {
		skated[i] = value.Skated{Code: e.GetCode(), SecondHalf: e.GetSecondHalf()}
	}
	return skated
}

// toSegment turns a request into the input of the calculation. It tells what
// the input cannot hold, such as a mark with three decimals; everything else is
// the calculation's to check. The marks for execution are shared, not copied.
func toSegment(req *pb.ScoreSegmentRequest, season *rules.Season, in *score.Segment) rules.FieldErrors {
	var faults rules.FieldErrors
	*in = score.Segment{
		Category: req.GetCategory(), Segment: req.GetSegment(), Scope: req.GetScope(), Explain: req.GetExplain(),
		Counted: req.GetCountedJudges(), Absent: req.GetAbsentJudges(),
		Elements:   make([]score.Element, len(req.GetElements())),
		Components: make([]score.Component, len(req.GetComponents())),
	}
	if len(in.Elements) == 0 {
		faults.Add("elements", rules.ReasonFieldRequired, "is empty: give the elements in the order skated")
	}
	for i, e := range req.GetElements() {
		in.Elements[i] = score.Element{Code: e.GetCode(), SecondHalf: e.GetSecondHalf(), Marks: e.GetMarks()}
		if missing := e.GetMissingMarks(); len(missing) > 0 {
			judges := make([]int32, len(missing))
			for j, m := range missing {
				judges[j] = m.GetJudge()
			}
			in.Elements[i].Missing = judges
		}
	}
	marks := 0
	for _, c := range req.GetComponents() {
		marks += len(c.GetMarks())
	}
	all := make([]rules.Points, 0, marks)
	for i, c := range req.GetComponents() {
		first := len(all)
		for j, mark := range c.GetMarks() {
			points, ok := hundredths(mark)
			if !ok {
				points = season.ComponentMarks.Min // so that the fault is told once
				faults.Add(fmt.Sprintf("components[%d].marks[%d]", i, j), rules.ReasonMarkOffGrid,
					"is %s; allowed are %v to %v in steps of %v", number(mark), season.ComponentMarks.Min, season.ComponentMarks.Max, season.ComponentMarks.Step)
			}
			all = append(all, points)
		}
		in.Components[i] = score.Component{Key: componentName(c.GetComponent()), Marks: all[first:len(all):len(all)]}
	}
	if n := len(req.GetDeductions()); n > 0 {
		in.Deductions = make([]score.Deduction, n)
	}
	for i, d := range req.GetDeductions() {
		in.Deductions[i] = score.Deduction{Kind: deductionName(d.GetKind()), Count: 1, Note: d.GetNote()}
		if d.Count != nil {
			in.Deductions[i].Count = int(d.GetCount())
		}
		if d.GetValue() == "" {
			continue
		}
		points, err := rules.ParsePoints(d.GetValue())
		if err != nil {
			points = -rules.Point // so that the fault is told once
			faults.Add(fmt.Sprintf("deductions[%d].value", i), rules.ReasonDeductionValue, "%v", err)
		}
		in.Deductions[i].Value = points
	}
	return faults
}

// hundredths takes a component mark exactly: 8.25 is 825. It refuses what is
// not a number with at most two decimals.
func hundredths(mark float64) (rules.Points, bool) {
	const most = 1e6 // far above any mark, and exact
	if !(math.Abs(mark) <= most) {
		return 0, false
	}
	points := math.Round(mark * 100)
	// The nearest hundredth must be the very number that was sent.
	if points/100 != mark { //nolint:gocritic // NaN was refused above
		return 0, false
	}
	return rules.Points(points), true
}

// number shows a number as short as it can be written.
func number(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }

func componentName(c pb.Component_Value) string {
	if c == pb.Component_COMPONENT_UNSPECIFIED {
		return ""
	}
	if name, ok := pb.Component_Value_name[int32(c)]; ok {
		return name
	}
	return strconv.Itoa(int(c))
}

func deductionName(k pb.DeductionKind_Value) string {
	if k == pb.DeductionKind_DEDUCTION_KIND_UNSPECIFIED {
		return ""
	}
	if name, ok := pb.DeductionKind_Value_name[int32(k)]; ok {
		return name
	}
	return strconv.Itoa(int(k))
}

// fromResult gives the score of a segment. The messages of one kind share one
// block of memory.
func fromResult(r *score.Result) *pb.ScoreSegmentResponse {
	res := &pb.ScoreSegmentResponse{
		Elements:        make([]*pb.ScoredElement, len(r.Elements)),
		ElementScore:    answer.Points(r.ElementScore),
		Components:      make([]*pb.ScoredComponent, len(r.Components)),
		ComponentScore:  answer.Points(r.ComponentScore),
		TotalDeductions: answer.Points(r.TotalDeductions),
		SegmentScore:    answer.Points(r.SegmentScore),
		Steps:           r.Steps,
	}
	elements := make([]pb.ScoredElement, len(r.Elements))
	for i := range r.Elements {
		from, to := &r.Elements[i], &elements[i]
		to.Code = from.Element.String()
		to.BaseValue = answer.Points(from.Base)
		to.Goe = answer.Points(from.GOE)
		to.Score = answer.Points(from.Score)
		to.Parts = fromParts(from.Valued)
		to.Factors = fromFactors(from.Valued)
		res.Elements[i] = to
	}
	components := make([]pb.ScoredComponent, len(r.Components))
	for i := range r.Components {
		from, to := &r.Components[i], &components[i]
		to.Component = pb.Component_Value(pb.Component_Value_value[from.Key])
		to.Name = from.Name
		to.PanelScore = answer.Points(from.Panel)
		to.Factor = answer.Points(from.Factor)
		to.Score = answer.Points(from.Score)
		res.Components[i] = to
	}
	for _, d := range r.Deductions {
		res.Deductions = append(res.Deductions, &pb.ScoredDeduction{
			Kind:  pb.DeductionKind_Value(pb.DeductionKind_Value_value[d.Kind]),
			Count: int32(d.Count), //nolint:gosec // bounded by the calculation
			Value: answer.Points(d.Value), Note: d.Note,
		})
	}
	return res
}

// fromParts gives the value of each of an element's parts.
func fromParts(v *value.Valued) []*pb.Part {
	valued := v.Parts()
	codes := v.Element.Parts()
	parts := make([]pb.Part, len(valued))
	out := make([]*pb.Part, len(valued))
	for i := range valued {
		parts[i].Code = codes[i].Text
		if codes[i].NoValue {
			parts[i].Code += "*"
		}
		parts[i].BaseValue = answer.Points(valued[i].Base)
		out[i] = &parts[i]
	}
	return out
}

var factorKinds = [...]pb.FactorKind_Value{
	value.Sequence:   pb.FactorKind_SEQUENCE,
	value.Repeat:     pb.FactorKind_REPEAT,
	value.Combo:      pb.FactorKind_COMBINATION_INCOMPLETE,
	value.SecondHalf: pb.FactorKind_SECOND_HALF,
}

// fromFactors gives what an element's parts were multiplied by.
func fromFactors(v *value.Valued) []*pb.Factor {
	factors := v.Factors()
	if len(factors) == 0 {
		return nil
	}
	out := make([]*pb.Factor, len(factors))
	for i, f := range factors {
		out[i] = &pb.Factor{Kind: factorKinds[f.Kind], By: answer.Points(f.By)}
	}
	return out
}
