package level_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

// TestReasons checks why features do not count. The cases follow from the
// rules named in the tables.
func TestReasons(t *testing.T) {
	c := tables(t, nil)
	for _, tc := range []struct {
		season, segment, spin string
		want                  map[string]string
	}{
		{"2016-17", "", "CAMEL_UPWARD 8, CAMEL_SIDEWAYS 3 // SIT_FORWARD 3, UPRIGHT_STRAIGHT_OR_SIDEWAYS 3", map[string]string{
			"0 DIFFICULT_VARIATION feet[0].positions[0]": "COUNTED",
			"0 EIGHT_REVOLUTIONS feet[0].positions[0]":   "COUNTED",
			"0 DIFFICULT_VARIATION feet[0].positions[1]": "LIMIT_PER_FOOT",
			"0 DIFFICULT_VARIATION feet[1].positions[1]": "COUNTED",
		}},
		{"2025-26", "", "CAMEL_SIDEWAYS 3, SIT_FORWARD 3 // NON_BASIC_VARIED 3, UPRIGHT_STRAIGHT_OR_SIDEWAYS 3", map[string]string{
			"0 DIFFICULT_VARIATION feet[0].positions[1]": "COUNTED",
			"0 DIFFICULT_VARIATION feet[1].positions[0]": "LIMIT_PER_SPIN",
		}},
		{"2025-26", "short-program", "LAYBACK:BACKWARD 8, LAYBACK:SIDEWAYS 3, LAYBACK:VARIED 3, BIELLMANN 3", map[string]string{
			"0 LAYBACK_SIDE_CHANGE":     "COUNTED",
			"0 BIELLMANN_AFTER_LAYBACK": "COUNTED",
			"0 MANDATORY_FEATURE":       "MANDATORY_FEATURE_MISSING",
		}},
		{"2016-17", "short-program", "LAYBACK:BACKWARD 7, BIELLMANN 3", map[string]string{"0 BIELLMANN_AFTER_LAYBACK": "TOO_FEW_REVOLUTIONS"}},
		{"2016-17", "", "[DIFFICULT_EXIT] CAMEL 4", map[string]string{"0 DIFFICULT_EXIT": "NOT_A_FEATURE_THIS_SEASON"}},
		{"2016-17", "", "[BACKWARD_ENTRY] CAMEL 4", map[string]string{"0 DIFFICULT_ENTRANCE": "NOT_A_FEATURE_THIS_SEASON"}},
		{"2016-17", "", "[FLYING=PLAIN DIFFICULT_ENTRANCE] CAMEL 4", map[string]string{"0 DIFFICULT_ENTRANCE": "WRONG_POSITION"}},
		{"2020-21", "", "[DIFFICULT_ENTRANCE DIFFICULT_EXIT] CAMEL 4", map[string]string{
			"0 DIFFICULT_ENTRANCE": "COUNTED", "0 DIFFICULT_EXIT": "SHARED_FEATURE",
		}},
		{"2025-26", "", "[DIFFICULT_ENTRANCE DIFFICULT_EXIT] CAMEL 4", map[string]string{
			"0 DIFFICULT_ENTRANCE": "COUNTED", "0 DIFFICULT_EXIT": "SHARED_FEATURE",
		}},
		{"2016-17", "", "UPRIGHT 12", map[string]string{"0 EIGHT_REVOLUTIONS": "WRONG_POSITION"}},
		{"2016-17", "", "CAMEL 6", map[string]string{"0 EIGHT_REVOLUTIONS": "TOO_FEW_REVOLUTIONS"}},
		{"2016-17", "", "CAMEL 8 // CAMEL 8", map[string]string{
			"0 EIGHT_REVOLUTIONS feet[0].positions[0]": "COUNTED",
			"0 EIGHT_REVOLUTIONS feet[1].positions[0]": "LIMIT_PER_SPIN",
		}},
		{"2016-17", "", "SIT 3, UPRIGHT 1 DIFFICULT_CHANGE_OF_POSITION, CAMEL 3", map[string]string{"0 DIFFICULT_CHANGE_OF_POSITION": "TOO_FEW_REVOLUTIONS"}},
		{"2016-17", "", "SIT 3, NON_BASIC 2, CAMEL 3 DIFFICULT_CHANGE_OF_POSITION", map[string]string{"0 DIFFICULT_CHANGE_OF_POSITION": "WRONG_POSITION"}},
		{"2016-17", "", "CAMEL 2 // [REVERSED] CAMEL 4", map[string]string{"0 BOTH_DIRECTIONS": "TOO_FEW_REVOLUTIONS"}},
		{"2016-17", "", "LAYBACK:BACKWARD 4 // [REVERSED] LAYBACK:BACKWARD 4", map[string]string{"0 BOTH_DIRECTIONS": "WRONG_POSITION"}},
		{"2007-08", "", "CAMEL_UPWARD 3 // SIT 3, UPRIGHT_STRAIGHT_OR_SIDEWAYS 3, SIT_FORWARD 3", map[string]string{
			"0 DIFFICULT_VARIATION feet[1].positions[1]": "COUNTED", "0 DIFFICULT_VARIATION feet[1].positions[2]": "LIMIT_PER_SPIN",
		}},
		{"2012-13", "", "CAMEL_UPWARD 3, CAMEL_SIDEWAYS 3 // SIT_FORWARD 3, UPRIGHT 0", map[string]string{
			"0 DIFFICULT_VARIATION feet[0].positions[0]": "COUNTED", "0 DIFFICULT_VARIATION feet[1].positions[0]": "MISSING_POSITION",
		}},
		{"2016-17", "", "CAMEL_UPWARD 8, SIT 1", map[string]string{"0 DIFFICULT_VARIATION": "MISSING_POSITION"}},
		{"2016-17", "", "CAMEL_FORWARD 3, SIT 3, UPRIGHT 3 // [CURVES] UPRIGHT_STRAIGHT_OR_SIDEWAYS 8 INCREASE_OF_SPEED", map[string]string{
			"0 DIFFICULT_VARIATION feet[0].positions[0]": "COUNTED", "0 DIFFICULT_VARIATION feet[1].positions[0]": "NOT_CALLED", "0 INCREASE_OF_SPEED": "NOT_CALLED",
		}},
		{"2016-17", "", "CAMEL_UPWARD 2.5", map[string]string{"0 DIFFICULT_VARIATION": "NOT_CALLED"}},
		{"2007-08", "", "[FLYING=STEP_OVER] SIT_FORWARD 8", map[string]string{"0 EIGHT_REVOLUTIONS": "ELEMENT_FAULT"}},
		{"2018-19", "short-program", "CAMEL_UPWARD 3 // SIT 3 // UPRIGHT 3", map[string]string{"0 DIFFICULT_VARIATION": "ELEMENT_FAULT"}},
		{"2018-19", "", "CAMEL 4 DIFFICULT_BLADE", map[string]string{"0 DIFFICULT_BLADE": "NOT_A_FEATURE_THIS_SEASON"}},
		{"2010-11", "", "CAMEL 4 INCREASE_OF_SPEED", map[string]string{"0 INCREASE_OF_SPEED": "NOT_A_FEATURE_THIS_SEASON"}},
		{"2018-19", "", "[DIFFICULT_EXIT] CAMEL 4", map[string]string{"0 DIFFICULT_EXIT": "NOT_A_FEATURE_THIS_SEASON"}},
		{"2020-21", "", "[DIFFICULT_EXIT] CAMEL 4, UPRIGHT 2", map[string]string{"0 DIFFICULT_EXIT": "WRONG_POSITION"}},
		{"2020-21", "", "UPRIGHT 3, UPRIGHT_STRAIGHT_OR_SIDEWAYS 1.5 INCREASE_OF_SPEED", map[string]string{"0 INCREASE_OF_SPEED": "TOO_FEW_REVOLUTIONS"}},
	} {
		got := call(t, levelRules(t, c, tc.season), tc.segment, tc.spin)
		for key, want := range tc.want {
			if out := outcome(t, got, key); out != want {
				t.Errorf("%s %s: %s is %s, want %s\n%s", tc.season, tc.spin, key, out, want, shown(got.Elements[0]))
			}
		}
		for _, f := range got.Elements[0].Features {
			if f.Rule == "" {
				t.Errorf("%s %s: %s names no rule", tc.season, tc.spin, f.Feature)
			}
			if f.Counted == (f.Reason != "") || f.Counted == (f.Message != "") {
				t.Errorf("%s %s: %s must have a reason and a message exactly when it does not count: %+v", tc.season, tc.spin, f.Feature, f)
			}
		}
	}
}

