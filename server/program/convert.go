package program

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	content "github.com/rinktally/rinktally/rules/program"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/ask"
)

// toProgram turns a request into a program. It reports what the program cannot
// hold, such as a grade with three decimals; everything else is for the check.
func toProgram(req *pb.CheckProgramRequest) (*content.Program, rules.FieldErrors) {
	var faults rules.FieldErrors
	in := &content.Program{
		Category: req.GetCategory(), Segment: req.GetSegment(), Scope: req.GetScope(), Duration: int(req.GetDurationSeconds()),
		KeepPanelCalls: req.GetKeepPanelCalls(),
	}
	switch {
	case len(req.GetElements()) > 0 && req.GetText() != "":
		faults.Add("text", rules.ReasonFieldInvalid, "stands beside elements; only one of them may be given")
	case req.GetText() != "":
		in.Elements = toElements(req.GetText(), req.GetPartial(), &faults)
	case len(req.GetElements()) == 0 && !req.GetPartial():
		faults.Add("elements", rules.ReasonFieldRequired, "is empty: give the elements in the order skated, or text instead")
	}
	for i, e := range req.GetElements() {
		planned := content.Planned{Code: e.GetCode(), SecondHalf: e.GetSecondHalf(), At: field(i)}
		if e.Grade != nil {
			grade, ok := ask.Hundredths(e.GetGrade())
			if !ok {
				faults.Add(fmt.Sprintf("elements[%d].grade", i), ask.Refused(e.GetGrade()), "is %s; allowed are %s", ask.Number(e.GetGrade()), rules.Allowed("steps of 0.01, such as 2.5"))
			} else {
				planned.Grade = &grade
			}
		}
		in.Elements = append(in.Elements, planned)
	}
	in.Components = toComponents(req.GetComponents(), &faults)
	return in, faults
}

// toElements reads the notation of a program as text: all of it, or of a partial
// one what can be read.
func toElements(text string, partial bool, faults *rules.FieldErrors) []content.Planned {
	elements, err := content.ParseLine(text)
	var fault content.ParseError
	var many interface{ Unwrap() []error }
	list := []error{err}
	if errors.As(err, &many) {
		list = many.Unwrap()
	}
	for _, err := range list {
		if errors.As(err, &fault) {
			faults.Add(fmt.Sprintf("text.line[%d]", fault.Line), rules.ReasonCodeInvalid, "%s", fault.Message)
		}
	}
	if err != nil && !partial {
		return nil // what could be read would be reported with wrong positions
	}
	if len(elements) == 0 && !partial {
		faults.Add("text", rules.ReasonFieldRequired, "has no element in it: give the elements in the order skated, such as 3Lz+3T, CCoSp4")
	}
	return elements
}

// maxComponents bounds the list of expected marks, far above any segment's.
const maxComponents = 100

func toComponents(marks []*pb.ExpectedComponent, faults *rules.FieldErrors) map[string]rules.Points {
	if len(marks) == 0 {
		return nil
	}
	if n := len(marks); n > maxComponents {
		faults.Add("components", rules.ReasonTooManyItems, "has %d items; %s are taken", n, rules.Allow("at most %d", maxComponents))
		return nil
	}
	components := make(map[string]rules.Points, len(marks))
	for i, c := range marks {
		at := fmt.Sprintf("components[%d]", i)
		if c.GetComponent() == pb.Component_COMPONENT_UNSPECIFIED {
			faults.Add(at+".component", rules.ReasonFieldRequired, "is empty: give a component of the segment, such as COMPOSITION")
			continue
		}
		key := componentName(c.GetComponent())
		if _, twice := components[key]; twice {
			faults.Add(at+".component", rules.ReasonComponentTwice, "%s stands here twice", key)
		}
		mark, ok := ask.Hundredths(c.GetMark())
		if !ok {
			faults.Add(at+".mark", ask.Refused(c.GetMark()), "is %s; allowed are %s", ask.Number(c.GetMark()), rules.Allowed("steps of 0.01, such as 8.25"))
			continue
		}
		components[key] = mark
	}
	return components
}

// componentName returns a component's key; a number that the contract does not
// know stays a number, which the check refuses.
func componentName(c pb.Component_Value) string {
	if name, ok := pb.Component_Value_name[int32(c)]; ok {
		return name
	}
	return strconv.Itoa(int(c))
}

// skated returns the program's codes as the shared checks take them.
func skated(in *content.Program) []value.Skated {
	out := make([]value.Skated, len(in.Elements))
	for i, e := range in.Elements {
		out[i] = value.Skated{Code: e.Code, SecondHalf: e.SecondHalf}
	}
	return out
}

// paths returns the faults of a check by their paths in the request.
func paths(faults rules.FieldErrors, components []*pb.ExpectedComponent) rules.FieldErrors {
	out := make(rules.FieldErrors, len(faults))
	for i, f := range faults {
		out[i] = f
		key, ofComponent := strings.CutPrefix(f.Field, "components.")
		switch {
		case f.Field == "duration":
			out[i].Field = "durationSeconds"
		case ofComponent:
			out[i].Field, out[i].Message = componentPath(key, f, components)
		}
	}
	return out
}

func componentPath(key string, f rules.FieldError, marks []*pb.ExpectedComponent) (field, message string) {
	for i, c := range marks {
		switch {
		case componentName(c.GetComponent()) != key:
		case f.Reason == rules.ReasonComponentUnknown:
			return fmt.Sprintf("components[%d].component", i), f.Message
		default:
			return fmt.Sprintf("components[%d].mark", i), f.Message
		}
	}
	return "components", key + " " + f.Message
}
