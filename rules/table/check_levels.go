package table

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

// checkLevels reports every fault in the meaning of the level rules.
func checkLevels(c *check, r *rules.LevelRules) {
	if r.Spins == nil && r.Steps == nil && r.Pairs == nil && r.Dance == nil {
		c.at(&r.Spins, "is missing: a table of levels needs spins, steps, pairs or dance")
	}
	keysOneOf(c, r.Missing, rules.LevelledKinds)
	if r.Spins != nil {
		checkSpins(c, r.Spins)
	}
	if r.Steps != nil {
		checkSteps(c, r.Steps)
	}
	if r.Pairs != nil {
		checkPairs(c, r.Pairs)
	}
	if r.Dance != nil {
		checkDance(c, r.Dance)
	}
}

func checkScale(c *check, s *rules.LevelScale) {
	checkFloor(c, &s.Floor)
	if len(s.Needs) != int(rules.MaxLevel) {
		c.at(&s.Needs, "want four numbers: the features for level 1, 2, 3 and 4")
	} else if !slices.IsSorted(s.Needs) || s.Needs[0] < 0 {
		c.at(&s.Needs, "must rise from level 1 to level 4")
	}
}

func checkFloor(c *check, floor *rules.Level) {
	if *floor != rules.LevelB && *floor != 1 {
		c.at(floor, "is %s; allowed are B and 1", *floor)
	}
}

func checkSpins(c *check, s *rules.SpinRules) {
	for _, n := range []*rules.Revolutions{&s.Revolutions.Spin, &s.Revolutions.Foot, &s.Revolutions.Position, &s.Revolutions.Reach} {
		if *n < 1 || *n > 20*rules.Revolution {
			c.at(n, "is %d; allowed is 1 to %d", int(*n), int(20*rules.Revolution))
		}
	}
	checkScale(c, &s.Levels)
	if m := s.Mandatory; m != nil {
		within(c, &m.Level, 1, rules.MaxLevel)
		if len(m.AnyOf) == 0 {
			c.at(&m.AnyOf, "is empty: name the features, or leave mandatory out")
		}
		for i, f := range m.AnyOf {
			c.named(&m.AnyOf[i], string(f), "features of this table", rules.SortedKeys(s.Features))
		}
	}
	if s.PerFoot != nil {
		within(c, &s.PerFoot.Max, 1, len(rules.SpinFeatures))
	}
	if v := s.Variations; v != nil {
		within(c, &v.Max, 1, len(rules.SpinFeatures))
		oneOf(c, &v.Pick, []rules.VariationPick{rules.PickInOrder, rules.PickBest})
	}
	if u := s.UsedVariation; u != nil {
		oneOfEach(c, u.Blocks, rules.SpinFeatures)
	}
	if s.Reduced != nil && (len(s.Reduced.Signs) == 0 || slices.Contains(s.Reduced.Signs, "")) {
		c.at(&s.Reduced.Signs, "want at least one sign, such as V")
	}
	if len(s.Features) == 0 {
		c.at(&s.Features, "is missing: name the features that raise a level")
	}
	for _, name := range rules.SortedKeys(s.Features) {
		f := rules.SpinFeature(name)
		if rule := s.Features[f]; rule != nil {
			oneOfAt(c, in(s.Features, name), f, rules.SpinFeatures)
			checkFeature(c, f, rule)
		} else {
			c.at(in(s.Features, name), "is empty: write {} when it has no limits of its own")
		}
	}
	keysOneOf(c, s.Instead, rules.SpinFeatures)
	for _, name := range rules.SortedKeys(s.Instead) {
		at := in(s.Instead, name)
		switch rule := s.Instead[rules.SpinFeature(name)]; {
		case rule == nil || rule.Words == "":
			c.at(at, "want words: what the feature was in this season")
		case s.Features[rules.SpinFeature(name)] != nil:
			c.at(at, "is a feature of this table; write null here, or take it out of spins.features")
		}
	}
	checkSpinFaults(c, s)
}

func checkFeature(c *check, f rules.SpinFeature, rule *rules.FeatureRule) {
	oneOf(c, &rule.Limit, []rules.FeatureLimit{rules.ByAttempt, rules.BySuccess, rules.NoLimit})
	within(c, &rule.Times, 0, 10)
	oneOfEach(c, rule.In, rules.SpinPlaces)
	keysOneOf(c, rule.Edges, rules.SpinPlaces)
	valuesOneOf(c, rule.Edges, rules.EdgeChanges)
	oneOfSet(c, &rule.WrongPlace, []rules.WrongPlace{rules.WrongPlaceUses, rules.WrongPlaceIgnored})
	oneOfSet(c, &rule.ApartFrom, rules.SpinFeatures)
	oneOfEach(c, rule.Entries, []rules.Entry{rules.BackwardEntry, rules.DifficultEntry, rules.FlyingCamelEntry})
	keysOneOf(c, rule.AfterLayback, rules.SegmentKeys)
	for _, category := range rules.SortedKeys(rule.AfterLaybackOf) {
		of := rule.AfterLaybackOf[category]
		if of == nil || len(of.Segments) == 0 {
			c.at(in(rule.AfterLaybackOf, category), "is empty: want segments, such as segments: {short-program: 6}")
			continue
		}
		keysOneOf(c, of.Segments, rules.SegmentKeys)
	}
	oneOfSet(c, &rule.Feet, []rules.Feet{rules.SecondFoot, rules.AnyFoot})
	checkFeatureKeys(c, f, rule)
}

