package level

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// choice is one way to take features of a spin for its level.
type choice struct {
	taken  []int // claims taken, in the order skated
	over   []int // claims beyond the limit of a foot
	barred []int // variations beyond the limit of the spin, and eights taken elsewhere
	level  rules.Level
}

// lists is memory for the lists of claims of a verdict.
type lists []int

// of returns an empty list for at most so many claims.
func (l *lists) of(most int) []int {
	const block = 64
	if cap(*l)-len(*l) < most {
		*l = make([]int, 0, max(block, most))
	}
	first := len(*l)
	*l = (*l)[:first+most]
	return (*l)[first : first : first+most]
}

// choose takes the features that give the skater the best level among the
// choices that the rules leave open: which eight revolutions, which features
// of a full foot, and where the season allows it which variations.
func (c *spinCall) choose(v *verdict) choice {
	claims := v.claims
	open, variations, eights := v.lists.of(len(claims)), v.lists.of(len(claims)), v.lists.of(len(claims)+1)
	for i := range claims {
		if claims[i].reason != "" {
			continue
		}
		open = append(open, i)
		switch claims[i].feature {
		case rules.DifficultVariation:
			variations = append(variations, i)
		case rules.EightRevolutions:
			eights = append(eights, i)
		}
	}
	sets := c.variationSets(v, variations)
	if len(sets[0]) == len(variations) && len(eights) <= 1 {
		return c.take(v, open) // all may count, and of fewer the level is never higher
	}
	if len(eights) == 0 {
		eights = append(eights, -1)
	}
	var best choice
	for n, set := range sets {
		for m, eight := range eights {
			taken, barred := v.lists.of(len(open)), v.lists.of(len(open))
			for _, i := range open {
				switch feature := claims[i].feature; {
				case feature == rules.DifficultVariation && !slices.Contains(set, i), feature == rules.EightRevolutions && i != eight:
					barred = append(barred, i)
				default:
					taken = append(taken, i)
				}
			}
			got := c.take(v, taken)
			got.barred = barred
			if n == 0 && m == 0 || got.level > best.level || got.level == best.level && len(got.taken) > len(best.taken) {
				best = got
			}
		}
	}
	return best
}

// variationSets returns the sets of difficult variations that may be counted
// together; the first set is the one in the order skated.
func (c *spinCall) variationSets(v *verdict, all []int) [][]int {
	limit, sh, claims := c.rules.Variations, &v.sh, v.claims
	if limit == nil {
		v.sets = append(v.sets[:0], all)
		return v.sets
	}
	fits := func(set []int, i int) bool {
		if len(set) == 0 {
			return true
		}
		first := &claims[set[0]]
		return len(set) < limit.Max &&
			!(limit.OtherFoot && sh.change && claims[i].foot == first.foot) &&
			!(limit.OtherPosition && sh.combination && claims[i].family == first.family)
	}
	inOrder := v.lists.of(len(all))
	for _, i := range all {
		if fits(inOrder, i) {
			inOrder = append(inOrder, i)
		}
	}
	v.sets = append(v.sets[:0], inOrder)
	if limit.Pick != rules.PickBest || len(inOrder) == len(all) {
		return v.sets
	}
	var grow func(set []int, from int)
	grow = func(set []int, from int) {
		for n := from; n < len(all); n++ {
			if fits(set, all[n]) {
				more := append(slices.Clone(set), all[n])
				v.sets = append(v.sets, more)
				grow(more, n+1)
			}
		}
	}
	grow(nil, 0)
	return v.sets
}

// take applies the limit of features on one foot to the open claims and finds
// the level. On a full foot the first features count, unless the level needs a
// mandatory one that came later.
func (c *spinCall) take(v *verdict, open []int) choice {
	var got choice
	claims := v.claims
	if c.rules.PerFoot == nil || !v.sh.change {
		got.taken = open
	} else {
		got.taken, got.over = v.lists.of(len(open)), v.lists.of(len(open))
		var onFoot [2]int
		for _, i := range open {
			if foot := claims[i].foot; onFoot[foot] < c.rules.PerFoot.Max {
				onFoot[foot]++
				got.taken = append(got.taken, i)
			} else {
				got.over = append(got.over, i)
			}
		}
	}
	m := c.rules.Mandatory
	got.level = c.rules.Levels.Of(len(got.taken))
	if m == nil || got.level < m.Level {
		return got
	}
	wanted := func(i int) bool { return slices.Contains(m.AnyOf, claims[i].feature) }
	if slices.ContainsFunc(got.taken, wanted) {
		return got
	}
	if n := slices.IndexFunc(got.over, wanted); n >= 0 {
		in := got.over[n]
		for k := len(got.taken) - 1; k >= 0; k-- {
			if out := got.taken[k]; claims[out].foot == claims[in].foot {
				got.taken[k], got.over[n] = in, out
				slices.Sort(got.taken)
				return got
			}
		}
	}
	got.level = m.Level - 1
	return got
}
