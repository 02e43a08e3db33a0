package value_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// eras are the seasons whose full values are the same: what the sheets of one
// print holds in the others.
var eras = map[rules.Discipline][][]string{
	rules.Singles: {{"2018-19", "2019-20", "2020-21", "2021-22", "2022-23", "2023-24", "2024-25", "2025-26"}},
	rules.Pairs:   {{"2018-19", "2019-20", "2020-21", "2021-22", "2022-23", "2023-24", "2024-25", "2025-26"}},
	rules.Dance: {
		{"2018-19"},
		{"2019-20", "2020-21", "2021-22"},
		{"2022-23", "2023-24", "2024-25", "2025-26"},
	},
}

// deathSpirals are the eras of the only values of pair skating that changed.
var deathSpirals = [][]string{
	{"2018-19", "2019-20", "2020-21", "2021-22"},
	{"2022-23", "2023-24", "2024-25", "2025-26"},
}

// since is the first season whose table has a code, where an era began without it: an
// ISU technical specialist names the jumps of five turns among what 2024-25 brought.
var since = map[string]string{"5T": "2024-25", "5S": "2024-25", "5Lo": "2024-25", "5F": "2024-25", "5Lz": "2024-25"}

// stated returns the base values that a season's table states, by code and scope.
func stated(t *testing.T, season *rules.Season, d rules.Discipline, of func(element.Kind) bool) map[string]rules.Points {
	t.Helper()
	values := map[string]rules.Points{}
	for _, code := range season.Table(d).Codes() {
		e, err := element.Parse(code)
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range season.Table(d).Rows(code) {
			if !row.Derived && of(e.Kind()) {
				values[strings.TrimSpace(code+" "+row.Scope)] = row.Base
			}
		}
	}
	return values
}

// TestErasAgree wants every code that a season of an era values in all of its
// seasons, with the same value.
func TestErasAgree(t *testing.T) {
	c := catalog(t)
	agree := func(d rules.Discipline, era []string, of func(element.Kind) bool) {
		all := map[string]rules.Points{}
		tables := map[string]map[string]rules.Points{}
		for _, key := range era {
			season, err := c.Season(key)
			if err != nil {
				t.Fatal(err)
			}
			tables[key] = stated(t, season, d, of)
			for code, base := range tables[key] {
				if was, ok := all[code]; ok && was != base {
					t.Errorf("%s %s: %s is %v, in another season of the era %v", key, d, code, base, was)
				}
				all[code] = base
			}
		}
		if len(all) == 0 {
			t.Errorf("%s of %v: no values", d, era)
		}
		for _, key := range era {
			for code, base := range all {
				if _, ok := tables[key][code]; !ok && key >= since[code] {
					t.Errorf("%s %s: no value of %s, which has %v in another season of the era", key, d, code, base)
				} else if ok && key < since[code] {
					t.Errorf("%s %s: %s has a value before %s", key, d, code, since[code])
				}
			}
		}
	}
	isDeathSpiral := func(k element.Kind) bool { return k == element.DeathSpiral }
	for d, list := range eras {
		for _, era := range list {
			agree(d, era, func(k element.Kind) bool { return !isDeathSpiral(k) })
		}
	}
	for _, era := range deathSpirals {
		agree(rules.Pairs, era, isDeathSpiral)
	}
}

// TestNoLevelNoValue wants of every element that has levels that it can also be
// called without one, as an attempt of no value.
func TestNoLevelNoValue(t *testing.T) {
	c := catalog(t)
	levelled := regexp.MustCompile(`^(.*[A-Za-z])[B1-4]$`)
	looked := 0
	for _, key := range eras[rules.Pairs][0] {
		season, err := c.Season(key)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range []rules.Discipline{rules.Singles, rules.Pairs, rules.Dance} {
			for _, code := range season.Table(d).Codes() {
				name := levelled.FindStringSubmatch(code)
				if name == nil || code == "1MB" { // itself without a level
					continue
				}
				looked++
				if row, _ := season.Table(d).Find(name[1]); row == nil || row.Base != 0 {
					t.Errorf("%s %s: %s has a value and %s is no attempt", key, d, code, name[1])
				}
			}
		}
	}
	if looked < 2000 {
		t.Errorf("only %d codes were looked up", looked)
	}
}

var valued = regexp.MustCompile(`(?m)^(\d.*):\n((?:  .*\n)+)`)

// TestNoValueIsLost wants a value of every code that has had one before.
func TestNoValueIsLost(t *testing.T) {
	text, err := os.ReadFile("testdata/valued.txt")
	if err != nil {
		t.Fatal(err)
	}
	c := catalog(t)
	looked := 0
	for _, block := range valued.FindAllStringSubmatch(string(text), -1) {
		head := strings.Fields(block[1])
		d := rules.Discipline(head[len(head)-1])
		for _, key := range head[:len(head)-1] {
			season, err := c.Season(key)
			if err != nil {
				t.Fatal(err)
			}
			for code := range strings.FieldsSeq(block[2]) {
				looked++
				if row, scopes := season.Table(d).Find(code); row == nil || row.Base == 0 {
					t.Errorf("%s %s: %s has no value (scopes %v)", key, d, code, scopes)
				}
			}
		}
	}
	if looked < 8*131+182+183+57+470 {
		t.Errorf("only %d values were looked up", looked)
	}
}
