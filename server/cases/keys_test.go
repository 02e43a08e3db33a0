package cases_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/server/cases"
	"github.com/rinktally/rinktally/server/tables"
)

// ruleKeys collects what an answer names as a rule, by path.
func ruleKeys(at string, answer any, into map[string]string) {
	switch v := answer.(type) {
	case map[string]any:
		for key, value := range v {
			if text, ok := value.(string); ok && key == "rule" && text != "" {
				into[at+".rule"] = text
				continue
			}
			ruleKeys(at+"."+key, value, into)
		}
	case []any:
		for i, item := range v {
			ruleKeys(fmt.Sprintf("%s[%d]", at, i), item, into)
		}
	}
}

// unknownKeys lists the rules that an answer names and that the season does not show.
func unknownKeys(t *testing.T, answer []byte, shown map[string]bool) (named int, unknown []string) {
	t.Helper()
	var decoded any
	if err := json.Unmarshal(answer, &decoded); err != nil {
		t.Fatal(err)
	}
	keys := map[string]string{}
	ruleKeys("answer", decoded, keys)
	for at, key := range keys {
		if !shown[key] {
			unknown = append(unknown, at+": "+key)
		}
	}
	slices.Sort(unknown)
	return len(keys), unknown
}

// Every rule that an answer names, as a warning, a feature or a finding, is a key
// that GetSeason shows: tried over all golden cases.
func TestAnswersNameRulesThatGetSeasonShows(t *testing.T) {
	list, err := cases.Load("seasons", seasons.FS)
	if err != nil {
		t.Fatal(err)
	}
	all, err := tables.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	call, named := cases.Direct(all), 0
	shown := map[string]map[string]bool{}
	for i := range list {
		c := &list[i]
		for _, season := range c.Seasons {
			if shown[season] == nil {
				s, _, err := all.Season(season, "")
				if err != nil {
					t.Fatal(err)
				}
				shown[season] = map[string]bool{}
				for r := range s.EachRule() {
					if shown[season][r.Key] {
						t.Errorf("season %s shows %s twice", season, r.Key)
					}
					shown[season][r.Key] = true
				}
			}
			answer, _ := c.Run(t.Context(), season, call)
			n, unknown := unknownKeys(t, answer, shown[season])
			named += n
			for _, key := range unknown {
				t.Errorf("%s:%d (%s, season %s): %s is not shown by GetSeason", c.File, c.Line, c.Name, season, key)
			}
		}
	}
	t.Logf("%d rules named", named)
	if named < 500 {
		t.Errorf("only %d rules are named; the test looks at too little", named)
	}
	// A path with one wrong letter is found.
	wrong := []byte(`{"warnings":[{"rule":"categories.senior-pairs.segment.free-skating"}],"elements":[{"rule":"panel"}]}`)
	if _, unknown := unknownKeys(t, wrong, shown["2025-26"]); !slices.Equal(unknown, []string{"answer.warnings[0].rule: categories.senior-pairs.segment.free-skating"}) {
		t.Errorf("of a wrong path is said %v", unknown)
	}
}

// places collects what features say about where they are, by path in the element.
func places(answer any, into map[string]string) {
	switch v := answer.(type) {
	case map[string]any:
		at, isFeature := v["at"].(string)
		if where, ok := v["where"].(string); isFeature && ok {
			into[at] = where
		}
		for _, value := range v {
			places(value, into)
		}
	case []any:
		for _, item := range v {
			places(item, into)
		}
	}
}

// Beside every path of a feature stands the same in words, for all kinds of element:
// tried over all golden cases.
func TestEveryPlaceIsInWords(t *testing.T) {
	list, err := cases.Load("seasons", seasons.FS)
	if err != nil {
		t.Fatal(err)
	}
	all, err := tables.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	call, said := cases.Direct(all), map[string]string{}
	for i := range list {
		for _, season := range list[i].Seasons {
			answer, _ := list[i].Run(t.Context(), season, call)
			var decoded any
			if err := json.Unmarshal(answer, &decoded); err != nil {
				t.Fatal(err)
			}
			places(decoded, said)
		}
	}
	for at, where := range said {
		if (at == "") != (where == "") {
			t.Errorf("%q is %q in words", at, where)
		}
	}
	for at, want := range map[string]string{
		"feet[1].positions[0]": "foot 2, position 1", "flying": "flying entry", "turns": "turns", "keyPoints[0]": "key point 1",
		"features[0]": "feature 1", "positions[1]": "position 2", "oneHandRevolutions": "hold with one hand",
		"difficultEntrance": "entrance", "lowRevolutions": "low revolutions",
	} {
		if said[at] != want {
			t.Errorf("%s is %q in words, want %q", at, said[at], want)
		}
	}
}