// TestMaxLevel checks that a category's highest level is kept and named.
func TestMaxLevel(t *testing.T) {
	r := levelRules(t, tables(t, nil), "2016-17")
	limit := rules.Clause{ID: "categories.cubs.max_level"}
	p := level.Program{Category: "cubs", Segment: "free-skating", MaxLevel: 2, Cap: &limit, Elements: []level.Element{
		{Spin: skated(t, "CAMEL_UPWARD 8 // SIT_FORWARD 3, UPRIGHT_STRAIGHT_OR_SIDEWAYS 3")},
		{Steps: &level.StepSequence{Turns: spread(12), RotationsBothDirections: true, BodyMovement: true}},
	}}
	got := level.Call(r, p)
	for i, code := range []string{"CCoSp2", "StSq2"} {
		e := got.Elements[i]
		if e.Code != code || e.ToNextLevel != nil || len(e.Notes) == 0 || !strings.Contains(e.Notes[0], "highest level of this category") {
			t.Errorf("is %s with notes %q and next %v, want %s and a note", e.Code, e.Notes, e.ToNextLevel, code)
		}
		capped := func(f level.Feature) bool {
			return f.Reason == level.LevelCap && f.Rule == limit.ID
		}
		if !slices.ContainsFunc(e.Features, capped) {
			t.Errorf("%s: no feature says LEVEL_CAP: %+v", code, e.Features)
		}
	}
}

