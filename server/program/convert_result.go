package program

import (
	"fmt"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	content "github.com/rinktally/rinktally/rules/program"
	"github.com/rinktally/rinktally/server/answer"
)

// fromResult returns the answer to a program. An expected grade whose points the
// season does not know adds a warning to the result.
func fromResult(in *content.Program, r *content.Result) *pb.CheckProgramResponse {
	res := &pb.CheckProgramResponse{
		Elements:       make([]*pb.CreditedElement, len(r.Elements)),
		Findings:       make([]*pb.Finding, len(r.Findings)),
		TotalBaseValue: answer.Points(r.Base),
		Predicted:      fromPrediction(r.Predicted),
		Caution:        r.Caution,
	}
	for i := range r.Elements {
		x := &r.Elements[i]
		res.Elements[i] = fromCredited(x)
		if in.Elements[i].Grade != nil && x.GOE == nil {
			r.Warnings.Add(gradeUnknown(x), field(i))
		}
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		res.Findings[i] = fromFinding(f)
		if f.Element != content.Whole {
			e := res.Elements[f.Element]
			e.Findings = append(e.Findings, int32(i))
		}
	}
	for _, k := range r.Kinds {
		res.Kinds = append(res.Kinds, &pb.KindTotal{
			Kind: k.Kind.String(), Count: int32(k.Count),
			BaseValue: answer.Points(k.Base), Score: answer.Points(k.Score),
		})
	}
	return res
}

// gradeUnknown warns that the points of an expected grade are not known.
func gradeUnknown(x *content.Credited) *rules.Warning {
	w := &rules.Warning{
		Code:    rules.WarningCode(rules.ReasonGOEUnknown),
		Message: fmt.Sprintf("the points of the grade expected of %s are not known in this season; it counts with its base value", x.Code),
	}
	for _, row := range x.Valued.GOERows() {
		w.Rule = row.Rule
	}
	return w
}

// field is the path of an element among those of the program.
func field(i int) string { return fmt.Sprintf("elements[%d]", i) }

// inRequest returns the warnings of a check by their paths in the request. Elements
// that were left out of a partial program still count there.
func inRequest(in *content.Program, found rules.Warnings) rules.Warnings {
	at := make(map[string]string, len(in.Elements))
	for i := range in.Elements {
		at[field(i)] = in.Elements[i].At
	}
	var out rules.Warnings
	for i := range found {
		w := &found[i]
		if len(w.Fields) == 0 {
			out.Add(w, "")
		}
		for _, f := range w.Fields {
			out.Add(w, at[f])
		}
	}
	return out
}

func fromCredited(x *content.Credited) *pb.CreditedElement {
	e := &pb.CreditedElement{
		Code: x.Code, Kind: x.Kind.String(), Name: x.Valued.Element.Describe(),
		BaseValue: answer.Points(x.Base), Score: answer.Points(x.Score),
		Parts: answer.Parts(&x.Valued), Factors: answer.Factors(&x.Valued),
		Worth: make([]*pb.ElementChange, len(x.Worth)),
	}
	if x.GOE != nil {
		e.Goe = answer.Points(*x.GOE)
	}
	for i := range x.Worth {
		w := &x.Worth[i]
		e.Worth[i] = &pb.ElementChange{
			Call: calls[w.Call], Jump: position(w.Jump), Code: w.Code, Difference: answer.Points(w.Difference), Message: w.Message,
		}
	}
	return e
}

var calls = map[content.Call]pb.PanelCall_Value{
	content.NextLevel:    pb.PanelCall_NEXT_LEVEL,
	content.OnQuarter:    pb.PanelCall_ON_QUARTER,
	content.UnderRotated: pb.PanelCall_UNDER_ROTATED,
	content.Downgraded:   pb.PanelCall_DOWNGRADED,
	content.UnclearEdge:  pb.PanelCall_UNCLEAR_EDGE,
	content.WrongEdge:    pb.PanelCall_WRONG_EDGE,
	content.Fall:         pb.PanelCall_FALL,
}

var severities = [...]pb.Severity_Value{
	content.Info: pb.Severity_INFO, content.Warning: pb.Severity_WARNING, content.Error: pb.Severity_ERROR,
}

func fromFinding(f *content.Finding) *pb.Finding {
	return &pb.Finding{
		Severity: severities[f.Severity],
		Code:     pb.FindingCode_Value(pb.FindingCode_Value_value[string(f.Code)]),
		Element:  position(f.Element), Jump: position(f.Jump), At: f.At(),
		Rule: f.Rule, Source: f.Source, Confidence: string(f.Confidence),
		Message: f.Message, Advice: f.Advice,
	}
}

// position returns an index, or nothing where the whole is meant.
func position(i int) *int32 {
	if i == content.Whole {
		return nil
	}
	n := int32(i)
	return &n
}

// fromPrediction returns a predicted score, or nothing where none was made.
func fromPrediction(p *content.Prediction) *pb.PredictedScore {
	if p == nil {
		return nil
	}
	text := func(points *rules.Points) string {
		if points == nil {
			return ""
		}
		return answer.Points(*points)
	}
	return &pb.PredictedScore{ElementScore: answer.Points(p.ElementScore), ComponentScore: text(p.ComponentScore), Total: text(p.Total)}
}
