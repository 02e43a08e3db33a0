package rules

import (
	"fmt"
	"slices"
	"strings"
)

// check reports every semantic fault of the level rules.
func (r *LevelRules) check(tell func(path, message string)) {
	bad := func(path, format string, args ...any) { tell(path, fmt.Sprintf(format, args...)) }
	if r.Spins == nil && r.Steps == nil && r.Pairs == nil && r.Dance == nil {
		bad("spins", "is missing: a table of levels needs spins, steps, pairs or dance")
	}
	for _, kind := range SortedKeys(r.Missing) {
		oneOf(bad, "missing."+kind, LevelledKind(kind), levelledKinds)
	}
	r.eachClause(func(path, _ string, c *Clause) {
		if c.Confidence != "" {
			oneOf(bad, path+".confidence", c.Confidence, confidences)
		}
	})
	if r.Spins != nil {
		r.Spins.check(bad)
	}
	if r.Steps != nil {
		r.Steps.check(bad)
	}
	if r.Pairs != nil {
		r.Pairs.check(bad)
	}
	if r.Dance != nil {
		r.Dance.check(bad)
	}
}

func (s *LevelScale) check(bad report, path string) {
	if s.Floor != LevelB && s.Floor != 1 {
		bad(path+".floor", "is %s; allowed are B and 1", s.Floor)
	}
	if len(s.Needs) != int(MaxLevel) {
		bad(path+".needs", "want four numbers: the features for level 1, 2, 3 and 4")
	} else if !slices.IsSorted(s.Needs) || s.Needs[0] < 0 {
		bad(path+".needs", "must rise from level 1 to level 4")
	}
}

func (s *SpinRules) check(bad report) {
	for _, n := range []struct {
		key   string
		value Revolutions
	}{{"spin", s.Revolutions.Spin}, {"foot", s.Revolutions.Foot}, {"position", s.Revolutions.Position}, {"reach", s.Revolutions.Reach}} {
		within(bad, "spins.revolutions."+n.key, int(n.value), 1, int(20*Revolution))
	}
	s.Levels.check(bad, "spins.levels")
	if m := s.Mandatory; m != nil {
		within(bad, "spins.mandatory.level", int(m.Level), 1, int(MaxLevel))
		if len(m.AnyOf) == 0 {
			bad("spins.mandatory.any_of", "is empty: name the features, or leave mandatory out")
		}
		for i, f := range m.AnyOf {
			s.listed(bad, fmt.Sprintf("spins.mandatory.any_of[%d]", i), f)
		}
	}
	if s.PerFoot != nil {
		within(bad, "spins.per_foot.max", s.PerFoot.Max, 1, len(SpinFeatures))
	}
	if v := s.Variations; v != nil {
		within(bad, "spins.variations.max", v.Max, 1, len(SpinFeatures))
		oneOf(bad, "spins.variations.pick", v.Pick, []VariationPick{PickInOrder, PickBest})
	}
	if u := s.UsedVariation; u != nil {
		for i, f := range u.Blocks {
			oneOf(bad, fmt.Sprintf("spins.used_variation.blocks[%d]", i), f, SpinFeatures)
		}
	}
	if s.Reduced != nil && (len(s.Reduced.Signs) == 0 || slices.Contains(s.Reduced.Signs, "")) {
		bad("spins.reduced.signs", "want at least one sign, such as V")
	}
	if len(s.Features) == 0 {
		bad("spins.features", "is missing: name the features that raise a level")
	}
	for _, name := range SortedKeys(s.Features) {
		path := "spins.features." + name
		if rule := s.Features[SpinFeature(name)]; rule != nil {
			oneOf(bad, path, SpinFeature(name), SpinFeatures)
			s.checkFeature(bad, path, SpinFeature(name), rule)
		} else {
			bad(path, "is empty: write {} when it has no limits of its own")
		}
	}
	for _, name := range SortedKeys(s.Instead) {
		path := "spins.instead." + name
		oneOf(bad, path, SpinFeature(name), SpinFeatures)
		switch rule := s.Instead[SpinFeature(name)]; {
		case rule == nil || rule.Words == "":
			bad(path, "want words: what the feature was in this season")
		case s.Features[SpinFeature(name)] != nil:
			bad(path, "is a feature of this table; write null here, or take it out of spins.features")
		}
	}
	for _, name := range SortedKeys(s.Faults) {
		s.checkFault(bad, "spins.faults."+name, SpinFault(name))
	}
}

