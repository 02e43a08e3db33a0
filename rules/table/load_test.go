package table

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules"
)

// dancers is a season of the invented club with ice dance, whose grades are worth
// a share of the base value of level 1.
const dancers = `season: dancers
title: Dancers
extends: base
source: our own rule
goe: {level_one_percent: {dance: 15}}
`

func TestGradesOfLevelOne(t *testing.T) {
	c := load(t, map[string]string{
		"base/season.yaml": base, "dancers/season.yaml": dancers,
		"dancers/dance.csv": "# ours\ncode,base_value,+1,+2,inferred\nDiSt,0.00,,,\nDiStB,2.00,,,\nDiSt1,4.00,,,\nDiSt3,6.00,,,base\nChSt1,1.00,0.83,1.66,\nMiSt3,6.00,,,\n",
		"more/season.yaml":  "season: more\ntitle: More\nextends: dancers\nsource: our own rule\nvalues: {dance: extend}\n",
		"more/dance.csv":    "# ours\ncode,base_value\nDiSt4,7.00\n",
	})
	s, err := c.Season("more")
	if err != nil {
		t.Fatal(err)
	}
	for code, want := range map[string]rules.Points{"DiSt": 0, "DiStB": 60, "DiSt1": 120, "DiSt3": 120, "DiSt4": 120, "ChSt1": 166} {
		v, _ := s.Table(rules.Dance).Find(code)
		if v == nil {
			t.Fatalf("%s has no row", code)
		}
		if p, known, inferred := v.GOE(2); p != want || !known || inferred != (code == "DiSt3") {
			t.Errorf("%s: +2 is %v (known: %v, inferred: %v), want %v", code, p, known, inferred, want)
		}
	}
	if v, _ := s.Table(rules.Dance).Find("MiSt3"); v == nil {
		t.Error("MiSt3 has no row")
	} else if _, known, _ := v.GOE(2); known {
		t.Error("the points of MiSt3 are known, though its level 1 has no value")
	}
	_, err = Load(tables(map[string]string{
		"base/season.yaml": base, "dancers/season.yaml": dancers,
		"dancers/dance.csv": "# ours\ncode,base_value,+1\nDiSt1,4.00,\nDiSt3,6.00,1.30\n",
	}))
	if want := "dance.csv:4: GOE +2 of DiSt3: 1.20 (15% of the base value of DiSt1 a grade, since its cell is empty) is lower"; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("%v, want %q", err, want)
	}
}

func TestThrowsHaveTheirOwnShare(t *testing.T) {
	c := load(t, map[string]string{
		"base/season.yaml": base, "pairs/season.yaml": "season: pairs\ntitle: Pairs\nextends: base\nsource: our own rule\nsigns: {\"<\": {throws: {percent: 75, confidence: low}}}\n",
		"pairs/pairs.csv": "# ours\ncode,base_value\n3LoTh,5.00\n3Lo,5.00\n",
	})
	s, err := c.Season("pairs")
	if err != nil {
		t.Fatal(err)
	}
	for code, want := range map[string]struct {
		base  rules.Points
		warn  rules.Confidence
		about string
	}{
		"3LoTh<": {375, rules.Low, "what the sign < does to the value of a throw"},
		"3Lo<":   {400, rules.Memory, "what the sign < does to the value"},
	} {
		v, _ := s.Table(rules.Pairs).Find(code)
		if v == nil || v.Base != want.base || v.SignWarn == nil || v.SignWarn.Message != (rules.Cite{Source: "our own rule", Confidence: want.warn}).Unsure("x", want.about).Message {
			t.Errorf("%s is %+v, want %v with a warning of confidence %s", code, v, want.base, want.warn)
		}
	}
}

// base is a small complete table of an invented club.
const base = `season: base
title: Base table
source: our own rule
valid_from: 2020-07-01
valid_to: 2021-06-30
goe: {min: -2, max: 2, percent_per_grade: 10}
component_marks: {min: 0.25, max: 10.00, step: 0.25}
panel: {min_judges: 1, max_judges: 9, trim_from: 5, trim: 1}
base_value:
  round_to: 0.01
  sequence: {percent: 80, jumps: 2}
  second_half: {percent: 110}
signs:
  "<": {value: percent, percent: 80, confidence: memory}
  "<<": {value: one_turn_less}
  "!": {value: full}
  "q": {value: full}
components:
  SKATING_SKILLS: {name: Skating Skills}
component_sets:
  one: [SKATING_SKILLS]
deductions:
  FALL: {steps: [0.50, 1.00]}
categories:
  cubs:
    title: Cubs
    discipline: singles
    segments:
      free-skating: {title: Free skating, components: one, factor: 1.50, second_half: {which: last, last: 2}}
sheets: {cubs: {free-skating: 3}}
`

