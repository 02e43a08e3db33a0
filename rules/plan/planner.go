package plan

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/program"
)

// planner is the work on one request.
type planner struct {
	req     *Request
	season  *rules.Season
	content *program.Content
	out     *Result
	stop    func() bool // whether the time is over

	options []*option
	groups  [][]int // options that look at each other, jumps first

	fall      *rules.DeductionRule
	leastFall rules.Points        // the least that one more fall costs
	steps     bool                // further falls cost more
	beyond    [maxFalls + 1]micro // what so many falls cost beyond the least for each
	bonuses   int                 // elements that the bonus of the second half can go to; -1 = any number
	later     int                 // jump elements that may stand in the second half

	components *rules.Points
	roots      []program.Tally // where patterns of outcomes start
	memory     *scratch
	steady     bool
	known      map[cluster]micro // what clusters are worth at most
	ownKnown   map[cluster]micro // of those with an altered option
}

// tires reports whether the second half takes something from jumps.
func (p *planner) tires() bool { return p.req.SecondHalf.Success != One }

// newPlanner reads and checks a request. The faults are at the fields of the request,
// and of an expected mark at components.KEY.
func newPlanner(season *rules.Season, req *Request) (*planner, rules.FieldErrors) {
	content, faults := program.NewContent(season, req.Category, req.Segment, req.Scope)
	if len(faults) > 0 {
		return nil, faults
	}
	p := &planner{req: req, season: season, content: content, out: &Result{}}
	r := &reader{planner: p, codes: map[string]*code{}, seen: map[string]int{}}
	r.abilities()
	r.keep()
	r.limits()
	r.rest()
	var wrong rules.FieldErrors
	if p.components, wrong = content.ComponentScore(req.Components); len(wrong) > 0 {
		r.faults = append(r.faults, wrong...)
	}
	if len(r.faults) == 0 {
		p.points(r)
	}
	if len(r.faults) > 0 {
		return nil, r.faults
	}
	return p, nil
}

// keep reads what the program must have.
func (r *reader) keep() {
	for i, k := range r.req.Keep {
		at := fmt.Sprintf("keep[%d].code", i)
		e, err := element.Parse(k.Code)
		if err != nil {
			r.fault(at, rules.ReasonCodeInvalid, "%v", err)
			continue
		}
		o := r.find(e.String())
		if o == nil {
			r.fault(at, rules.ReasonFieldInvalid, "%s is not among the abilities; only what the skater can do can be kept", rules.Quote(k.Code))
			continue
		}
		o.least++
		if k.SecondHalf != nil {
			o.kept[map[bool]int{true: 1}[*k.SecondHalf]]++
		}
	}
}

// find returns the option of an ability by its code.
func (p *planner) find(code string) *option {
	for _, o := range p.options {
		if o.code == code {
			return o
		}
	}
	return nil
}

// maxLimits bounds the list of limits.
const maxLimits = 20

// limits reads what bounds jumps over the program.
func (r *reader) limits() {
	if n := len(r.req.Limits); n > maxLimits {
		r.fault("limits", rules.ReasonTooManyItems, "has %d limits; %s are taken", n, rules.Allow("at most %d", maxLimits))
		return
	}
	for i, l := range r.req.Limits {
		at := fmt.Sprintf("limits[%d]", i)
		switch {
		case l.AtMost < 0:
			r.fault(at+".atMost", rules.ReasonFieldInvalid, "is %d; allowed is %s", l.AtMost, rules.Allowed("0 or more"))
		case l.Jump != "" && l.Turns != 0:
			r.fault(at+".turns", rules.ReasonFieldInvalid, "stands beside jump; a limit is of one jump or of a number of turns")
		case l.Jump != "" && !element.IsJump(l.Jump):
			r.fault(at+".jump", rules.ReasonCodeInvalid, "%s is not a jump; a jump is %s", rules.Quote(l.Jump), rules.Allowed(element.JumpForm))
		case l.Jump == "" && l.Turns == 0:
			r.fault(at+".jump", rules.ReasonFieldRequired, "is empty: give a jump, such as 3Lz, or turns instead")
		case l.Turns < 0 || l.Turns > 5:
			r.fault(at+".turns", rules.ReasonFieldInvalid, "is %d; allowed is %s", l.Turns, rules.Allowed("1 to 5"))
		}
	}
	for _, o := range r.options {
		o.counts = make([]int, len(r.req.Limits))
		for i, l := range r.req.Limits {
			for _, part := range o.entry().Parts() {
				if part.Kind == element.Jump && (l.Jump != "" && part.Bare() == l.Jump || l.Jump == "" && int(part.Turns) == l.Turns) {
					o.counts[i]++
				}
			}
		}
	}
}

