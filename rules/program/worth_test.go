package program_test

import (
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

// The values behind these checks are those of published ISU score sheets of
// 2025-26: 3Lz 5.90, 3Lz< 4.72, 2Lz 2.10, CCoSp3 3.00, CCoSp4 3.50, a tenth of
// the base value for each grade, and 1.10 for the last three jump elements of
// the second half.
func TestWorthOfALevelAndACall(t *testing.T) {
	catalog := load(t)
	got := check(t, catalog, "2025-26", "senior-women", "free-skating", "3Lz, CCoSp3, 2A | 3F+2T, 3Lo, 3S, 3Lz+3T, FCSp4", 0)
	for _, c := range []struct {
		element    int
		call       program.Call
		jump       int
		code, cost string
	}{
		{0, program.OnQuarter, 0, "3Lzq", "0.00"},
		{0, program.UnderRotated, 0, "3Lz<", "-1.18"},
		{0, program.Downgraded, 0, "3Lz<<", "-3.80"},
		{0, program.UnclearEdge, 0, "3Lz!", "0.00"},
		{0, program.WrongEdge, 0, "3Lze", "-1.18"},
		{0, program.Fall, program.Whole, "3Lz", "-3.95"}, // -5 is 2.95, and 1.00
		{1, program.NextLevel, program.Whole, "CCoSp4", "0.50"},
		// (5.90+4.20)*1.1 = 11.11; (4.72+4.20)*1.1 = 9.81
		{6, program.UnderRotated, 0, "3Lz<+3T", "-1.30"},
	} {
		found := false
		for _, w := range got.Elements[c.element].Worth {
			if w.Call == c.call && w.Jump == c.jump {
				found = true
				if w.Code != c.code || w.Difference.String() != c.cost || w.Message == "" {
					t.Errorf("element %d, %s: %s %v %q, want %s %s", c.element, c.call, w.Code, w.Difference, w.Message, c.code, c.cost)
				}
			}
		}
		if !found {
			t.Errorf("element %d: nothing about %s", c.element, c.call)
		}
	}
	for _, w := range got.Elements[7].Worth {
		if w.Call == program.NextLevel {
			t.Error("there is no level beyond 4")
		}
	}
	if got.Caution != program.Caution {
		t.Error("a higher level is suggested without the caution")
	}
	for _, word := range []string{"coach", "medical advice", "federation"} {
		if caution := got.Caution; !strings.Contains(caution, word) {
			t.Errorf("the caution does not name: %s", word)
		}
	}
	const full = "3F+3T, 3Lo, 3Lz, 3S, FCSp4, 3Lz+2A+SEQ, 3F+2T, 2A, StSq4, ChSq1, CCoSp4, SSp4"
	if plain := check(t, catalog, "2025-26", "senior-women", "free-skating", full, 0); plain.Caution != "" {
		t.Error("a caution without a suggestion")
	}
}

func TestPrediction(t *testing.T) {
	catalog := load(t)
	season, err := catalog.Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	elements, err := program.ParseLine("3Lz +2, CCoSp4 -1.5, 2A")
	if err != nil {
		t.Fatal(err)
	}
	in := &program.Program{
		Category: "senior-women", Segment: "free-skating", Elements: elements,
		Components: map[string]rules.Points{"COMPOSITION": 825, "PRESENTATION": 850, "SKATING_SKILLS": 800},
	}
	got, faults := program.Check(season, in)
	if faults != nil {
		t.Fatal(faults)
	}
	// +2 of 5.90 is 1.18; between -1 (-0.35) and -2 (-0.70) of 3.50 lies -0.525,
	// rounded away from zero; 2A has no grade and counts 3.30.
	if e := got.Elements; e[0].GOE.String() != "1.18" || e[1].GOE.String() != "-0.53" || e[2].GOE != nil {
		t.Errorf("GOE %v %v %v", e[0].GOE, e[1].GOE, e[2].GOE)
	}
	if p := got.Predicted; p.ElementScore.String() != "13.35" { // 7.08 + 2.97 + 3.30
		t.Errorf("element score %v", p.ElementScore)
	}
	// Factor 2.67: 22.03 (22.0275) + 22.70 (22.695) + 21.36
	if p := got.Predicted; p.ComponentScore.String() != "66.09" || p.Total.String() != "79.44" {
		t.Errorf("component score %v, total %v", p.ComponentScore, p.Total)
	}
	if len(got.Kinds) != 2 || got.Kinds[0].Count != 2 || got.Kinds[0].Base.String() != "9.20" || got.Kinds[1].Score.String() != "2.97" {
		t.Errorf("by kind: %+v", got.Kinds)
	}
}

func TestFaultsOfTheInputComeTogether(t *testing.T) {
	catalog := load(t)
	season, err := catalog.Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	grade := rules.Points(600)
	for _, c := range []struct {
		name string
		in   program.Program
		want []string
	}{
		{"codes and grades", program.Program{Category: "senior-men", Segment: "free-skating", Duration: -1, Elements: []program.Planned{{Code: "3Lz$"}, {Code: "3Lz", Grade: &grade}}}, []string{"elements[0].code", "elements[1].grade", "duration"}},
		{"unknown value", program.Program{Category: "senior-men", Segment: "free-skating", Elements: []program.Planned{{Code: "3Lz"}, {Code: "5A"}}}, []string{"elements[1].code"}},
		{"category", program.Program{Category: "senior-cats", Segment: "free-skating"}, []string{"senior-cats"}},
		{"components", program.Program{Category: "senior-men", Segment: "free-skating", Components: map[string]rules.Points{"TIMING": 800, "COMPOSITION": 1100}}, []string{"components.COMPOSITION", "components.PRESENTATION", "components.TIMING"}},
	} {
		_, err := program.Check(season, &c.in)
		if err == nil {
			t.Errorf("%s: taken", c.name)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %v; want it to name %s", c.name, err, w)
			}
		}
	}
}

// BenchmarkCheck is one answer to a keystroke: credit, findings and the worth
// of every level and call.
func BenchmarkCheck(b *testing.B) {
	season, err := load(b).Season("2025-26")
	if err != nil {
		b.Fatal(err)
	}
	elements, err := program.ParseLine("3F+3T, 3Lo, 3Lz, 3S, FCSp4, 3Lz+2A+2T x, 3F<+2T x, 2A x, StSq3, ChSq1, CCoSp4, SSp3")
	if err != nil {
		b.Fatal(err)
	}
	in := &program.Program{Category: "senior-women", Segment: "free-skating", Elements: elements}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := program.Check(season, in); err != nil {
			b.Fatal(err)
		}
	}
}
