package level

import "github.com/rinktally/rinktally/rules"

var difficultFlyingEntry = &feature{
	name:  rules.DifficultFlyingEntry,
	title: "Difficult flying entry", short: "hard fly", words: "A difficult flying entry",
	ease:  13,
	stage: atEntry,
	claim: func(c *collector, rule *rules.FeatureRule, first *part) {
		if c.sh.spin.Flying != DifficultFlying {
			return
		}
		cl := claim{feature: rules.DifficultFlyingEntry, at: "flying"}
		if soon := c.rules.Revolutions.Reach; !c.sh.reaches(0, 0, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		}
		c.add(&cl, rule, first, false)
	},
	reported: func(s *Spin, _ moment) string { return pathIf(s.Flying == DifficultFlying, "flying") },
	ways: func(s *search) {
		if s.spin.Flying != PlainFlying {
			return
		}
		s.copy().Flying = DifficultFlying
		s.try(say("Make the flying entry a difficult variation."))
	},
	reach: func(r *rules.SpinRules, _ *rules.FeatureRule) string {
		return "Enter by a clear jump in a really difficult air position, and reach a basic position within " + turns(r.Revolutions.Reach) + "."
	},
}
