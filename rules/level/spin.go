package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// spinCall calls the spins of programs, one after another.
type spinCall struct {
	rules    spinRules
	segment  string
	category string
	max      rules.Level
	cap      *rules.Clause // the rule behind max

	// Memory for one spin after the other.
	before  usage // of the program, before the spin
	verdict verdict
	search  search
}

// begin makes it ready for the spins of a program.
func (c *spinCall) begin(r *rules.SpinRules, p *Program) {
	if c.rules.SpinRules != r {
		c.rules.set(r)
	}
	c.segment, c.category, c.max, c.cap = p.Segment, p.Category, maxLevel(p), p.Cap
}

// forget lets go of what was skated.
func (c *spinCall) forget() {
	c.verdict.sh.forget()
	c.search.forget()
}

// mandatoryFeature stands for the set of features of which a level needs one,
// where all of them are missing.
const mandatoryFeature = "MANDATORY_FEATURE"

// verdict is what is found about one spin before it is put into words.
type verdict struct {
	sh      shape
	look    collector
	lists   lists
	sets    [][]int // of difficult variations
	claims  []claim
	choice  choice
	faults  []fault
	rest    []claim // of the part that is not called
	level   rules.Level
	noValue bool
	called  bool // false when it is no spin at all
	lacks   bool // only a feature of the mandatory set is missing for its level
	notes   []string
	warn    clauses
}

// fault is a fault found in a spin and what it does.
type fault struct {
	kind   rules.SpinFault
	effect rules.FaultEffect
	rule   *rules.SpinFaultRule
}

// judge finds the level of a spin, in the memory of the verdict before, and uses up in
// used what it tried.
func (c *spinCall) judge(v *verdict, s *Spin, used *usage) {
	v.lists, v.claims, v.faults, v.notes, v.warn = v.lists[:0], v.claims[:0], v.faults[:0], v.notes[:0], v.warn[:0]
	v.choice, v.rest, v.level, v.noValue, v.called, v.lacks = choice{}, nil, rules.NoLevel, false, false, false
	s = c.firstPart(s, v)
	v.sh.read(&c.rules, s, used)
	if v.sh.total < c.rules.Revolutions.Spin {
		v.noValue = true
		v.warn.rest(&c.rules.Revolutions.Clause)
		v.notes = append(v.notes, fmt.Sprintf("With %s in all this is not a spin: it needs %s.", turns(v.sh.total), c.rules.Revolutions.Spin))
		v.claims = notCalled(s, 0, &c.rules.Revolutions.Clause)
		return
	}
	v.called = true
	v.look = collector{spinCall: c, verdict: v, used: used, spinUses: v.look.spinUses[:0]}
	v.look.collect()
	v.choice = c.choose(v)
	c.useEight(v, used)
	c.findFaults(v, used)
	v.warn.rest(&c.rules.Levels.Clause)
	v.level = v.choice.level
	for _, f := range v.faults {
		switch f.effect {
		case rules.FaultNoLevel:
			v.level, v.noValue = rules.NoLevel, true
		case rules.FaultNoValue:
			v.noValue = true
		case rules.FaultLevelOne:
			v.level = min(v.level, 1)
		}
	}
	v.level = min(v.level, c.max)
}

// firstPart cuts a spin that is really two where the season calls the first only.
func (c *spinCall) firstPart(s *Spin, v *verdict) *Spin {
	for f := range s.Feet {
		if s.Feet[f].Change != ByCurves || s.Feet[f].DirectionReversed {
			continue
		}
		found := c.effect(v, rules.TwoSpins, "")
		if found == nil {
			return s
		}
		if found.effect == rules.FaultFirstPart {
			v.rest = notCalled(s, f, &found.rule.Clause)
			part := *s
			part.Feet, part.DifficultExit = s.Feet[:f], false
			return &part
		}
	}
	return s
}

// effect notes a fault when the season has a rule for it that does something.
func (c *spinCall) effect(v *verdict, kind rules.SpinFault, spin rules.SpinKind) *fault {
	rule := c.rules.Faults[kind]
	if rule == nil || spin != "" && len(rule.Spins) > 0 && !slices.Contains(rule.Spins, spin) {
		return nil
	}
	effect := rule.Effect
	if here, ok := rule.Segments[c.segment]; ok {
		effect = here
	}
	if effect == rules.FaultNone {
		return nil
	}
	v.warn.rest(&rule.Clause)
	v.faults = append(v.faults, fault{kind: kind, effect: effect, rule: rule})
	return &v.faults[len(v.faults)-1]
}

