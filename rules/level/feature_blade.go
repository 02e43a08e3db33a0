package level

import "github.com/rinktally/rinktally/rules"

var difficultBlade = &feature{
	name:  rules.DifficultBlade,
	title: "Difficult use of the blade", short: "blade", words: "A difficult use of the blade", word: "blade",
	ease:    11,
	needs:   []string{"in"},
	report:  HasBlade,
	stage:   inPosition,
	claim:   func(c *collector, rule *rules.FeatureRule, p *part) { c.heldReport(rules.DifficultBlade, rule, p) },
	upright: heldUpright,
	ways:    func(s *search) { s.reportInPosition(HasBlade, "Use the blade in a difficult way in the ") },
	reach: func(_ *rules.SpinRules, rule *rules.FeatureRule) string {
		return inPlaces("Spin on a difficult part of the blade, clearly to be seen", rule)
	},
}
