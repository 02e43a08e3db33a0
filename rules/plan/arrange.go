package plan

import (
	"cmp"
	"slices"

	"github.com/rinktally/rinktally/rules/program"
)

// arrange chooses the halves of a complete choice. In a short program the jumps stand
// in the order chosen.
func (s *search) arrange(n *node) {
	a := arranging{search: s, elements: s.path[:n.count], ordered: s.content.Layout().ShortJumps != nil}
	a.modes = make([]mode, len(a.elements))
	a.best = make([]micro, (len(a.elements)+1)*(a.late+1))
	for i := len(a.elements) - 1; i >= 0; i-- {
		plain, gain := s.split(a.elements[i])
		for left := range a.late + 1 {
			best := plain + *a.rest(i+1, left)
			if left > 0 {
				best = max(best, plain+gain+*a.rest(i+1, left-1))
			}
			*a.rest(i, left) = best
		}
	}
	a.falls, a.excess = n.falls, n.excess
	if s.steady {
		a.clusters = clusters(a.elements)
	}
	a.assign(0, 0, 0, 0)
	// The most promising first: what it turns out to be worth leaves out the others.
	slices.SortFunc(a.found, func(x, y arrangement) int { return cmp.Compare(y.value, x.value) })
	key := ""
	for i := range a.found {
		x := &a.found[i]
		if s.hopeless(x.value, n.falls) || s.halted(x.value) {
			break
		}
		layout := a.layout(x.modes)
		if key == "" {
			key = s.key(layout)
		}
		if s.kept(key, x.value) {
			break
		}
		s.credit(layout, key, x.cost, n.falls)
	}
}

// arranging is the choice of the halves.
type arranging struct {
	*search
	elements []*option
	ordered  bool // the elements stand in skating order
	modes    []mode
	best     []micro // what the elements from each on add at most, by late places left
	falls    micro
	excess   micro
	found    []arrangement
	clusters []uint64 // sets of elements; of a steady program only
	part     []placed // memory of one cluster
}

// arrangement is one choice of halves, and what it is worth at most.
type arrangement struct {
	modes []mode
	value micro
	cost  micro // of its falls at least
}

// rest is what the elements from i on add at most with so many late places left.
func (a *arranging) rest(i, left int) *micro { return &a.best[i*(a.late+1)+left] }

// assign chooses the half of element i and of all behind it. later jump elements stand
// in the second half already, late elements take its limited places.
func (a *arranging) assign(i, later, late int, value micro) {
	if most := value + *a.rest(i, max(a.late-late, 0)) - a.excess; a.hopeless(most, a.falls) || a.halted(most) {
		return
	}
	if i == len(a.elements) {
		if a.allowed() {
			a.find(value)
		}
		return
	}
	o := a.elements[i]
	for m := range modes {
		switch {
		case m == withBonus && !o.bonus,
			m == secondHalf && o.bonus && a.bonuses < 0, // every one has the bonus
			m != firstHalf && !o.halves && o.kept[1] == 0:
			continue
		case i > 0 && a.elements[i-1] == o && m < a.modes[i-1]:
			continue // the same as the other way round
		case a.ordered && i > 0 && o.jump() && a.elements[i-1].jump() && m < a.modes[i-1]:
			continue // the second half stands behind the first
		}
		more, taken := later, late
		if m != firstHalf && o.jump() {
			more++
		}
		if m == withBonus {
			taken++
		}
		if more > a.planner.later || a.bonuses >= 0 && taken > a.bonuses {
			continue
		}
		a.modes[i] = m
		a.assign(i+1, more, taken, value+o.values[m])
	}
}

// find keeps an arrangement that is not hopeless.
func (a *arranging) find(value micro) {
	var each micro // what its falls cost at least
	for i, o := range a.elements {
		each += o.cost[a.modes[i].half()]
	}
	joint := value + each
	if a.steady {
		joint = min(joint, a.bound(a.modes))
		if a.hopeless(joint-each-a.excess, a.falls) {
			return
		}
	}
	cost := each + a.beyond()
	if !a.hopeless(joint-cost, a.falls) {
		a.found = append(a.found, arrangement{slices.Clone(a.modes), joint - cost, cost})
	}
}

