package level

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
)

var difficultExit = &feature{
	name:  rules.DifficultExit,
	title: "Difficult exit", short: "exit", words: "A difficult exit",
	ease:     8,
	knows:    []string{"windmill_needs_blade"},
	windmill: true,
	stage:    atEnd,
	claim:    (*collector).exit,
	reported: func(s *Spin, _ moment) string { return pathIf(s.DifficultExit, "difficultExit") },
	ways: func(s *search) {
		if s.spin.DifficultExit {
			return
		}
		changed := s.copy()
		changed.DifficultExit = true
		how := "Leave the spin by a difficult exit."
		last := len(s.now.sh.feet) - 1
		if first := slices.IndexFunc(s.now.sh.feet[last], func(p part) bool { return p.windUp }); first > 0 {
			changed.Feet[last].Positions = changed.Feet[last].Positions[:first]
			how = "Leave the spin by a difficult exit, without rising into an upright first."
		}
		s.try(say(how))
	},
	reach: func(*rules.SpinRules, *rules.FeatureRule) string {
		return "Leave the spin by a difficult exit, without rising into a plain upright first."
	},
}

// exit claims the difficult exit. A plain wind-up before it takes it away, and a
// spin in one position is left from a basic position.
func (c *collector) exit(rule *rules.FeatureRule, last *part) {
	if !c.sh.spin.DifficultExit {
		return
	}
	cl := claim{feature: rules.DifficultExit, at: "difficultExit", foot: last.foot}
	switch {
	case rule != nil && rule.WindmillNeedsBlade && last.bareWindmill():
		c.bareWindmill(&cl, rule, last, "an exit")
		return
	case last.windUp:
		cl.reason, cl.message = WrongPosition, "the skater rose into a plain wind-up first, and an exit after it does not count"
	case !c.sh.combination && !last.basic():
		cl.reason, cl.message = WrongPosition, "in a spin in one position the exit must start from a basic position"
	}
	c.add(&cl, rule, last, false)
}
