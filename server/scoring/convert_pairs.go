package scoring

import (
	"fmt"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/server/ask"
)

// revolutions takes revolutions exactly, or adds a fault.
func revolutions(at string, from float64, faults *rules.FieldErrors) rules.Revolutions {
	n, ok := halves(from)
	if !ok {
		faults.Add(at, rules.ReasonRevolutionsWrong, "is %s; allowed are %s", ask.Number(from), rules.Allow("0 to %s in steps of 0.5", level.MaxRevolutions))
	}
	return n
}

func toPairLift(at string, l *pb.PairLift, faults *rules.FieldErrors) *level.PairLift {
	lift := &level.PairLift{Code: l.GetCode()}
	for _, f := range l.GetFeatures() {
		lift.Features = append(lift.Features, level.LiftFeature{
			Feature: rules.PairFeature(word(f.GetFeature())),
			Simple:  f.GetSimple(), Similar: f.GetSimilar(), Interrupted: f.GetInterrupted(),
		})
	}
	for i, r := range l.GetOneHandRevolutions() {
		lift.OneHand = append(lift.OneHand, revolutions(fmt.Sprintf("%s.oneHandRevolutions[%d]", at, i), r, faults))
	}
	return lift
}

func toTwistLift(l *pb.TwistLift) *level.TwistLift {
	lift := &level.TwistLift{Code: l.GetCode()}
	for _, f := range l.GetFeatures() {
		lift.Features = append(lift.Features, rules.PairFeature(word(f)))
	}
	return lift
}

func toDeathSpiral(at string, s *pb.DeathSpiral, faults *rules.FieldErrors) *level.DeathSpiral {
	return &level.DeathSpiral{
		Code:        s.GetCode(),
		Revolutions: revolutions(at+".revolutions", s.GetRevolutions(), faults),
		Low:         revolutions(at+".lowRevolutions", s.GetLowRevolutions(), faults),
		Entrance:    s.GetDifficultEntrance(), Exit: s.GetDifficultExit(),
	}
}

func toPairSpin(at string, s *pb.PairSpin, faults *rules.FieldErrors) *level.PairSpin {
	spin := &level.PairSpin{
		BackwardEdgeEntrance: s.GetBackwardEdgeEntrance(), BothDirections: s.GetBothDirections(),
		Positions: make([]level.PairPosition, len(s.GetPositions())),
	}
	partner := func(p *pb.PartnerPosition) level.PartnerPosition {
		return level.PartnerPosition{Position: level.PositionKind(word(p.GetPosition())), Variation: level.Variation(word(p.GetVariation()))}
	}
	for i, p := range s.GetPositions() {
		spin.Positions[i] = level.PairPosition{
			Woman: partner(p.GetWoman()), Man: partner(p.GetMan()), ChangeOfFoot: p.GetChangeOfFoot(),
			Revolutions: revolutions(fmt.Sprintf("%s.positions[%d].revolutions", at, i), p.GetRevolutions(), faults),
		}
	}
	return spin
}

func toPatternDance(d *pb.PatternDance) *level.PatternDance {
	pattern := &level.PatternDance{Code: d.GetCode(), Incomplete: d.GetIncomplete()}
	for _, k := range d.GetKeyPoints() {
		pattern.KeyPoints = append(pattern.KeyPoints, level.KeyPoint(word(k)))
	}
	return pattern
}

func toDanceElement(at string, d *pb.DanceElement, faults *rules.FieldErrors) *level.DanceElement {
	part := func(key string, p *pb.DancePart) *level.DancePart {
		if p == nil {
			return nil
		}
		return &level.DancePart{
			Rotations:           revolutions(at+"."+key+".rotations", p.GetRotations(), faults),
			DifferentEntryEdges: p.GetDifferentEntryEdges(), BothDirections: p.GetBothDirections(),
			AdditionalFeatures: int(p.GetAdditionalFeatures()),
		}
	}
	return &level.DanceElement{Code: d.GetCode(), Woman: part("woman", d.GetWoman()), Man: part("man", d.GetMan())}
}
