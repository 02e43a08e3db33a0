package plan

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

// Planner is a request that has been read.
type Planner struct{ p *planner }

// Read reads a request. Faults are at its fields, those of expected marks at
// components.KEY.
func Read(season *rules.Season, req *Request) (*Planner, rules.FieldErrors) {
	p, faults := newPlanner(season, req)
	if len(faults) > 0 {
		return nil, faults
	}
	return &Planner{p}, nil
}

// Best finds the best programs. stop says when the time is over: what was found until
// then is the answer. Where no program can be made the faults have the reason
// NO_LEGAL_PROGRAM. A planner answers once.
func (r *Planner) Best(stop func() bool) (*Result, rules.FieldErrors) {
	p := r.p
	p.stop = stop
	p.prepare()
	if faults := p.impossible(); len(faults) > 0 {
		return nil, faults
	}
	found, faults := p.search()
	if len(faults) > 0 {
		return nil, faults
	}
	p.answer(found)
	return p.out, nil
}

// impossible says why nothing can be placed, or why something cannot be kept even alone.
func (p *planner) impossible() rules.FieldErrors {
	var faults rules.FieldErrors
	for i, k := range p.req.Keep {
		for _, u := range p.out.Unusable {
			if p.req.Abilities[u.Ability].Code == k.Code {
				faults.Add(fmt.Sprintf("keep[%d].code", i), rules.ReasonNoLegalProgram, "%s cannot be kept: %s", k.Code, u.Finding.Message)
			}
		}
	}
	if len(p.options) == 0 && len(faults) == 0 {
		for _, u := range p.out.Unusable {
			faults.Add(fmt.Sprintf("abilities[%d].code", u.Ability), rules.ReasonNoLegalProgram, "nothing can be placed in this program: %s", u.Finding.Message)
		}
	}
	return faults
}

// found is what the searches of all groups found.
type found struct {
	programs []layouts
	proven   bool
	bound    micro
}

// layouts are the elements of one program, by group.
type layouts []candidate

// most is how many programs are looked at for another aim than the expected score.
const mostLookedAt = 40

// search finds the best layouts of each group: of the first one as many as plans are
// wanted, of the others the best.
func (p *planner) search() (found, rules.FieldErrors) {
	plans := max(p.req.Plans, 1)
	if p.req.Aim == ChanceOfTarget {
		plans = mostLookedAt
	}
	out := found{proven: true}
	byGroup := make([][]candidate, len(p.groups))
	for g, options := range p.groups {
		s := search{planner: p, most: 1}
		if g == 0 {
			s.most = plans
		}
		s.run(options, nil)
		out.proven = out.proven && !s.stopped
		if len(s.best) == 0 {
			return out, p.cannotKeep(s.stopped)
		}
		out.bound += max(s.open, ceil(s.best[0].net))
		byGroup[g] = s.best
	}
	for i := range byGroup[0] {
		whole := make(layouts, len(byGroup))
		for g := range byGroup {
			whole[g] = byGroup[g][0]
		}
		whole[0] = byGroup[0][i]
		out.programs = append(out.programs, whole)
	}
	return out, nil
}

// cannotKeep says what stands against a program with all that is to be kept: what the
// check finds of that alone. stopped says that the time was over before that was sure.
func (p *planner) cannotKeep(stopped bool) rules.FieldErrors {
	var faults rules.FieldErrors
	in := p.program()
	for _, k := range p.req.Keep {
		in.Elements = append(in.Elements, program.Planned{Code: k.Code, SecondHalf: k.SecondHalf != nil && *k.SecondHalf})
	}
	result, wrong := program.Check(p.season, in)
	if len(wrong) == 0 {
		for _, f := range result.Findings {
			if f.Severity == program.Error && f.Element != program.Whole {
				faults.Add(fmt.Sprintf("keep[%d].code", f.Element), rules.ReasonNoLegalProgram, "%s cannot be kept beside the others: %s", p.req.Keep[f.Element].Code, f.Message)
			}
		}
	}
	switch {
	case len(faults) > 0:
	case stopped:
		faults.Add("keep", rules.ReasonNoLegalProgram, "cannot all be kept, as far as was seen before the time was over: no program was found that has them all")
	default:
		faults.Add("keep", rules.ReasonNoLegalProgram, "cannot all be kept: no program within the limits of the request (limits, secondHalf.atMost) has them all")
	}
	return faults
}

// program is an empty program of the request's place.
func (p *planner) program() *program.Program {
	return &program.Program{Category: p.req.Category, Segment: p.req.Segment, Scope: p.req.Scope, Components: p.req.Components}
}

// sum adds one of the numbers of all groups.
func (l layouts) sum(of func(*candidate) *big.Rat) *big.Rat {
	sum := new(big.Rat)
	for i := range l {
		sum.Add(sum, of(&l[i]))
	}
	return sum
}

// answer fills the result.
func (p *planner) answer(f found) {
	net := func(c *candidate) *big.Rat { return c.net }
	wanted := f.programs
	p.out.Optimal = f.proven
	if p.req.Aim == ChanceOfTarget {
		wanted, p.out.Optimal = p.likeliest(f.programs)
	} else if p.out.Bound = new(big.Rat).SetFrac64(int64(f.bound), microPerHundredth); f.proven {
		p.out.Bound = f.programs[0].sum(net)
	}
	for _, whole := range wanted {
		p.out.Plans = append(p.out.Plans, p.plan(whole))
	}
	p.compare()
	p.practice(f.programs[0])
	p.assumptions()
}

// likeliest orders programs by their chance of the target and returns as many as are
// wanted. Beside those with the highest expected score it looks at those with the most
// points when all comes as meant. It reports whether the first reaches the target surely.
func (p *planner) likeliest(programs []layouts) (best []layouts, surely bool) {
	type chanced struct {
		layouts
		chance Chance
	}
	var all []chanced
	seen := map[string]bool{}
	look := func(whole layouts) {
		name := ""
		for _, x := range whole[0].layout {
			name += fmt.Sprint(x.ability, ":", x.mode, " ")
		}
		if !seen[name] {
			seen[name] = true
			all = append(all, chanced{whole, p.segment(whole).reach(*p.req.Target)})
		}
	}
	for _, whole := range programs {
		look(whole)
	}
	for _, c := range p.boldest() {
		whole := slices.Clone(programs[0])
		whole[0] = c
		look(whole)
	}
	slices.SortStableFunc(all, func(a, b chanced) int { return cmp.Compare(b.chance, a.chance) })
	keys := map[string]bool{}
	for _, c := range all {
		if key := c.layouts[0].key; !keys[key] && len(best) < max(p.req.Plans, 1) {
			keys[key] = true
			best = append(best, c.layouts)
		}
	}
	return best, all[0].chance == One
}

// boldest finds the layouts of the first group with the most points when all comes as
// meant, with what they are worth as it comes.
func (p *planner) boldest() []candidate {
	sure := *p
	sure.known = map[cluster]micro{}
	sure.options = make([]*option, len(p.options))
	for i, o := range p.options {
		certain := *o
		certain.success = o.whole
		p.ready(&certain)
		sure.options[i] = &certain
	}
	s := search{planner: &sure, most: mostLookedAt}
	s.run(p.groups[0], nil)
	for i := range s.best {
		c := &s.best[i]
		for k := range c.layout {
			c.layout[k].option = p.options[slices.Index(sure.options, c.layout[k].option)]
		}
		c.worth = p.joint(c.layout)
	}
	return s.best
}