func (c *spinCall) findFaults(v *verdict, used *usage) {
	sh, kind := &v.sh, v.sh.kind()
	rev := &c.rules.Revolutions
	if sh.spin.Flying == StepOver {
		c.effect(v, rules.FlyingWithoutJump, kind)
	}
	switch {
	case len(sh.held) == 0:
		c.effect(v, rules.NoBasicPosition, kind)
	case sh.combination && len(sh.held) == 1:
		c.effect(v, rules.OneBasicPosition, kind)
	case sh.combination && len(sh.held) == 2:
		c.effect(v, rules.TwoPositions, kind)
	}
	if sh.change {
		if sh.revolutionsOn(0) < rev.Foot || sh.revolutionsOn(1) < rev.Foot {
			c.effect(v, rules.FewRevolutionsOnAFoot, kind)
		}
		if len(sh.held) > 0 && (!sh.basicOn(0, rev.Position) || !sh.basicOn(1, rev.Position)) {
			c.effect(v, rules.NoBasicOnAFoot, kind)
		}
	}
	if len(sh.feet) > 2 {
		c.effect(v, rules.SecondChangeOfFoot, kind)
	}
	code := sh.skeleton()
	if slices.Contains(used.codes, code) {
		c.effect(v, rules.SameCode, kind)
	}
	used.codes = append(used.codes, code)
	if sh.combination {
		return
	}
	if one := c.rules.Faults[rules.OneBasicPosition]; one != nil && one.Effect == rules.FaultNoLevel && sh.nonBasicHeld() {
		v.notes = append(v.notes, "A non-basic position makes no spin combination, so this is called as a spin in one position. If the panel sees a combination that was tried, it has one basic position only: there is no level and no value.")
	}
	here := placed{letter: sh.letter, flying: sh.flying}
	if slices.Contains(used.onePlace, placed{letter: here.letter, flying: !here.flying}) {
		c.effect(v, rules.SamePositionAsFlying, kind)
	}
	used.onePlace = append(used.onePlace, here)
}

// useEight uses up the eight revolutions where they were done, also when they
// raised no level.
func (c *spinCall) useEight(v *verdict, used *usage) {
	done := -1
	for i := range v.claims {
		if v.claims[i].feature != rules.EightRevolutions || v.claims[i].reason != "" {
			continue
		}
		if done < 0 || slices.Contains(v.choice.taken, i) {
			done = i
		}
	}
	if done >= 0 {
		used.features = append(used.features, rules.EightRevolutions)
		used.eights = append(used.eights, v.claims[done].family)
	}
}

// explain judges a spin and puts the verdict into words.
func (c *spinCall) explain(s *Spin, used *usage) (Called, clauses) {
	v := &c.verdict
	c.before.set(used)
	c.judge(v, s, used)
	if v.called {
		v.notes = append(v.notes, c.withoutLimit(v)...)
		c.reasons(v)
	}
	call := Called{NoValue: v.noValue, Level: v.level.String()}
	if v.called {
		call.Code, call.Reduced = c.code(v)
	}
	for _, f := range v.faults {
		note := faultNotes[f.kind] + ": " + effectNotes[f.effect]
		v.notes = append(v.notes, note+".")
	}
	call.Features = make([]Feature, 0, len(v.claims)+len(v.rest))
	for _, claims := range [...][]claim{v.claims, v.rest} {
		for i := range claims {
			call.Features = append(call.Features, c.feature(&claims[i]))
		}
	}
	m := c.rules.Mandatory
	if v.lacks {
		call.Features = append(call.Features, Feature{
			Feature: mandatoryFeature, Reason: MandatoryMissing, Rule: m.ID,
			Message: fmt.Sprintf("Level %s also needs at least one of: %s. None of them counts here.", m.Level, mandatoryWords(m)),
		})
	}
	switch {
	case v.level == rules.NoLevel:
	case v.level >= c.max:
		if c.max < rules.MaxLevel && v.choice.level > c.max {
			v.warn.rest(c.cap)
			v.notes = append(v.notes, capNote(c.max))
		}
	default:
		call.ToNextLevel = c.next(s)
		if m != nil && v.level+1 >= m.Level {
			v.warn.rest(&m.Clause)
		}
	}
	call.Notes = append(call.Notes, v.notes...)
	return call, v.warn
}

// feature puts a claim into words.
func (c *spinCall) feature(cl *claim) Feature {
	f := Feature{
		Feature: public(c.rules.SpinRules, cl.feature), At: cl.at, Reason: cl.reason, Counted: cl.reason == "", Message: sentence(cl.message),
	}
	if cl.rule != nil {
		f.Rule = cl.rule.ID
	}
	return f
}

