package table

import (
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

// What does not fit is told by its path, with what was found and what is allowed.
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