const baseCSV = `# our own values
code,base_value,inferred
1F,0.50,
2F,1.80,
2S,1.30,base
USp1,1.20,
`

func tables(files map[string]string) Layer {
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return Layer{Name: "club", FS: fsys}
}

func load(t *testing.T, files map[string]string) *Catalog {
	t.Helper()
	c, err := Load(tables(files))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestLoadDerivesReducedForms(t *testing.T) {
	c := load(t, map[string]string{"base/season.yaml": base, "base/singles.csv": baseCSV})
	s, err := c.Season("base")
	if err != nil {
		t.Fatal(err)
	}
	values := s.Table(rules.Singles)
	for code, want := range map[string]struct{ base, plusTwo rules.Points }{
		"2F": {180, 36}, "2F<": {144, 29}, "2F<<": {50, 10}, "1F<<": {0, 0}, "2F!<": {144, 29}, "2F!q": {180, 36}, "2S<": {104, 21},
	} {
		v, _ := values.Find(code, "")
		if v == nil {
			t.Errorf("%s has no row", code)
			continue
		}
		if p, known, _ := v.GOE(2); v.Base != want.base || p != want.plusTwo || !known {
			t.Errorf("%s is %v with +2 = %v, want %v and %v", code, v.Base, p, want.base, want.plusTwo)
		}
	}
	if v, _ := values.Find("2S<", ""); !v.Derived || v.SignWarn == nil || v.Warn == nil {
		t.Errorf("2S< rests on an inferred value and a sign from memory, but does not warn: %+v", v)
	}
	if v, _ := values.Find("2S<<", ""); v != nil {
		t.Error("2S<< has a value though 1S has none")
	}
	if w := c.Seasons()[0].Categories["cubs"].Segments["free-skating"]; w.Panel[0].Factor != 150 || w.Panel[0].Name != "Skating Skills" {
		t.Errorf("panel is %+v", w.Panel)
	}
	if got := s.Deductions["FALL"].Total(4); got != 350 {
		t.Errorf("four falls take off %v, want 3.50", got)
	}
}

func TestExtendingSeasonStatesOnlyWhatChanges(t *testing.T) {
	c := load(t, map[string]string{
		"base/season.yaml": base, "base/singles.csv": baseCSV,
		"next/season.yaml": "season: next\ntitle: Next\nextends: base\nsource: our own rule\nvalues: {singles: extend}\n" +
			"signs: {\"<\": {percent: 70}, \"q\": null}\ncategories: {cubs: {segments: {free-skating: {factor: 2.00}}}}\n",
		"next/singles.csv": "# changed values\ncode,base_value\n2F,2.00\nWJ,0.30\n",
		"last/season.yaml": "season: last\ntitle: Last\nextends: next\nsource: our own rule\n",
	})
	for _, key := range []string{"next", "last"} {
		s, err := c.Season(key)
		if err != nil {
			t.Fatal(err)
		}
		for code, want := range map[string]rules.Points{"2F": 200, "2F<": 140, "2S<": 91, "WJ": 30, "USp1": 120} {
			if v, _ := s.Table(rules.Singles).Find(code, ""); v == nil || v.Base != want {
				t.Errorf("%s: %s is %+v, want %v", key, code, v, want)
			}
		}
		if v, _ := s.Table(rules.Singles).Find("2Fq", ""); v != nil {
			t.Errorf("%s: 2Fq has a value though the season dropped the sign", key)
		}
		if f := s.Categories["cubs"].Segments["free-skating"].Panel[0].Factor; f != 200 {
			t.Errorf("%s: factor is %v", key, f)
		}
		if s.Signs["<"].Value != rules.SignPercent || s.Signs["<"].Confidence != rules.Memory {
			t.Errorf("%s: the sign < lost what it did not restate: %+v", key, s.Signs["<"])
		}
		if s.ValidFrom != "" || s.Sheets != nil {
			t.Errorf("%s: took over the parent's dates or counts of sheets", key)
		}
	}
	a, _ := c.Season("next")
	b, _ := c.Season("last")
	if a.Revision == b.Revision || !strings.HasPrefix(a.Revision, "sha256:") {
		t.Error("revisions must differ between seasons")
	}
}

func TestRevisionFollowsTheParent(t *testing.T) {
	child := "season: next\ntitle: Next\nextends: base\nsource: our own rule\n"
	one := load(t, map[string]string{"base/season.yaml": base, "base/singles.csv": baseCSV, "next/season.yaml": child})
	two := load(t, map[string]string{"base/season.yaml": base, "base/singles.csv": strings.Replace(baseCSV, "1.80", "1.90", 1), "next/season.yaml": child})
	a, _ := one.Season("next")
	b, _ := two.Season("next")
	if a.Revision == b.Revision {
		t.Error("the revision of a season does not change with the values it inherits")
	}
}

func TestLoadTellsAllFaultsWithFileAndLine(t *testing.T) {
	broken := strings.NewReplacer(
		"title: Base table\n", "title: Base table\ncolour: red\n",
		"trim_from: 5", "trim_from: five",
		"factor: 1.50", "factor: 15.00",
	).Replace(base)
	semantic := strings.NewReplacer(
		"season: base", "season: other",
		"min: -2", "min: -9",
		"[0.50, 1.00]", "[0.50, 0.00]",
		"components: one", "components: two",
		"factor: 1.50", "factor: 15.00",
		"which: last", "which: middle",
		"confidence: memory", "confidence: sure",
		"one: [SKATING_SKILLS]", "one: [SKATING_SKILLS, SKILLS]",
	).Replace(base)
	_, err := Load(tables(map[string]string{
		"broken/season.yaml":   broken,
		"wrong/season.yaml":    semantic,
		"base/season.yaml":     base,
		"base/singles.csv":     "# v\ncode,base_value,+7\n2F,1.80,\n2F,1.90,\n3?,1,\n3S,1.234,\n3T,1.00\n",
		"loop/season.yaml":     "season: loop\ntitle: L\nextends: loop\nsource: x\n",
		"orphan/season.yaml":   "season: orphan\ntitle: O\nextends: nobody\nsource: x\n",
		"empty/readme.txt":     "",
		"Bad Name/season.yaml": base,
		"list/season.yaml":     "- a\n",
		"syntax/season.yaml":   "season: [\n",
	}))
	var faults rules.TableFaults
	if !errors.As(err, &faults) {
		t.Fatalf("want rules.TableFaults, got %v", err)
	}
	text := faults.Error()
	for _, want := range []string{
		"club/broken/season.yaml:3: colour: is not a known key here",
		"club/broken/season.yaml:9: panel.trim_from: is \"five\"; want a whole number",
		"club/broken/season.yaml:30: categories.cubs.segments.free-skating.factor: is 15.00",
		"club/wrong/season.yaml:1: season: is \"other\"",
		"club/wrong/season.yaml:6: goe.min: is -9; allowed is -5 to -1",
		"club/wrong/season.yaml:23: deductions.FALL.steps[1]",
		"club/wrong/season.yaml:29: categories.cubs.segments.free-skating.components: is \"two\"",
		"club/wrong/season.yaml:29: categories.cubs.segments.free-skating.factor: is 15.00",
		"club/wrong/season.yaml:29: categories.cubs.segments.free-skating.second_half.which: is \"middle\"; allowed are: none, all, last",
		"club/wrong/season.yaml:14: signs.<.confidence: is \"sure\"",
		"club/wrong/season.yaml:21: component_sets.one[1]: is \"SKILLS\"",
		"club/base/singles.csv:2: the header \"code,base_value,+7\" has the column \"+7\", which is not known",
		"club/base/singles.csv:4: 2F stands twice",
		"club/base/singles.csv:5: code \"3?\"",
		"club/base/singles.csv:6: base_value of 3S: \"1.234\"",
		"club/base/singles.csv:7: has 2 fields, the header has 3",
		"club/loop/season.yaml:3: extends: loop extends itself",
		"club/orphan/season.yaml:3: extends: there is no season \"nobody\"",
		"club/empty: is a folder without season.yaml",
		"club/Bad Name: is not a season key",
		"club/list/season.yaml:1: is a list; want a mapping",
		"club/syntax/season.yaml:",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the faults do not tell %q", want)
		}
	}
	if t.Failed() {
		t.Log(text)
	}
}

