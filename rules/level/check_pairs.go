package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// code reports a code that is not among those of the season.
func (c checker) code(at, got string, allowed []string) {
	switch {
	case got == "":
		c.add(at+".code", rules.ReasonFieldRequired, "is empty: give the code without level; allowed are: %s", rules.AllowList(allowed))
	case !slices.Contains(allowed, got):
		c.add(at+".code", rules.ReasonCodeInvalid, "is %s; allowed are, without level: %s", rules.Quote(got), rules.AllowList(allowed))
	}
}

func (c checker) revolutions(at string, got rules.Revolutions) {
	if got < 0 || got > MaxRevolutions {
		c.add(at, rules.ReasonRevolutionsWrong, "is %s; allowed are %s", got, rules.Allow("0 to %s in steps of 0.5", MaxRevolutions))
	}
}

func (c checker) lift(at string, l *PairLift, r *rules.PairElementRules) {
	c.code(at, l.Code, r.Codes)
	if len(l.Features) > maxPositions || len(l.OneHand) > maxPositions {
		c.add(at+".features", rules.ReasonTooManyItems, "has too many items; allowed are %s", rules.Allow("at most %d", maxPositions))
		return
	}
	for i, f := range l.Features {
		at := fmt.Sprintf("%s.features[%d]", at, i)
		if !word(c, at+".feature", rules.ReasonFieldInvalid, f.Feature, LiftReports...) {
			continue
		}
		rule := r.Features[f.Feature]
		if rule == nil {
			continue
		}
		for _, flag := range []struct {
			key   string
			set   bool
			known bool
		}{
			{"simple", f.Simple, f.Feature == rules.DifficultTakeOff || f.Feature == rules.DifficultLanding || f.Feature == rules.DifficultCarry},
			{"similar", f.Similar, rule.MustDiffer},
			{"interrupted", f.Interrupted, rule.BrokenByCarry},
		} {
			if flag.set && !flag.known {
				c.add(at+"."+flag.key, rules.ReasonFieldInvalid, "has no meaning for %s", f.Feature)
			}
		}
	}
	for i, r := range l.OneHand {
		c.revolutions(fmt.Sprintf("%s.oneHandRevolutions[%d]", at, i), r)
	}
}

func (c checker) twist(at string, l *TwistLift, r *rules.PairElementRules) {
	c.code(at, l.Code, r.Codes)
	if len(l.Features) > maxPositions {
		c.add(at+".features", rules.ReasonTooManyItems, "has too many items; allowed are %s", rules.Allow("at most %d", maxPositions))
		return
	}
	for i, f := range l.Features {
		at := fmt.Sprintf("%s.features[%d]", at, i)
		if word(c, at, rules.ReasonFieldInvalid, f, rules.TwistFeatures...) && slices.Contains(l.Features[:i], f) {
			c.add(at, rules.ReasonFieldInvalid, "%s stands there twice", f)
		}
	}
}

func (c checker) spiral(at string, s *DeathSpiral, r *rules.PairElementRules) {
	c.code(at, s.Code, r.Codes)
	c.revolutions(at+".revolutions", s.Revolutions)
	c.revolutions(at+".lowRevolutions", s.Low)
	if s.Low > s.Revolutions && s.Revolutions >= 0 {
		c.add(at+".lowRevolutions", rules.ReasonRevolutionsWrong, "is %s; allowed are %s", s.Low, rules.Allow("0 to the %s revolutions of the death spiral", s.Revolutions))
	}
}

func (c checker) pairSpin(at string, s *PairSpin) {
	if len(s.Positions) == 0 {
		c.add(at+".positions", rules.ReasonFieldRequired, "is empty: give what both partners show, in order")
	}
	if len(s.Positions) > maxPositions {
		c.add(at+".positions", rules.ReasonTooManyItems, "has %d positions; allowed are %s", len(s.Positions), rules.Allow("1 to %d", maxPositions))
		return
	}
	for i := range s.Positions {
		p, at := &s.Positions[i], fmt.Sprintf("%s.positions[%d]", at, i)
		c.revolutions(at+".revolutions", p.Revolutions)
		if i == 0 && p.ChangeOfFoot {
			c.add(at+".changeOfFoot", rules.ReasonFieldInvalid, "a spin does not begin with a change of foot")
		}
		c.shape(at+".woman", p.Woman.Position, p.Woman.Variation)
		c.shape(at+".man", p.Man.Position, p.Man.Variation)
	}
}
