package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/server/tables"
)

// clubTable is a table of an invented club: two categories and three elements
// of its own.
const clubTable = `season: lakeside-2026
title: Lakeside club rules
extends: 2025-26
source: our own rule
values: {singles: extend}
panel: {min_judges: 3, max_judges: 5, trim_from: 5, trim: 1}
component_sets:
  two: [COMPOSITION, SKATING_SKILLS]
deductions:
  FALL: {each: 0.50}
categories:
  cubs:
    title: Cubs
    discipline: singles
    max_level: 1
    segments:
      free-skating: {title: Free skating, components: two, factor: 1.50, second_half: {which: none}}
  otters:
    title: Otters
    discipline: singles
    max_level: 2
    segments:
      free-skating: {title: Free skating, components: two, factor: 2.00, second_half: {which: all}}
`

const clubValues = `# our own values
code,base_value
WJ,0.30
BJ,0.20
OneSp,0.60
1W,0.25
`

const clubCases = `- name: A waltz jump in combination, by either name
  source: our own rule
  call: elements:value
  request: {category: cubs, segment: free-skating, elements: [{code: WJ+1T, secondHalf: true}, {code: OneSp}, {code: 1W+1T}]}
  expect: {elements: [{baseValue: "0.70"}, {baseValue: "0.60"}, {baseValue: "0.65"}], totalBaseValue: "1.95"}
`

