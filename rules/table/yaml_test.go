package table

import (
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
)

// Errors of YAML's syntax stand at the line that a writer has to mend.
func TestSyntaxFaultsNameTheLine(t *testing.T) {
	const endMissing, depth, tab = " in the list or mapping that begins before it; is its end missing?", "; does the line stand as deep as its neighbours?", "a tab stands in the indentation; want spaces only"
	for text, want := range map[string]string{
		"a: 1\nb: {x: 1\nc: 2\n":                                  "f:2: is not YAML: ',' or '}' must be specified" + endMissing,
		"a: 1\nb: {x: 1, y: {z: 1}\nc: 2\nd: 3\n":                 "f:2: is not YAML: ',' or '}' must be specified" + endMissing,
		"a: 1\nb: [1, 2\nc: 3\n":                                  "f:2: is not YAML: ',' or ']' must be specified" + endMissing,
		"a: 1\nb:\n\tc: 1\n":                                      "f:3: " + tab,
		"a: 1\nb:\n  c: 1\n\td: 1\n":                              "f:4: " + tab,
		"\ta: 1\n":                                                "f:1: " + tab,
		"a: 1\nb:\n  c: 1\n d: 2\n":                               "f:4: is not YAML: value is not allowed in this context" + depth,
		"a: 1\nb:\n  c: 1\n  d:\n    e: 1\n   f: 2\ng: 1\nh: 1\n": "f:6: is not YAML: value is not allowed in this context" + depth,
		"a: 1\nb: 'it's'\nc: 1\n":                                 "f:2: is not YAML: value is not allowed in this context. map key-value is pre-defined" + depth,
		"a: 1\nb:\n  - x\n  y: 1\n":                               "f:4: is not YAML: value is not allowed in this context" + depth,
		"a: 1\nb: c: 3\n":                                         "f:2: is not YAML: mapping value is not allowed in this context",
		"a: 1\nb\nc: 2\n":                                         "f:2: is not YAML: did not find ':' behind a key",
		"a: 1\nb: @x\n":                                           "f:2: is not YAML: '@' is a reserved character",
		"a: 1\nb: }\n":                                            "f:2: is not YAML: } ends a list or mapping that has not begun",
		"season: [\n":                                             "f:1: is not YAML: sequence end token ']' not found",
	} {
		if root, faults := ReadYAML("f", []byte(text), new(map[string]any)); root != nil || faults.Error() != want {
			t.Errorf("%q says\n%s\nwant\n%s", text, faults, want)
		}
	}
}

// What does not fit is reported by its path, with what was found and what is allowed.
func TestMisfitsNameThePath(t *testing.T) {
	for text, want := range map[string]string{
		"titel: x":                             "f:1: titel: is not a known key here; did you mean title? allowed are: source, confidence, note, title, discipline, level, max_level, deductions, segments",
		"title: [a]":                           "f:1: title: is a list; want a text",
		"title: {a: b}":                        "f:1: title: is a mapping of keys to values; want a text",
		"segments: 5":                          `f:1: segments: is "5"; want a mapping of keys to values`,
		"segments:\n  x: {factor: 1,50}":       "f:2: segments.x.factor: is 1,50; a decimal needs a point, such as 1.50",
		"segments:\n  x: {factors: {A: 1,50}}": "f:2: segments.x.factors.A: is 1,50; a decimal needs a point, such as 1.50",
		"deductions: {FALL: {steps: 1}}":       `f:1: deductions.FALL.steps: is "1"; want a list`,
		"deductions: {FALL: {steps: [[]]}}":    "f:1: deductions.FALL.steps[0]: is a list; want a single value",
		"max_level: 1.5":                       `f:1: max_level: is "1.5"; want a whole number`,
		"title: a\ntitle: b":                   "f:2: title: stands twice (first in line 1)",
		"":                                     "f:1: is empty; want a mapping of keys to values",
	} {
		if _, faults := ReadYAML("f", []byte(text), new(rules.Category)); faults.Error() != want {
			t.Errorf("%q says\n%s\nwant\n%s", text, faults, want)
		}
	}
}

// Mappings that are merged in (<<) give way to what a mapping states itself; several
// may be merged, of which the first goes before.
func TestMergedMappings(t *testing.T) {
	const text = "a: &a {x: 1, y: 1}\nb: &b {y: 2, z: 2}\nc: {<<: [*a, *b], x: 3}\nd:\n  <<: *b\n  z: 4\n"
	var read map[string]map[string]any
	if _, faults := ReadYAML("f", []byte(text), &read); len(faults) > 0 {
		t.Fatal(faults)
	}
	for at, want := range map[string]any{"c.x": Number("3"), "c.y": Number("1"), "c.z": Number("2"), "d.y": Number("2"), "d.z": Number("4")} {
		in, key, _ := strings.Cut(at, ".")
		if got := read[in][key]; got != want {
			t.Errorf("%s is %v, want %v", at, got, want)
		}
	}
}

// Files that are made to exhaust memory or stack are refused.
func TestHostileFiles(t *testing.T) {
	bomb := "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n"
	for _, n := range []string{"1", "2", "3", "4", "5", "6"} {
		before := "*a" + string(n[0]-1)
		bomb += "a" + n + ": &a" + n + " [" + strings.Repeat(before+", ", 9) + before + "]\n"
	}
	for name, text := range map[string]string{
		"aliases of aliases": bomb,
		"an alias in itself": "a: &a [*a, *a]\n",
		"lists":              strings.Repeat("[", 2000) + strings.Repeat("]", 2000),
		"mappings":           strings.Repeat("{a: ", 2000) + strings.Repeat("}", 2000),
		"dashes":             strings.Repeat("- ", 2000) + "x",
	} {
		if _, fault := ParseYAML("f", []byte(text)); fault == nil || !strings.Contains(fault.Message, "nested too deep or repeats itself too often") {
			t.Errorf("%s: %v", name, fault)
		}
	}
}
