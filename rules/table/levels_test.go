package table_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// loadLevels lays over the embedded tables a season that extends 2025-26 with
// the given levels.yaml.
func loadLevels(levels string) (*table.Catalog, error) {
	c := embedded.Over(table.Layer{Name: "club", FS: fstest.MapFS{
		"ours/season.yaml": {Data: []byte("season: ours\ntitle: Ours\nextends: 2025-26\nsource: our own rules\n")},
		"ours/levels.yaml": {Data: []byte(levels + "\nsource: our own rules\n")},
	}})
	_, err := c.Season("ours")
	return c, err
}

// embedded holds the tables of the program; each test compiles only what it asks for.
var embedded = table.Read(table.Layer{FS: seasons.FS})

// mostFeatures says how many features of a spin a limit can allow.
var mostFeatures = fmt.Sprintf("allowed is 1 to %d", len(rules.SpinFeatures))

// TestLevelTableFaults plants mistakes in a table of levels and wants each reported
// with its line and what is allowed.
func TestLevelTableFaults(t *testing.T) {
	for _, tc := range []struct {
		levels string
		line   int
		says   string
	}{
		{"spins: {sipns: 3}", 1, "sipns: is not a known key"},
		{"spins:\n  revolutions: {spin: 2.3}", 2, "whole or half ones"},
		{"spins:\n  revolutions: {spin: 0}", 2, "allowed is 1 to 40"},
		{"spins:\n  levels:\n    floor: 5", 3, "want B, 1, 2, 3 or 4"},
		{"spins:\n  levels:\n    floor: 2", 3, "allowed are B and 1"},
		{"spins:\n  levels: {needs: [1, 2]}", 2, "want four numbers"},
		{"spins:\n  levels: {needs: [1, 3, 2, 4]}", 2, "must rise"},
		{"spins:\n  mandatory: {level: B}", 2, "allowed is 1 to 4"},
		{"spins:\n  mandatory:\n    any_of: []", 3, "name the features"},
		{"spins:\n  mandatory:\n    any_of: [ALL_POSITIONS_ON_SECOND_FOOT]", 3, "the features of this table are"},
		{"spins:\n  per_foot: {max: 0}", 2, mostFeatures},
		{"spins:\n  variations: {max: 0}", 2, mostFeatures},
		{"spins:\n  variations: {pick: ANY}", 2, "IN_ORDER, BEST"},
		{"spins:\n  used_variation: {blocks: [SMILE]}", 2, "allowed are: DIFFICULT_VARIATION"},
		{"spins:\n  reduced: {signs: []}", 2, "at least one sign"},
		{"spins:\n  reduced: null", 1, "reduces the value"},
		{"spins:\n  features:\n    SMILE: {limit: NONE}", 3, "allowed are: DIFFICULT_VARIATION"},
		{"spins:\n  features:\n    DIFFICULT_EXIT: {limit: TWICE}", 3, "FIRST_ATTEMPT, SUCCESS, NONE"},
		{"spins:\n  features:\n    DIFFICULT_EXIT: {times: 11}", 3, "allowed is 0 to 10"},
		{"spins:\n  features:\n    DIFFICULT_EXIT: {in: [CAMEL]}", 3, "has no meaning for this feature"},
		{"spins:\n  features:\n    DIFFICULT_EXIT: {apart_from: SMILE}", 3, "allowed are"},
		{"spins:\n  features:\n    DIFFICULT_EXIT: {feet: SECOND}", 3, "has no meaning"},
		{"spins:\n  features:\n    CHANGE_OF_EDGE: {in: [AIR]}", 3, "UPRIGHT_VARIATION"},
		{"spins:\n  features:\n    CHANGE_OF_EDGE: {in: null}", 3, "say the places"},
		{"spins:\n  features:\n    CHANGE_OF_EDGE: {min_revolutions: 0}", 3, "how many revolutions"},
		{"spins:\n  features:\n    CHANGE_OF_EDGE: {edges: {SIT: UP_DOWN}}", 3, "BI_FO"},
		{"spins:\n  features:\n    CHANGE_OF_EDGE: {wrong_place: MAYBE}", 3, "USES_IT, IGNORED"},
		{"spins:\n  features:\n    DIFFICULT_ENTRANCE: {entries: [SIDEWAYS]}", 3, "BACKWARD, DIFFICULT"},
		{"spins:\n  features:\n    DIFFICULT_ENTRANCE: {entries: null}", 3, "say which entrances"},
		{"spins:\n  features:\n    ALL_POSITIONS_ON_SECOND_FOOT: {limit: NONE}", 3, "want SECOND or ANY"},
		{"spins:\n  features:\n    BIELLMANN_AFTER_LAYBACK: {after_layback: {gala: 8}}", 3, "short-program"},
		{"spins:\n  faults:\n    FALLING_OVER: {effect: NONE}", 3, "allowed are: FLYING_WITHOUT_JUMP"},
		{"spins:\n  faults:\n    SAME_CODE: {effect: FORGIVEN}", 3, "NO_VALUE"},
		{"spins:\n  faults:\n    SAME_CODE: {effect: FIRST_PART}", 3, "TWO_SPINS only"},
		{"spins:\n  faults:\n    SAME_CODE: {spins: [ROUND]}", 3, "COMBINATION_CHANGE"},
		{"spins:\n  faults:\n    SAME_CODE: {segments: {gala: NONE}}", 3, "short-program"},
		{"spins:\n  per_foot: {confidence: certain}", 2, "high, medium, low, memory, inferred"},
		{"steps:\n  variety: {types: [HOP]}", 2, "CHOCTAW"},
		{"steps:\n  variety: {types: []}", 2, "name the difficult turns"},
		{"steps:\n  variety: {max_per_type: 0}", 2, "allowed is 1 to 10"},
		{"steps:\n  variety: {steps: []}", 2, "how many turns allow which level"},
		{"steps:\n  variety:\n    steps:\n      - {name: some, turns: 13, level: 1}", 4, "allowed is 1 to 12"},
		{"steps:\n  variety:\n    steps:\n      - {name: some, turns: 5, level: 2}\n      - {name: more, turns: 4, level: 3}", 5, "must rise"},
		{"steps:\n  features:\n    BODY_MOVEMENT: {shown_by: []}", 3, "want shown_by"},
		{"steps:\n  features:\n    BODY_MOVEMENT: {shown_by: [SMILE]}", 3, "TURN_COMBINATION_ON_EACH_FOOT"},
		{"steps:\n  codes: {pattern: {ANY: null}}", 2, "give the code"},
		{"steps:\n  codes: {pattern: {ROUND: RoSt}}", 2, "STRAIGHT_LINE"},
		{"steps:\n  faults:\n    ROUND: {effect: FLOOR}", 3, "BADLY_SPREAD"},
		{"steps:\n  faults:\n    BADLY_SPREAD: {effect: REDUCED}", 3, "FLOOR"},
		{"missing:\n  JUMP: unknown", 2, "PATTERN_DANCE"},
		{"spins:\n  features:\n    BIELLMANN_AFTER_LAYBACK: {after_layback_of: {ours: {segments: {gala: 6}}}}", 3, "short-program"},
		{"spins:\n  features:\n    BIELLMANN_AFTER_LAYBACK:\n      after_layback_of: {ours: {}}", 4, "want segments"},
		{"spins:\n  features:\n    DIFFICULT_EXIT: {after_layback_of: {ours: {segments: {short-program: 6}}}}", 3, "has no meaning"},
		{"pairs:\n  spins:\n    per_foot: {max: 0}", 3, mostFeatures},
		{"pairs:\n  steps:\n    variety: {max_per_type: 0}", 3, "allowed is 1 to 10"},
		{"pairs:\n  lifts:\n    codes: []", 3, "give the codes"},
		{"pairs:\n  lifts:\n    levels: {floor: 3}", 3, "allowed are B and 1"},
		{"pairs:\n  lifts:\n    position: {revolutions: 1}", 3, "has no meaning for a pair lift"},
		{"pairs:\n  lifts:\n    features:\n      SPLIT_POSITION: {words: a split}", 4, "ONE_HAND_HOLD"},
		{"pairs:\n  lifts:\n    features:\n      WOMAN_VARIATION: {words: null}", 4, "what the couple must do"},
		{"pairs:\n  lifts:\n    features:\n      WOMAN_VARIATION: {least: 2}", 4, "has no meaning"},
		{"pairs:\n  lifts:\n    features:\n      ONE_HAND_HOLD: {min_revolutions: 0}", 4, "needs it"},
		{"pairs:\n  lifts:\n    features:\n      DIFFICULT_CARRY: {not_in: [gala]}", 4, "short-program"},
		{"pairs:\n  lifts:\n    features:\n      DIFFICULT_CARRY: {times: 21}", 4, "0 to 20"},
		{"pairs:\n  death_spirals:\n    position: null", 2, "how many revolutions"},
		{"pairs:\n  death_spirals:\n    position: {revolutions: 0}", 3, "allowed is 1"},
		{"pairs:\n  pair_spins:\n    reduced: null", 2, "with which sign"},
		{"pairs:\n  pair_spins:\n    faults:\n      TWO_POSITIONS: {effect: NO_VALUE}", 4, "NO_LEVEL"},
		{"pairs:\n  pair_spins:\n    faults:\n      SAME_CODE: {effect: NONE}", 4, "TWO_POSITIONS"},
		{"pairs:\n  pair_spins:\n    features:\n      SIX_REVOLUTIONS: {in: [AIR]}", 4, "UPRIGHT_VARIATION"},
		{"dance:\n  key_points: {levels: [4]}", 2, "allowed is 2 to 7"},
		{"dance:\n  key_points: {levels: [2, 1]}", 2, "must rise"},
		{"dance:\n  key_points:\n    incomplete: {effect: REDUCED}", 3, "NO_LEVEL"},
		{"dance:\n  twizzles: {codes: []}", 2, "such as SqTw"},
		{"dance:\n  twizzles: {partners: {man: W}}", 2, "two different letters"},
		{"dance:\n  twizzles: {floor: 2}", 2, "allowed are B and 1"},
		{"dance:\n  twizzles: {steps: []}", 2, "what each level needs"},
		{"dance:\n  twizzles:\n    steps:\n      - {level: 1, rotations: 3}\n      - {level: 2, rotations: 2}", 5, "must rise"},
		{"dance:\n  twizzles:\n    codes: [SqTw, SyTw]\n    steps:\n      - {level: 1, both_directions: [OFT]}", 5, "SqTw, SyTw"},
	} {
		_, err := loadLevels(tc.levels)
		var faults rules.TableFaults
		if !errors.As(err, &faults) {
			t.Errorf("%s\nis accepted: %v", tc.levels, err)
			continue
		}
		found := false
		for _, f := range faults {
			inFile := strings.Contains(f.File, "levels.yaml")
			found = found || inFile && strings.Contains(f.Message, tc.says) && (f.Line == tc.line || strings.HasSuffix(tc.levels, "null"))
		}
		if !found {
			t.Errorf("%s\ngives\n%v\nwant line %d with %q", tc.levels, err, tc.line, tc.says)
		}
	}
}