// beyond is what the falls of an arrangement cost beyond the least for each of them.
func (a *arranging) beyond() micro {
	if !a.steps {
		return 0
	}
	down := falling{certain}
	for i, o := range a.elements {
		if chance := o.down[a.modes[i].half()]; chance > 0 {
			down = down.with(chance, i)
		}
	}
	return a.planner.excess(&down)
}

// allowed reports whether the halves are as the request wants them, and whether the bonus
// went to the last elements: none that earns it stands in the second half without it
// while there is one left.
func (a *arranging) allowed() bool {
	bonus, without := 0, 0
	for i, o := range a.elements {
		switch {
		case a.modes[i] == withBonus:
			bonus++
		case a.modes[i] == secondHalf && o.bonus:
			without++
		}
		if o.kept[0]+o.kept[1] > 0 && !a.keeps(o) {
			return false
		}
	}
	return a.bonuses < 0 || without == 0 || bonus == a.bonuses
}

// keeps reports whether an option stands in each half as often as it is to be kept there.
func (a *arranging) keeps(o *option) bool {
	var halves [2]int
	for i, other := range a.elements {
		if other == o {
			halves[a.modes[i].half()]++
		}
	}
	return halves[0] >= o.kept[0] && halves[1] >= o.kept[1]
}

// layout puts the elements into skating order.
func (a *arranging) layout(modes []mode) []placed {
	layout := make([]placed, len(a.elements))
	for i, o := range a.elements {
		layout[i] = placed{o, modes[i]}
	}
	if !a.ordered {
		return arranged(layout)
	}
	slices.SortStableFunc(layout, func(x, y placed) int {
		return cmp.Or(cmp.Compare(x.mode, y.mode), cmp.Compare(rankOf(x.option), rankOf(y.option)))
	})
	return layout
}

// rankOf puts the jumps of a half before its other elements.
func rankOf(o *option) int {
	if o.jump() {
		return 0
	}
	return 1
}

// sequence tries every order of the jump elements of a short program behind those
// chosen. left is how often each jump option may still come.
func (s *search) sequence(n *node, left []int) {
	if value := s.overSequence(n); s.hopeless(value, n.falls) || s.halted(value) {
		return
	}
	for i, o := range s.order[:s.jumps] {
		if left[i] == 0 || o.entry().Combined() && !n.tally.Comes() {
			continue
		}
		if next, ok := s.with(n, o); ok {
			left[i]--
			s.sequence(&next, left)
			left[i]++
		}
	}
	if n.tally.Comes() != n.tally.Combined() {
		return
	}
	for i, o := range s.order[:s.jumps] {
		if o.most-left[i] < o.least {
			return
		}
	}
	s.choose(n, s.jumps)
}

// overSequence is the most that a short program can become: its places that are still
// open with the best that fits there, and all that is no jump.
func (s *search) overSequence(n *node) micro {
	more := *n
	for p := range program.Places {
		if !n.tally.Open(p) {
			continue
		}
		comes := p == program.CombinationPlace && n.tally.Comes()
		best := s.placeBest[p]
		if comes {
			best = s.combinationBest
		}
		more.value += best.plain
		if best.gain > 0 {
			more.gains = append(more.gains[:len(more.gains):len(more.gains)], best.gain)
		}
	}
	slices.SortFunc(more.gains, func(a, b micro) int { return cmp.Compare(b, a) })
	return more.most(s.late) + s.full(s.jumps)
}

// addition is what an option adds to a program.
type addition struct{ plain, gain micro }

// places finds the most that an option can add in each place of a short program.
func (s *search) places() {
	s.placeBest, s.combinationBest = [program.Places]addition{}, addition{}
	for _, o := range s.order[:s.jumps] {
		plain, gain := s.split(o)
		for p, fits := range o.fits {
			best := &s.placeBest[p]
			if p == program.CombinationPlace && o.entry().Combined() {
				best = &s.combinationBest
			}
			if fits {
				best.plain, best.gain = max(best.plain, plain), max(best.gain, gain)
			}
		}
	}
}
