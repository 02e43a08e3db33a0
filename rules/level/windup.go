package level

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// markUsed finds the positions whose difficult variation was tried before, in
// an earlier spin or earlier in this one.
func (sh *shape) markUsed(used *usage) {
	tried := map[Variation]bool{}
	again := false
	sh.each(func(p *part) {
		if p.first {
			again = used.variations[p.Variation] || tried[p.Variation]
			tried[p.Variation] = p.Variation != ""
		}
		p.used = again && p.Variation != ""
	})
}

// markWindUp finds the final upright that ends a spin in one other position: it
// is no position, however long, unless a feature is done in it. Non-basic
// positions between do not matter, except a difficult one that is held.
func (sh *shape) markWindUp(r *rules.SpinRules, used *usage) {
	end := sh.feet[len(sh.feet)-1]
	from := len(end)
	for from > 0 && sh.windsUp(r, used, &end[from-1]) {
		from--
	}
	var before PositionKind
	for f := range sh.feet {
		for i := range sh.feet[f] {
			p := &sh.feet[f][i]
			if f == len(sh.feet)-1 && i >= from {
				break
			}
			switch kind := p.family(); {
			case !p.basic() && p.Variation == NonBasicVaried && p.variation >= sh.least:
				return
			case !p.basic():
			case kind == Upright || before != "" && kind != before:
				return
			default:
				before = kind
			}
		}
	}
	if before == "" {
		return
	}
	for i := from; i < len(end); i++ {
		if p := &end[i]; p.basic() {
			p.windUp = true
			sh.vain = sh.vain || p.Variation != "" || len(p.Features) > 0
		}
	}
}

// windsUp tells whether a position can belong to a final wind-up: an upright,
// or something without a name on the way into or out of it.
func (sh *shape) windsUp(r *rules.SpinRules, used *usage, p *part) bool {
	switch {
	case !p.basic():
		return p.Variation == ""
	case p.Position.Position == Layback && p.Variation != Biellmann, p.family() != Upright:
		return false
	}
	return p.position < sh.least || !sh.featureDone(r, used, p)
}

// featureDone tells whether a feature is done in an upright: in the right place,
// long enough, and not used up before.
func (sh *shape) featureDone(r *rules.SpinRules, used *usage, p *part) bool {
	if p.Variation != "" && p.variation >= sh.least && !p.used {
		return true
	}
	open := func(f rules.SpinFeature) *rules.FeatureRule {
		rule := r.Features[f]
		if rule == nil || rule.Limit != rules.NoLimit && used.features[f] >= max(1, rule.Times) {
			return nil
		}
		if p.used && r.UsedVariation != nil && slices.Contains(r.UsedVariation.Blocks, f) {
			return nil
		}
		return rule
	}
	in := func(f rules.SpinFeature) *rules.FeatureRule { // in the right place and long enough
		if rule := open(f); rule != nil && sh.heldIn(p, rule.In) >= sh.least {
			return rule
		}
		return nil
	}
	if p.has(HasSpeed) && in(rules.IncreaseOfSpeed) != nil || p.has(HasBlade) && in(rules.DifficultBlade) != nil {
		return true
	}
	if rule := in(rules.ChangeOfEdge); rule != nil && p.has(HasEdgeChange) && sh.edgesHeld(p, rule) {
		return true
	}
	if rule := in(rules.EightRevolutions); rule != nil && p.unchanged >= rule.MinRevolutions {
		return true
	}
	if p.has(HasHardChange) && open(rules.DifficultChangeOfPosition) != nil && !p.has(HasJump) && p.index > 0 {
		before := &sh.feet[p.foot][p.index-1]
		if before.basic() && before.family() != p.family() && before.position >= sh.least {
			return true
		}
	}
	return p.has(HasJump) && open(rules.JumpWithin) != nil
}

// edgesHeld tells whether both edges of a change of edge are held. The change lies
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
