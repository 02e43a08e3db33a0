package level

import "github.com/rinktally/rinktally/rules"

const secondChange = "only the first change of foot can be a feature"

var changeOfFootByJump = &feature{
	name:  rules.ChangeOfFootByJump,
	title: "Change of foot by jump", short: "jump change", words: "A change of foot by jump",
	ease:  6,
	kinds: withChange,
	stage: atChange,
	claim: func(c *collector, rule *rules.FeatureRule, first *part) {
		if c.sh.spin.Feet[first.foot].Change != ByJump {
			return
		}
		cl := claim{feature: rules.ChangeOfFootByJump, at: footPath(first.foot, "change"), foot: first.foot}
		if soon := c.rules.Revolutions.Reach; !c.sh.reaches(first.foot, 0, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		} else if first.foot > 1 {
			cl.reason, cl.message = LimitPerSpin, secondChange
		}
		c.add(&cl, rule, first, false)
	},
	reported: func(s *Spin, m moment) string {
		return pathIf(s.Feet[m.foot].Change == ByJump, footPath(m.foot, "change"))
	},
	ways: func(s *search) {
		if len(s.spin.Feet) < 2 || s.spin.Feet[1].Change == ByJump {
			return
		}
		s.copy().Feet[1].Change = ByJump
		s.try(say("Change the foot by a clear jump and land in a basic position."))
	},
	reach: func(r *rules.SpinRules, _ *rules.FeatureRule) string {
		return "Change the foot by a clear jump and reach a basic position within " + turns(r.Revolutions.Reach) + "."
	},
}
