package plan

import (
	"cmp"
	"math/big"
	"slices"
)

// Practice is what more success of one ability would bring.
type Practice struct {
	Ability int
	Code    string
	InPlan  bool
	// Gain is what ten points more of success would add to the best net score, by
	// planning again.
	Gain *big.Rat
	// Needed is the success from which the ability is in the best program, in whole
	// hundredths; nil = never.
	Needed  *Chance
	Message string
}

const (
	tenPoints = One / 10
	onePoint  = One / 100
)

// practice finds what practice is worth, the most first.
func (p *planner) practice(best layouts) {
	for _, o := range p.options {
		if p.stop() {
			return
		}
		group := &best[o.group]
		x := Practice{Ability: o.ability, Code: o.code, InPlan: group.has(o), Gain: new(big.Rat)}
		if o.most > 0 {
			x.Gain = p.gain(o, group)
			x.Needed = p.needed(o, group)
		}
		p.out.Practice = append(p.out.Practice, x)
	}
	slices.SortStableFunc(p.out.Practice, func(a, b Practice) int {
		return cmp.Or(b.Gain.Cmp(a.Gain), cmp.Compare(a.from(), b.from()))
	})
	for i := range p.out.Practice {
		p.out.Practice[i].Message = p.practiceWords(&p.out.Practice[i])
	}
}

// from orders by the success needed, never last.
func (x *Practice) from() Chance {
	if x.Needed == nil {
		return 2 * One
	}
	return *x.Needed
}

// has reports whether a layout has an option.
func (c *candidate) has(o *option) bool {
	return slices.ContainsFunc(c.layout, func(x placed) bool { return x.ability == o.ability })
}

// changed is the planner with one option changed.
func (p *planner) changed(o *option, change func(*option)) (*planner, *option) {
	other := *p
	other.options = slices.Clone(p.options)
	i := slices.Index(p.options, o)
	with := *o
	with.altered = true
	other.ownKnown = map[cluster]micro{}
	change(&with)
	p.ready(&with)
	other.options[i] = &with
	return &other, &with
}

// with puts a changed option into a layout.
func (p *planner) with(c candidate, o *option) candidate {
	c.layout = slices.Clone(c.layout)
	for i := range c.layout {
		if c.layout[i].ability == o.ability {
			c.layout[i].option = o
		}
	}
	c.worth = p.joint(c.layout)
	return c
}

// gain is what ten points more of success add to the group's best.
func (p *planner) gain(o *option, best *candidate) *big.Rat {
	if o.success >= o.whole {
		return new(big.Rat)
	}
	better, with := p.changed(o, func(o *option) { o.success = min(o.whole, o.success+tenPoints) })
	s := search{planner: better, most: 1}
	s.run(p.groups[o.group], []candidate{better.with(*best, with)})
	return new(big.Rat).Sub(s.best[0].net, best.net)
}

// needed is the success from which a program with the option is better than any without
// it. The best program with it only becomes better with its success, so the search
// starts from certainty: from the best program there down to where that is no longer
// better, then from what is best just below.
func (p *planner) needed(o *option, best *candidate) *Chance {
	never := Chance(0)
	if o.least > 0 {
		return &never // it is kept in any case
	}
	without := *best
	if best.has(o) {
		other, _ := p.changed(o, func(o *option) { o.most = 0 })
		s := search{planner: other, most: 1}
		s.run(p.groups[o.group], nil)
		if len(s.best) == 0 {
			return &never
		}
		without = s.best[0]
	}
	without.key = "without"
	var needed *Chance
	for at := One; at >= 0; {
		other, _ := p.changed(o, func(o *option) {
			o.least = 1
			o.success = Chance(int64(o.whole) * int64(at) / int64(One))
		})
		s := search{planner: other, most: 1}
		s.run(p.groups[o.group], []candidate{without})
		if len(s.best) == 0 || !s.best[0].has(o) {
			break
		}
		from := p.enters(s.best[0].layout, o, without.net, at)
		needed = &from
		at = from - onePoint
	}
	return needed
}

// enters is the least success, in steps of a hundredth up to one at which that is so, at
// which a layout is worth more than a program without the option.
func (p *planner) enters(layout []placed, o *option, without *big.Rat, up Chance) Chance {
	low, high := -onePoint, up
	for high-low > onePoint {
		middle := low + (high-low)/(2*onePoint)*onePoint
		if p.withSuccess(layout, o.ability, Chance(int64(o.whole)*int64(middle)/int64(One))).Cmp(without) > 0 {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}
