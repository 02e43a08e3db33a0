package scoring

import (
	"fmt"
	"math"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/rules/level/notation"
)

// toProgram turns a request into the input of the level engine. It reports what
// the input cannot hold: revolutions that are not whole or half ones, and words that
// are not understood.
func toProgram(req *pb.CallLevelsRequest) (level.Program, rules.FieldErrors) {
	var faults rules.FieldErrors
	p := level.Program{
		Category: req.GetCategory(), Segment: req.GetSegment(),
		Elements: make([]level.Element, len(req.GetElements())),
	}
	if len(p.Elements) > level.MaxElements {
		return p, faults // level.Check refuses it as a whole, so that no word of it is read
	}
	for i, e := range req.GetElements() {
		to, at := &p.Elements[i], fmt.Sprintf("elements[%d]", i)
		switch kind := e.GetKind().(type) {
		case *pb.LevelledElement_Spin:
			to.Spin = toSpin(at+".spin", kind.Spin, &faults)
		case *pb.LevelledElement_StepSequence:
			to.Steps = toSteps(kind.StepSequence)
		case *pb.LevelledElement_PairLift:
			to.PairLift = toPairLift(at+".pairLift", kind.PairLift, &faults)
		case *pb.LevelledElement_TwistLift:
			to.TwistLift = toTwistLift(kind.TwistLift)
		case *pb.LevelledElement_DeathSpiral:
			to.DeathSpiral = toDeathSpiral(at+".deathSpiral", kind.DeathSpiral, &faults)
		case *pb.LevelledElement_PairSpin:
			to.PairSpin = toPairSpin(at+".pairSpin", kind.PairSpin, &faults)
		case *pb.LevelledElement_PatternDance:
			to.Pattern = toPatternDance(kind.PatternDance)
		case *pb.LevelledElement_DanceElement:
			to.Dance = toDanceElement(at+".danceElement", kind.DanceElement, &faults)
		case *pb.LevelledElement_Text:
			*to = toElement(at+".text", kind.Text, &faults)
		}
	}
	return p, faults
}

func toSpin(at string, s *pb.Spin, faults *rules.FieldErrors) *level.Spin {
	spin := &level.Spin{
		Flying:            level.Flying(word(s.GetFlying())),
		BackwardEntry:     s.GetBackwardEntry(),
		DifficultEntrance: s.GetDifficultEntrance(),
		DifficultExit:     s.GetDifficultExit(),
		Feet:              make([]level.Foot, len(s.GetFeet())),
	}
	for i, f := range s.GetFeet() {
		foot := &spin.Feet[i]
		*foot = level.Foot{
			Change:            level.Change(word(f.GetChange())),
			DirectionReversed: f.GetDirectionReversed(),
			Positions:         make([]level.Position, len(f.GetPositions())),
		}
		for j, from := range f.GetPositions() {
			to := &foot.Positions[j]
			*to = level.Position{
				Position:    level.PositionKind(word(from.GetPosition())),
				Lean:        level.Lean(word(from.GetLean())),
				Variation:   level.Variation(word(from.GetVariation())),
				Revolutions: revolutions(fmt.Sprintf("%s.feet[%d].positions[%d].revolutions", at, i, j), from.GetRevolutions(), faults),
				Edges:       word(from.GetEdges()),
			}
			for _, feature := range from.GetFeatures() {
				to.Features = append(to.Features, level.PositionFeature(word(feature)))
			}
		}
	}
	return spin
}

func toSteps(s *pb.StepSequence) *level.StepSequence {
	steps := &level.StepSequence{
		Pattern:                 word(s.GetPattern()),
		Turns:                   toTurns(s.GetTurns()),
		PartnerTurns:            toTurns(s.GetPartnerTurns()),
		RotationsBothDirections: s.GetRotationsBothDirections(),
		BodyMovement:            s.GetBodyMovement(),
		TurnCombinationLeft:     s.GetTurnCombinationLeft(),
		TurnCombinationRight:    s.GetTurnCombinationRight(),
		OneFootSection:          s.GetOneFootSection(),
		UpperBody:               s.GetUpperBody(),
		QuickTurnCombinations:   s.GetQuickTurnCombinations(),
		PositionChanges:         s.GetPositionChanges(),
		NotSeparating:           s.GetNotSeparating(),
		BadlySpread:             s.GetBadlySpread(),
		NotRecognisable:         s.GetNotRecognisable(),
	}
	return steps
}

func toTurns(from []*pb.Turns) []level.Turns {
	var turns []level.Turns
	for _, t := range from {
		turns = append(turns, level.Turns{
			Type: rules.TurnType(word(t.GetType())), Clockwise: int(t.GetClockwise()), Counterclockwise: int(t.GetCounterclockwise()),
		})
	}
	return turns
}

// halves takes revolutions exactly: 2.5 is 5 half revolutions. Numbers outside
// of any spin's are left for the engine to refuse.
func halves(revolutions float64) (rules.Revolutions, bool) {
	const most = 1e6
	n := revolutions * float64(rules.Revolution)
	if math.Abs(n) > most || n != math.Trunc(n) || math.IsNaN(n) {
		return 0, false
	}
	return rules.Revolutions(n), true
}

// enum is a generated enum value.
type enum interface {
	~int32
	fmt.Stringer
}

// word returns an enum value's name, or "" for the value that stands for nothing.
func word[E enum](e E) string {
	if e == 0 {
		return ""
	}
	return e.String()
}

// fromCall returns the call of one element.
func fromCall(skated *level.Element, c *level.Called, base string) *pb.CalledElement {
	text, _ := notation.Print(skated)
	out := &pb.CalledElement{
		Code: c.Code, Level: c.Level, NoValue: c.NoValue, ReducedValue: c.Reduced, BaseValue: base, Notes: c.Notes, Text: text,
		Features: make([]*pb.CalledFeature, len(c.Features)),
	}
	for i, f := range c.Features {
		out.Features[i] = &pb.CalledFeature{
			Feature: pb.Feature_Value(pb.Feature_Value_value[f.Feature]),
			At:      f.At, Where: where(f.At), Counted: f.Counted, Message: f.Message, Rule: f.Rule,
		}
		if f.Reason != "" {
			out.Features[i].Reason = pb.FeatureReason_Value(pb.FeatureReason_Value_value[string(f.Reason)]).Enum()
		}
	}
	if next := c.ToNextLevel; next != nil {
		out.ToNextLevel = &pb.NextLevel{Level: next.Level}
		for _, o := range next.Options {
			out.ToNextLevel.Options = append(out.ToNextLevel.Options, &pb.LevelOption{
				Feature: pb.Feature_Value(pb.Feature_Value_value[o.Feature]), Message: o.Message,
			})
		}
	}
	return out
}
