package level_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

const c2000 = "Communication 2000 (2016-17), levels of difficulty, pair skating"

func lift(code string, features ...level.LiftFeature) level.Element {
	return level.Element{PairLift: &level.PairLift{Code: code, Features: features}}
}

func reports(list ...rules.PairFeature) []level.LiftFeature {
	out := make([]level.LiftFeature, len(list))
	for i, f := range list {
		out[i].Feature = f
	}
	return out
}

func oneHand(e level.Element, halves ...rules.Revolutions) level.Element {
	e.PairLift.OneHand = halves
	return e
}

func pairs(segment, categoryLevel string, elements ...level.Element) level.Program {
	return level.Program{Discipline: rules.Pairs, CategoryLevel: categoryLevel, Segment: segment, Elements: elements}
}

// called makes a call of which the input has no faults.
func called(t *testing.T, season string, p level.Program) level.Result {
	t.Helper()
	r := levelRules(t, tables(t, nil), season)
	if faults := level.Check(r, p); len(faults) > 0 {
		t.Fatalf("the input has faults: %v", faults)
	}
	return level.Call(r, p)
}

func codes(r level.Result) string {
	list := make([]string, len(r.Elements))
	for i := range r.Elements {
		list[i] = r.Elements[i].Code
	}
	return strings.Join(list, " ")
}

