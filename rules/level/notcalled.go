package level

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
)

// notCalled lists what was reported from a foot on, where that part of a spin,
// or the whole of it, is not called. It counts for nothing and is not used up.
func notCalled(s *Spin, from int, rule *rules.Clause) []claim {
	var list []claim
	add := func(f rules.SpinFeature, at string) {
		list = append(list, claim{
			feature: f, at: at, reason: NotCalled, rule: rule,
			message: "this part of the spin is not called, so nothing in it counts; it is not used up",
		})
	}
	if from == 0 {
		if s.Flying == DifficultFlying {
			add(rules.DifficultFlyingEntry, "flying")
		}
		if s.DifficultEntrance {
			add(rules.DifficultEntrance, "difficultEntrance")
		}
	}
	for f := from; f < len(s.Feet); f++ {
		foot := &s.Feet[f]
		if foot.Change == ByJump {
			add(rules.ChangeOfFootByJump, fmt.Sprintf("feet[%d].change", f))
		}
		if foot.DirectionReversed {
			add(rules.BothDirections, fmt.Sprintf("feet[%d].directionReversed", f))
		}
		for i := range foot.Positions {
			p := &foot.Positions[i]
			if p.Variation != "" && (i == 0 || foot.Positions[i-1].Variation != p.Variation) {
				add(rules.DifficultVariation, at(f, i))
			}
			for _, shown := range p.Features {
				if feature := featureOf[shown]; feature != "" {
					add(feature, at(f, i))
				}
			}
		}
	}
	if s.DifficultExit {
		add(rules.DifficultExit, "difficultExit")
	}
	return list
}

// featureOf is the feature that a report in a position stands for. A windmill
// stands for none of its own.
var featureOf = map[PositionFeature]rules.SpinFeature{
	HasJump: rules.JumpWithin, HasHardChange: rules.DifficultChangeOfPosition, HasEdgeChange: rules.ChangeOfEdge,
	HasSpeed: rules.IncreaseOfSpeed, HasBlade: rules.DifficultBlade,
}
