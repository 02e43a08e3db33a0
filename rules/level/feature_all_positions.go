package level

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
)

var allPositionsOnSecondFoot = &feature{
	name:  rules.AllPositionsOnSecondFoot,
	title: "All positions on the second foot", short: "3 positions", words: "Showing all three basic positions on the second foot",
	ease:  10,
	knows: []string{"broken_by_jump"}, needs: []string{"feet"},
	kinds: func(rule *rules.FeatureRule) []rules.SpinKind {
		if rule.Feet == rules.AnyFoot {
			return combinations(rule)
		}
		return []rules.SpinKind{rules.CombinationChange}
	},
	stage: atEnd,
	claim: (*collector).allPositions,
	ways: func(s *search) {
		if !s.now.sh.combination || !s.now.sh.change {
			return
		}
		changed, held := s.copy(), s.call.rules.Revolutions.Position
		foot := &changed.Feet[1]
		for _, k := range []PositionKind{Camel, Sit, Upright} {
			if !slices.ContainsFunc(s.now.sh.feet[1], func(p part) bool { return p.family() == k && p.position >= held }) {
				foot.Positions = append(foot.Positions, Position{Position: k, Revolutions: held})
			}
		}
		s.try(say("Show all three basic positions on the second foot."))
	},
	reach: func(r *rules.SpinRules, rule *rules.FeatureRule) string {
		where := "on the second foot"
		if rule.Feet == rules.AnyFoot {
			where = "in the spin"
		}
		return "Show all three basic positions " + where + ", each held " + turns(r.Revolutions.Position) + "."
	},
}

// allPositions finds all three basic positions on the second foot.
func (c *collector) allPositions(rule *rules.FeatureRule, last *part) {
	if rule == nil || !c.sh.combination {
		return
	}
	cl := claim{feature: rules.AllPositionsOnSecondFoot, foot: 1, at: "feet[1]"}
	if rule.Feet == rules.AnyFoot {
		if len(c.sh.held) < 3 {
			return
		}
		cl.at, cl.foot = "", len(c.sh.feet)-1
	} else if len(c.sh.feet) < 2 || !c.threeOn(c.sh.feet[1], rule) {
		return
	}
	c.add(&cl, rule, last, false)
}

func (c *collector) threeOn(foot []part, rule *rules.FeatureRule) bool {
	held := make([]PositionKind, 0, 3)
	for i := range foot {
		p := &foot[i]
		if rule.BrokenByJump && p.has(HasJump) {
			c.warn.rest(&rule.Clause)
			held = held[:0]
		}
		if p.basic() && p.position >= c.rules.Revolutions.Position {
			if held = appendOnce(held, p.family()); len(held) == 3 {
				return true
			}
		}
	}
	return false
}