func TestCurrentSeason(t *testing.T) {
	next := strings.NewReplacer("season: base", "season: next", "2020-07-01", "2021-07-01", "2021-06-30", "2022-06-30").Replace(base)
	c := load(t, map[string]string{"base/season.yaml": base, "base/singles.csv": baseCSV, "next/season.yaml": next, "next/singles.csv": baseCSV})
	for date, want := range map[string]string{"2020-07-01": "base", "2021-06-30": "base", "2021-07-01": "next"} {
		if s, w := c.Current(date); s.Season != want || w != nil {
			t.Errorf("on %s the season is %s (%v), want %s", date, s.Season, w, want)
		}
	}
	if s, w := c.Current("2026-11-25"); s.Season != "next" || w == nil || w.Code != rules.WarnSeasonNotFound {
		t.Errorf("after the last table: %s, %v; want next with a warning", s.Season, w)
	}
	if _, err := c.Season("2030-31"); err == nil || !strings.Contains(err.Error(), "base, next") {
		t.Errorf("an unknown season must name the known ones: %v", err)
	}
}

func TestRulesListEveryLeafWithItsSource(t *testing.T) {
	s, _ := load(t, map[string]string{"base/season.yaml": base, "base/singles.csv": baseCSV}).Season("base")
	i := slices.IndexFunc(s.Rules, func(r rules.Rule) bool { return r.Key == "signs.<.percent" })
	if i < 0 || s.Rules[i].Value != "80" || s.Rules[i].Source != "our own rule" || s.Rules[i].Confidence != rules.Memory {
		t.Errorf("signs.<.percent is listed as %+v", s.Rules[max(i, 0)])
	}
}

