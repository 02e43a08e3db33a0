package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules/program"
	"github.com/rinktally/rinktally/rules/value"
)

// search finds the best layouts of one group. Every choice of elements that the rules
// allow is looked at, but for those that cannot be better than what was found: no
// choice is worth more than the most that each of its outcomes can be credited.
//
// Free of order, an ERROR does not depend on the order of the elements, so choices are
// multisets, and the halves are chosen when the multiset is complete. In a short
// program the order of the jump elements decides, so every order is tried.
type search struct {
	*planner
	most   int // different plans that are wanted
	order  []*option
	bounds []bound                    // by index in order: what the options from there on can add
	jumps  int                        // options in order that are jump elements
	late   int                        // limited places of the second half that are worth taking
	path   [value.MaxElements]*option // the choice of a node is its beginning
	best   []candidate

	placeBest       [program.Places]addition // of a short program, by place, jumps alone
	combinationBest addition
	open            micro // what no layout that was not looked at exceeds
	stopped         bool
	ticks           int
	leaves          int // layouts that were credited
	exact           int // of them exactly
}

// candidate is a layout with what it is worth. Two of one key do not count as different.
type candidate struct {
	worth
	layout []placed
	key    string
	least  micro // floor of net
	down   micro // expected falls, rounded up, in millionths
}

// node is a choice of elements that is not complete.
type node struct {
	tally  program.Tally
	count  int     // elements chosen: the first ones of the path
	value  micro   // without what the limited places of the second half can add
	gains  []micro // what they can add for each element, the most first
	falls  micro
	down   falling
	excess micro // what falls cost at least beyond the least, of the value still to be taken off
	places int   // left in the box of the next option
	joined int   // combinations and sequences
	used   []int
}

// run searches from what is known to be reachable.
func (s *search) run(group []int, known []candidate) {
	s.order = nil
	for _, i := range group {
		if o := s.options[i]; o.most > 0 {
			s.order = append(s.order, o)
		}
	}
	rank := func(o *option) int {
		if o.jump() {
			return -1
		}
		return o.box()
	}
	slices.SortStableFunc(s.order, func(a, b *option) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a.box(), b.box()), cmp.Compare(b.highest(), a.highest()))
	})
	s.jumps = 0
	for _, o := range s.order {
		if o.jump() {
			s.jumps++
		}
	}
	s.open = lowest
	s.late = s.latePlaces()
	s.bound()
	for _, c := range known {
		s.offer(c)
	}
	start := node{tally: s.content.Begin(false), down: falling{certain}, used: make([]int, len(s.req.Limits))}
	if s.content.Layout().ShortJumps == nil {
		s.choose(&start, 0)
		return
	}
	left := make([]int, s.jumps)
	for i := range left {
		left[i] = s.order[i].most
	}
	s.places()
	start.places = value.MaxElements // the tally counts them
	for _, comes := range []bool{true, false} {
		start.tally = s.content.Begin(comes)
		s.sequence(&start, left)
	}
}

const lowest micro = -1 << 62

// highest is the most that an option can add.
func (o *option) highest() micro {
	best := o.values[firstHalf]
	if o.halves {
		best = max(best, o.values[secondHalf], o.values[withBonus])
	}
	return best
}

// threshold is what a layout must exceed to be of interest, and at which number of
// falls one that is just as good is not.
func (s *search) threshold() (micro, micro) {
	if len(s.best) < s.most {
		return lowest, 0
	}
	last := &s.best[len(s.best)-1]
	return last.least, last.down
}

// hopeless reports whether nothing that is at most a value can be of interest.
func (s *search) hopeless(value, falls micro) bool {
	least, most := s.threshold()
	return value < least || value == least && falls >= most
}

// muchWork is how many outcomes are credited before the time is looked at; patience is
// how many nodes are looked at for a first layout after it is over.
const (
	muchWork = 10_000
	patience = 200_000
)

// halted asks now and then whether the time is over. What is left then is at most a
// value.
func (s *search) halted(value micro) bool {
	if s.ticks++; (s.ticks%512 == 0 || s.memory.work > muchWork) && !s.stopped {
		s.memory.work = 0
		s.stopped = s.stop() && (len(s.best) > 0 || s.ticks > patience)
	}
	if s.stopped {
		s.open = max(s.open, value)
	}
	return s.stopped
}

// choose decides how often option i is in the multiset, then all behind it.
func (s *search) choose(n *node, i int) {
	if i > 0 && i < len(s.order) && s.order[i].box() != s.order[i-1].box() || i == 0 && len(s.order) > 0 {
		_, boxes := s.content.Boxes()
		n.places = boxes[s.order[i].box()].Max
	}
	most := n.most(s.late)
	if i < len(s.order) {
		most = s.bounds[i].over(n)
	}
	if s.hopeless(most, n.falls) || s.halted(most) {
		return
	}
	if i == len(s.order) {
		s.complete(n)
		return
	}
	s.copies(n, i, 0)
}