// TestLevelTableFaultsTogether wants all mistakes of one table in one answer.
func TestLevelTableFaultsTogether(t *testing.T) {
	_, err := loadLevels("spins:\n  per_foot: {max: 0}\n  features:\n    DIFFICULT_EXIT: {limit: TWICE}\nsteps:\n  variety: {max_per_type: 0}\n")
	var faults rules.TableFaults
	if !errors.As(err, &faults) || len(faults) < 3 {
		t.Errorf("faults are %v", err)
	}
}

// TestLevelTableExtends changes one rule and keeps all others, and names every
// rule and its provenance.
func TestLevelTableExtends(t *testing.T) {
	c, err := loadLevels("spins:\n  variations: null\n  features:\n    DIFFICULT_EXIT: {confidence: memory}\n")
	if err != nil {
		t.Fatal(err)
	}
	ours, err := c.Season("ours")
	if err != nil {
		t.Fatal(err)
	}
	s := ours.Levels.Spins
	if s.Variations != nil || s.PerFoot == nil || s.PerFoot.Max != 2 {
		t.Errorf("variations %v, per foot %v", s.Variations, s.PerFoot)
	}
	exit := s.Features[rules.DifficultExit]
	if exit.ID != "levels.spins.features.DIFFICULT_EXIT" || exit.Warn == nil || exit.Warn.Rule != exit.ID {
		t.Errorf("exit is %q with warning %+v", exit.ID, exit.Warn)
	}
	from, err := c.Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	if s.PerFoot.Cite != from.Levels.Spins.PerFoot.Cite {
		t.Errorf("of a rule that the table does not state is said %+v", s.PerFoot.Cite)
	}
}

