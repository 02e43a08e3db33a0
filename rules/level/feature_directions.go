package level

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
)

var bothDirections = &feature{
	name:  rules.BothDirections,
	title: "Both directions", short: "both ways", words: "Spinning in both directions",
	ease:  14,
	knows: []string{"mixed"}, needs: []string{"in", "min_revolutions"},
	kinds: withChange,
	stage: atChange,
	claim: (*collector).directions,
	reported: func(s *Spin, m moment) string {
		return pathIf(s.Feet[m.foot].DirectionReversed, footPath(m.foot, "directionReversed"))
	},
	ways: func(s *search) {
		if len(s.spin.Feet) < 2 || s.spin.Feet[1].DirectionReversed {
			return
		}
		s.copy().Feet[1].DirectionReversed = true
		s.try(func() string {
			return fmt.Sprintf("Spin in both directions, one right after the other, at least %s each way.", turns(s.rule.MinRevolutions))
		})
	},
	reach: func(_ *rules.SpinRules, rule *rules.FeatureRule) string {
		return inPlaces("Spin in both directions, one right after the other, at least %s each way", rule, turns(rule.MinRevolutions))
	},
}

// directions claims both directions where the skater comes to a foot that turns
// the other way.
func (c *collector) directions(rule *rules.FeatureRule, first *part) {
	f := first.foot
	if !c.sh.spin.Feet[f].DirectionReversed {
		return
	}
	before := &c.sh.feet[f-1][len(c.sh.feet[f-1])-1]
	cl := claim{feature: rules.BothDirections, at: footPath(f, "directionReversed"), foot: f}
	// A variation that is kept through the reversal is used by it once.
	cl.inUsed = before.used || first.used && first.Variation != before.Variation
	if rule != nil {
		held := c.rules.Revolutions.Position
		switch {
		case f > 1:
			cl.reason, cl.message = LimitPerSpin, secondChange
		case !before.in(rule.In, c.sh.combination) || !first.in(rule.In, c.sh.combination):
			cl.reason, cl.message = WrongPosition, "both directions count only in these positions: "+placeWords(rule.In)
		case !rule.Mixed && before.family() != first.family():
			cl.reason, cl.message = WrongPosition, "the position must be the same in both directions"
		case sum(c.sh.feet[f-1]) < rule.MinRevolutions || sum(c.sh.feet[f]) < rule.MinRevolutions:
			cl.reason, cl.message = TooFew, "each direction needs "+turns(rule.MinRevolutions)
		case c.sh.heldIn(before, rule.In) < held || c.sh.heldIn(first, rule.In) < held:
			cl.reason, cl.message = TooFew, "the positions before and after the reversal need "+turns(held)+" each"
		}
	}
	c.add(&cl, rule, first, false)
}
