package scoring

import (
	"fmt"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/rules/level/notation"
)

// toElement reads an element in words.
func toElement(at, text string, faults *rules.FieldErrors) level.Element {
	e, wrong := notation.Parse(text)
	for _, f := range wrong {
		f.Field = at
		*faults = append(*faults, f)
	}
	return e
}

// textFaults returns the faults of elements that came in words at the path of these,
// with what the engine's path says put into words: the caller's request has no such
// path. Words that were not understood make no element, so that the engine's fault
// about that is left out.
func textFaults(faults rules.FieldErrors, req *pb.CallLevelsRequest) rules.FieldErrors {
	var out rules.FieldErrors
	for _, f := range faults {
		i, rest, ok := elementOf(f.Field)
		if !ok || i >= len(req.GetElements()) || !isText(req.GetElements()[i]) {
			out = append(out, f)
			continue
		}
		if rest == "" {
			continue
		}
		f.Field = fmt.Sprintf("elements[%d].text", i)
		if place := where(rest); place != "" {
			f.Message = place + ": " + f.Message
		}
		out = append(out, f)
	}
	return out
}

// elementOf parts a path such as elements[1].spin.feet into the element's place and
// what stands behind it.
func elementOf(path string) (i int, rest string, ok bool) {
	element, rest, _ := strings.Cut(path, ".")
	_, err := fmt.Sscanf(element, "elements[%d]", &i)
	return i, rest, err == nil
}

func isText(e *pb.LevelledElement) bool {
	_, ok := e.GetKind().(*pb.LevelledElement_Text)
	return ok
}

// Structured returns an element that came in words as the structure that the words
// stand for, and every other element as it is. The faults are those of the words, at
// the path "text".
func Structured(e *pb.LevelledElement) (*pb.LevelledElement, rules.FieldErrors) {
	if !isText(e) {
		return e, nil
	}
	var faults rules.FieldErrors
	read := toElement("text", e.GetText(), &faults)
	switch {
	case read.Spin != nil:
		return &pb.LevelledElement{Kind: &pb.LevelledElement_Spin{Spin: fromSpin(read.Spin)}}, nil
	case read.Steps != nil:
		return &pb.LevelledElement{Kind: &pb.LevelledElement_StepSequence{StepSequence: fromSteps(read.Steps)}}, nil
	}
	return nil, faults
}

func fromSpin(s *level.Spin) *pb.Spin {
	spin := &pb.Spin{
		Flying:        pb.Flying_Value(pb.Flying_Value_value[string(s.Flying)]),
		BackwardEntry: s.BackwardEntry, DifficultEntrance: s.DifficultEntrance, DifficultExit: s.DifficultExit,
	}
	for i := range s.Feet {
		f := &s.Feet[i]
		foot := &pb.SpinFoot{Change: pb.FootChange_Value(pb.FootChange_Value_value[string(f.Change)]), DirectionReversed: f.DirectionReversed}
		for j := range f.Positions {
			p := &f.Positions[j]
			to := &pb.SpinPosition{
				Position:    pb.Position_Value(pb.Position_Value_value[string(p.Position)]),
				Lean:        pb.Lean_Value(pb.Lean_Value_value[string(p.Lean)]),
				Variation:   pb.Variation_Value(pb.Variation_Value_value[string(p.Variation)]),
				Revolutions: float64(p.Revolutions) / float64(rules.Revolution),
				Edges:       pb.EdgeChange_Value(pb.EdgeChange_Value_value[p.Edges]),
			}
			for _, feature := range p.Features {
				to.Features = append(to.Features, pb.PositionFeature_Value(pb.PositionFeature_Value_value[string(feature)]))
			}
			foot.Positions = append(foot.Positions, to)
		}
		spin.Feet = append(spin.Feet, foot)
	}
	return spin
}

func fromSteps(s *level.StepSequence) *pb.StepSequence {
	return &pb.StepSequence{
		Pattern:                 pb.StepPattern_Value(pb.StepPattern_Value_value[s.Pattern]),
		Turns:                   fromTurns(s.Turns),
		PartnerTurns:            fromTurns(s.PartnerTurns),
		RotationsBothDirections: s.RotationsBothDirections,
		BodyMovement:            s.BodyMovement,
		TurnCombinationLeft:     s.TurnCombinationLeft,
		TurnCombinationRight:    s.TurnCombinationRight,
		OneFootSection:          s.OneFootSection,
		UpperBody:               s.UpperBody,
		QuickTurnCombinations:   s.QuickTurnCombinations,
		PositionChanges:         s.PositionChanges,
		NotSeparating:           s.NotSeparating,
		BadlySpread:             s.BadlySpread,
		NotRecognisable:         s.NotRecognisable,
	}
}

func fromTurns(from []level.Turns) []*pb.Turns {
	var turns []*pb.Turns
	for _, t := range from {
		turns = append(turns, &pb.Turns{
			Type:      pb.TurnType_Value(pb.TurnType_Value_value[string(t.Type)]),
			Clockwise: int32(t.Clockwise), Counterclockwise: int32(t.Counterclockwise),
		})
	}
	return turns
}