// TestWords checks what answers say in plain words, each by the sentence that a
// coach has to find there.
func TestWords(t *testing.T) {
	c := tables(t, map[string]string{"in-order": "spins: {variations: {pick: IN_ORDER}}"})
	for _, tc := range []struct {
		season, spin string
		says         []string // in messages, notes and options
		silent       []string
	}{
		{"2007-08", "[FLYING=STEP_OVER] SIT_FORWARD 8", []string{"Enter with a clear jump. Without it the level is 1 at most, and no number of features is enough."}, []string{"further feature"}},
		{"2007-08", "[FLYING=STEP_OVER] SIT 4", []string{"A further feature is then needed as well."}, nil},
		{"2010-11", "CAMEL_FORWARD 3 // SIT 3", []string{"Hold all three basic positions."}, nil},
		{"2010-11", "CAMEL 4 INCREASE_OF_SPEED", []string{"it was one way to make a variation difficult"}, nil},
		{"2010-11", "[DIFFICULT_ENTRANCE] SIT 4", []string{"report one as a backward entrance"}, nil},
		{"2016-17", "CAMEL_FORWARD 1, CAMEL 3", []string{"was held 1 revolution and needs 2", "coach", "medical advice", "federation's rules"}, []string{"1 revolutions", "on the first foot"}},
		{"2016-17", "CAMEL 3 // CAMEL 3", []string{"on the first foot"}, nil},
		{"2016-17", "SIT 4 CHANGE_OF_EDGE", []string{"it is taken to be one from backward inside to forward outside"}, nil},
		{"2016-17", "CAMEL_UPWARD 8, UPRIGHT 3 INCREASE_OF_SPEED", []string{"The final upright is only a wind-up, so features in it do not count"}, nil},
		{"2016-17", "SIT 3, NON_BASIC 2 // NON_BASIC 3", []string{"If the panel sees a combination that was tried, it has one basic position only: there is no level and no value."}, nil},
		{"2016-17", "SIT 3, NON_BASIC 1, SIT 3", nil, []string{"combination that was tried"}},
		{"2018-19", "CAMEL_UPWARD 8 // NON_BASIC 6", []string{"Hold a basic position on each foot"}, nil},
		{"2020-21", "CAMEL 4, UPRIGHT 2", []string{"by a difficult exit, without rising into an upright first"}, nil},
		{"2025-26", "CAMEL_FORWARD 3, CAMEL_SIDEWAYS 3, CAMEL_UPWARD 3", []string{"those that help the level most are taken"}, nil},
		{"in-order", "CAMEL_FORWARD 3, CAMEL_SIDEWAYS 3, CAMEL_UPWARD 3", []string{"one of them that another limit then keeps from counting takes its place all the same"}, nil},
	} {
		called := call(t, levelRules(t, c, tc.season), "", tc.spin)
		e := called.Elements[0]
		lines := append(slices.Clone(e.Notes), called.Caution)
		for _, f := range e.Features {
			lines = append(lines, f.Message)
		}
		if e.ToNextLevel != nil {
			for _, o := range e.ToNextLevel.Options {
				lines = append(lines, o.Message)
			}
		}
		all := strings.Join(lines, "\n")
		for _, want := range tc.says {
			if !strings.Contains(all, want) {
				t.Errorf("%s %s: nothing says %q:\n%s", tc.season, tc.spin, want, all)
			}
		}
		for _, wrong := range tc.silent {
			if strings.Contains(all, wrong) {
				t.Errorf("%s %s: says %q:\n%s", tc.season, tc.spin, wrong, all)
			}
		}
	}
}