// rest checks what else a request says.
func (r *reader) rest() {
	half := &r.req.SecondHalf
	if half.Success < 0 || half.Success > One {
		r.fault("secondHalf.success", rules.ReasonFieldInvalid, "is %v; allowed is %s", half.Success, rules.Allowed("0 to 1"))
	}
	scale := &r.content.Season.GOE
	if most := rules.Points(scale.Max-scale.Min) * rules.Point; half.Grade > most || half.Grade < -most {
		r.fault("secondHalf.grade", rules.ReasonMarkOutOfRange, "is %v; allowed is %s", half.Grade, rules.Allow("-%d to +%d", scale.Max-scale.Min, scale.Max-scale.Min))
	}
	if half.AtMost != nil && *half.AtMost < 0 {
		r.fault("secondHalf.atMost", rules.ReasonFieldInvalid, "is %d; allowed is %s", *half.AtMost, rules.Allowed("0 or more"))
	}
	if r.req.Plans < 0 || r.req.Plans > MaxPlans {
		r.fault("plans", rules.ReasonFieldInvalid, "is %d; allowed is %s", r.req.Plans, rules.Allow("1 to %d", MaxPlans))
	}
	if r.req.Aim != ChanceOfTarget {
		return
	}
	if r.req.Target == nil {
		r.fault("target", rules.ReasonFieldRequired, "is empty: the aim CHANCE_OF_TARGET needs the segment score that is wanted, such as \"105.00\"")
	}
	if len(r.req.Components) == 0 {
		r.fault("components", rules.ReasonFieldRequired, "is empty: the aim CHANCE_OF_TARGET needs the expected average mark of every component")
	}
}

// points refuses grades whose points the season does not state.
func (p *planner) points(r *reader) {
	for _, o := range p.options {
		for j, x := range o.outcomes {
			at := fmt.Sprintf("abilities[%d].grade", o.ability)
			if j > 0 {
				at = fmt.Sprintf("abilities[%d].misses[%d].grade", o.ability, j-1)
				if len(p.req.Abilities[o.ability].Misses) == 0 {
					at = fmt.Sprintf("abilities[%d].misses", o.ability)
				}
			}
			for _, m := range []mode{firstHalf, secondHalf} {
				var found rules.Warnings
				grade := p.gradeIn(x, m)
				if _, known := p.content.Score(x.code.entry, x.code.entry.Alone(), false, grade, &found); !known {
					r.fault(at, rules.ReasonGOEUnknown, "the points of the grade %v of %s are not known in season %s", grade, x.code.entry.Code(), p.season.Params.Season)
				}
				for i := range found {
					p.out.Warnings.Add(&found[i], fmt.Sprintf("abilities[%d]", o.ability))
				}
			}
		}
	}
}

