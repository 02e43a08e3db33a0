package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

var changeOfEdge = &feature{
	name:  rules.ChangeOfEdge,
	title: "Change of edge", short: "edge", words: "A change of edge", word: "edge",
	ease:  5,
	knows: []string{"edges"}, needs: []string{"in", "min_revolutions"},
	report: HasEdgeChange,
	stage:  inPosition,
	claim:  (*collector).edgeChange,
	upright: func(sh *shape, p *part, rule *rules.FeatureRule) bool {
		return sh.heldIn(p, rule.In) >= sh.least && sh.edgesHeld(p, rule)
	},
	ways: func(s *search) {
		s.eachPosition(func(changed *Spin, p *part) bool {
			foot := &changed.Feet[p.foot]
			here := &foot.Positions[p.index]
			more := Position{Position: here.Position, Lean: here.Lean, Variation: here.Variation, Revolutions: s.rule.MinRevolutions, Features: []PositionFeature{HasEdgeChange}}
			more.Edges = s.rule.Edges[basicPlace(here.Position)]
			here.Revolutions = max(here.Revolutions, s.rule.MinRevolutions)
			foot.Positions = slices.Insert(foot.Positions, p.index+1, more)
			return true
		}, func(p *part) string {
			which := ""
			if edges := s.rule.Edges[basicPlace(p.Position.Position)]; edges != "" {
				which = " " + edgeWords[edges]
			}
			return "Change the edge clearly in the " + positionWordsOn(s.spin, p) + which + ", at least " + turns(s.rule.MinRevolutions) + " on each edge."
		})
	},
	reach: func(_ *rules.SpinRules, rule *rules.FeatureRule) string {
		text := inPlaces("Change the edge clearly, at least %s on each edge", rule, turns(rule.MinRevolutions))
		for _, place := range rules.SortedKeys(rule.Edges) {
			text += fmt.Sprintf(" In %s only the change %s counts.", placeNames[rules.SpinPlace(place)], edgeWords[rule.Edges[rules.SpinPlace(place)]])
		}
		return text
	},
}

// edgeWords names the changes of edge of rules.EdgeChanges.
var edgeWords = map[string]string{
	"BI_FO": "from backward inside to forward outside",
	"BO_FI": "from backward outside to forward inside",
	"FI_BO": "from forward inside to backward outside",
	"FO_BI": "from forward outside to backward inside",
}

// edgeChange claims a change of edge: either within this position or from the
// same basic position before it.
func (c *collector) edgeChange(rule *rules.FeatureRule, p *part) {
	cl := c.claim(rules.ChangeOfEdge, p)
	if rule == nil {
		c.add(&cl, rule, p, true)
		return
	}
	least, ignored := rule.MinRevolutions, false
	want := rule.Edges[basicPlace(p.Position.Position)]
	switch {
	case !p.in(rule.In, c.sh.combination):
		cl.reason, cl.message = WrongPosition, "a change of edge counts only in: "+placeWords(rule.In)
		ignored = rule.WrongPlace == rules.WrongPlaceIgnored
	case want != "" && p.Edges != "" && p.Edges != want:
		cl.reason, cl.message = WrongPosition, fmt.Sprintf("in this position only the change of edge %s counts, not %s", edgeWords[want], edgeWords[p.Edges])
		ignored = rule.WrongPlace == rules.WrongPlaceIgnored
	case !c.sh.edgesHeld(p, rule):
		cl.reason, cl.message = TooFew, "each edge needs "+turns(least)
	case want != "" && p.Edges == "":
		c.notes = append(c.notes, fmt.Sprintf("The edges of the change of edge in the %s were not named; it is taken to be one %s, which counts there.", positionWordsOn(c.sh.spin, p), edgeWords[want]))
	}
	if ignored {
		cl.message += "; it is not used up"
	}
	c.add(&cl, rule, p, ignored)
}

// edgesHeld reports whether both edges of a change of edge are held. The change lies
// somewhere within the part that names it; what was skated in the same position
// just before and after belongs to the two edges.
func (sh *shape) edgesHeld(p *part, rule *rules.FeatureRule) bool {
	parts := sh.feet[p.foot]
	goesOn := func(a, b *part) bool {
		return a.family() == b.family() && a.in(rule.In, sh.combination) && b.in(rule.In, sh.combination) && !b.has(HasJump)
	}
	begin, end := p.index, p.index+1
	for begin > 0 && goesOn(&parts[begin-1], &parts[begin]) {
		begin--
	}
	for end < len(parts) && goesOn(&parts[end-1], &parts[end]) {
		end++
	}
	least := rule.MinRevolutions
	return sum(parts[begin:p.index+1]) >= least && sum(parts[p.index:end]) >= least && sum(parts[begin:end]) >= 2*least
}
