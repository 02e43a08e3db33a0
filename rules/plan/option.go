package plan

import (
	"math/big"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/program"
)

// mode is where an element stands and whether that earns the bonus.
type mode uint8

const (
	firstHalf mode = iota
	secondHalf
	withBonus // in the second half
	modes
)

// half is the index of what differs between the halves.
func (m mode) half() int { return min(int(m), 1) }

// option is an ability ready to be placed.
type option struct {
	ability  int
	code     string
	outcomes []*outcome // the success first
	// success of whole, and the misses in their proportions.
	success, whole Chance
	proportions    []Chance

	weights [2]weights   // of the outcomes, by half
	values  [modes]micro // no mean that is credited, less falls, exceeds it
	falls   micro        // the least chance of a fall, in millionths
	down    [2]share     // the chance of a fall, by half
	cost    [2]micro     // what its fall costs at least, by half
	shares  [2][]share   // of the outcomes, by half
	alike   []int        // by outcome: the first one of the same code
	keys    uint64       // jumps of any outcome whose repetition is looked at
	later   program.Later

	most, least int    // copies
	kept        [2]int // copies that each half must have
	halves      bool   // where it stands matters
	bonus       bool   // it can earn the bonus of the second half
	counts      []int  // by limit: how often one copy counts
	fits        [program.Places]bool
	group       int
	altered     bool // it is another than the request's, to see what that would bring
}

// outcome is one way in which an ability comes.
type outcome struct {
	code   *code
	grade  rules.Points
	fall   bool
	scores []scored
}

// scored is what an outcome scores with one credit, by mode.
type scored struct {
	void   program.Mask
	mark   element.Marker
	points [modes]rules.Points
}

func (o *option) entry() *program.Entry { return o.outcomes[0].code.entry }

// jump reports whether the ability is a jump element.
func (o *option) jump() bool { return o.entry().Jump() }

// box is the number of the ability's box.
func (o *option) box() int { return o.entry().Box() }

// score returns what an outcome scores with a credit.
func (p *planner) score(x *outcome, c program.Credit, m mode) rules.Points {
	for i := range x.scores {
		if s := &x.scores[i]; s.void == c.Void && s.mark == c.Mark {
			return s.points[m]
		}
	}
	s := scored{void: c.Void, mark: c.Mark}
	for m := range modes {
		var unheard rules.Warnings
		s.points[m], _ = p.content.Score(x.code.entry, c, m == withBonus, p.gradeIn(x, m), &unheard)
	}
	x.scores = append(x.scores, s)
	return s.points[m]
}

// gradeIn returns an outcome's grade in a half: a jump's or throw's of the second half
// is shifted and kept inside of the scale.
func (p *planner) gradeIn(x *outcome, m mode) rules.Points {
	if m == firstHalf || !tiring(x.code.entry) {
		return x.grade
	}
	scale := &p.content.Season.GOE
	return min(max(x.grade+p.req.SecondHalf.Grade, rules.Points(scale.Min)*rules.Point), rules.Points(scale.Max)*rules.Point)
}

// tiring reports whether the second half changes an element.
func tiring(e *program.Entry) bool { return e.Jump() || e.Kind() == element.Throw }

// ready finds what follows of an option's chances: weights and bounds.
func (p *planner) ready(o *option) {
	o.alike = make([]int, len(o.outcomes))
	for i, x := range o.outcomes {
		o.alike[i] = slices.IndexFunc(o.outcomes, func(other *outcome) bool { return other.code == x.code })
	}
	for _, x := range o.outcomes {
		o.keys |= p.content.Repeatable(x.code.entry)
		o.later = o.later.Or(p.content.Later(x.code.entry))
		p.steady = p.steady && p.content.Twice(x.code.entry)
	}
	o.weights[0] = weigh(int64(o.success), int64(o.whole), o.proportions)
	o.weights[1] = o.weights[0]
	if tiring(o.entry()) && p.req.SecondHalf.Success != One {
		o.weights[1] = weigh(int64(o.success)*int64(p.req.SecondHalf.Success), int64(o.whole)*int64(One), o.proportions)
	}
	for m := range modes {
		o.values[m] = ceil(p.upper(o, m))
	}
	for half := range o.down {
		w := &o.weights[half]
		o.down[half] = shareOf(o.fallWeight(half), w.sum)
		o.cost[half] = o.down[half].of(micro(p.leastFall) * microPerHundredth)
		o.shares[half] = make([]share, len(w.of))
		for i, of := range w.of {
			o.shares[half][i] = shareOf(of, w.sum)
		}
	}
	o.falls = micro(min(o.down[0], o.down[1]).times(microPerHundredth))
}

// fallWeight is the weight of the outcomes that are falls.
func (o *option) fallWeight(half int) int64 {
	var falls int64
	for i, x := range o.outcomes {
		if x.fall {
			falls += o.weights[half].of[i]
		}
	}
	return falls
}

// upper is a mean that the option cannot exceed in a program, less what its falls
// cost at least: each outcome at the most that it can be credited.
func (p *planner) upper(o *option, m mode) *big.Rat {
	w := &o.weights[m.half()]
	sum, part := new(big.Int), new(big.Int)
	for i, x := range o.outcomes {
		best := max(p.most(x, m), 0)
		if x.fall {
			best -= p.leastFall
		}
		sum.Add(sum, part.Mul(big.NewInt(w.of[i]), big.NewInt(int64(best))))
	}
	return new(big.Rat).SetFrac(sum, big.NewInt(w.sum))
}

// most is the most that an outcome can be credited: with all that it is alone, or,
// should that be less, with some of its jumps struck or marked.
func (p *planner) most(x *outcome, m mode) rules.Points {
	e := x.code.entry
	best := p.score(x, e.Alone(), m)
	if !e.Jump() {
		return best
	}
	for _, c := range e.Credits() {
		if more := p.score(x, c, m); more > best {
			best, p.steady = more, false // it is worth more with less
		}
	}
	return best
}
