package program_test

import (
	"reflect"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

func TestParseLine(t *testing.T) {
	two, minus := rules.Points(200), rules.Points(-150)
	got, err := program.ParseLine("3Lz+3T +2, CCoSp4 -1.5; 2A x,\n3F<! | LSp3  # the end\n StSq3")
	if err != nil {
		t.Fatal(err)
	}
	want := []program.Planned{
		{Code: "3Lz+3T", Grade: &two, At: "text.line[1]"}, {Code: "CCoSp4", Grade: &minus, At: "text.line[1]"},
		{Code: "2A", SecondHalf: true, At: "text.line[1]"}, {Code: "3F!<", At: "text.line[2]"},
		{Code: "LSp3", SecondHalf: true, At: "text.line[2]"}, {Code: "StSq3", SecondHalf: true, At: "text.line[3]"},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v", got)
	}
}

func TestParseLineTellsAllFaults(t *testing.T) {
	_, err := program.ParseLine("3Lz ?, 2A\n3Lz$ | 2A | 3S +x")
	if err == nil {
		t.Fatal("taken")
	}
	for _, want := range []string{`line 1: "?" behind 3Lz`, "line 2: \"3Lz$\"", "line 2: a second |", `line 2: "+x" behind 3S`} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nwant: %s", err, want)
		}
	}
}

const yamlFile = `# invented
season: 2025-26
title: A spring programme
category: senior-women
segment: free-skating
duration: "4:05"
elements:
  - 3Lz+3T +2, CCoSp4
  - {code: 2A, second_half: true, grade: 1.5}
  - 3F x
components: {COMPOSITION: 8.25, PRESENTATION: 8.5, SKATING_SKILLS: 8}
`

const jsonFile = `{"season": "2025-26", "title": "A spring programme", "category": "senior-women", "segment": "free-skating",
 "duration": 245, "elements": ["3Lz+3T +2", "CCoSp4", {"code": "2A", "second_half": true, "grade": 1.50}, "3F x"],
 "components": {"COMPOSITION": 8.25, "PRESENTATION": 8.50, "SKATING_SKILLS": 8.00}}`

func TestParseFile(t *testing.T) {
	two, half := rules.Points(200), rules.Points(150)
	want := &program.File{Season: "2025-26", Title: "A spring programme", Program: program.Program{
		Category: "senior-women", Segment: "free-skating", Duration: 245,
		Elements:   []program.Planned{{Code: "3Lz+3T", Grade: &two}, {Code: "CCoSp4"}, {Code: "2A", SecondHalf: true, Grade: &half}, {Code: "3F", SecondHalf: true}},
		Components: map[string]rules.Points{"COMPOSITION": 825, "PRESENTATION": 850, "SKATING_SKILLS": 800},
	}}
	for name, text := range map[string]string{"YAML": yamlFile, "JSON": jsonFile} {
		got, err := program.ParseFile([]byte(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got %+v", name, got)
		}
	}
}

func TestParseFileTellsFaultsWithTheirLines(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"unknown key, missing keys", "segment: free-skating\ncolour: red\nelements: 3Lz", []string{`line 2: "colour" is not a known key`, "category is missing"}},
		{"twice", "category: a\ncategory: b\nsegment: c\nelements: 3Lz", []string{"line 2: category stands here twice"}},
		{"elements", "category: a\nsegment: b\nelements:\n  - 3Lz\n  - 3Lz$\n  - {second_half: maybe}\n  - [2A]", []string{`line 5: "3Lz$"`, `line 6: second_half is "maybe"`, "line 6: code is missing", "line 7: want an element's code"}},
		{"block text", "category: a\nsegment: b\nelements: |\n  3Lz,\n  3Lz$", []string{`line 5: "3Lz$"`}},
		{"duration", "category: a\nsegment: b\nelements: 3Lz\nduration: 4:70", []string{"line 4: duration"}},
		{"components", "category: a\nsegment: b\nelements: 3Lz\ncomponents: {COMPOSITION: nine}", []string{"line 4: components.COMPOSITION"}},
		{"not YAML", "category: [", []string{"line 1"}},
		{"a list", "- 3Lz", []string{"line 1: want a mapping"}},
		{"nothing", "", []string{"want a mapping"}},
	} {
		_, err := program.ParseFile([]byte(c.text))
		if err == nil {
			t.Errorf("%s: taken", c.name)
			continue
		}
		for _, want := range c.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v\nwant: %s", c.name, err, want)
			}
		}
	}
}

func FuzzParseFile(f *testing.F) {
	f.Add([]byte(yamlFile))
	f.Add([]byte(jsonFile))
	f.Add([]byte("elements: |\n 3Lz x | 2A"))
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := program.ParseFile(data)
		if err == nil && (file.Category == "" || len(file.Elements) == 0) {
			t.Errorf("taken without category or elements: %+v", file)
		}
	})
}

// FuzzCheck gives any elements to every kind of layout: an answer or faults,
// never a panic, and a credited program that is credited the same again.
func FuzzCheck(f *testing.F) {
	catalog := load(f)
	f.Add("3Lz+3T, CCoSp4 x, 3Lz, 3Lz+REP, 3F+COMBO+1T*", uint8(3))
	f.Add("2A+2A+SEQ, 3S+1Eu+3F, A, Lz+2T, 5ALi4, SqTwW4+SqTwM3", uint8(9))
	f.Fuzz(func(t *testing.T, line string, pick uint8) {
		elements, err := program.ParseLine(line)
		if err != nil {
			return
		}
		all := catalog.Seasons()
		season := all[int(pick)%len(all)]
		for _, category := range []string{"senior-men", "junior-women", "senior-pairs", "senior-dance", "basic-novice-girls"} {
			for _, segment := range []string{"short-program", "free-skating", "free-dance"} {
				in := &program.Program{Category: category, Segment: segment, Elements: elements}
				got, err := program.Check(season, in)
				if err != nil {
					continue
				}
				again := *in
				again.Elements = nil
				for i, e := range got.Elements {
					again.Elements = append(again.Elements, program.Planned{Code: e.Code, SecondHalf: elements[i].SecondHalf})
				}
				second, err := program.Check(season, &again)
				if err != nil {
					t.Fatalf("%s %s %s: %q is credited, then refused: %v", season.Params.Season, category, segment, line, err)
				}
				if len(second.Elements) != len(got.Elements) {
					t.Fatal("elements were lost")
				}
			}
		}
	})
}
