package rules_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
)

// loadLevels loads the embedded tables and a season that extends 2025-26 with
// the given levels.yaml.
func loadLevels(levels string) (*rules.Catalog, error) {
	return rules.Load(rules.Layer{FS: seasons.FS}, rules.Layer{Name: "club", FS: fstest.MapFS{
		"ours/season.yaml": {Data: []byte("season: ours\ntitle: Ours\nextends: 2025-26\nsource: our own rules\n")},
		"ours/levels.yaml": {Data: []byte(levels)},
	}})
}

// TestLevelTableFaults plants mistakes in a table of levels and wants each told
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
		{"spins:\n  per_foot: {max: 0}", 2, "allowed is 1 to 15"},
		{"spins:\n  variations: {max: 0}", 2, "allowed is 1 to 15"},
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
			found = found || inFile && strings.Contains(f.Message, tc.says) && (f.Line == tc.line || tc.says == "reduces the value")
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
	if s.PerFoot.Warn != nil {
		t.Errorf("a sure rule warns: %+v", s.PerFoot.Warn)
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