// TestUnsureRulesWarn checks that what an answer rests on and is not sure
// warns once, and that sure rules do not.
func TestUnsureRulesWarn(t *testing.T) {
	c := tables(t, nil)
	for _, tc := range []struct {
		season, spin string
		want         []string
	}{
		{"2016-17", "CAMEL_UPWARD 8 // SIT_FORWARD 3, UPRIGHT_STRAIGHT_OR_SIDEWAYS 3", nil},
		{"2025-26", "CAMEL_SIDEWAYS 3, SIT_FORWARD 3 // NON_BASIC_VARIED 3, UPRIGHT_STRAIGHT_OR_SIDEWAYS 3", []string{"levels.spins.variations"}},
		{"2025-26", "CAMEL_UPWARD 8 // [JUMP] SIT_FORWARD 3, UPRIGHT 2", []string{"levels.spins.mandatory"}},
		{"2025-26", "CAMEL_UPWARD 8 INCREASE_OF_SPEED // [JUMP] SIT_FORWARD 3, UPRIGHT 2", nil}, // level 4 that has one of the set does not rest on which others are in it
		{"2022-23", "CAMEL_UPWARD 8 // [JUMP] SIT_FORWARD 3, UPRIGHT 2", nil},
		{"2025-26", "CAMEL_UPWARD 8 // SIT_FORWARD 3, UPRIGHT 2", []string{"levels.spins.mandatory"}}, // level 3: what would bring level 4 rests on it
		{"2010-11", "CAMEL 4 INCREASE_OF_SPEED", []string{"levels.spins.features.EIGHT_REVOLUTIONS", "levels.spins.instead.INCREASE_OF_SPEED"}},
		{"2020-21", "[DIFFICULT_EXIT] CAMEL 4", nil},
		{"2022-23", "[DIFFICULT_EXIT] CAMEL 4", []string{"levels.spins.features.DIFFICULT_EXIT"}},
		{"2005-06", "SIT 8", []string{"levels.spins"}}, // its rules are all known from the same source
	} {
		var got []string
		for _, w := range call(t, levelRules(t, c, tc.season), "", tc.spin, "LAYBACK:BACKWARD 8").Warnings[:] {
			if w.Code != rules.WarnLowConfidence || w.Message == "" {
				t.Errorf("warning %+v", w)
			}
			got = append(got, w.Rule)
		}
		if slices.Sort(got); !slices.Equal(got, tc.want) {
			t.Errorf("%s %s: warnings are %v, want %v", tc.season, tc.spin, got, tc.want)
		}
	}
}

// TestNextLevelIsTrue follows the advice: the options of worked spins are real
// features, none is one that the spin has already, and a few are known.
func TestNextLevel(t *testing.T) {
	c := tables(t, nil)
	for _, tc := range []struct {
		season, segment, spin string
		level                 string
		has, lacks            []rules.SpinFeature
	}{
		{"2016-17", "", "CAMEL_UPWARD 8 // SIT_FORWARD 3, UPRIGHT 3", "4",
			[]rules.SpinFeature{rules.DifficultVariation, rules.ChangeOfFootByJump, rules.IncreaseOfSpeed},
			[]rules.SpinFeature{rules.DifficultEntrance, rules.DifficultExit, rules.EightRevolutions}}, // the first foot is full
		{"2025-26", "short-program", "LAYBACK:BACKWARD 8, LAYBACK:SIDEWAYS 3, LAYBACK:VARIED 3, BIELLMANN 3", "4",
			[]rules.SpinFeature{rules.IncreaseOfSpeed, rules.DifficultExit},
			[]rules.SpinFeature{rules.DifficultEntrance, rules.DifficultBlade}}, // not in the mandatory set
		{"2018-19", "", "[FLYING=PLAIN] CAMEL 4", "1",
			[]rules.SpinFeature{rules.DifficultFlyingEntry, rules.EightRevolutions},
			[]rules.SpinFeature{rules.DifficultEntrance, rules.DifficultBlade}},
		{"2007-08", "", "SIT 3", "2", []rules.SpinFeature{rules.DifficultVariation, rules.EightRevolutions}, []rules.SpinFeature{rules.IncreaseOfSpeed}},
	} {
		e := call(t, levelRules(t, c, tc.season), tc.segment, tc.spin).Elements[0]
		if e.ToNextLevel == nil || e.ToNextLevel.Level != tc.level {
			t.Errorf("%s: next level is %+v, want %s", tc.spin, e.ToNextLevel, tc.level)
			continue
		}
		offered := func(f rules.SpinFeature) bool {
			return slices.ContainsFunc(e.ToNextLevel.Options, func(o level.Option) bool { return o.Feature == string(f) && o.Message != "" })
		}
		for _, f := range tc.has {
			if !offered(f) {
				t.Errorf("%s %s: %s is not offered: %+v", tc.season, tc.spin, f, e.ToNextLevel.Options)
			}
		}
		for _, f := range tc.lacks {
			if offered(f) {
				t.Errorf("%s %s: %s is offered and would not help", tc.season, tc.spin, f)
			}
		}
	}
}

