package value_test

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/rules/value"
)

// club loads a club's table over the seasons.
func club(values string) (*table.Catalog, error) {
	return table.Load(table.Layer{Name: "seasons", FS: seasons.FS}, table.Layer{Name: "club", FS: fstest.MapFS{
		"lake/season.yaml": {Data: []byte(`season: lake
title: Lake
extends: 2025-26
source: our own rule
values: {singles: extend}
categories:
  cubs:
    title: Cubs
    discipline: singles
    max_level: 1
    segments:
      free-skating: {title: Free skating, components: three, factor: 1.00, second_half: {which: all}}
`)},
		"lake/singles.csv": {Data: []byte("# our own values\n" + values)},
	}})
}

// An element that the table names a jump earns the second-half bonus as jumps do,
// alone and in a combination; one whose kind nothing tells earns none. The shares
// are those of 2025-26; the values are invented.
func TestKindOfANamedElement(t *testing.T) {
	c, err := club("code,kind,base_value\nWJ,jump,0.30\nHop,,0.30\n")
	if err != nil {
		t.Fatal(err)
	}
	ctx := context(t, c, "lake", "cubs", "free-skating", "")
	for _, want := range []struct {
		code, base string
		kind       element.Kind
	}{
		{"WJ", "0.33", element.Jump},
		{"WJ+1T", "0.77", element.Jump}, // (0.30 + 0.40) x 1.10
		{"1T+WJ", "0.77", element.Jump},
		{"Hop", "0.30", element.Other},
		{"Hop+1T", "0.77", element.Jump}, // the toe loop makes it a combination of jumps
	} {
		var warnings rules.Warnings
		got, err := ctx.Elements(nil, []value.Skated{{Code: want.code, SecondHalf: true}}, &warnings)
		if err != nil || got[0].Base.String() != want.base || got[0].Kind() != want.kind || ctx.Kind(&got[0].Element) != want.kind {
			t.Errorf("%s: %v, %v; want %s, %v", want.code, got, err, want.base, want.kind)
		}
	}
	_, err = club("code,kind,base_value\nWJ,leap,0.30\n")
	if err == nil || !strings.Contains(err.Error(), `singles.csv:3: kind of WJ: "leap" is not known; allowed are: jump, spin,`) {
		t.Errorf("an unknown kind: %v", err)
	}
}

// Of the last three jump elements of the second half, one without value is one, also
// where only the table says that it is a jump: 0.40 for the toe loop before them.
func TestNamedJumpWithoutValueIsAmongTheLast(t *testing.T) {
	c, err := club("code,kind,base_value\nWJ,jump,0.30\n")
	if err != nil {
		t.Fatal(err)
	}
	ctx := context(t, c, "lake", "senior-women", "free-skating", "")
	var warnings rules.Warnings
	skated := []value.Skated{{Code: "1T", SecondHalf: true}, {Code: "1T", SecondHalf: true}, {Code: "WJ*", SecondHalf: true}, {Code: "1T", SecondHalf: true}}
	got, faults := ctx.Elements(nil, skated, &warnings)
	if faults != nil {
		t.Fatal(faults)
	}
	for i, want := range []string{"0.40", "0.44", "0.00", "0.44"} {
		if got[i].Base.String() != want {
			t.Errorf("%s, element %d: %v, want %s", skated[i].Code, i+1, got[i].Base, want)
		}
	}
}

// A level above the category's highest is valued as it stands, with a warning.
func TestLevelAboveTheCap(t *testing.T) {
	c, err := club("code,base_value\nWJ,0.30\n")
	if err != nil {
		t.Fatal(err)
	}
	ctx := context(t, c, "lake", "cubs", "free-skating", "")
	for code, warned := range map[string]bool{"USp1": false, "USpB": false, "USp3": true} {
		var warnings rules.Warnings
		if _, err := ctx.Elements(nil, []value.Skated{{Code: code}}, &warnings); err != nil {
			t.Fatal(err)
		}
		got := slices.ContainsFunc(warnings, func(w rules.Warning) bool {
			return w.Code == rules.WarnLevelAboveCap && w.Rule == "categories.cubs.max_level"
		})
		if got != warned {
			t.Errorf("%s: %v", code, warnings)
		}
	}
}
