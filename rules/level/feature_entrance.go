package level

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
)

var difficultEntrance = &feature{
	name:  rules.DifficultEntrance,
	title: "Difficult entrance", short: "entrance", words: "The entrance",
	ease:     7,
	knows:    []string{"windmill_needs_blade"},
	needs:    []string{"entries"},
	windmill: true,
	stage:    atEntry,
	claim:    (*collector).entrance,
	reported: func(s *Spin, _ moment) string { return pathIf(s.DifficultEntrance, "difficultEntrance") },
	ways: func(s *search) {
		changed := s.copy()
		switch {
		case !changed.DifficultEntrance && slices.Contains(s.rule.Entries, rules.DifficultEntry):
			changed.DifficultEntrance = true
			s.try(say("Enter the spin in a difficult way."))
		case !changed.BackwardEntry && slices.Contains(s.rule.Entries, rules.BackwardEntry):
			changed.BackwardEntry = true
			s.try(say("Enter the spin backward."))
		}
	},
	reach: func(_ *rules.SpinRules, rule *rules.FeatureRule) string {
		if !slices.Contains(rule.Entries, rules.DifficultEntry) {
			return "Enter the spin backward."
		}
		return "Enter the spin in a difficult way, straight into the position that is meant."
	},
}

// entrance claims the entrance, on the first foot.
func (c *collector) entrance(rule *rules.FeatureRule, first *part) {
	s, soon := c.sh.spin, c.rules.Revolutions.Reach
	if rule == nil {
		if s.DifficultEntrance {
			c.add(&claim{feature: rules.DifficultEntrance, at: "difficultEntrance"}, rule, first, true)
		}
		return
	}
	ontoCamel := (s.Flying == PlainFlying || s.Flying == StepOver) && c.sh.firstBasic() == Camel
	flyingCamel := ontoCamel && s.Flying == PlainFlying
	path := "difficultEntrance"
	switch {
	case s.DifficultEntrance:
	case s.BackwardEntry:
		path = "backwardEntry"
	case flyingCamel && slices.Contains(rule.Entries, rules.FlyingCamelEntry):
		path = "flying"
	}
	cl := claim{feature: rules.DifficultEntrance, at: path}
	switch {
	case flyingCamel && slices.Contains(rule.Entries, rules.FlyingCamelEntry):
		if !c.sh.reaches(0, 0, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		}
		c.add(&cl, rule, first, false)
	case !s.DifficultEntrance && !s.BackwardEntry:
		return
	case !(s.DifficultEntrance && slices.Contains(rule.Entries, rules.DifficultEntry)) &&
		!(s.BackwardEntry && slices.Contains(rule.Entries, rules.BackwardEntry)):
		cl.reason, cl.message = NotThisSeason, "a plain backward entrance is not a feature in this season; it is not used up"
		if s.DifficultEntrance {
			cl.message = "in this season only a backward entrance is a feature: report one as a backward entrance; it is not used up"
		}
		c.add(&cl, rule, first, true)
	case s.Flying == DifficultFlying:
		cl.reason, cl.message = SharedFeature, "the entrance is both difficult and flying: only the flying one can count"
		c.add(&cl, rule, first, true)
	case ontoCamel:
		cl.reason, cl.message = WrongPosition, "an entrance into an ordinary flying camel counts for nothing; it is not used up"
		c.add(&cl, rule, first, true)
	case rule.WindmillNeedsBlade && first.bareWindmill():
		c.bareWindmill(&cl, rule, first, "an entrance")
	default:
		if !c.sh.combination && !c.sh.reaches(0, 0, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		}
		c.add(&cl, rule, first, false)
	}
}