// TestPairElements calls elements of pair skating. Every case follows from the
// list of Communication 2000 (2016-17).
func TestPairElements(t *testing.T) {
	spin := func(positions ...level.PairPosition) level.Element {
		return level.Element{PairSpin: &level.PairSpin{Positions: positions}}
	}
	both := func(k level.PositionKind, woman, man level.Variation, revolutions int) level.PairPosition {
		return level.PairPosition{
			Woman: level.PartnerPosition{Position: k, Variation: woman}, Man: level.PartnerPosition{Position: k, Variation: man},
			Revolutions: rules.Revolutions(revolutions) * rules.Revolution,
		}
	}
	foot := func(p level.PairPosition) level.PairPosition { p.ChangeOfFoot = true; return p }
	for _, tc := range []struct {
		name    string
		program level.Program
		codes   string
		want    map[string]string
	}{
		{"a change of hold counts twice, not three times", pairs("free-skating", "senior",
			lift("3Li", reports(rules.ChangeOfHold, rules.ChangeOfHold, rules.ChangeOfHold)...)), "3Li2", map[string]string{
			"0 CHANGE_OF_HOLD_OR_POSITION features[1]": "COUNTED", "0 CHANGE_OF_HOLD_OR_POSITION features[2]": "LIMIT_PER_ELEMENT"}},
		{"two turns with one hand, further ones in one lift only", pairs("free-skating", "senior",
			oneHand(lift("5TLi"), 2, 6), oneHand(lift("5RLi"), 8)), "5TLi2 5RLi1", map[string]string{
			"0 FURTHER_ONE_HAND_HOLD": "COUNTED", "1 ONE_HAND_HOLD": "COUNTED", "1 FURTHER_ONE_HAND_HOLD": "ALREADY_USED"}},
		{"further turns do not count in the short program", pairs("short-program", "senior", oneHand(lift("5TLi"), 8)), "5TLi1",
			map[string]string{"0 FURTHER_ONE_HAND_HOLD": "NOT_IN_THIS_SEGMENT"}},
		{"exactly two turns have nothing further", pairs("free-skating", "senior", oneHand(lift("5TLi"), 4)), "5TLi1",
			map[string]string{"0 FURTHER_ONE_HAND_HOLD": "not named"}},
		{"a simple carry counts for juniors", pairs("free-skating", "junior",
			lift("3Li", level.LiftFeature{Feature: rules.DifficultCarry, Simple: true})), "3Li1", nil},
		{"and not for seniors", pairs("free-skating", "senior",
			lift("3Li", level.LiftFeature{Feature: rules.DifficultCarry, Simple: true})), "3LiB", map[string]string{"0 DIFFICULT_CARRY": "TOO_SIMPLE"}},
		{"take-off and landing are two features", pairs("free-skating", "senior",
			lift("4Li", reports(rules.DifficultTakeOff, rules.DifficultLanding)...)), "4Li2", nil},
		{"entrance and exit of a death spiral are one", pairs("free-skating", "senior",
			level.Element{DeathSpiral: &level.DeathSpiral{Code: "FoDs", Revolutions: 3, Entrance: true, Exit: true}}), "FoDs1",
			map[string]string{"0 DIFFICULT_EXIT": "SHARED_FEATURE"}},
		{"the required revolution is no feature though it is low", pairs("free-skating", "senior",
			level.Element{DeathSpiral: &level.DeathSpiral{Code: "BiDs", Revolutions: 4, Low: 4}}), "BiDs1", nil},
		{"half a revolution more is none", pairs("free-skating", "senior",
			level.Element{DeathSpiral: &level.DeathSpiral{Code: "BiDs", Revolutions: 5, Low: 5}}), "BiDs1", nil},
		{"five further revolutions are level 4", pairs("free-skating", "senior",
			level.Element{DeathSpiral: &level.DeathSpiral{Code: "BiDs", Revolutions: 12, Low: 12}}), "BiDs4", nil},
		{"all five features of a twist lift", pairs("free-skating", "senior",
			level.Element{TwistLift: &level.TwistLift{Code: "3Tw", Features: rules.TwistFeatures}}), "3Tw4",
			map[string]string{"0 PARTNER_ARMS_SIDEWAYS": "SURPLUS"}},
		{"a pair spin in one position", pairs("free-skating", "senior",
			spin(both(level.Sit, level.SitForward, level.SitForward, 6))), "PSp1", map[string]string{
			"0 SIX_REVOLUTIONS positions[0]": "COUNTED", "0 VARIATIONS_OF_BOTH": "INCOMPLETE"}},
		{"a plain upright never earns the six revolutions", pairs("free-skating", "senior",
			spin(both(level.Upright, "", "", 8))), "PSpB", map[string]string{"0 SIX_REVOLUTIONS": "not named"}},
		{"two changes are not three", pairs("free-skating", "senior",
			spin(both(level.Camel, "", "", 3), both(level.Sit, "", "", 3), both(level.Upright, "", "", 3))), "PCoSpB",
			map[string]string{"0 CHANGES_OF_POSITION": "INCOMPLETE"}},
		{"four changes are one feature", pairs("free-skating", "senior",
			spin(both(level.Camel, "", "", 2), both(level.Sit, "", "", 2), both(level.Upright, "", "", 2), foot(both(level.Camel, "", "", 2)), both(level.Sit, "", "", 2))), "PCoSp1",
			map[string]string{"0 CHANGES_OF_POSITION": "COUNTED"}},
		{"the further variation gives each partner two", pairs("free-skating", "senior",
			spin(both(level.Camel, level.CamelUpward, level.CamelForward, 2), both(level.Sit, level.SitForward, level.SitBehind, 2), both(level.Upright, "", "", 2))), "PCoSp2",
			map[string]string{"0 VARIATIONS_OF_BOTH": "COUNTED", "0 FURTHER_VARIATION": "COUNTED"}},
		{"three of one partner and none of the other are nothing", pairs("free-skating", "senior",
			spin(both(level.Camel, level.CamelUpward, "", 2), both(level.Sit, level.SitForward, "", 2), both(level.Upright, level.UprightForward, "", 2))), "PCoSpB",
			map[string]string{"0 VARIATIONS_OF_BOTH": "INCOMPLETE"}},
		{"of two non-basic variations one counts", pairs("free-skating", "senior",
			spin(both(level.Camel, level.CamelUpward, "", 2), both(level.NonBasic, level.NonBasicVaried, level.NonBasicVaried, 2), both(level.Sit, "", "", 2), both(level.Upright, "", "", 2))), "PCoSpB",
			map[string]string{"0 VARIATIONS_OF_BOTH": "INCOMPLETE"}},
		{"a change of foot breaks the six revolutions", pairs("free-skating", "senior",
			spin(both(level.Camel, "", "", 4), foot(both(level.Camel, "", "", 4)))), "PSpB", map[string]string{"0 SIX_REVOLUTIONS": "not named"}},
		{"one basic position of a combination has no level", pairs("free-skating", "senior",
			spin(both(level.Camel, "", "", 6), both(level.Sit, "", "", 1))), "PCoSp", nil},
	} {
		got := called(t, "2016-17", tc.program)
		if codes(got) != tc.codes {
			t.Errorf("%s: is %s, want %s (%s)\n%s", tc.name, codes(got), tc.codes, c2000, shown(got.Elements[0]))
		}
		for key, want := range tc.want {
			if out := outcome(t, got, key); out != want {
				t.Errorf("%s: %s is %s, want %s (%s)", tc.name, key, out, want, c2000)
			}
		}
		for _, e := range got.Elements {
			for _, f := range e.Features {
				if f.Counted == (f.Reason != "") || f.Counted == (f.Message != "") {
					t.Errorf("%s: %s must have a reason and a message exactly when it does not count: %+v", tc.name, f.Feature, f)
				}
			}
			if e.NoValue != (e.Level == "") {
				t.Errorf("%s: %s has level %q and no value %v", tc.name, e.Code, e.Level, e.NoValue)
			}
		}
	}
}