// TestOldStepSequences checks the features and codes of the seasons before
// 2012-13 (Technical Panel Handbook Single 2010-11 for the features; published
// protocols for the codes).
func TestOldStepSequences(t *testing.T) {
	c := tables(t, nil)
	for _, tc := range []struct {
		season string
		steps  level.StepSequence
		code   string
		level  string
	}{
		{"2010-11", level.StepSequence{Pattern: "CIRCULAR", Turns: spread(9), RotationsBothDirections: true, UpperBody: true, OneFootSection: true}, "CiSt3", "3"},
		{"2010-11", level.StepSequence{Pattern: "STRAIGHT_LINE", Turns: spread(11), RotationsBothDirections: true, UpperBody: true, QuickTurnCombinations: true}, "SlSt4", "4"},
		{"2011-12", level.StepSequence{Pattern: "SERPENTINE", Turns: spread(4)}, "SeSt1", "1"},
		{"2011-12", level.StepSequence{Turns: spread(7), UpperBody: true}, "", "2"},
		{"2012-13", level.StepSequence{Turns: spread(9), RotationsBothDirections: true, UpperBody: true, OneFootSection: true}, "StSq3", "3"},
		{"2012-13", level.StepSequence{Turns: spread(4), UpperBody: true}, "StSqB", "B"},
	} {
		got := level.Call(levelRules(t, c, tc.season), level.Program{Elements: []level.Element{{Steps: &tc.steps}}}).Elements[0]
		if got.Code != tc.code || got.Level != tc.level {
			t.Errorf("%s %+v: is %q level %q, want %q level %q", tc.season, tc.steps, got.Code, got.Level, tc.code, tc.level)
		}
		if tc.code == "" && len(got.Notes) == 0 {
			t.Errorf("%s: a missing pattern is not told", tc.season)
		}
	}
	one := level.StepSequence{Turns: spread(9), TurnCombinationLeft: true, OneFootSection: true}
	got := level.Call(levelRules(t, c, "2016-17"), level.Program{Elements: []level.Element{{Steps: &one}}})
	for key, want := range map[string]string{"0 TURN_COMBINATIONS": "INCOMPLETE", "0 ONE_FOOT_SECTION": "NOT_A_FEATURE_THIS_SEASON", "0 TURN_VARIETY": "COUNTED"} {
		if out := outcome(t, got, key); out != want {
			t.Errorf("%s is %s, want %s", key, out, want)
		}
	}
}

// TestStepVarietyIsCeiling checks the numbers of Communication 2000 (2016-17):
// 11 turns without five types in both directions allow level 3 only.
func TestStepVarietyIsCeiling(t *testing.T) {
	r := levelRules(t, tables(t, nil), "2016-17")
	oneWay := spread(12)
	for i := range oneWay[:2] {
		oneWay[i].Clockwise, oneWay[i].Counterclockwise = 2, 0
	}
	s := &level.StepSequence{Turns: oneWay, RotationsBothDirections: true, BodyMovement: true, TurnCombinationLeft: true, TurnCombinationRight: true}
	got := level.Call(r, level.Program{Elements: []level.Element{{Steps: s}}}).Elements[0]
	if got.Code != "StSq3" {
		t.Errorf("is %s, want StSq3", got.Code)
	}
	if n := got.ToNextLevel; n == nil || len(n.Options) != 1 || n.Options[0].Feature != "TURN_VARIETY" || !strings.Contains(n.Options[0].Message, "5 types in both directions") {
		t.Errorf("next is %+v", n)
	}
	many := []level.Turns{{Type: rules.Twizzle, Clockwise: 9, Counterclockwise: 9}, {Type: rules.Loop, Clockwise: 2}}
	got = level.Call(r, level.Program{Elements: []level.Element{{Steps: &level.StepSequence{Turns: many, BodyMovement: true}}}}).Elements[0]
	if got.Code != "StSqB" {
		t.Errorf("two types counted more than twice: is %s, want StSqB", got.Code)
	}
}
