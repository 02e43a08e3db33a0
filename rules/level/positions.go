package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// position claims what was done in one position.
func (c *collector) position(p *part) {
	if p.has(HasWindmill) && !c.windmillHasRole(p) {
		c.notes = append(c.notes, "A windmill counts only as the entrance, the exit, a difficult change of position or a difficult non-basic position.")
	}
	if p.has(HasJump) {
		cl := c.claim(rules.JumpWithin, p)
		if soon := c.rules.Revolutions.Reach; !c.sh.reaches(p.foot, p.index, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		}
		c.add(&cl, p, false)
	}
	if p.has(HasHardChange) {
		c.hardChange(p)
	}
	if p.first && p.Variation != "" {
		c.variation(p)
	}
	if p.has(HasEdgeChange) {
		c.edgeChange(p)
	}
	for _, f := range []struct {
		shown   PositionFeature
		feature rules.SpinFeature
	}{{HasSpeed, rules.IncreaseOfSpeed}, {HasBlade, rules.DifficultBlade}} {
		if !p.has(f.shown) {
			continue
		}
		cl, ignored := c.claim(f.feature, p), false
		if rule, least := c.rules.Features[f.feature], c.rules.Revolutions.Position; rule != nil {
			if !p.in(rule.In, c.sh.combination) {
				cl.reason, cl.message = WrongPosition, fmt.Sprintf("%s counts only in: %s", inner(f.feature), placeWords(rule.In))
				ignored = rule.WrongPlace == rules.WrongPlaceIgnored
			} else if held := c.sh.heldIn(p, rule.In); held < least {
				cl.reason, cl.message = TooFew, fmt.Sprintf("the position was held %s and needs %s for a feature in it", turns(held), turns(least))
			}
		}
		c.add(&cl, p, ignored)
	}
	if p.last {
		c.eight(p)
	}
}

func (c *collector) claim(f rules.SpinFeature, p *part) claim {
	return claim{feature: f, at: p.path(), foot: p.foot % 2, family: p.family(), inUsed: p.used}
}

func (c *collector) windmillHasRole(p *part) bool {
	spin := c.sh.spin
	return p.has(HasHardChange) || p.Variation == NonBasicVaried ||
		spin.DifficultEntrance && p.foot == 0 && p.index == 0 ||
		spin.DifficultExit && p == c.lastPart()
}

// hardChange claims a difficult change of position: from one basic position to
// another on the same foot, both held.
func (c *collector) hardChange(p *part) {
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
	c.add(&cl, p, false)
}

// variation claims a difficult variation, or the Biellmann that follows a
// layback in a layback spin. A category counts once in a program; its first
// attempt uses it up.
func (c *collector) variation(p *part) {
	used := c.used.variations[p.Variation]
	c.used.variations[p.Variation] = true
	if p.Variation == Biellmann && c.biellmannAfterLayback(p) {
		return
	}
	cl := c.claim(rules.DifficultVariation, p)
	rule := c.rules.Features[rules.DifficultVariation]
	if rule == nil {
		c.add(&cl, p, true)
		return
	}
	cl.rule = &rule.Clause
	c.warn.rest(&rule.Clause)
	windmill := p.has(HasWindmill) && p.Variation == NonBasicVaried
	held := c.rules.Revolutions.Position
	switch {
	case used:
		cl.reason, cl.message = AlreadyUsed, variationWords[p.Variation]+" counts once in a program, and its first attempt uses it up; it was tried before"
	case !p.in(rule.In, c.sh.combination):
		cl.reason, cl.message = WrongPosition, "a difficult non-basic position counts only in a spin combination"
	case windmill && c.used.windmill:
		cl.reason, cl.message = AlreadyUsed, "a windmill counts once in a program and was tried before"
	case p.variation < held:
		cl.reason, cl.message = TooFew, fmt.Sprintf("%s was held %s and needs %s; the try has used it up", variationWords[p.Variation], turns(p.variation), held)
	}
	c.used.windmill = c.used.windmill || windmill
	c.claims = append(c.claims, cl)
}

