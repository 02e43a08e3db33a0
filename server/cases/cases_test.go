package cases_test

import (
	"context"
	"regexp"
	"slices"
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
			if strings.Contains(c.Call, ":batch") || c.Call == "elements:parse" {
				continue // errors of items say their path
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
		`club/a/cases/w.yaml:4: request.kategory: is not a field of the request of elements:value; did you mean category?`,
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("the faults do not tell %q:\n%v", want, err)
		}
	}
}

// TestLoadTellsEveryWrongField plants several faults in the fields of one case; each
// is reported with its line and what was meant.
func TestLoadTellsEveryWrongField(t *testing.T) {
	_, err := cases.Load("club", fstest.MapFS{"a/cases/x.yaml": {Data: []byte(`- name: fields
  source: s
  call: elements:value
  request:
    kategory: cubs
    elements:
      - {code: 1T, secondhalf: true}
      - {cod: 1S}
  expect:
    elements:
      - {baseValues: "0.40", code: null}
    totalBaseValue: null
    factors: null
- name: refused
  source: s
  call: elements:value
  request: {category: cubs}
  expect: {error: {reason: CODE_INVALD, field: [a]}}
- name: lists
  source: s
  call: results:rank
  request: {competitors: {id: a}}
  expect: {competitors: [a]}
- name: type
  source: s
  call: elements:value
  request: {category: 7}
  expect: {warnings: []}
`)}, "a/cases/y.yaml": {Data: []byte(`- name: fields
  source: s
  call: levels:call
  request: {category: senior-men}
  expect: {elements: [{toNextLevel: null}]}
`)}, "b/cases/y.yaml": {Data: []byte("- {name: fields, source: s, call: levels:call, request: {category: senior-men}, expect: {elements: []}}\n")}})
	if err == nil {
		t.Fatal("want faults")
	}
	var got []string
	for line := range strings.Lines(err.Error()) {
		got = append(got, strings.TrimSpace(line))
	}
	for _, want := range []string{
		"club/a/cases/x.yaml:5: request.kategory: is not a field of the request of elements:value; did you mean category? allowed are: category,",
		"club/a/cases/x.yaml:7: request.elements[0].secondhalf: is not a field of the request of elements:value; did you mean secondHalf?",
		"club/a/cases/x.yaml:8: request.elements[1].cod: is not a field of the request of elements:value; did you mean code?",
		"club/a/cases/x.yaml:11: expect.elements[0].baseValues: is not a field of the answer of elements:value; did you mean baseValue?",
		"club/a/cases/x.yaml:11: expect.elements[0].code: is null, but the answer of elements:value always has a value there",
		"club/a/cases/x.yaml:12: expect.totalBaseValue: is null, but",
		"club/a/cases/x.yaml:13: expect.factors: is not a field of the answer of elements:value;",
		`club/a/cases/x.yaml:18: expect.error.reason: is "CODE_INVALD"; did you mean CODE_INVALID?`,
		"club/a/cases/x.yaml:18: expect.error.field: is not known here; did you mean fields?",
		"club/a/cases/x.yaml:22: request.competitors: want a list",
		"club/a/cases/x.yaml:23: expect.competitors[0]: want a mapping of fields to values",
		"club/a/cases/x.yaml:27: the request does not fit the call: ",
		"club/a/cases/y.yaml:1: name is that of the case at club/a/cases/x.yaml:1; each case of a season has its own",
	} {
		i := slices.IndexFunc(got, func(line string) bool { return strings.HasPrefix(line, want) })
		if i < 0 {
			t.Errorf("not reported: %s", want)
			continue
		}
		got = slices.Delete(got, i, i+1)
	}
	if len(got) > 0 {
		t.Errorf("reported without a fault: %s", strings.Join(got, "\n"))
	}
}
