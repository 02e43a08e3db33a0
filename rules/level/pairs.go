package level

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
)

var pairWords = map[rules.PairFeature]string{
	rules.DifficultTakeOff:      "the take-off",
	rules.DifficultLanding:      "the landing",
	rules.ChangeOfHold:          "a change of hold or position",
	rules.WomanVariation:        "a difficult variation of the woman",
	rules.DifficultCarry:        "a carry",
	rules.OneHandHold:           "the one-hand hold",
	rules.FurtherOneHandHold:    "the further turns with one hand",
	rules.ChangeOfLiftDirection: "the change of the direction of rotation",
	rules.SplitPosition:         "the split position",
	rules.CaughtAtWaist:         "the catch at the waist",
	rules.ArmsOverhead:          "the position with the arms over the head",
	rules.ArmsSideways:          "the man's arms sideways",
	rules.SpiralEntrance:        "the difficult entrance",
	rules.SpiralExit:            "the difficult exit",
	rules.LowRevolution:         "a further revolution in the low position",
	rules.ChangesOfPosition:     "changing the basic positions",
	rules.VariationsOfBoth:      "difficult variations of the partners",
	rules.FurtherVariation:      "a further difficult variation",
	rules.BackwardEdgeEntry:     "the entrance from a backward edge",
	rules.PairBothDirections:    "spinning in both directions",
	rules.SixRevolutions:        "holding the revolutions without change",
}

// callLift calls a pair lift.
func (c *countedCall) callLift(l *PairLift) Called {
	var list []shown
	for i, f := range l.Features {
		list = append(list, shown{
			feature: f.Feature, at: fmt.Sprintf("features[%d]", i),
			simple: f.Simple, similar: f.Similar, interrupted: f.Interrupted,
		})
	}
	call, level := c.call(append(list, c.oneHand(l)...))
	call.Code = l.Code + level.String()
	return call
}

// oneHand finds the one-hand hold and the further turns after it. Stretches
// that are too short are left out of the sum.
func (c *countedCall) oneHand(l *PairLift) []shown {
	const at = "oneHandRevolutions"
	rule := c.rules.Features[rules.OneHandHold]
	if len(l.OneHand) == 0 {
		return nil
	}
	if rule == nil {
		return []shown{{feature: rules.OneHandHold, at: at}}
	}
	var total rules.Revolutions
	for _, r := range l.OneHand {
		if r >= rule.MinPart {
			total += r
		}
	}
	hold := shown{feature: rules.OneHandHold, at: at}
	if total < rule.MinRevolutions {
		hold.reason = TooFew
		hold.message = fmt.Sprintf("with one hand %s can be counted, and %s are needed; stretches under %s are left out", turns(total), rule.MinRevolutions, rule.MinPart)
		return []shown{hold}
	}
	further := c.rules.Features[rules.FurtherOneHandHold]
	if further == nil || total-rule.MinRevolutions < further.MinRevolutions {
		return []shown{hold}
	}
	return []shown{hold, {feature: rules.FurtherOneHandHold, at: at}}
}

// callTwist calls a twist lift.
func (c *countedCall) callTwist(l *TwistLift) Called {
	var list []shown
	for i, f := range l.Features {
		list = append(list, shown{feature: f, at: fmt.Sprintf("features[%d]", i)})
	}
	call, level := c.call(list)
	call.Code = l.Code + level.String()
	return call
}

// callSpiral calls a death spiral. Without one revolution in the position it
// has no level; each further whole revolution with both partners low counts.
func (c *countedCall) callSpiral(s *DeathSpiral) Called {
	least := c.rules.Position
	if s.Revolutions < least.Revolutions {
		c.warn.rest(&least.Clause)
		return Called{
			Code: s.Code, NoValue: true,
			Notes: []string{fmt.Sprintf("In the position of a death spiral there was %s; without %s there is no level and no value.", turns(s.Revolutions), least.Revolutions)},
		}
	}
	c.warn.rest(&least.Clause)
	var list []shown
	if s.Entrance {
		list = append(list, shown{feature: rules.SpiralEntrance, at: "difficultEntrance"})
	}
	if s.Exit {
		list = append(list, shown{feature: rules.SpiralExit, at: "difficultExit"})
	}
	for range min(s.Low, s.Revolutions-least.Revolutions) / rules.Revolution {
		list = append(list, shown{feature: rules.LowRevolution, at: "lowRevolutions"})
	}
	call, level := c.call(list)
	call.Code = s.Code + level.String()
	return call
}