// listed reports a feature that the season does not have.
func (s *SpinRules) listed(bad report, path string, f SpinFeature) {
	if s.Features[f] == nil {
		bad(path, "is %s; the features of this table are: %s", Quote(string(f)), strings.Join(SortedKeys(s.Features), ", "))
	}
}

// placed lists the features that count in stated places only.
var placed = []SpinFeature{DifficultVariation, ChangeOfEdge, BothDirections, IncreaseOfSpeed, EightRevolutions, DifficultBlade}

// timed lists the features that need a stated number of revolutions.
var timed = []SpinFeature{ChangeOfEdge, BothDirections, EightRevolutions, LaybackSideChange}

func (s *SpinRules) checkFeature(bad report, path string, f SpinFeature, rule *FeatureRule) {
	oneOf(bad, path+".limit", rule.Limit, []FeatureLimit{ByAttempt, BySuccess, NoLimit})
	within(bad, path+".times", rule.Times, 0, 10)
	for i, place := range rule.In {
		oneOf(bad, fmt.Sprintf("%s.in[%d]", path, i), place, SpinPlaces)
	}
	if wants := slices.Contains(placed, f); wants != (len(rule.In) > 0) {
		bad(path+".in", "%s", needs(wants, "the places where it counts"))
	}
	if wants := slices.Contains(timed, f); wants != (rule.MinRevolutions > 0) {
		bad(path+".min_revolutions", "%s", needs(wants, "how many revolutions it needs"))
	}
	for _, place := range SortedKeys(rule.Edges) {
		oneOf(bad, path+".edges", SpinPlace(place), SpinPlaces)
		oneOf(bad, path+".edges."+place, rule.Edges[SpinPlace(place)], EdgeChanges)
	}
	if rule.WrongPlace != "" {
		oneOf(bad, path+".wrong_place", rule.WrongPlace, []WrongPlace{WrongPlaceUses, WrongPlaceIgnored})
	}
	if rule.ApartFrom != "" {
		oneOf(bad, path+".apart_from", rule.ApartFrom, SpinFeatures)
	}
	for i, e := range rule.Entries {
		oneOf(bad, fmt.Sprintf("%s.entries[%d]", path, i), e, []Entry{BackwardEntry, DifficultEntry, FlyingCamelEntry})
	}
	for _, segment := range SortedKeys(rule.AfterLayback) {
		oneOf(bad, path+".after_layback", segment, SegmentKeys)
	}
	for _, category := range SortedKeys(rule.AfterLaybackOf) {
		path := path + ".after_layback_of." + category
		of := rule.AfterLaybackOf[category]
		if of == nil || len(of.Segments) == 0 {
			bad(path, "is empty: want segments, such as segments: {short-program: 6}")
			continue
		}
		for _, segment := range SortedKeys(of.Segments) {
			oneOf(bad, path+".segments", segment, SegmentKeys)
		}
	}
	if rule.Feet != "" {
		oneOf(bad, path+".feet", rule.Feet, []Feet{SecondFoot, AnyFoot})
	}
	only := func(key string, set bool, of ...SpinFeature) {
		if set && !slices.Contains(of, f) {
			bad(path+"."+key, "has no meaning for this feature")
		}
	}
	only("edges", len(rule.Edges) > 0, ChangeOfEdge)
	only("different_positions", rule.DifferentPlaces, EightRevolutions)
	only("entries", len(rule.Entries) > 0, DifficultEntrance)
	only("after_layback", len(rule.AfterLayback) > 0, BiellmannAfterLayback)
	only("after_layback_of", len(rule.AfterLaybackOf) > 0, BiellmannAfterLayback)
	only("one_position_only", rule.OnePositionOnly, LaybackSideChange)
	only("mixed", rule.Mixed, BothDirections)
	only("feet", rule.Feet != "", AllPositionsOnSecondFoot)
	only("broken_by_jump", rule.BrokenByJump, AllPositionsOnSecondFoot)
	if f == DifficultEntrance && len(rule.Entries) == 0 {
		bad(path+".entries", "is missing: say which entrances count (BACKWARD, DIFFICULT)")
	}
	if f == AllPositionsOnSecondFoot && rule.Feet == "" {
		bad(path+".feet", "is missing: want SECOND or ANY")
	}
}

