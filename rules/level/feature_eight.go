package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

var eightRevolutions = &feature{
	name:  rules.EightRevolutions,
	title: "Revolutions without change", short: "held", words: "Holding eight revolutions without change",
	ease:  4,
	knows: []string{"different_positions"}, needs: []string{"in", "min_revolutions"},
	stage: inPosition,
	claim: (*collector).eight,
	upright: func(sh *shape, p *part, rule *rules.FeatureRule) bool {
		return p.unchanged >= rule.MinRevolutions && sh.heldIn(p, rule.In) >= sh.least
	},
	ways: func(s *search) {
		s.eachPosition(func(changed *Spin, p *part) bool {
			here := &changed.Feet[p.foot].Positions[p.index]
			if p.unchanged >= s.rule.MinRevolutions || here.has(HasEdgeChange) {
				return false
			}
			here.Revolutions += s.rule.MinRevolutions - p.unchanged
			return true
		}, func(p *part) string {
			return "Hold the " + positionWordsOn(s.spin, p) + " for " + turns(s.rule.MinRevolutions) + " without any change."
		})
	},
	reach: func(_ *rules.SpinRules, rule *rules.FeatureRule) string {
		return inPlaces("Hold %s in one position, variation and edge without any change", rule, turns(rule.MinRevolutions))
	},
}

// public is the name of a feature in answers. Where a season asks for six
// revolutions without change, as in pair skating, the name says so.
func public(r *rules.SpinRules, f rules.SpinFeature) string {
	if f == rules.EightRevolutions && r.Features[f] != nil && r.Features[f].MinRevolutions == 6*rules.Revolution {
		return string(rules.SixRevolutions)
	}
	return string(f)
}

// nearlyEight is how many revolutions short of the needed ones a position is
// still named among the tries. It decides no level.
const nearlyEight = 2 * rules.Revolution

// eight finds eight revolutions without any change. Every place is claimed;
// which one counts is chosen later.
func (c *collector) eight(rule *rules.FeatureRule, p *part) {
	if !p.last || rule == nil || p.unchanged < rule.MinRevolutions-nearlyEight {
		return
	}
	cl := c.claim(rules.EightRevolutions, p)
	blocked := c.rules.UsedVariation != nil && cl.inUsed
	switch {
	case !p.in(rule.In, c.sh.combination):
		if p.unchanged < rule.MinRevolutions || p.windUp {
			return
		}
		cl.reason, cl.message = WrongPosition, turns(rule.MinRevolutions)+" count only in: "+placeWords(rule.In)
	case p.unchanged < rule.MinRevolutions:
		cl.reason = TooFew
		cl.message = fmt.Sprintf("%s without any change; %s are needed. The try does not use the feature up", turns(p.unchanged), rule.MinRevolutions)
	case rule.Limit != rules.NoLimit && often(c.used.features, cl.feature) >= max(1, rule.Times):
		cl.reason, cl.message = AlreadyUsed, usedUpWords(cl.feature, rule)
	case rule.DifferentPlaces && slices.Contains(c.used.eights, p.family()):
		cl.reason, cl.message = AlreadyUsed, count(rule.MinRevolutions)+" revolutions count again only in another position"
	case blocked && slices.Contains(c.rules.UsedVariation.Blocks, cl.feature):
		c.warn.rest(&c.rules.UsedVariation.Clause)
		cl.reason, cl.message = UsedVariation, "the variation was used before in this program, and in a used variation this feature does not count"
	}
	cl.rule = &rule.Clause
	if cl.reason == UsedVariation {
		cl.rule = &c.rules.UsedVariation.Clause
	}
	if cl.reason != TooFew && cl.reason != WrongPosition {
		c.warn.rest(&rule.Clause)
	}
	c.claims = append(c.claims, cl)
}
