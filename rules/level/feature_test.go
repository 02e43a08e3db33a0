package level_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

// everyFeature are the keys that the rule of every spin feature may have.
var everyFeature = []string{"limit", "times", "wrong_place", "group", "apart_from"}

// TestFeatureKeys compares the keys that each feature says it knows with the
// tables of all seasons: no rule has another, and none lacks one that it needs.
func TestFeatureKeys(t *testing.T) {
	for _, s := range tables(t, nil).Seasons() {
		spins := []*rules.SpinRules{s.Levels.Spins}
		if s.Levels.Pairs != nil && s.Levels.Pairs.Spins != nil {
			spins = append(spins, s.Levels.Pairs.Spins)
		}
		for _, r := range spins {
			for name, rule := range r.Features {
				knows, needs, ok := level.SpinFeatureKeys(name)
				if !ok {
					t.Errorf("%s: nothing knows the feature %s", s.Params.Season, name)
				}
				value := reflect.ValueOf(rule).Elem()
				for i := range value.NumField() {
					key, _, _ := strings.Cut(value.Type().Field(i).Tag.Get("yaml"), ",")
					set := !value.Field(i).IsZero()
					switch {
					case key == "": // what every clause carries
					case set && !slices.Contains(knows, key) && !slices.Contains(everyFeature, key):
						t.Errorf("%s %s: the table states %s, which the feature does not know", s.Params.Season, name, key)
					case !set && slices.Contains(needs, key):
						t.Errorf("%s %s: the table lacks %s, which the feature needs", s.Params.Season, name, key)
					}
				}
			}
		}
	}
}

// TestFeatureList wants every feature of every season's table in the list that
// people are shown, each with its words, its kinds and how to reach it.
func TestFeatureList(t *testing.T) {
	for _, s := range tables(t, nil).Seasons() {
		season := s.Params.Season
		list := level.Features(s.Levels)
		if want := len(s.Levels.Spins.Features) + len(s.Levels.Steps.Features) + 1; len(list) != want {
			t.Errorf("%s: %d features are listed, want %d", season, len(list), want)
		}
		for _, f := range list {
			if f.Title == "" || f.Short == "" || len(f.Short) > 14 || len(f.Kinds) == 0 || !strings.HasSuffix(f.Reach, ".") {
				t.Errorf("%s: %+v lacks words", season, f)
			}
			if rule := s.Levels.Spins.Features[rules.SpinFeature(f.Feature)]; rule != nil && len(rule.In) != 0 && len(rule.In) != len(f.Positions) {
				t.Errorf("%s: %s is listed for %v, the table says %v", season, f.Feature, f.Positions, rule.In)
			}
		}
	}
}
