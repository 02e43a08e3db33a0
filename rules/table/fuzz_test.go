package table_test

import (
	"errors"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// FuzzReadYAML reads any text into types that tables and golden cases have: faults
// name the file and a line of it, and nothing else happens.
func FuzzReadYAML(f *testing.F) {
	for _, name := range []string{"2025-26/season.yaml", "2025-26/levels.yaml", "2024-25/program.yaml"} {
		data, err := seasons.FS.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data[:min(len(data), 2000)])
	}
	for _, text := range []string{
		"", "a: &a {x: 1}\nb: {<<: [*a, *a], x: 2}\n", "a: {factor: 1,50}\n", "? [a]\n: b\n", "a: !!str 5\n", "--- a\n--- b\n",
		"panel: {max_judges: 99999999999999999999}\n", "signs:\n  \"<\":\n\tvalue: x\n", "a: |\n  x\nb: >-\n  y\n", "*a : b\n", "\xef\xbb\xbfseason: x\n",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		lines := 2
		for _, b := range data {
			if b == '\n' || b == '\r' {
				lines++
			}
		}
		for _, into := range []any{new(rules.Params), new(rules.LevelRules), new(rules.ContentRules), new([]map[string]any), new(map[string]any)} {
			_, faults := table.ReadYAML("f", data, into)
			for _, fault := range faults {
				if fault.File != "f" || fault.Line < 0 || fault.Line > lines || fault.Message == "" {
					t.Errorf("%+v of a file of %d lines", fault, lines)
				}
			}
		}
	})
}

// FuzzLayers lays any files of a club over a season: what is loaded has the numbers
// that every answer needs, and each of its rules says where it is stated.
func FuzzLayers(f *testing.F) {
	f.Add("panel: {max_judges: 5}\n", "spins: {per_foot: {max: 3}}\n", "layouts: {free-women: {repeats: null}}\n", "WJ,0.30\n")
	f.Add("component_marks: null\n", "pairs: {spins: {covers: inherited, note: x}}\n", "layouts: {mine: {like: free-men, title: x}}\n", "3Lz,5.90\n")
	f.Add("goe: {min: -3, max: 3}\nvalues: {singles: none}\n", "spins: null\n", "categories: {senior-men: null}\n", "OneSp,\n")
	f.Add("categories: {senior-women: null}\ncovers: inherited\n", "", "layouts: {a: {like: b}, b: {like: a}}\n", "\"WJ\",0.30\n3Lz<<,1.00\n")
	f.Fuzz(func(t *testing.T, season, levels, content, rows string) {
		c := embedded.Over(table.Layer{Name: "club", FS: fstest.MapFS{
			"herons/season.yaml":  {Data: []byte(herons + season)},
			"herons/levels.yaml":  {Data: []byte("source: ours\n" + levels)},
			"herons/program.yaml": {Data: []byte("source: ours\n" + content)},
			"herons/singles.csv":  {Data: []byte("# ours\ncode,base_value\n" + rows)},
		}})
		s, err := c.Season("herons")
		if err != nil {
			var faults rules.TableFaults
			if !errors.As(err, &faults) || len(faults) == 0 {
				t.Fatalf("%T: %v", err, err)
			}
			for _, fault := range faults {
				if fault.File == "" || fault.Message == "" {
					t.Errorf("a fault without file or words: %+v", fault)
				}
			}
			return
		}
		if s.ComponentMarks.Step <= 0 || s.BaseValue.RoundTo <= 0 || s.GOE.Min >= 0 || s.GOE.Max <= 0 || s.Panel.TrimFrom <= 2*s.Panel.Trim {
			t.Errorf("loaded with %+v %+v %+v %+v", s.ComponentMarks, s.BaseValue, s.GOE, s.Panel)
		}
		for rule := range s.EachRule() {
			if rule.Key == "" || rule.File == "" || rule.Line < 1 || rule.Source == "" {
				t.Errorf("a rule without key, place or source: %+v", rule)
			}
		}
	})
}
