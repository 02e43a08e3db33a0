package scoring

import (
	"fmt"
	"slices"
	"strconv"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/score"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/ask"
)

// toSkated takes the element codes of a request.
func toSkated(elements []*pb.SkatedElement) []value.Skated {
	skated := make([]value.Skated, len(elements))
	for i, e := range elements {
		skated[i] = value.Skated{Code: e.GetCode(), SecondHalf: e.GetSecondHalf()}
	}
	return skated
}

// maxList bounds the lists of a segment, far above any panel's.
const maxList = 100

// tooLong reports the lists of a request that are longer than any panel's. Nothing
// is made of such a request, or it would cost far more than it does to send.
func tooLong(req *pb.ScoreSegmentRequest) rules.FieldErrors {
	var faults rules.FieldErrors
	long := func(field string, n, most int) {
		faults.Add(field, rules.ReasonTooManyItems, "has %d items; %s are taken", n, rules.Allow("at most %d", most))
	}
	if n := len(req.GetElements()); n > value.MaxElements {
		long("elements", n, value.MaxElements)
		return faults
	}
	for _, list := range [...]struct {
		field string
		n     int
	}{
		{"components", len(req.GetComponents())}, {"deductions", len(req.GetDeductions())},
		{"countedJudges", len(req.GetCountedJudges())}, {"absentJudges", len(req.GetAbsentJudges())},
	} {
		if list.n > maxList {
			long(list.field, list.n, maxList)
		}
	}
	for i, e := range req.GetElements() {
		if n := len(e.GetMarks()); n > maxList {
			long(fmt.Sprintf("elements[%d].marks", i), n, maxList)
		}
		if n := len(e.GetMissingMarks()); n > maxList {
			long(fmt.Sprintf("elements[%d].missingMarks", i), n, maxList)
		}
	}
	for i, c := range req.GetComponents() {
		if n := len(c.GetMarks()); n > maxList {
			long(fmt.Sprintf("components[%d].marks", i), n, maxList)
		}
	}
	return faults
}

// toSegment turns a request into the input of the calculation. It reports what
// the input cannot hold, such as a mark with three decimals; everything else is
// the calculation's to check. The marks for execution are shared, not copied.
func toSegment(req *pb.ScoreSegmentRequest, season *rules.Season, in *score.Segment) rules.FieldErrors {
	var faults rules.FieldErrors
	*in = score.Segment{
		Category: req.GetCategory(), Segment: req.GetSegment(), Scope: req.GetScope(), Explain: req.GetExplain(),
		Counted: req.GetCountedJudges(), Absent: req.GetAbsentJudges(),
		Elements:   resize(in.Elements, len(req.GetElements())),
		Components: resize(in.Components, len(req.GetComponents())),
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
			points, ok := ask.Hundredths(mark)
			if !ok {
				grid := &season.ComponentMarks
				points = grid.Min // so that the fault is reported once
				faults.Add(fmt.Sprintf("components[%d].marks[%d]", i, j), offGrid(mark, grid),
					"is %s; allowed are %s", ask.Number(mark), rules.Allow("%v to %v in steps of %v", grid.Min, grid.Max, grid.Step))
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
			points = -rules.Point // so that the fault is reported once
			faults.Add(fmt.Sprintf("deductions[%d].value", i), rules.ReasonDeductionValue, "%v", err)
		}
		in.Deductions[i].Value = points
	}
	return faults
}

// offGrid returns the reason of a mark that is no number of hundredths: whether it
// is also outside of the range, as what is no number (NaN) always is.
func offGrid(mark float64, grid *rules.Grid) rules.Reason {
	const hundred = float64(rules.Point)
	if mark*hundred >= float64(grid.Min) && mark*hundred <= float64(grid.Max) {
		return rules.ReasonMarkOffGrid
	}
	return rules.ReasonMarkOutOfRange
}

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

// resize returns a slice of n, in the same memory where that is large enough.
func resize[T any](s []T, n int) []T { return slices.Grow(s[:0], n)[:n] }

// fromResult returns the score of a segment.
func fromResult(r *score.Result) *pb.ScoreSegmentResponse {
	nParts, nFactors := 0, 0
	for i := range r.Elements {
		nParts += len(r.Elements[i].Parts())
		nFactors += len(r.Elements[i].Factors())
	}
	elements, components := answer.NewBlock[pb.ScoredElement](len(r.Elements)), answer.NewBlock[pb.ScoredComponent](len(r.Components))
	parts, factors := answer.NewBlock[pb.Part](nParts), answer.NewBlock[pb.Factor](nFactors)
	res := &pb.ScoreSegmentResponse{
		Elements:        elements.Take(len(r.Elements)),
		ElementScore:    answer.Points(r.ElementScore),
		Components:      components.Take(len(r.Components)),
		ComponentScore:  answer.Points(r.ComponentScore),
		TotalDeductions: answer.Points(r.TotalDeductions),
		SegmentScore:    answer.Points(r.SegmentScore),
		Steps:           r.Steps,
	}
	for i, to := range res.Elements {
		from := &r.Elements[i]
		to.Code = from.Element.String()
		to.BaseValue = answer.Points(from.Base)
		to.Goe = answer.Points(from.GOE)
		to.Score = answer.Points(from.Score)
		to.Parts = answer.PartsIn(parts, from.Valued)
		to.Factors = answer.FactorsIn(factors, from.Valued)
	}
	for i, to := range res.Components {
		from := &r.Components[i]
		to.Component = pb.Component_Value(pb.Component_Value_value[from.Key])
		to.Name = from.Name
		to.PanelScore = answer.Points(from.Panel)
		to.Factor = answer.Points(from.Factor)
		to.Score = answer.Points(from.Score)
	}
	for _, d := range r.Deductions {
		res.Deductions = append(res.Deductions, &pb.ScoredDeduction{
			Kind:  pb.DeductionKind_Value(pb.DeductionKind_Value_value[d.Kind]),
			Count: int32(d.Count),
			Value: answer.Points(d.Value), Note: d.Note,
		})
	}
	return res
}