// withoutLimit says what the level would be without a limit of difficult
// variations that is not surely known, where that is another one.
func (c *spinCall) withoutLimit(v *verdict) []string {
	limit := c.rules.Variations
	if limit == nil || limit.Warn == nil || len(v.choice.barred) == 0 || v.level == rules.NoLevel {
		return nil
	}
	free := *c.rules.SpinRules
	free.Variations = nil
	other := spinCall{rules: spinRules{SpinRules: &free}}
	level := min(other.choose(v).level, c.max)
	if level == v.level || v.levelFault(rules.FaultLevelOne).kind != "" {
		return nil
	}
	return []string{fmt.Sprintf(
		"That only %d difficult variations count in one spin is not surely known in this season; without this limit the level would be %s.", limit.Max, level,
	)}
}

// code prints the code of a called spin and reports whether its value is reduced.
func (c *spinCall) code(v *verdict) (string, bool) {
	code := v.sh.skeleton().String()
	reductions := 0
	for _, f := range v.faults {
		if f.effect == rules.FaultReduces {
			reductions++
		}
	}
	if v.level == rules.NoLevel {
		return code, false
	}
	if c.rules.PositionsInCode != nil && v.sh.combination {
		v.warn.rest(&c.rules.PositionsInCode.Clause)
		code += fmt.Sprintf("%dp", len(v.sh.held))
	}
	code += v.level.String()
	if reductions > 0 {
		v.warn.rest(&c.rules.Reduced.Clause)
		signs := c.rules.Reduced.Signs
		code += signs[min(reductions, len(signs))-1]
	}
	if v.noValue {
		code += "*"
	}
	return code, reductions > 0
}

// reasons writes why claims that could count were not taken, so that the
// features counted are those that make the level.
func (c *spinCall) reasons(v *verdict) {
	refuse := func(i int, reason Reason, rule *rules.Clause, message string) {
		cl := &v.claims[i]
		cl.reason, cl.message = reason, message
		if rule != nil {
			cl.rule = rule
			v.warn.rest(rule)
		}
	}
	for _, i := range v.choice.barred {
		if v.claims[i].feature == rules.EightRevolutions {
			refuse(i, LimitPerSpin, nil, count(c.rules.Features[rules.EightRevolutions].MinRevolutions)+" revolutions count once in a spin; they were taken where they help the level most")
			continue
		}
		limit := c.rules.Variations
		refuse(i, LimitPerSpin, &limit.Clause, variationLimitWords(limit))
	}
	for _, i := range v.choice.over {
		refuse(i, LimitPerFoot, &c.rules.PerFoot.Clause, fmt.Sprintf("%d features count on one foot of a spin with change of foot; this foot has them already", c.rules.PerFoot.Max))
	}
	taken := v.choice.taken
	m := c.rules.Mandatory
	enough := m != nil && c.rules.Levels.Of(len(taken)) >= m.Level
	if enough {
		taken = mandatoryFirst(taken, v.claims, m, c.rules.Levels.Needs)
	}
	if v.level == rules.NoLevel {
		f := v.levelFault(rules.FaultNoLevel)
		for _, i := range taken {
			refuse(i, faultReason(f.kind), &f.rule.Clause, faultNotes[f.kind]+": "+effectNotes[f.effect])
		}
		return
	}
	most := len(taken)
	if v.level > rules.LevelB {
		most = max(c.rules.Levels.Needs[v.level-1], min(1, int(v.level)))
	}
	for n, i := range taken {
		switch {
		case n < most:
		case v.level == c.max && c.max < rules.MaxLevel && v.choice.level >= c.max:
			refuse(i, LevelCap, c.cap, capNote(c.max))
		case v.level == rules.MaxLevel:
			refuse(i, Surplus, &c.rules.Levels.Clause, fmt.Sprintf("%d features already make the highest level", most))
		case v.level < v.choice.level:
			f := v.levelFault(rules.FaultLevelOne)
			refuse(i, faultReason(f.kind), &f.rule.Clause, faultNotes[f.kind]+": "+effectNotes[f.effect])
		case enough: // they count all the same: what is missing is another one
			v.lacks = true
			v.warn.rest(&m.Clause)
		}
	}
}

// mandatoryFirst moves a mandatory feature among those that make the level.
func mandatoryFirst(taken []int, claims []claim, m *rules.MandatoryFeatures, needs []int) []int {
	most := needs[m.Level-1]
	wanted := func(i int) bool { return slices.Contains(m.AnyOf, claims[i].feature) }
	n := slices.IndexFunc(taken, wanted)
	if n < most {
		return taken
	}
	moved := slices.Clone(taken)
	moved[most-1], moved[n] = moved[n], moved[most-1]
	return moved
}

func (v *verdict) levelFault(effect rules.FaultEffect) fault {
	for _, f := range v.faults {
		if f.effect == effect {
			return f
		}
	}
	return fault{rule: &rules.SpinFaultRule{}}
}