// prepare makes the options ready and puts those together that look at each other.
func (p *planner) prepare() {
	p.fall = p.season.Deduction(p.content.Category, "FALL")
	if p.fall != nil {
		p.leastFall = p.fall.Each
		if len(p.fall.Steps) > 0 {
			p.leastFall = slices.Min(p.fall.Steps)
			p.steps = slices.IsSorted(p.fall.Steps)
			for n := range p.beyond {
				p.beyond[n] = micro(p.deduction(n)-rules.Points(n)*p.leastFall) * microPerHundredth
			}
		}
	}
	p.bonuses = -1
	if half := &p.content.Segment.SecondHalf; half.Which == "last" {
		p.bonuses = half.Last
	}
	places := 0
	_, boxes := p.content.Boxes()
	for _, b := range boxes {
		if b.Kind == element.Jump.String() {
			places += b.Max
		}
	}
	p.later = (places + 1) / 2
	if most := p.req.SecondHalf.AtMost; most != nil {
		p.later = *most
	}
	p.memory, p.known, p.steady = &scratch{}, map[cluster]micro{}, p.content.Steady()
	p.roots = []program.Tally{p.content.Begin(false)}
	if p.content.Layout().ShortJumps != nil {
		p.roots = append(p.roots, p.content.Begin(true))
	}
	p.usable()
	for _, o := range p.options {
		o.bonus = p.content.EarnsBonus(o.entry())
		o.halves = o.bonus || o.jump() || tiring(o.entry()) && (p.tires() || p.req.SecondHalf.Grade != 0)
		o.most = 1
		if o.jump() && !o.entry().Combined() {
			o.most = 2
		}
		if most := p.req.Abilities[o.ability].AtMost; most != nil {
			o.most = *most
		}
		o.most = max(o.most, o.least)
		for i := range o.fits {
			o.fits[i] = p.content.Fits(o.entry(), i)
		}
		p.ready(o)
	}
	p.group()
}

// usable leaves out the abilities that lose value even alone, with the finding.
func (p *planner) usable() {
	var kept []*option
	for _, o := range p.options {
		e := o.entry()
		usable := false
		if e.Jump() && p.content.Layout().ShortJumps != nil {
			for place := range program.Places {
				usable = usable || p.content.Fits(e, place)
			}
			usable = usable && e.Box() >= 0
		} else {
			t := p.content.Begin(false)
			usable = !t.Add(e).Error
		}
		if usable {
			kept = append(kept, o)
			continue
		}
		for _, f := range p.alone(o) {
			if f.Severity == program.Error {
				p.out.Unusable = append(p.out.Unusable, Unusable{o.ability, f})
				break
			}
		}
	}
	p.options = kept
}

// alone returns what the check finds of an ability alone.
func (p *planner) alone(o *option) []program.Finding {
	result, faults := program.Check(p.season, &program.Program{
		Category: p.req.Category, Segment: p.req.Segment, Scope: p.req.Scope, Elements: []program.Planned{{Code: o.code}},
	})
	if len(faults) > 0 {
		return nil
	}
	return result.Findings
}

// group puts options together that share a box, that are jumps or spins, that share
// the bonus of the last elements, or whose falls cost more the more there are. Groups
// do not look at each other: the best program is the best of each. Without any jump
// element all are one group, so that plans can differ.
func (p *planner) group() {
	const (
		jumps = iota + rules.MaxBoxes
		spins
		bonus
		tokens
	)
	parent := make([]int, tokens)
	for i := range parent {
		parent[i] = i
	}
	var root func(i int) int
	root = func(i int) int {
		if parent[i] != i {
			parent[i] = root(parent[i])
		}
		return parent[i]
	}
	steps := p.fall != nil && len(p.fall.Steps) > 0 // one fall changes what another costs
	anyJump := slices.ContainsFunc(p.options, (*option).jump)
	for _, o := range p.options {
		join := func(token int) { parent[root(o.box())] = root(token) }
		if o.jump() || !anyJump || steps && o.canFall() {
			join(jumps)
		}
		if o.entry().Kind() == element.Spin && p.content.Layout().Spins != nil {
			join(spins)
		}
		if p.bonuses >= 0 && o.bonus {
			join(bonus)
		}
	}
	byRoot := map[int]int{}
	for i, o := range p.options {
		r := root(o.box())
		g, known := byRoot[r]
		if !known {
			g = len(p.groups)
			byRoot[r] = g
			p.groups = append(p.groups, nil)
		}
		o.group = g
		p.groups[g] = append(p.groups[g], i)
	}
	if main, ok := byRoot[root(jumps)]; ok && main > 0 {
		p.groups[0], p.groups[main] = p.groups[main], p.groups[0]
		for g := range p.groups {
			for _, i := range p.groups[g] {
				p.options[i].group = g
			}
		}
	}
}

// canFall reports whether an outcome is a fall.
func (o *option) canFall() bool {
	return slices.ContainsFunc(o.outcomes, func(x *outcome) bool { return x.fall })
}