// TestPairCapsAndAdvice checks a category's highest level and what is offered
// for the next level.
func TestPairCapsAndAdvice(t *testing.T) {
	p := pairs("short-program", "junior", lift("5ALi", reports(rules.DifficultTakeOff, rules.DifficultLanding, rules.WomanVariation)...))
	p.MaxLevel = 2
	got := called(t, "2016-17", p).Elements[0]
	if got.Code != "5ALi2" || got.ToNextLevel != nil || got.Features[2].Reason != level.LevelCap || len(got.Notes) == 0 {
		t.Errorf("capped at 2: %+v", got)
	}
	p.MaxLevel = 0
	answer := called(t, "2016-17", p)
	got = answer.Elements[0]
	if got.Code != "5ALi3" || got.ToNextLevel == nil || got.ToNextLevel.Level != "4" {
		t.Fatalf("is %+v", got)
	}
	var offered []string
	for _, o := range got.ToNextLevel.Options {
		offered = append(offered, o.Feature)
	}
	// In the short program a carry and further turns with one hand do not count.
	want := []string{"CHANGE_OF_HOLD_OR_POSITION", "ONE_HAND_HOLD", "CHANGE_OF_ROTATION"}
	if !slices.Equal(offered, want) {
		t.Errorf("offered are %v, want %v", offered, want)
	}
	if !strings.Contains(answer.Caution, "coach") || !strings.Contains(answer.Caution, "harder lift") {
		t.Errorf("the advice does not leave it to the coach: %q", answer.Caution)
	}
	// 2010-11: the second feature brings level 2, so the first alone is not enough.
	twist := called(t, "2010-11", pairs("free-skating", "senior", level.Element{TwistLift: &level.TwistLift{Code: "3LzTw"}})).Elements[0]
	if twist.Code != "3LzTw1" || len(twist.ToNextLevel.Options) != 4 || !strings.Contains(twist.ToNextLevel.Options[0].Message, "not yet enough") {
		t.Errorf("is %+v with %+v", twist, twist.ToNextLevel)
	}
}

