package table

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
)

func checkPairs(c *check, p *rules.PairRules) {
	if p.Spins != nil {
		checkSpins(c, p.Spins)
	}
	if p.Steps != nil {
		checkSteps(c, p.Steps)
	}
	held := []rules.SpinFault{rules.NoBasicPosition, rules.OneBasicPosition, rules.TwoPositions}
	checkPairElement(c, p.Lifts, "pair lift", rules.LiftFeatures, nil)
	checkPairElement(c, p.TwistLifts, "twist lift", rules.TwistFeatures, nil)
	checkPairElement(c, p.DeathSpirals, "death spiral", rules.DeathSpiralFeatures, nil)
	checkPairElement(c, p.PairSpins, "pair spin", rules.PairSpinFeatures, held)
	for words, e := range map[string]*rules.PairElementRules{"pair lift": p.Lifts, "twist lift": p.TwistLifts} {
		if e != nil && e.Position != nil {
			c.at(&e.Position, "has no meaning for a %s", words)
		}
	}
	for _, e := range []*rules.PairElementRules{p.DeathSpirals, p.PairSpins} {
		switch {
		case e == nil:
		case e.Position == nil:
			c.at(&e.Position, "is missing: say how many revolutions a position needs")
		case e.Position.Revolutions < 1 || e.Position.Revolutions > 20*rules.Revolution:
			c.at(&e.Position.Revolutions, "is %d; allowed is 1 to %d", int(e.Position.Revolutions), int(20*rules.Revolution))
		}
	}
}

// checkPairElement reports what is wrong with the rules of an element that counts
// features; faults are those that it knows.
func checkPairElement(c *check, e *rules.PairElementRules, words string, features []rules.PairFeature, faults []rules.SpinFault) {
	if e == nil {
		return
	}
	if len(e.Codes) == 0 || slices.Contains(e.Codes, "") {
		c.at(&e.Codes, "is missing: give the codes without level, such as 5ALi")
	}
	checkScale(c, &e.Levels)
	if len(e.Features) == 0 {
		c.at(&e.Features, "is missing: name the features that raise a level of a %s", words)
	}
	keysOneOf(c, e.Features, features)
	for _, name := range rules.SortedKeys(e.Features) {
		f := rules.PairFeature(name)
		if rule := e.Features[f]; rule == nil || rule.Words == "" {
			c.at(in(e.Features, name), "words is missing: say what the couple must do")
		} else if slices.Contains(features, f) {
			checkPairFeature(c, f, rule)
		}
	}
	keysOneOf(c, e.Faults, faults)
	for _, name := range rules.SortedKeys(e.Faults) {
		at := in(e.Faults, name)
		rule := e.Faults[rules.SpinFault(name)]
		if rule == nil {
			c.at(at, "is empty: say its effect")
			continue
		}
		oneOf(c, &rule.Effect, []rules.FaultEffect{rules.FaultNone, rules.FaultReduces, rules.FaultNoLevel})
		if rule.Effect == rules.FaultReduces && (e.Reduced == nil || len(e.Reduced.Signs) == 0) {
			c.at(&rule.Effect, "reduces the value, but the rules of the %s do not say with which sign (reduced)", words)
		}
		if len(rule.Segments)+len(rule.Spins) > 0 {
			c.at(at, "knows neither segments nor spins here")
		}
	}
}

func checkPairFeature(c *check, f rules.PairFeature, r *rules.PairFeatureRule) {
	within(c, &r.Times, 0, 20)
	within(c, &r.PerProgram, 0, 20)
	oneOfEach(c, r.NotIn, rules.SegmentKeys)
	oneOfEach(c, r.In, rules.SpinPlaces)
	for _, key := range []struct {
		field any
		set   bool
		must  bool // where it has a meaning it must be there
		of    []rules.PairFeature
	}{
		{&r.SimpleFor, len(r.SimpleFor) > 0, false, []rules.PairFeature{rules.DifficultTakeOff, rules.DifficultLanding, rules.DifficultCarry}},
		{&r.MustDiffer, r.MustDiffer, false, []rules.PairFeature{rules.DifficultTakeOff, rules.DifficultLanding, rules.ChangeOfHold, rules.WomanVariation}},
		{&r.BrokenByCarry, r.BrokenByCarry, false, []rules.PairFeature{rules.ChangeOfHold, rules.ChangeOfLiftDirection}},
		{&r.Group, r.Group != "", false, []rules.PairFeature{rules.SpiralEntrance, rules.SpiralExit}},
		{&r.MinRevolutions, r.MinRevolutions > 0, true, []rules.PairFeature{rules.OneHandHold, rules.FurtherOneHandHold, rules.SixRevolutions}},
		{&r.MinPart, r.MinPart > 0, false, []rules.PairFeature{rules.OneHandHold}},
		{&r.Least, r.Least > 0, true, []rules.PairFeature{rules.ChangesOfPosition, rules.VariationsOfBoth, rules.FurtherVariation}},
		{&r.EachPartner, r.EachPartner > 0, false, []rules.PairFeature{rules.VariationsOfBoth, rules.FurtherVariation}},
		{&r.MaxNonBasic, r.MaxNonBasic > 0, false, []rules.PairFeature{rules.VariationsOfBoth, rules.FurtherVariation}},
		{&r.In, len(r.In) > 0, true, []rules.PairFeature{rules.SixRevolutions}},
	} {
		has := slices.Contains(key.of, f)
		switch {
		case key.set && !has:
			c.at(key.field, "has no meaning for this feature")
		case key.must && has && !key.set:
			c.at(key.field, "is missing: this feature needs it")
		}
	}
}

func checkDance(c *check, d *rules.DanceRules) {
	if k := d.KeyPoints; k != nil {
		if n := len(k.Levels); n < 2 || n > 7 {
			c.at(&k.Levels, "has %d levels; allowed is 2 to 7", n)
		}
		if !slices.IsSorted(k.Levels) {
			c.at(&k.Levels, "must rise: the level for no key point met, for one and so on")
		}
		if k.Incomplete != nil {
			oneOf(c, &k.Incomplete.Effect, []rules.FaultEffect{rules.FaultNone, rules.FaultNoLevel})
		}
	}
	t := d.Twizzles
	if t == nil {
		return
	}
	if len(t.Codes) == 0 || slices.Contains(t.Codes, "") {
		c.at(&t.Codes, "is missing: give the codes without partner and level, such as SqTw")
	}
	if t.Partners.Woman == "" || t.Partners.Man == "" || t.Partners.Woman == t.Partners.Man {
		c.at(&t.Partners, "want two different letters, such as woman: W and man: M")
	}
	checkFloor(c, &t.Floor)
	if len(t.Steps) == 0 {
		c.at(&t.Steps, "is missing: say what each level needs")
	}
	for i := range t.Steps {
		step := &t.Steps[i]
		within(c, &step.Level, 1, rules.MaxLevel)
		within(c, &step.Features, 0, 20)
		oneOfEach(c, step.BothDirections, t.Codes)
		if i > 0 && (step.Level <= t.Steps[i-1].Level || step.Rotations < t.Steps[i-1].Rotations || step.Features < t.Steps[i-1].Features) {
			c.at(step, "must rise above the step before it")
		}
	}
}
