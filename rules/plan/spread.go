package plan

import (
	"math/bits"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// share is a probability as a whole number of parts of certain: enough for sums over
// all patterns to be right far below a millionth.
type share uint64

const certain share = 1 << 62

// times multiplies two probabilities.
func (s share) times(o share) share {
	high, low := bits.Mul64(uint64(s), uint64(o))
	return share(high<<2 | low>>62)
}

// of is that part of a value, rounded down towards 0.
func (s share) of(value micro) micro {
	if value < 0 {
		return -micro(s.times(share(-value)))
	}
	return micro(s.times(share(value)))
}

// shareOf is the probability of a weight.
func shareOf(of, sum int64) share {
	if of == sum {
		return certain
	}
	high, low := uint64(of)>>2, uint64(of)<<62
	n, _ := bits.Div64(high, low, uint64(sum))
	return share(n)
}

// landing is a sum of element scores with a number of falls.
type landing struct {
	score rules.Points
	falls int
}

// distribution is the probability of each landing.
type distribution map[landing]share

// distribute finds the distribution of one group's scores and falls over all patterns of
// outcomes.
func (p *planner) distribute(layout []placed) distribution {
	all := p.patterns(layout)
	states := make([]distribution, all.roots)
	for i := range states {
		states[i] = distribution{{}: certain}
	}
	for i, x := range layout {
		next := make([]distribution, all.states[i])
		for k := range next {
			next[k] = distribution{}
		}
		for _, e := range all.steps[i] {
			states[e.from].step(next[e.to], x.shares[x.mode.half()][e.outcome], e.score, x.outcomes[e.outcome].fall)
		}
		states = next
	}
	whole := distribution{}
	for _, d := range states {
		for at, s := range d {
			whole[at] += s
		}
	}
	return whole
}

// step adds what an outcome makes of a distribution.
func (d distribution) step(to distribution, chance share, score rules.Points, fall bool) {
	for at, s := range d {
		at.score += score
		if fall {
			at.falls++
		}
		to[at] += s.times(chance)
	}
}

// with is the distribution of two independent groups together.
func (d distribution) with(o distribution) distribution {
	both := make(distribution, len(d))
	for a, s := range d {
		for b, t := range o {
			both[landing{a.score + b.score, a.falls + b.falls}] += s.times(t)
		}
	}
	return both
}

// scores is a distribution of segment scores, the lowest first.
type scores []reached

// reached is a score with its probability.
type reached struct {
	score rules.Points
	share share
}

// segment is the distribution of a program's segment score.
func (p *planner) segment(whole layouts) scores {
	all := distribution{{score: *p.components}: certain}
	for _, c := range whole {
		all = all.with(p.distribute(c.layout))
	}
	sums := map[rules.Points]share{}
	for at, s := range all {
		sums[at.score-p.deduction(at.falls)] += s
	}
	var out scores
	for score, s := range sums {
		out = append(out, reached{score, s})
	}
	slices.SortFunc(out, func(a, b reached) int { return int(a.score - b.score) })
	return out
}

// total is the sum of all shares: certain, but for what was cut off.
func (s scores) total() share {
	var sum share
	for _, x := range s {
		sum += x.share
	}
	return sum
}

// cut is more than what all multiplications together cut off.
const cut = certain >> 30

// below is the lowest score that is not exceeded in so many percent of the cases.
func (s scores) below(percent share) rules.Points {
	want := s.total() / 100 * percent
	var sum share
	for _, x := range s {
		if sum += x.share; sum+cut >= want {
			return x.score
		}
	}
	return s[len(s)-1].score
}

// reach is the chance of at least a score.
func (s scores) reach(target rules.Points) Chance {
	var sum share
	for _, x := range s {
		if x.score >= target {
			sum += x.share
		}
	}
	return sum.in(s.total())
}

// in is the chance that a probability is of a total.
func (s share) in(total share) Chance {
	high, low := bits.Mul64(uint64(s), uint64(One))
	n, rest := bits.Div64(high, low, uint64(total))
	if rest >= uint64(total)-rest {
		n++
	}
	return Chance(n)
}

// reached lists the chance of at least each score.
func (s scores) reached() []Reached {
	list := make([]Reached, len(s))
	total := s.total()
	left := total
	for i, x := range s {
		list[i] = Reached{x.score, left.in(total)}
		left -= x.share
	}
	return list
}

// spread says how the scores spread.
func (s scores) spread() *Spread {
	return &Spread{s.below(10), s.below(50), s.below(90)}
}
