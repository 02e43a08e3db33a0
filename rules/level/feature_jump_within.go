package level

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
)

var jumpWithin = &feature{
	name:  rules.JumpWithin,
	title: "Jump within the spin", short: "jump", words: "A jump within the spin", word: "jump-within",
	ease:   12,
	report: HasJump,
	stage:  inPosition,
	claim: func(c *collector, rule *rules.FeatureRule, p *part) {
		cl := c.claim(rules.JumpWithin, p)
		if soon := c.rules.Revolutions.Reach; !c.sh.reaches(p.foot, p.index, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		}
		c.add(&cl, rule, p, false)
	},
	upright: func(*shape, *part, *rules.FeatureRule) bool { return true },
	ways: func(s *search) {
		s.eachPosition(func(changed *Spin, p *part) bool {
			if !p.basic() {
				return false
			}
			foot := &changed.Feet[p.foot]
			foot.Positions = slices.Insert(foot.Positions, p.index+1, Position{
				Position: p.Position.Position, Lean: p.Lean, Revolutions: s.call.rules.Revolutions.Position, Features: []PositionFeature{HasJump},
			})
			return true
		}, func(p *part) string {
			return "Jump within the spin from the " + positionWordsOn(s.spin, p) + " and land on the same foot in a basic position."
		})
	},
	reach: func(r *rules.SpinRules, _ *rules.FeatureRule) string {
		return "Jump within the spin, land on the same foot and reach a basic position within " + turns(r.Revolutions.Reach) + "."
	},
}