// biellmannAfterLayback claims the Biellmann of a layback spin, or tells that
// this one is an ordinary variation.
func (c *collector) biellmannAfterLayback(p *part) bool {
	rule := c.rules.Features[rules.BiellmannAfterLayback]
	if rule == nil || !c.sh.layback() {
		return false
	}
	var layback rules.Revolutions
	for i := range p.index {
		if before := &c.sh.feet[p.foot][i]; before.is(rules.InLayback, false) {
			layback += before.Revolutions
		}
	}
	if layback == 0 {
		return false
	}
	cl := c.claim(rules.BiellmannAfterLayback, p)
	held := c.rules.Revolutions.Position
	if least := afterLayback(rule, c.category, c.segment, c.warn); layback < least {
		cl.reason = TooFew
		cl.message = fmt.Sprintf("in this segment the Biellmann counts only after %s of layback; there were %s", turns(least), layback)
	} else if p.variation < held {
		cl.reason, cl.message = TooFew, fmt.Sprintf("the Biellmann was held %s and needs %s", turns(p.variation), held)
	}
	c.add(&cl, p, false)
	return true
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

// edgeChange claims a change of edge: either within this position or from the
// same basic position before it.
func (c *collector) edgeChange(p *part) {
	cl := c.claim(rules.ChangeOfEdge, p)
	rule := c.rules.Features[rules.ChangeOfEdge]
	if rule == nil {
		c.add(&cl, p, true)
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
	c.add(&cl, p, ignored)
}

// findSideChange gives the index of the position into which the layback changes
// its side on a foot, or -1, and whether both sides are long enough. If several
// changes were made, the first one that is long enough is taken.
func (c *collector) findSideChange(parts []part) (index int, long bool) {
	rule := c.rules.Features[rules.LaybackSideChange]
	if rule == nil || rule.OnePositionOnly && !c.sh.layback() {
		return -1, false
	}
	index = -1
	for i := 1; i < len(parts); i++ {
		a, b := &parts[i-1], &parts[i]
		if !a.is(rules.InLayback, false) || !b.is(rules.InLayback, false) || a.lean() == b.lean() {
			continue
		}
		if leaning(parts, i-1, -1) >= rule.MinRevolutions && leaning(parts, i, 1) >= rule.MinRevolutions {
			return i, true
		}
		if index < 0 {
			index = i
		}
	}
	return index, false
}

func (c *collector) sideChange(p *part, long bool) {
	cl := c.claim(rules.LaybackSideChange, p)
	cl.inUsed = cl.inUsed || c.sh.feet[p.foot][p.index-1].used
	if !long {
		least := c.rules.Features[rules.LaybackSideChange].MinRevolutions
		cl.reason, cl.message = TooFew, "each side of the layback needs "+turns(least)
	}
	c.add(&cl, p, false)
}

// leaning adds up the neighbouring layback positions with the same lean.
func leaning(parts []part, i, step int) rules.Revolutions {
	var total rules.Revolutions
	for lean := parts[i].lean(); i >= 0 && i < len(parts); i += step {
		if !parts[i].is(rules.InLayback, false) || parts[i].lean() != lean {
			break
		}
		total += parts[i].Revolutions
	}
	return total
}

// nearlyEight is how many revolutions short of the needed ones a position is
// still named among the tries. It decides no level.
const nearlyEight = 2 * rules.Revolution

// eight finds eight revolutions without any change. Every place is claimed;
// which one counts is chosen later.
func (c *collector) eight(p *part) {
	rule := c.rules.Features[rules.EightRevolutions]
	if rule == nil || p.unchanged < rule.MinRevolutions-nearlyEight {
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
	case rule.Limit != rules.NoLimit && c.used.features[cl.feature] >= max(1, rule.Times):
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
