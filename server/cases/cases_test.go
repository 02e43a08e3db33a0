package cases_test

import (
	"context"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/server/cases"
	"github.com/rinktally/rinktally/server/tables"
)

// advice is a sentence for coaches in an answer; internalName is a name of the
// contract or of a table in it, such as BI_FO, backwardEntry or feet[0].
var (
	advice       = regexp.MustCompile(`"(?:message|advice)": *"((?:[^"\\]|\\.)*)"`)
	internalName = regexp.MustCompile(`[A-Z]+_[A-Z_]+|\b[a-z]{3,}[A-Z]\w*|\w+\[\d+\]`)
)

// TestEmbeddedCases runs the golden cases of all seasons. What their answers say to
// coaches is in words.
func TestEmbeddedCases(t *testing.T) {
	list, err := cases.Load("seasons", seasons.FS)
	if err != nil {
		t.Fatal(err)
	}
	all, err := tables.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	call := cases.Direct(all)
	ran := 0
	for _, c := range list {
		for _, season := range c.Seasons {
			ran++
			answer, wrong := c.Run(context.Background(), season, call)
			if len(wrong) > 0 {
				t.Errorf("%s:%d %s (season %s):\n  %s", c.File, c.Line, c.Name, season, strings.Join(wrong, "\n  "))
			}
			for _, m := range advice.FindAllStringSubmatch(string(answer), -1) {
				if name := internalName.FindString(m[1]); name != "" {
					t.Errorf("%s:%d (season %s): %q is no word for a coach in %q", c.File, c.Line, season, name, m[1])
				}
			}
		}
	}
	if ran == 0 {
		t.Error("no case was run")
	}
}

func TestRunTellsEveryDifference(t *testing.T) {
	c := cases.Case{Call: "elements:value", Expect: map[string]any{
		"totalBaseValue": "1.00", "elements": []any{map[string]any{"code": "3T", "missing": 1}}, "rules": []any{},
	}}
	answer := `{"totalBaseValue":"4.20","elements":[{"code":"3T"}],"rules":{}}`
	_, wrong := c.Run(context.Background(), "2025-26", func(context.Context, string, string, []byte) ([]byte, error) {
		return []byte(answer), nil
	})
	want := []string{
		"elements[0].missing: is missing",
		"rules: want 0 items, got {}",
		`totalBaseValue: want "1.00", got "4.20"`,
	}
	if strings.Join(wrong, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(wrong, "\n"), strings.Join(want, "\n"))
	}
}

func TestLoadNamesFileAndLine(t *testing.T) {
	_, err := cases.Load("club", fstest.MapFS{"a/cases/x.yaml": {Data: []byte("- name: one\n  call: levels:call\n- source: s\n- name: three\n  source: s\n  call: sing\n  expected: {}\n")},
		"a/cases/w.yaml": {Data: []byte("- name: w\n  source: s\n  call: elements:value\n  request: {kategory: cubs}\n  expect: {elements: []}\n")},
		"a/cases/v.yaml": {Data: []byte("- name: v\n  source: s\n  call: elements:value\n  request: {}\n  expect: {}\n")},
		"a/cases/y.yaml": {Data: []byte("- name: [\n")},
		"a/cases/z.yml":  {Data: []byte("[]\n")},
	})
	if err == nil {
		t.Fatal("want faults")
	}
	for _, want := range []string{"club/a/cases/x.yaml:1: source is missing", "club/a/cases/x.yaml:3: name is missing", `club/a/cases/x.yaml:6: call is "sing"`,
		"club/a/cases/x.yaml:7: [2].expected: is not a known key here; did you mean expect?", "club/a/cases/y.yaml:1: is not YAML", "club/a/cases/z.yml: is not read",
		"club/a/cases/v.yaml:5: expect holds nothing",
		`club/a/cases/w.yaml:4: the request does not fit the call: unknown field "kategory"`,
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("the faults do not tell %q:\n%v", want, err)
		}
	}
}
