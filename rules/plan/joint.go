package plan

import (
	"math/big"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

// worth is what a layout of one group is worth, exactly.
type worth struct {
	mean  *big.Rat // joint mean of the scores
	net   *big.Rat // less the expected deduction for falls
	falls *big.Rat // expected number
}

// patterns are all patterns of outcomes of a layout, each credited by the rules. Those
// that leave equal tallies are credited alike from there on, so they go on together.
type patterns struct {
	layout []placed
	roots  int
	steps  [][]edge // by element
	states []int    // after each element: how many tallies differ
}

// edge is an outcome of an element after one of the tallies before it.
type edge struct {
	from, to int
	outcome  int
	score    rules.Points
}

// scratch is memory that is used again for the next layout.
type scratch struct {
	patterns     patterns
	before, then []program.Tally
	at           map[program.Tally]int
	work         int             // outcomes credited since the time was looked at
	later        []program.Later // what the elements from each on look at

	share, shareThen []share
	sum, sumThen     []micro
}

// few is how many tallies are compared one by one.
const few = 12

// number returns the number of a tally among those after a step.
func (s *scratch) number(t *program.Tally) int {
	if len(s.then) <= few {
		if i := slices.Index(s.then, *t); i >= 0 {
			return i
		}
		s.then = append(s.then, *t)
		if len(s.then) > few {
			s.at = make(map[program.Tally]int, 2*few)
			for i := range s.then {
				s.at[s.then[i]] = i
			}
		}
		return len(s.then) - 1
	}
	i, known := s.at[*t]
	if !known {
		i = len(s.then)
		s.at[*t] = i
		s.then = append(s.then, *t)
	}
	return i
}

// patterns credits all patterns of a layout. They stand until the next call.
func (p *planner) patterns(layout []placed) *patterns {
	w, s := p.walk(layout), p.memory
	all := &s.patterns
	all.layout, all.roots, all.states = layout, len(w.roots), all.states[:0]
	for len(all.steps) < len(layout) {
		all.steps = append(all.steps, nil)
	}
	s.before = append(s.before[:0], w.roots...)
	s.later = cleared(s.later, len(layout)+1)
	for i := len(layout) - 1; i >= 0; i-- {
		s.later[i] = s.later[i+1].And(layout[i].later)
	}
	for i, x := range layout {
		s.then = s.then[:0]
		all.steps[i] = all.steps[i][:0]
		for from := range s.before {
			all.steps[i] = w.step(all.steps[i], s, i, x, from)
		}
		all.states = append(all.states, len(s.then))
		s.work += len(all.steps[i])
		s.before, s.then = s.then, s.before
	}
	return all
}

// step credits the outcomes of element i after one of the tallies before it.
func (w *walk) step(edges []edge, s *scratch, i int, x placed, from int) []edge {
	var made [MaxMisses + 1]struct {
		done, lost bool
		to         int
		credit     program.Credit
	}
	chances := &x.weights[x.mode.half()]
	for k, o := range x.outcomes {
		if chances.of[k] == 0 {
			continue
		}
		m := &made[x.alike[k]] // outcomes of one code are credited alike
		if !m.done {
			t := s.before[from]
			m.done, m.credit = true, w.add(&t, i, o)
			if m.lost = w.lost(&t, i); !m.lost {
				t.Forget(s.later[i+1])
				m.to = s.number(&t)
			}
		}
		if !m.lost {
			edges = append(edges, edge{from, m.to, k, w.score(o, m.credit, x.mode)})
		}
	}
	return edges
}

// joint finds what a layout of one group is worth.
func (p *planner) joint(layout []placed) worth {
	all := p.patterns(layout)
	result := worth{mean: all.mean()}
	var deducted *big.Rat
	result.falls, deducted = p.fallen(layout)
	result.net = new(big.Rat).Sub(result.mean, deducted)
	return result
}

// mean is the exact mean of the scores: for each tally the weight of the patterns that
// lead to it and that of weight times score, over all weights.
func (a *patterns) mean() *big.Rat {
	weight, score := make([]*big.Int, a.roots), make([]*big.Int, a.roots)
	for i := range weight {
		weight[i], score[i] = big.NewInt(1), new(big.Int)
	}
	whole, part := big.NewInt(1), new(big.Int)
	for i, x := range a.layout {
		chances := &x.weights[x.mode.half()]
		whole.Mul(whole, part.SetInt64(chances.sum))
		nextWeight, nextScore := make([]*big.Int, a.states[i]), make([]*big.Int, a.states[i])
		for k := range nextWeight {
			nextWeight[k], nextScore[k] = new(big.Int), new(big.Int)
		}
		for _, e := range a.steps[i] {
			of := big.NewInt(chances.of[e.outcome])
			nextScore[e.to].Add(nextScore[e.to], part.Mul(score[e.from], of))
			of.Mul(of, weight[e.from])
			nextWeight[e.to].Add(nextWeight[e.to], of)
			nextScore[e.to].Add(nextScore[e.to], of.Mul(of, part.SetInt64(int64(e.score))))
		}
		weight, score = nextWeight, nextScore
	}
	sum := new(big.Int)
	for _, s := range score {
		sum.Add(sum, s)
	}
	return new(big.Rat).SetFrac(sum, whole)
}

// atMost is the mean rounded up: what is cut off in the shares is added again.
func (a *patterns) atMost(s *scratch) micro {
	s.share, s.sum = append(s.share[:0], certain, certain)[:a.roots], append(s.sum[:0], 0, 0)[:a.roots]
	terms := micro(0)
	for i, x := range a.layout {
		shares := x.shares[x.mode.half()]
		s.shareThen, s.sumThen = cleared(s.shareThen, a.states[i]), cleared(s.sumThen, a.states[i])
		for _, e := range a.steps[i] {
			of := shares[e.outcome]
			both := s.share[e.from].times(of)
			s.shareThen[e.to] += both
			s.sumThen[e.to] += of.of(s.sum[e.from]) + both.of(micro(e.score)*microPerHundredth)
		}
		terms += 2 * micro(len(a.steps[i]))
		s.share, s.shareThen, s.sum, s.sumThen = s.shareThen, s.share, s.sumThen, s.sum
	}
	for _, sum := range s.sum {
		terms += sum
	}
	return terms
}

// cleared returns a list of n zeros in the memory of another.
func cleared[T any](list []T, n int) []T {
	if cap(list) < n {
		return make([]T, n, 2*n)
	}
	list = list[:n]
	clear(list)
	return list
}

// fallen returns the expected number of falls and the expected deduction for them by the
// season's whole scale. Abilities fall independently of each other.
func (p *planner) fallen(layout []placed) (falls, deducted *big.Rat) {
	counts := []*big.Int{big.NewInt(1)} // weight of each number of falls
	whole := big.NewInt(1)
	for _, x := range layout {
		w := &x.weights[x.mode.half()]
		down := x.fallWeight(x.mode.half())
		if down == 0 {
			continue
		}
		whole.Mul(whole, big.NewInt(w.sum))
		counts = append(counts, new(big.Int))
		up := big.NewInt(w.sum - down)
		for n := len(counts) - 1; n >= 0; n-- {
			counts[n].Mul(counts[n], up)
			if n > 0 {
				counts[n].Add(counts[n], new(big.Int).Mul(counts[n-1], big.NewInt(down)))
			}
		}
	}
	number, points := new(big.Int), new(big.Int)
	for n, weight := range counts {
		number.Add(number, new(big.Int).Mul(weight, big.NewInt(int64(n))))
		points.Add(points, new(big.Int).Mul(weight, big.NewInt(int64(p.deduction(n)))))
	}
	return new(big.Rat).SetFrac(number, whole), new(big.Rat).SetFrac(points, whole)
}

// deduction is what so many falls cost.
func (p *planner) deduction(falls int) rules.Points {
	if p.fall == nil {
		return 0
	}
	return p.fall.Total(falls)
}
