package rules

import (
	"fmt"
	"slices"
)

// pairKind is one kind of pair element that counts features.
type pairKind struct {
	key      string
	words    string
	rules    *PairElementRules
	features []PairFeature
}

func (p *PairRules) kinds() []pairKind {
	return []pairKind{
		{"lifts", "pair lift", p.Lifts, LiftFeatures},
		{"twist_lifts", "twist lift", p.TwistLifts, TwistFeatures},
		{"death_spirals", "death spiral", p.DeathSpirals, DeathSpiralFeatures},
		{"pair_spins", "pair spin", p.PairSpins, PairSpinFeatures},
	}
}

func (p *PairRules) check(bad report) {
	below := func(path, format string, args ...any) { bad("pairs."+path, format, args...) }
	if p.Spins != nil {
		p.Spins.check(below)
	}
	if p.Steps != nil {
		p.Steps.check(below)
	}
	for _, kind := range p.kinds() {
		if kind.rules != nil {
			kind.rules.check(below, kind)
		}
	}
}

func (e *PairElementRules) check(bad report, kind pairKind) {
	if len(e.Codes) == 0 || slices.Contains(e.Codes, "") {
		bad(kind.key+".codes", "is missing: give the codes without level, such as 5ALi")
	}
	e.Levels.check(bad, kind.key+".levels")
	held := kind.key == "death_spirals" || kind.key == "pair_spins"
	switch {
	case held && e.Position == nil:
		bad(kind.key+".position", "is missing: say how many revolutions a position needs")
	case !held && e.Position != nil:
		bad(kind.key+".position", "has no meaning for a %s", kind.words)
	case held:
		within(bad, kind.key+".position.revolutions", int(e.Position.Revolutions), 1, int(20*Revolution))
	}
	if len(e.Features) == 0 {
		bad(kind.key+".features", "is missing: name the features that raise a level")
	}
	for _, name := range SortedKeys(e.Features) {
		path := kind.key + ".features." + name
		oneOf(bad, path, PairFeature(name), kind.features)
		if rule := e.Features[PairFeature(name)]; rule == nil || rule.Words == "" {
			bad(path+".words", "is missing: say what the couple must do")
		} else if slices.Contains(kind.features, PairFeature(name)) {
			rule.check(bad, path, PairFeature(name))
		}
	}
	faults := []SpinFault{NoBasicPosition, OneBasicPosition, TwoPositions}
	if kind.key != "pair_spins" {
		faults = nil
	}
	for _, name := range SortedKeys(e.Faults) {
		path := kind.key + ".faults." + name
		oneOf(bad, path, SpinFault(name), faults)
		rule := e.Faults[SpinFault(name)]
		if rule == nil {
			bad(path, "is empty: say its effect")
			continue
		}
		oneOf(bad, path+".effect", rule.Effect, []FaultEffect{FaultNone, FaultReduces, FaultNoLevel})
		if rule.Effect == FaultReduces && (e.Reduced == nil || len(e.Reduced.Signs) == 0) {
			bad(path+".effect", "reduces the value, but %s.reduced does not say with which sign", kind.key)
		}
		if len(rule.Segments)+len(rule.Spins) > 0 {
			bad(path, "knows neither segments nor spins here")
		}
	}
}

func (r *PairFeatureRule) check(bad report, path string, f PairFeature) {
	within(bad, path+".times", r.Times, 0, 20)
	within(bad, path+".per_program", r.PerProgram, 0, 20)
	for i, segment := range r.NotIn {
		oneOf(bad, fmt.Sprintf("%s.not_in[%d]", path, i), segment, SegmentKeys)
	}
	for i, place := range r.In {
		oneOf(bad, fmt.Sprintf("%s.in[%d]", path, i), place, SpinPlaces)
	}
	for _, key := range []struct {
		name string
		set  bool
		must bool // where it has a meaning it must be there
		of   []PairFeature
	}{
		{"simple_for", len(r.SimpleFor) > 0, false, []PairFeature{DifficultTakeOff, DifficultLanding, DifficultCarry}},
		{"must_differ", r.MustDiffer, false, []PairFeature{DifficultTakeOff, DifficultLanding, ChangeOfHold, WomanVariation}},
		{"broken_by_carry", r.BrokenByCarry, false, []PairFeature{ChangeOfHold, ChangeOfLiftDirection}},
		{"group", r.Group != "", false, []PairFeature{SpiralEntrance, SpiralExit}},
		{"min_revolutions", r.MinRevolutions > 0, true, []PairFeature{OneHandHold, FurtherOneHandHold, SixRevolutions}},
		{"min_part", r.MinPart > 0, false, []PairFeature{OneHandHold}},
		{"least", r.Least > 0, true, []PairFeature{ChangesOfPosition, VariationsOfBoth, FurtherVariation}},
		{"each_partner", r.EachPartner > 0, false, []PairFeature{VariationsOfBoth, FurtherVariation}},
		{"max_non_basic", r.MaxNonBasic > 0, false, []PairFeature{VariationsOfBoth, FurtherVariation}},
		{"in", len(r.In) > 0, true, []PairFeature{SixRevolutions}},
	} {
		has := slices.Contains(key.of, f)
		switch {
		case key.set && !has:
			bad(path+"."+key.name, "has no meaning for this feature")
		case key.must && has && !key.set:
			bad(path+"."+key.name, "is missing: this feature needs it")
		}
	}
}

func (d *DanceRules) check(bad report) {
	if k := d.KeyPoints; k != nil {
		path := "dance.key_points"
		within(bad, path+".levels", len(k.Levels), 2, 7)
		if !slices.IsSorted(k.Levels) {
			bad(path+".levels", "must rise: the level for no key point met, for one and so on")
		}
		if k.Incomplete != nil {
			oneOf(bad, path+".incomplete.effect", k.Incomplete.Effect, []FaultEffect{FaultNone, FaultNoLevel})
		}
	}
	t := d.Twizzles
	if t == nil {
		return
	}
	path := "dance.twizzles"
	if len(t.Codes) == 0 || slices.Contains(t.Codes, "") {
		bad(path+".codes", "is missing: give the codes without partner and level, such as SqTw")
	}
	if t.Partners.Woman == "" || t.Partners.Man == "" || t.Partners.Woman == t.Partners.Man {
		bad(path+".partners", "want two different letters, such as woman: W and man: M")
	}
	if t.Floor != LevelB && t.Floor != 1 {
		bad(path+".floor", "is %s; allowed are B and 1", t.Floor)
	}
	if len(t.Steps) == 0 {
		bad(path+".steps", "is missing: say what each level needs")
	}
	for i, step := range t.Steps {
		path := fmt.Sprintf("%s.steps[%d]", path, i)
		within(bad, path+".level", int(step.Level), 1, int(MaxLevel))
		within(bad, path+".features", step.Features, 0, 20)
		for n, code := range step.BothDirections {
			oneOf(bad, fmt.Sprintf("%s.both_directions[%d]", path, n), code, t.Codes)
		}
		if i > 0 && (step.Level <= t.Steps[i-1].Level || step.Rotations < t.Steps[i-1].Rotations || step.Features < t.Steps[i-1].Features) {
			bad(path, "must rise above the step before it")
		}
	}
}
