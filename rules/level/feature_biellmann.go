package level

import (
	"fmt"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

var biellmannAfterLayback = &feature{
	name:  rules.BiellmannAfterLayback,
	title: "Biellmann after the layback", short: "Biellmann", words: "The Biellmann after the layback",
	ease:  15,
	knows: []string{"after_layback", "after_layback_of"},
	kinds: func(*rules.FeatureRule) []rules.SpinKind {
		return []rules.SpinKind{rules.OnePosition, rules.OnePositionChange}
	},
	places: []rules.SpinPlace{rules.InBiellmann},
	stage:  inPosition,
	claim: func(c *collector, rule *rules.FeatureRule, p *part) {
		layback := c.laybackBefore(p)
		if layback == 0 {
			return
		}
		c.used.variations = append(c.used.variations, p.Variation)
		cl := c.claim(rules.BiellmannAfterLayback, p)
		held := c.rules.Revolutions.Position
		if least := afterLayback(rule, c.category, c.segment, &c.warn); layback < least {
			cl.reason = TooFew
			cl.message = fmt.Sprintf("in this segment the Biellmann counts only after %s of layback; there were %s", turns(least), layback)
		} else if p.variation < held {
			cl.reason, cl.message = TooFew, fmt.Sprintf("the Biellmann was held %s and needs %s", turns(p.variation), held)
		}
		c.add(&cl, rule, p, false)
	},
	ways: func(s *search) {
		if !s.now.sh.layback() {
			return
		}
		foot := &s.copy().Feet[0]
		foot.Positions = append(foot.Positions, Position{Position: Upright, Variation: Biellmann, Revolutions: s.call.rules.Revolutions.Position})
		s.try(func() string {
			if least := afterLayback(s.rule, s.call.category, s.call.segment, nil); least > 0 {
				return fmt.Sprintf("End with a Biellmann, in this segment only after %s of layback.", turns(least))
			}
			return "Follow the layback with a Biellmann."
		})
	},
	reach: func(_ *rules.SpinRules, rule *rules.FeatureRule) string {
		for _, segment := range rules.SortedKeys(rule.AfterLayback) {
			return fmt.Sprintf("In a layback spin, follow the layback with a Biellmann; in the %s only after %s of layback.", strings.ReplaceAll(segment, "-", " "), turns(rule.AfterLayback[segment]))
		}
		return "In a layback spin, follow the layback with a Biellmann."
	},
}

// laybackBefore counts the layback before a Biellmann of a layback spin, where
// the season makes that a feature of its own; else 0, and a Biellmann is a
// difficult variation like others.
func (c *collector) laybackBefore(p *part) rules.Revolutions {
	var layback rules.Revolutions
	if !p.first || p.Variation != Biellmann || c.rules.Features[rules.BiellmannAfterLayback] == nil || !c.sh.layback() {
		return 0
	}
	for i := range p.index {
		if before := &c.sh.feet[p.foot][i]; before.is(rules.InLayback, false) {
			layback += before.Revolutions
		}
	}
	return layback
}

// afterLayback is how many revolutions of layback a Biellmann needs before it
// in a segment, for the category.
func afterLayback(rule *rules.FeatureRule, category, segment string, warn *clauses) rules.Revolutions {
	least := rule.AfterLayback[segment]
	of := rule.AfterLaybackOf[category]
	if of == nil {
		return least
	}
	own, ok := of.Segments[segment]
	if !ok {
		return least
	}
	if warn != nil {
		warn.rest(&of.Clause)
	}
	return own
}