// TestPairInputFaults sends faulty pair elements and wants each fault with its path.
func TestPairInputFaults(t *testing.T) {
	r := levelRules(t, tables(t, nil), "2016-17")
	p := pairs("free-skating", "senior",
		lift("9Li", level.LiftFeature{Feature: "SMILE"}, level.LiftFeature{Feature: rules.DifficultCarry, Similar: true}, level.LiftFeature{Feature: rules.WomanVariation, Simple: true}, level.LiftFeature{Feature: rules.WomanVariation, Interrupted: true}),
		oneHand(lift(""), -1),
		level.Element{TwistLift: &level.TwistLift{Code: "3Tw4", Features: []rules.PairFeature{rules.SplitPosition, rules.SplitPosition, rules.DifficultCarry}}},
		level.Element{DeathSpiral: &level.DeathSpiral{Code: "BoDs", Revolutions: 2, Low: 3}},
		level.Element{PairSpin: &level.PairSpin{Positions: []level.PairPosition{{ChangeOfFoot: true, Woman: level.PartnerPosition{Position: level.Sit, Variation: level.CamelUpward}, Revolutions: 900}}}},
		level.Element{PairSpin: &level.PairSpin{}},
		level.Element{Pattern: &level.PatternDance{}},
		level.Element{Spin: &level.Spin{}, TwistLift: &level.TwistLift{}},
	)
	want := []string{
		"elements[0].pairLift.code", "elements[0].pairLift.features[0].feature", "elements[0].pairLift.features[1].similar",
		"elements[0].pairLift.features[2].simple", "elements[0].pairLift.features[3].interrupted",
		"elements[1].pairLift.code", "elements[1].pairLift.oneHandRevolutions[0]",
		"elements[2].twistLift.code", "elements[2].twistLift.features[1]", "elements[2].twistLift.features[2]",
		"elements[3].deathSpiral.lowRevolutions",
		"elements[4].pairSpin.positions[0].revolutions", "elements[4].pairSpin.positions[0].changeOfFoot",
		"elements[4].pairSpin.positions[0].woman.variation", "elements[4].pairSpin.positions[0].man.position",
		"elements[5].pairSpin.positions", "elements[6].patternDance", "elements[7]",
	}
	var got []string
	for _, f := range level.Check(r, p) {
		got = append(got, f.Field)
		if f.Message == "" || f.Reason == "" {
			t.Errorf("%s: says nothing", f.Field)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("faults are\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// FuzzPairProgram makes pair programs out of numbers: none panics, none goes
// above level 4, and a further feature never lowers a level.
func FuzzPairProgram(f *testing.F) {
	f.Add([]byte("a pair program of some bytes to begin with, long enough for all kinds of element"))
	f.Add([]byte{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 255, 254, 253, 128, 64, 32})
	catalog := tables(f, nil)
	seasons := []string{"2010-11", "2016-17", "2017-18", "2021-22", "2025-26"}
	f.Fuzz(func(t *testing.T, data []byte) {
		pick := bytesSource(data)
		season := seasons[pick(len(seasons))]
		r := levelRules(t, catalog, season)
		p := pairs([]string{"short-program", "free-skating"}[pick(2)], []string{"senior", "junior"}[pick(2)])
		for range 1 + pick(4) {
			p.Elements = append(p.Elements, anyPairElement(pick, r))
		}
		if faults := level.Check(r, p); len(faults) > 0 {
			for _, fault := range faults {
				if fault.Reason != rules.ReasonRulesNotAvailable {
					t.Fatalf("the input has faults: %v", faults)
				}
			}
			return
		}
		got := level.Call(r, p)
		sane(t, season, p, got)
		last := &p.Elements[len(p.Elements)-1]
		if last.DeathSpiral == nil {
			return
		}
		more := *last.DeathSpiral
		more.Revolutions, more.Low = more.Revolutions+rules.Revolution, more.Low+rules.Revolution
		before := got.Elements[len(p.Elements)-1]
		last.DeathSpiral = &more
		if after := level.Call(r, p).Elements[len(p.Elements)-1]; before.Level != "B" && after.Level < before.Level {
			t.Errorf("one more low revolution lowers %s to %s", before.Code, after.Code)
		}
	})
}

func anyPairElement(pick source, r *rules.LevelRules) level.Element {
	code := func(e *rules.PairElementRules) string {
		if e == nil {
			return ""
		}
		return e.Codes[pick(len(e.Codes))]
	}
	switch pick(5) {
	case 0:
		l := &level.PairLift{Code: code(r.Pairs.Lifts)}
		for range pick(6) {
			l.Features = append(l.Features, level.LiftFeature{Feature: level.LiftReports[pick(len(level.LiftReports))]})
		}
		for range pick(3) {
			l.OneHand = append(l.OneHand, rules.Revolutions(pick(12)))
		}
		return level.Element{PairLift: l}
	case 1:
		l := &level.TwistLift{Code: code(r.Pairs.TwistLifts)}
		for _, f := range rules.TwistFeatures {
			if pick(2) == 1 {
				l.Features = append(l.Features, f)
			}
		}
		return level.Element{TwistLift: l}
	case 2:
		low := rules.Revolutions(pick(10))
		return level.Element{DeathSpiral: &level.DeathSpiral{Code: code(r.Pairs.DeathSpirals), Revolutions: low + rules.Revolutions(pick(6)), Low: low, Entrance: pick(2) == 1, Exit: pick(2) == 1}}
	case 3:
		s := &level.PairSpin{BackwardEdgeEntrance: pick(2) == 1, BothDirections: pick(2) == 1}
		partner := func() level.PartnerPosition {
			k := kinds[pick(len(kinds))]
			return level.PartnerPosition{Position: k, Variation: variations[k][pick(len(variations[k]))]}
		}
		for i := range 1 + pick(5) {
			s.Positions = append(s.Positions, level.PairPosition{Woman: partner(), Man: partner(), Revolutions: rules.Revolutions(pick(16)), ChangeOfFoot: i > 0 && pick(3) == 1})
		}
		return level.Element{PairSpin: s}
	default:
		return level.Element{Spin: anySpin(pick)}
	}
}