// copies takes one more copy of option i after those taken, or goes on to the next.
func (s *search) copies(n *node, i, taken int) {
	o := s.order[i]
	if taken < o.most {
		if next, ok := s.with(n, o); ok {
			s.copies(&next, i, taken+1)
		}
	}
	if taken >= o.least {
		s.choose(n, i+1)
	}
}

// with adds an option to a choice. It returns false where the rules or a limit of the
// request do not allow it.
func (s *search) with(n *node, o *option) (node, bool) {
	next := *n
	if next.places -= o.entry().Weight(); next.places < 0 {
		return next, false
	}
	if len(o.counts) > 0 {
		next.used = slices.Clone(n.used)
		for l, count := range o.counts {
			if next.used[l] += count; next.used[l] > s.req.Limits[l].AtMost {
				return next, false
			}
		}
	}
	if next.count == len(s.path) || next.tally.Add(o.entry()).Error {
		return next, false
	}
	plain, gain := s.split(o)
	s.path[next.count] = o
	next.count++
	next.value += plain
	if o.entry().Combined() {
		next.joined++
	}
	next.falls += o.falls
	if down := min(o.down[0], o.down[1]); down > 0 && s.steps {
		next.down = n.down.with(down, n.count)
		next.excess = s.excess(&next.down)
	}
	if gain > 0 {
		at, _ := slices.BinarySearchFunc(n.gains, gain, func(a, b micro) int { return cmp.Compare(b, a) })
		next.gains = slices.Insert(slices.Clone(n.gains), at, gain)
	}
	return next, true
}

// most is the most that the elements chosen are worth with so many places of the
// second half.
func (n *node) most(places int) micro {
	value := n.value - n.excess
	for _, gain := range n.gains[:min(places, len(n.gains))] {
		value += gain
	}
	return value
}

// split returns what an option adds without taking one of the limited places of the
// second half, and what such a place adds to that.
func (s *search) split(o *option) (plain, gain micro) {
	plain = o.values[firstHalf]
	if !o.halves {
		return plain, 0
	}
	limited := o.jump() || o.bonus && s.bonuses >= 0
	later := o.values[secondHalf]
	if o.bonus {
		later = max(later, o.values[withBonus])
	}
	if limited {
		return plain, max(0, later-plain)
	}
	return max(plain, later), 0
}

// complete arranges a complete multiset of a program without order.
func (s *search) complete(n *node) {
	if _, struck := n.tally.RequiredMissing(); struck {
		return
	}
	s.arrange(n)
}

// offer takes a layout among the best.
func (s *search) offer(c candidate) {
	c.least, c.down = floor(c.net), ceil(c.falls)
	better := func(a, b *candidate) int {
		return cmp.Or(b.net.Cmp(a.net), a.falls.Cmp(b.falls))
	}
	if at := slices.IndexFunc(s.best, func(o candidate) bool { return o.key == c.key }); at >= 0 {
		if better(&c, &s.best[at]) >= 0 {
			return
		}
		s.best = slices.Delete(s.best, at, at+1)
	}
	at, _ := slices.BinarySearchFunc(s.best, c, func(a, b candidate) int { return cmp.Or(better(&a, &b), -1) })
	s.best = slices.Insert(s.best, at, c)
	if len(s.best) > s.most {
		s.best = s.best[:s.most]
	}
}

// credit finds what a layout is worth and keeps it if it is among the best. Its exact
// worth is only found where a bound of the joint mean is not below what is kept.
func (s *search) credit(layout []placed, key string, cost, falls micro) {
	s.leaves++
	value := s.patterns(layout).atMost(s.memory) - cost
	if s.hopeless(value, falls) || s.kept(key, value) {
		return
	}
	w := s.walk(layout)
	if w.legal() {
		s.exact++
		s.offer(candidate{worth: s.joint(layout), layout: layout, key: key})
	}
}

// kept reports whether a layout of the same key is kept that is as good as a value.
func (s *search) kept(key string, value micro) bool {
	at := slices.IndexFunc(s.best, func(c candidate) bool { return c.key == key })
	return at >= 0 && value <= s.best[at].least
}

// key names the jump elements of a layout, or all its elements where it has no jumps:
// plans with the same ones are not different.
func (s *search) key(layout []placed) string {
	var codes []string
	for _, x := range layout {
		if x.jump() || s.jumps == 0 {
			codes = append(codes, fmt.Sprint(x.ability))
		}
	}
	slices.Sort(codes)
	return strings.Join(codes, " ")
}
