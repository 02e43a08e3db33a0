package level

import "github.com/rinktally/rinktally/rules"

var increaseOfSpeed = &feature{
	name:  rules.IncreaseOfSpeed,
	title: "Increase of speed", short: "speed", words: "An increase of speed", word: "speed",
	ease:    2,
	needs:   []string{"in"},
	report:  HasSpeed,
	stage:   inPosition,
	claim:   func(c *collector, rule *rules.FeatureRule, p *part) { c.heldReport(rules.IncreaseOfSpeed, rule, p) },
	upright: heldUpright,
	ways:    func(s *search) { s.reportInPosition(HasSpeed, "Increase the speed clearly in the ") },
	reach: func(_ *rules.SpinRules, rule *rules.FeatureRule) string {
		return inPlaces("Increase the speed clearly", rule)
	},
}