func writeClub(t *testing.T, season, values, cases string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{"season.yaml": season, "singles.csv": values, "cases/values.yaml": cases} {
		if text == "" {
			continue // a table need not have such a file
		}
		file := filepath.Join(dir, "lakeside-2026", name)
		if err := os.MkdirAll(filepath.Dir(file), 0o750); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestCheckAClubTable(t *testing.T) {
	var out bytes.Buffer
	if err := checkRules(context.Background(), &out, writeClub(t, clubTable, clubValues, clubCases)); err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	if !strings.Contains(out.String(), "golden cases run: 1, all of them hold") {
		t.Errorf("said %q", out.String())
	}
	out.Reset()
	wrong := strings.Replace(clubCases, `"1.95"`, `"1.40"`, 1)
	err := checkRules(context.Background(), &out, writeClub(t, clubTable, clubValues, wrong))
	if err == nil || !strings.Contains(out.String(), `values.yaml:1: A waltz jump in combination, by either name`) || !strings.Contains(out.String(), `totalBaseValue: want "1.40", got "1.95"`) {
		t.Errorf("a golden case that does not hold: %v\n%s", err, out.String())
	}
}

// TestTwelveMistakes plants twelve mistakes in the club's table; each is reported
// with file and line, all at once.
func TestTwelveMistakes(t *testing.T) {
	season := strings.NewReplacer(
		"title: Lakeside club rules", "titel: Lakeside club rules", // 2: unknown key (and so no title)
		"max_judges: 5", "max_judges: many", // 6: no number
		"trim: 1", "trim: 9", // 6: out of range, on the same line
		"two: [COMPOSITION, SKATING_SKILLS]", "two: [COMPOSITION, SKATING]", // 8
		"FALL: {each: 0.50}", "FALLS: {each: 0.50}", // 10
		"    max_level: 1", "    max_level: 7", // 15
		"factor: 1.50", "factor: 150", // 17
		"title: Otters\n    discipline: singles", "title: Otters\n    discipline: single", // 20
		"which: all", "which: every", // 23
	).Replace(clubTable)
	values := strings.NewReplacer("WJ,0.30", "WJ,0,30", "BJ,0.20", "BJ,-0.20", "OneSp,0.60", "One Sp,0.60").Replace(clubValues)
	dir := writeClub(t, season, values, strings.Replace(clubCases, "elements:value", "elements:values", 1)) // and one in the cases
	var out bytes.Buffer
	err := checkRules(context.Background(), &out, dir)
	if err == nil || !strings.Contains(err.Error(), "the golden cases were read but not run") {
		t.Fatalf("of a table with mistakes is said: %v", err)
	}
	for _, want := range []string{
		"season.yaml:2: titel", "season.yaml:6: panel.max_judges: is \"many\"; want a whole number", "season.yaml:6: panel.trim", "season.yaml:8: component_sets.two[1]",
		"season.yaml:10: deductions.FALLS", "season.yaml:15: categories.cubs.max_level", "season.yaml:17: categories.cubs.segments.free-skating.factor",
		"season.yaml:20: categories.otters.discipline", "season.yaml:23: categories.otters.segments.free-skating.second_half.which",
		"singles.csv:3: has 3 fields", "singles.csv:4: base_value of BJ", `singles.csv:5: code "One Sp"`,
		`cases/values.yaml:3: call is "elements:values"; allowed are: elements:parse, elements:value, levels:batchCall`,
	} {
		if !strings.Contains(out.String(), "lakeside-2026/"+want) {
			t.Errorf("not told: %s", want)
		}
	}
	if t.Failed() {
		t.Log(out.String())
	}
}

func TestNewTableIsReadyToCheck(t *testing.T) {
	all, err := tables.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	base, _, faults := all.Season("2025-26", "")
	if faults != nil {
		t.Fatal(faults)
	}
	dir := t.TempDir()
	if _, err := newTable(dir, "2026-27", base); err != nil {
		t.Fatal(err)
	}
	nameSources(t, filepath.Join(dir, "2026-27"))
	var out bytes.Buffer
	if err := checkRules(context.Background(), &out, dir); err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	if _, err := newTable(dir, "2026-27", base); err == nil || !strings.Contains(err.Error(), "not overwritten") {
		t.Errorf("an existing table: %v", err)
	}
	own, err := ownTables(dir)
	if err != nil {
		t.Fatal(err)
	}
	if s, w := own.Catalog().Current("2026-11-25"); s.Season != "2026-27" || w != nil {
		t.Errorf("current is %s, %v", s.Season, w)
	}
}

// TestCheckTellsWhatATableChanges looks at what the writer of a table sees who
// lost a decimal point, changed a value of the season by mistake, and has no cases.
func TestCheckTellsWhatATableChanges(t *testing.T) {
	dir := writeClub(t, clubTable, "# our own values\ncode,base_value\nWJ,30\n3Lz,0.30\nOneSp,0.60\n", "")
	var out bytes.Buffer
	if err := checkRules(context.Background(), &out, dir); err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	for _, want := range []string{
		"lakeside-2026 (Lakeside club rules) over 2025-26:\n",
		"  new elements: OneSp 0.60, WJ 30.00\n",
		"  changed base values: 3Lz 5.90 -> 0.30\n",
		"  new categories: cubs, otters\n",
		" changed rules: rinktally rules diff --rules " + dir + " 2025-26 lakeside-2026\n",
		"warning: " + dir + "/lakeside-2026/singles.csv: WJ is worth 30.00, more than any element of season 2025-26 (5F 14.00); is a decimal point missing?\n",
		"warning: " + dir + "/lakeside-2026/singles.csv: WJ has no kind; say what it is",
		"no golden cases lie beside them",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("did not say %q", want)
		}
	}
	if strings.Contains(out.String(), "OneSp has no kind") || strings.Contains(out.String(), "would keep the values") {
		t.Error("said what is not so")
	}
	if t.Failed() {
		t.Log(out.String())
	}
	dir = writeClub(t, strings.Replace(clubTable, "values: {singles: extend}\n", "", 1), clubValues, "")
	out.Reset()
	if err := checkRules(context.Background(), &out, dir); err != nil || !strings.Contains(out.String(), "values: {singles: extend} would keep the values of 2025-26") {
		t.Errorf("of values that are no longer there is said: %v\n%s", err, out.String())
	}
}
