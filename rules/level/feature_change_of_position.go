package level

import "github.com/rinktally/rinktally/rules"

var difficultChangeOfPosition = &feature{
	name:  rules.DifficultChangeOfPosition,
	title: "Difficult change of position", short: "hard change", words: "A difficult change of position", word: "change",
	ease:     9,
	kinds:    combinations,
	windmill: true,
	report:   HasHardChange,
	stage:    inPosition,
	claim:    (*collector).hardChange,
	upright: func(sh *shape, p *part, _ *rules.FeatureRule) bool {
		if p.has(HasJump) || p.index == 0 {
			return false
		}
		before := &sh.feet[p.foot][p.index-1]
		return before.basic() && before.family() != p.family() && before.position >= sh.least
	},
	ways: func(s *search) {
		s.eachPosition(func(changed *Spin, p *part) bool {
			here := &changed.Feet[p.foot].Positions[p.index]
			if p.index == 0 || here.has(HasHardChange) {
				return false
			}
			here.Features = append(here.Features, HasHardChange)
			here.Revolutions = max(here.Revolutions, s.call.rules.Revolutions.Position)
			return true
		}, func(p *part) string {
			return "Make the change into the " + positionWordsOn(s.spin, p) + " a difficult one."
		})
	},
	reach: func(r *rules.SpinRules, _ *rules.FeatureRule) string {
		return "Change in a difficult way from one basic position straight into another on the same foot, both held " + turns(r.Revolutions.Position) + "."
	},
}

// hardChange claims a difficult change of position: from one basic position to
// another on the same foot, both held.
func (c *collector) hardChange(rule *rules.FeatureRule, p *part) {
	cl := c.claim(rules.DifficultChangeOfPosition, p)
	held := c.rules.Revolutions.Position
	var before *part
	if p.index > 0 {
		before = &c.sh.feet[p.foot][p.index-1]
	}
	switch {
	case before == nil || !before.basic() || !p.basic() || before.family() == p.family() || p.has(HasJump):
		cl.reason, cl.message = WrongPosition, "the change must lead from one basic position straight into another on the same foot, without a jump"
	case before.position < held || p.position < held:
		cl.reason, cl.message = TooFew, "the positions before and after the change need "+turns(held)+" each"
	}
	c.add(&cl, rule, p, false)
}