// checkFeatureKeys reports the keys of a feature's rule that have no meaning for
// the feature, and those that it needs.
func checkFeatureKeys(c *check, f rules.SpinFeature, rule *rules.FeatureRule) {
	knows, needs, ok := level.SpinFeatureKeys(f)
	if !ok {
		return // not a feature, which is reported
	}
	for _, key := range []struct {
		name  string
		field any
		set   bool
		say   string // what to state where it is missing
	}{
		{"in", &rule.In, len(rule.In) > 0, "say the places where it counts"},
		{"min_revolutions", &rule.MinRevolutions, rule.MinRevolutions > 0, "say how many revolutions it needs"},
		{"edges", &rule.Edges, len(rule.Edges) > 0, ""},
		{"different_positions", &rule.DifferentPlaces, rule.DifferentPlaces, ""},
		{"entries", &rule.Entries, len(rule.Entries) > 0, "say which entrances count (BACKWARD, DIFFICULT)"},
		{"after_layback", &rule.AfterLayback, len(rule.AfterLayback) > 0, "say how many revolutions"},
		{"after_layback_of", &rule.AfterLaybackOf, len(rule.AfterLaybackOf) > 0, ""},
		{"one_position_only", &rule.OnePositionOnly, rule.OnePositionOnly, ""},
		{"mixed", &rule.Mixed, rule.Mixed, ""},
		{"windmill_needs_blade", &rule.WindmillNeedsBlade, rule.WindmillNeedsBlade, ""},
		{"feet", &rule.Feet, rule.Feet != "", "want SECOND or ANY"},
		{"broken_by_jump", &rule.BrokenByJump, rule.BrokenByJump, ""},
	} {
		switch {
		case key.set && !slices.Contains(knows, key.name):
			c.at(key.field, "has no meaning for this feature")
		case !key.set && slices.Contains(needs, key.name):
			c.at(key.field, "is missing: %s", key.say)
		}
	}
}

func checkSpinFaults(c *check, s *rules.SpinRules) {
	keysOneOf(c, s.Faults, rules.SpinFaults)
	for _, name := range rules.SortedKeys(s.Faults) {
		rule := s.Faults[rules.SpinFault(name)]
		if rule == nil {
			c.at(in(s.Faults, name), "is empty: say its effect")
			continue
		}
		oneOf(c, &rule.Effect, rules.FaultEffects)
		keysOneOf(c, rule.Segments, rules.SegmentKeys)
		valuesOneOf(c, rule.Segments, rules.FaultEffects)
		oneOfEach(c, rule.Spins, rules.SpinKinds)
		does := func(effect rules.FaultEffect) bool {
			return rule.Effect == effect || slices.ContainsFunc(rules.SortedKeys(rule.Segments), func(key string) bool { return rule.Segments[key] == effect })
		}
		if does(rules.FaultReduces) && s.Reduced == nil {
			c.at(&rule.Effect, "reduces the value, but spins.reduced does not say with which sign")
		}
		if does(rules.FaultFirstPart) && rules.SpinFault(name) != rules.TwoSpins {
			c.at(&rule.Effect, "FIRST_PART has a meaning for %s only", rules.TwoSpins)
		}
	}
}

func checkSteps(c *check, s *rules.StepRules) {
	checkScale(c, &s.Levels)
	checkVariety(c, &s.Variety)
	keysOneOf(c, s.Features, rules.StepFeatures)
	for _, name := range rules.SortedKeys(s.Features) {
		rule := s.Features[rules.StepFeature(name)]
		if rule == nil || len(rule.ShownBy) == 0 || rule.Words == "" {
			c.at(in(s.Features, name), "want shown_by: what a panel reports, and words: what the skater must do")
			continue
		}
		oneOfEach(c, rule.ShownBy, rules.StepSigns)
	}
	keysOneOf(c, s.Faults, rules.StepFaults)
	for _, name := range rules.SortedKeys(s.Faults) {
		if rule := s.Faults[rules.StepFault(name)]; rule != nil {
			oneOf(c, &rule.Effect, []rules.FaultEffect{rules.FaultNone, rules.FaultFloor, rules.FaultNoLevel})
		} else {
			c.at(in(s.Faults, name), "is empty: say its effect")
		}
	}
	if len(s.Codes.Pattern) == 0 {
		c.at(&s.Codes.Pattern, "is missing: give the code, such as ANY: StSq")
	}
	keysOneOf(c, s.Codes.Pattern, append([]string{rules.AnyPattern}, rules.StepPatterns...))
	for _, pattern := range rules.SortedKeys(s.Codes.Pattern) {
		if s.Codes.Pattern[pattern] == "" {
			c.at(in(s.Codes.Pattern, pattern), "is empty: give the code, such as StSq")
		}
	}
}

func checkVariety(c *check, v *rules.TurnVariety) {
	if len(v.Types) == 0 {
		c.at(&v.Types, "is missing: name the difficult turns and steps")
	}
	oneOfEach(c, v.Types, rules.TurnTypes)
	within(c, &v.MaxPerType, 1, 10)
	if len(v.Steps) == 0 {
		c.at(&v.Steps, "is missing: say how many turns allow which level")
	}
	for i := range v.Steps {
		step := &v.Steps[i]
		if step.Name == "" {
			c.at(&step.Name, "is missing")
		}
		within(c, &step.Turns, 1, len(v.Types)*v.MaxPerType)
		within(c, &step.Level, 1, rules.MaxLevel)
		within(c, &step.BothDirections, 0, len(v.Types))
		if i > 0 && (step.Turns < v.Steps[i-1].Turns || step.Level <= v.Steps[i-1].Level) {
			c.at(step, "must rise above the step before it")
		}
	}
}