func TestRevolutionsAndLevelsAsText(t *testing.T) {
	for r, want := range map[rules.Revolutions]string{0: "0", 1: "0.5", 5: "2.5", 16: "8"} {
		if got := r.String(); got != want {
			t.Errorf("%d halves are %q, want %q", int(r), got, want)
		}
	}
	for l, want := range map[rules.Level]string{rules.NoLevel: "", rules.LevelB: "B", 1: "1", 4: "4", 5: ""} {
		if got := l.String(); got != want {
			t.Errorf("level %d is %q, want %q", int(l), got, want)
		}
	}
	scale := rules.LevelScale{Floor: 1, Needs: []int{0, 2, 3, 4}}
	var got []string
	for n := range 7 {
		got = append(got, scale.Of(n).String())
	}
	if text := fmt.Sprint(got); text != "[1 1 2 3 4 4 4]" {
		t.Errorf("levels by features are %s", text)
	}
}

// TestSoloSpinsOfPairs checks that the solo spins of pair skating follow those
// of single skating, also in a club's own table, where a null takes a feature
// away that only single skating states.
func TestSoloSpinsOfPairs(t *testing.T) {
	c, err := loadLevels("spins:\n  features:\n    INCREASE_OF_SPEED: {times: 3}\npairs:\n  spins:\n    per_foot: {confidence: memory}\n    features: {JUMP_WITHIN: null, EIGHT_REVOLUTIONS: {min_revolutions: 5}}\n")
	if err != nil {
		t.Fatal(err)
	}
	ours, err := c.Season("ours")
	if err != nil {
		t.Fatal(err)
	}
	singles, solo := ours.Levels.Spins, ours.Levels.Pairs.Spins
	for _, tc := range []struct {
		what      string
		got, want any
	}{
		{"revolutions without change of singles", singles.Features[rules.EightRevolutions].MinRevolutions, 8 * rules.Revolution},
		{"revolutions without change of pairs", solo.Features[rules.EightRevolutions].MinRevolutions, 5 * rules.Revolution},
		{"where they count", len(solo.Features[rules.EightRevolutions].In), len(singles.Features[rules.EightRevolutions].In)},
		{"speed of singles", singles.Features[rules.IncreaseOfSpeed].Times, 3},
		{"speed of pairs", solo.Features[rules.IncreaseOfSpeed].Times, 3},
		{"jump of singles", singles.Features[rules.JumpWithin] != nil, true},
		{"jump of pairs", solo.Features[rules.JumpWithin] != nil, false},
		{"Biellmann of pairs", solo.Features[rules.BiellmannAfterLayback] != nil, false},
		{"per foot", solo.PerFoot.Max, singles.PerFoot.Max},
		{"name of a rule", solo.PerFoot.ID, "levels.pairs.spins.per_foot"},
	} {
		if tc.got != tc.want {
			t.Errorf("%s: is %v, want %v", tc.what, tc.got, tc.want)
		}
	}
	if w := solo.PerFoot.Warn; w == nil || w.Rule != "levels.pairs.spins.per_foot" {
		t.Errorf("what is from memory does not warn: %+v", w)
	}
	sure, err := c.Season("2016-17")
	if err != nil {
		t.Fatal(err)
	}
	if w := sure.Levels.Pairs.Spins.PerFoot.Warn; w != nil {
		t.Errorf("what was read warns: %+v", w)
	}
}
