package level

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// markUsed finds the positions whose difficult variation was tried before, in
// an earlier spin or earlier in this one.
func (sh *shape) markUsed(used *usage) {
	const most = 8 // that a spin usually has
	tried := make([]Variation, 0, most)
	again := false
	for i := range sh.parts {
		p := &sh.parts[i]
		if p.Variation == "" {
			continue
		}
		if p.first {
			again = slices.Contains(used.variations, p.Variation) || slices.Contains(tried, p.Variation)
			tried = append(tried, p.Variation)
		}
		p.used = again
	}
}

// markWindUp finds the final upright that ends a spin in one other position: it
// is no position, however long, unless a feature is done in it. Non-basic
// positions between do not matter, except a difficult one that is held.
func (sh *shape) markWindUp(r *spinRules, used *usage) {
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

// windsUp reports whether a position can belong to a final wind-up: an upright,
// or something without a name on the way into or out of it.
func (sh *shape) windsUp(r *spinRules, used *usage, p *part) bool {
	switch {
	case !p.basic():
		return p.Variation == ""
	case p.Position.Position == Layback && p.Variation != Biellmann, p.family() != Upright:
		return false
	}
	return p.position < sh.least || !sh.featureDone(r, used, p)
}

// featureDone reports whether a feature is done in an upright: in the right place,
// long enough, and not used up before.
func (sh *shape) featureDone(r *spinRules, used *usage, p *part) bool {
	if p.Variation != "" && p.variation >= sh.least && !p.used {
		return true
	}
	for _, f := range uprights {
		if f.report != "" && !p.has(f.report) {
			continue
		}
		rule := r.features[f.index]
		switch {
		case rule == nil || rule.Limit != rules.NoLimit && often(used.features, f.name) >= max(1, rule.Times):
		case p.used && r.UsedVariation != nil && slices.Contains(r.UsedVariation.Blocks, f.name):
		case f.upright(sh, p, rule):
			return true
		}
	}
	return false
}
