package plan

import (
	"fmt"
	"math/big"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

// plan makes the answer of one program.
func (p *planner) plan(whole layouts) Plan {
	out := Plan{
		ElementScore: whole.sum(func(c *candidate) *big.Rat { return c.mean }),
		Net:          whole.sum(func(c *candidate) *big.Rat { return c.net }),
		Falls:        whole.sum(func(c *candidate) *big.Rat { return c.falls }),
		AsPlanned:    new(big.Rat),
		Checked:      p.program(),
	}
	expected := map[placedAt]*big.Rat{}
	for g, c := range whole {
		for i, mean := range p.separately(c.layout) {
			expected[placedAt{g, i}] = mean
			out.AsPlanned.Add(out.AsPlanned, mean)
		}
	}
	for _, at := range whole.order() {
		x := whole[at.group].layout[at.index]
		grade := p.gradeIn(x.outcomes[0], x.mode)
		w := &x.weights[x.mode.half()]
		out.Elements = append(out.Elements, Element{
			Ability: x.ability, Code: x.code, SecondHalf: x.mode != firstHalf, Grade: grade,
			Chance: big.NewRat(w.of[0], w.sum), Expected: expected[at],
		})
		out.Checked.Elements = append(out.Checked.Elements, program.Planned{Code: x.code, SecondHalf: x.mode != firstHalf, Grade: &grade})
	}
	out.Program, _ = program.Check(p.season, out.Checked) // its codes and grades were read before
	p.warn(&out)
	out.Empty = p.empty(whole)
	if !p.stop() {
		out.Error = p.standardError(whole)
	}
	if p.components != nil {
		out.Segment = new(big.Rat).Add(out.Net, new(big.Rat).SetInt64(int64(*p.components)))
		scores := p.segment(whole)
		out.Spread = scores.spread()
		if p.req.Scores {
			out.Scores = scores.reached()
		}
		if p.req.Target != nil {
			chance := scores.reach(*p.req.Target)
			out.Chance = &chance
		}
	}
	return out
}

// warn takes over what a plan rests on that is not surely known, at the abilities of
// its elements.
func (p *planner) warn(of *Plan) {
	at := map[string]string{}
	for i, e := range of.Elements {
		at[fmt.Sprintf("elements[%d]", i)] = fmt.Sprintf("abilities[%d]", e.Ability)
	}
	for i := range of.Program.Warnings {
		w := &of.Program.Warnings[i]
		if len(w.Fields) == 0 {
			p.out.Warnings.Add(w, "")
		}
		for _, field := range w.Fields {
			p.out.Warnings.Add(w, at[field])
		}
	}
	if p.fall != nil && p.fall.Warn != nil && of.Falls.Sign() > 0 {
		p.out.Warnings.Add(p.fall.Warn, "")
	}
}

// placedAt is where an element stands: the group, and its index there.
type placedAt struct{ group, index int }

// order puts the elements of all groups into skating order.
func (l layouts) order() []placedAt {
	var all []placedAt
	for m := range modes {
		for g := range l {
			for i, x := range l[g].layout {
				if x.mode == m {
					all = append(all, placedAt{g, i})
				}
			}
		}
	}
	return all
}

// separately returns the mean of each element while all others come as meant.
func (p *planner) separately(layout []placed) []*big.Rat {
	w := p.walk(layout)
	means := make([]*big.Rat, len(layout))
	for i, x := range layout {
		chances := &x.weights[x.mode.half()]
		sum := new(big.Int)
		for k, o := range x.outcomes {
			credits, _ := w.pattern(func(n int) *outcome {
				if n == i {
					return o
				}
				return layout[n].outcomes[0]
			})
			score := big.NewInt(int64(p.score(o, credits[i], x.mode)))
			sum.Add(sum, score.Mul(score, big.NewInt(chances.of[k])))
		}
		means[i] = new(big.Rat).SetFrac(sum, big.NewInt(chances.sum))
	}
	return means
}

// empty lists the places that no element fills.
func (p *planner) empty(whole layouts) []Empty {
	keys, boxes := p.content.Boxes()
	filled := make([]int, len(boxes))
	for _, c := range whole {
		for _, x := range c.layout {
			filled[x.box()] += x.entry().Weight()
		}
	}
	var out []Empty
	for i, b := range boxes {
		if filled[i] < b.Max {
			out = append(out, Empty{keys[i], b.Title, b.Max - filled[i]})
		}
	}
	return out
}

// standardError finds how far the net score can be off because success was counted in
// so many attempts: the root of the sum over the abilities of the square of what their
// success changes times s(1-s)/n.
func (p *planner) standardError(whole layouts) *rules.Points {
	variance := new(big.Rat)
	counted := false
	seen := map[int]bool{}
	for g := range whole {
		for _, x := range whole[g].layout {
			n := p.req.Abilities[x.ability].Attempts
			if n == 0 || seen[x.ability] {
				continue
			}
			seen[x.ability], counted = true, true
			step := min(x.success, x.whole-x.success)
			if step <= 0 {
				continue
			}
			up := p.withSuccess(whole[g].layout, x.ability, x.success+step)
			down := p.withSuccess(whole[g].layout, x.ability, x.success-step)
			slope := new(big.Rat).Sub(up, down)
			slope.Mul(slope, big.NewRat(int64(x.whole), 2*int64(step)))
			slope.Mul(slope, slope)
			slope.Mul(slope, big.NewRat(int64(x.success)*int64(x.whole-x.success), int64(x.whole)*int64(x.whole)))
			variance.Add(variance, slope.Mul(slope, big.NewRat(1, int64(n))))
		}
	}
	if !counted {
		return nil
	}
	// In hundredths of hundredths of points, so that the root can be rounded.
	variance.Mul(variance, big.NewRat(100*100, 1))
	root := new(big.Int).Div(variance.Num(), variance.Denom())
	root.Sqrt(root)
	points := rules.Points(rules.RoundDiv(root.Int64(), 100))
	return &points
}

// withSuccess is the net score of a layout with another success of one ability.
func (p *planner) withSuccess(layout []placed, ability int, success Chance) *big.Rat {
	changed := slices.Clone(layout)
	for i := range changed {
		if changed[i].ability == ability {
			o := *changed[i].option
			o.success = success
			p.ready(&o)
			changed[i].option = &o
		}
	}
	return p.joint(changed).net
}
