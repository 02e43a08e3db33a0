package table

import (
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
)

// content is a small program table of an invented club.
const content = `source: our own rule
marks: {broken: COMBO}
joining: {next: [T, Lo, Eu], half_loops: [1Eu], after_half_loop: [S, F]}
layouts:
  cubs:
    title: cubs' free skating
    boxes:
      jump: {title: jump elements, kind: jump, min: 2, max: 3, confidence: memory}
      spin: {title: spins, kind: spin, min: 1, max: 1}
    repeats: {from: 3, different: 2, executions: {"2": 2, "2A": 1}, over: JUMP, solo_mark: REP, confidence: medium}
  big-cubs:
    title: big cubs' free skating
    like: cubs
    boxes:
      jump: {title: jump elements, kind: jump, min: 2, max: 5}
categories:
  cubs: {free-skating: big-cubs}
`

func TestContentLayoutsBuildOnOthers(t *testing.T) {
	c := load(t, map[string]string{
		"base/season.yaml": base, "base/singles.csv": baseCSV, "base/program.yaml": content,
		"next/season.yaml":  "season: next\ntitle: Next\nextends: base\nsource: our own rule\nvalid_from: 2021-07-01\nvalid_to: 2022-06-30\n",
		"next/program.yaml": "source: our own rule\nlayouts:\n  cubs:\n    boxes: {spin: {max: 2}}\n    repeats: null\n",
	})
	s, err := c.Season("base")
	if err != nil {
		t.Fatal(err)
	}
	l := s.Content.Layout("cubs", "free-skating")
	if l == nil {
		t.Fatal("the layout was not found")
	}
	if l.Boxes["jump"].Max != 5 || l.Boxes["spin"].Max != 1 || l.Repeats == nil || l.Repeats.Executions["2A"] != 1 {
		t.Errorf("the layout is not filled from the one it is like: %+v", l)
	}
	if id := l.Repeats.ID; id != "program.layouts.big-cubs.repeats" {
		t.Errorf("a rule taken over is named %s", id)
	}
	// What is taken over whole keeps its provenance; what is stated has its own.
	for _, rule := range []struct {
		*rules.Clause
		want rules.Confidence
	}{{&l.Repeats.Clause, rules.Medium}, {&l.Boxes["jump"].Clause, ""}} {
		if rule.Confidence != rule.want {
			t.Errorf("%s rests on %+v, want the confidence %q", rule.ID, rule.Cite, rule.want)
		}
	}
	if w := s.Content.Layouts["cubs"].Boxes["jump"].Warn; w == nil || w.Rule != "program.layouts.cubs.boxes.jump" {
		t.Errorf("a rule from memory has the warning %+v", w)
	}
	if s.Content.Layout("cubs", "short-program") != nil || s.Content.Layout("lions", "free-skating") != nil {
		t.Error("a layout was found that is not there")
	}

	next, err := c.Season("next")
	if err != nil {
		t.Fatal(err)
	}
	l = next.Content.Layout("cubs", "free-skating")
	if l.Boxes["spin"].Max != 2 || l.Repeats != nil {
		t.Errorf("a change of the base layout did not reach the one like it: %+v", l)
	}
	if next.Revision == s.Revision {
		t.Error("another table has the same revision")
	}
}

func TestContentFaultsAreToldWithTheirLines(t *testing.T) {
	for _, c := range []struct{ name, old, replaced, want string }{
		{"unknown key", "min: 2, max: 3", "min: 2, most: 3", "program.yaml:8: layouts.cubs.boxes.jump.most: is not a known key here"},
		{"effect", "over: JUMP", "over: MAYBE", `program.yaml:10: layouts.cubs.repeats.over: is "MAYBE"; allowed are: ELEMENT, JUMP`},
		{"kind", "kind: spin", "kind: spinn", "layouts.cubs.boxes.spin.kind"},
		{"min above max", "min: 2, max: 3", "min: 4, max: 3", "layouts.cubs.boxes.jump.min"},
		{"jump", `"2A": 1`, `"2X": 1`, "layouts.cubs.repeats.executions"},
		{"like nothing", "like: cubs", "like: lions", `program.yaml:13: layouts.big-cubs.like: is "lions"`},
		{"circle", "    title: cubs' free skating", "    title: cubs' free skating\n    like: big-cubs", "in a circle"},
		{"layout of a category", "free-skating: big-cubs", "free-skating: small-cubs", "categories.cubs.free-skating"},
		{"segment", "{free-skating: big-cubs}", "{freestyle: big-cubs}", "categories.cubs.freestyle"},
		{"confidence", "confidence: memory", "confidence: sure", "layouts.cubs.boxes.jump.confidence"},
		{"broken", "broken: COMBO", "broken: REP", "marks.broken"},
	} {
		text := strings.Replace(content, c.old, c.replaced, 1)
		if text == content {
			t.Fatalf("%s: nothing was changed", c.name)
		}
		_, err := Load(tables(map[string]string{"base/season.yaml": base, "base/singles.csv": baseCSV, "base/program.yaml": text}))
		if err == nil {
			t.Errorf("%s: taken", c.name)
		} else if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v\nwant: %s", c.name, err, c.want)
		}
	}
}