func needs(wanted bool, what string) string {
	if wanted {
		return "is missing: say " + what
	}
	return "has no meaning for this feature"
}

func (s *SpinRules) checkFault(bad report, path string, f SpinFault) {
	oneOf(bad, path, f, spinFaults)
	rule := s.Faults[f]
	if rule == nil {
		bad(path, "is empty: say its effect")
		return
	}
	oneOf(bad, path+".effect", rule.Effect, faultEffects)
	effects := []FaultEffect{rule.Effect}
	for _, segment := range SortedKeys(rule.Segments) {
		oneOf(bad, path+".segments", segment, SegmentKeys)
		oneOf(bad, path+".segments."+segment, rule.Segments[segment], faultEffects)
		effects = append(effects, rule.Segments[segment])
	}
	for i, kind := range rule.Spins {
		oneOf(bad, fmt.Sprintf("%s.spins[%d]", path, i), kind, SpinKinds)
	}
	if slices.Contains(effects, FaultReduces) && s.Reduced == nil {
		bad(path+".effect", "reduces the value, but spins.reduced does not say with which sign")
	}
	if slices.Contains(effects, FaultFirstPart) && f != TwoSpins {
		bad(path+".effect", "FIRST_PART has a meaning for %s only", TwoSpins)
	}
}

func (s *StepRules) check(bad report) {
	s.Levels.check(bad, "steps.levels")
	v := &s.Variety
	if len(v.Types) == 0 {
		bad("steps.variety.types", "is missing: name the difficult turns and steps")
	}
	for i, t := range v.Types {
		oneOf(bad, fmt.Sprintf("steps.variety.types[%d]", i), t, TurnTypes)
	}
	within(bad, "steps.variety.max_per_type", v.MaxPerType, 1, 10)
	if len(v.Steps) == 0 {
		bad("steps.variety.steps", "is missing: say how many turns allow which level")
	}
	for i, step := range v.Steps {
		path := fmt.Sprintf("steps.variety.steps[%d]", i)
		if step.Name == "" {
			bad(path+".name", "is missing")
		}
		within(bad, path+".turns", step.Turns, 1, len(v.Types)*v.MaxPerType)
		within(bad, path+".level", int(step.Level), 1, int(MaxLevel))
		within(bad, path+".both_directions", step.BothDirections, 0, len(v.Types))
		if i > 0 && (step.Turns < v.Steps[i-1].Turns || step.Level <= v.Steps[i-1].Level) {
			bad(path, "must rise above the step before it")
		}
	}
	for _, name := range SortedKeys(s.Features) {
		path := "steps.features." + name
		oneOf(bad, path, StepFeature(name), StepFeatures)
		rule := s.Features[StepFeature(name)]
		if rule == nil || len(rule.ShownBy) == 0 || rule.Words == "" {
			bad(path, "want shown_by: what a panel reports, and words: what the skater must do")
			continue
		}
		for i, sign := range rule.ShownBy {
			oneOf(bad, fmt.Sprintf("%s.shown_by[%d]", path, i), sign, stepSigns)
		}
	}
	for _, name := range SortedKeys(s.Faults) {
		path := "steps.faults." + name
		oneOf(bad, path, StepFault(name), stepFaults)
		if rule := s.Faults[StepFault(name)]; rule == nil {
			bad(path, "is empty: say its effect")
		} else {
			oneOf(bad, path+".effect", rule.Effect, []FaultEffect{FaultNone, FaultFloor, FaultNoLevel})
		}
	}
	if len(s.Codes.Pattern) == 0 {
		bad("steps.codes.pattern", "is missing: give the code, such as ANY: StSq")
	}
	for _, pattern := range SortedKeys(s.Codes.Pattern) {
		oneOf(bad, "steps.codes.pattern", pattern, append([]string{AnyPattern}, StepPatterns...))
		if s.Codes.Pattern[pattern] == "" {
			bad("steps.codes.pattern."+pattern, "is empty: give the code, such as StSq")
		}
	}
}

// resolve names every rule and prepares the warning that resting on it gives.
// unsure tells how well the rule at a path is known.
func (r *LevelRules) resolve(unsure func(path, about string) *Warning) {
	r.eachClause(func(path, about string, c *Clause) {
		c.ID = "levels." + path
		c.Warn = unsure(c.ID, about)
	})
}