func TestFilesLoadAgain(t *testing.T) {
	c := load(t, map[string]string{
		"base/season.yaml": base, "base/singles.csv": baseCSV,
		"next/season.yaml": "season: next\ntitle: Next\nextends: base\nsource: our own rule\n",
	})
	s, _ := c.Season("next")
	files := map[string]string{}
	for name, data := range s.Files {
		files[name] = string(data)
	}
	again, err := load(t, files).Season("next")
	if err != nil || again.Revision != s.Revision || len(files) != 3 {
		t.Errorf("files %v load as revision %v, %v; want %v", rules.SortedKeys(files), again, err, s.Revision)
	}
}

func TestRowsDoNotCrossGOEScales(t *testing.T) {
	_, err := Load(tables(map[string]string{
		"base/season.yaml": base, "base/singles.csv": baseCSV,
		"next/season.yaml": "season: next\ntitle: Next\nextends: base\nsource: our own rule\ngoe: {min: -3}\n",
	}))
	if err == nil || !strings.Contains(err.Error(), "club/next/season.yaml: the scale of GOE differs") {
		t.Errorf("got %v", err)
	}
}

func FuzzLoad(f *testing.F) {
	f.Add(base, baseCSV)
	f.Add("season: base\n", "code\n")
	f.Add(strings.Replace(base, "cubs", "\"\"", 1), "# x\ncode,base_value,-1\n2F<,1.00,-0.10\n")
	f.Fuzz(func(_ *testing.T, yaml, csv string) {
		c, err := Load(tables(map[string]string{"base/season.yaml": yaml, "base/singles.csv": csv}))
		if (c == nil) == (err == nil) {
			panic("want a catalog or faults")
		}
	})
}

// A table that leaves out a part that every answer needs is refused, also where a
// null takes it away: a step of 0.00 would divide by zero.
func TestPartsThatEverySeasonNeeds(t *testing.T) {
	without := func(key string) string {
		_, rest, _ := strings.Cut(base, "\n"+key+":")
		_, rest, _ = strings.Cut(rest, "\n")
		for strings.HasPrefix(rest, " ") {
			_, rest, _ = strings.Cut(rest, "\n")
		}
		before, _, _ := strings.Cut(base, "\n"+key+":")
		return before + "\n" + rest
	}
	for key, want := range map[string]string{
		"component_marks": "component_marks.step: is 0.00; allowed is 0.01 to 1.00",
		"base_value":      "base_value.round_to: is 0.00; allowed are 0.01 and 0.10",
		"goe":             "goe.min: is 0; allowed is -5 to -1",
		"panel":           "panel.min_judges: is 0; allowed is 1 to 20",
	} {
		_, err := Load(tables(map[string]string{"base/season.yaml": without(key)}))
		if err == nil || !strings.Contains(err.Error(), "base/season.yaml:1: "+want) {
			t.Errorf("without %s: %v, want %s", key, err, want)
		}
		_, err = Load(tables(map[string]string{
			"base/season.yaml": base,
			"club/season.yaml": "season: club\ntitle: Club\nextends: base\nsource: ours\n" + key + ": null\n",
		}))
		if err == nil || !strings.Contains(err.Error(), "club/season.yaml:5: "+want) {
			t.Errorf("with null for %s: %v, want %s", key, err, want)
		}
	}
}
