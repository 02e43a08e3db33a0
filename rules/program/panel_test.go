package program_test

import (
	"slices"
	"testing"

	"github.com/rinktally/rinktally/rules/program"
)

// The panel's calls stand, each on its jump, and everything else is checked around
// them. What is printed on a sheet names it.
func TestKeptPanelCalls(t *testing.T) {
	catalog := load(t)
	for _, c := range []struct {
		name, season, category, segment, line string
		element                               int
		credited, base                        string
		found                                 program.Code // of that element; "" = nothing
	}{
		// Published sheet of 2024-25, men's free skating: 2.10 x 1.1 = 2.31, x 0.7 = 1.62.
		{"panel's repetition", "2024-25", "senior-men", "free-skating", "3A, 2Lz+2A*+2T*+SEQ+REP x", 1, "2Lz+2A*+2T*+SEQ+REP", "1.62", ""},
		// Published sheet of 2021-22, men's free skating: 8.00 x 1.1 = 8.80, x 0.8 = 7.04.
		{"interrupted element", "2021-22", "senior-men", "free-skating", "4T, 3A+SEQ+1T* x", 1, "3A+SEQ+1T*", "7.04", ""},
		// Published sheets of 2025-26, short programs.
		{"struck combination", "2025-26", "senior-women", "short-program", "2A, 1T*+COMBO*, 3Lz", 1, "1T*+COMBO*", "0.00", ""},
		// 3T 4.20 (published sheets of 2025-26).
		{"jump struck by the panel", "2025-26", "senior-women", "free-skating", "2A, 3Lz*+3T", 1, "3Lz*+3T", "4.20", ""},
		{"what the panel left out", "2025-26", "senior-women", "free-skating", "2A, 3Lz+2T, 3F+2T, 3Lo+2T", 3, "3Lo+2T*", "4.90", program.JumpTooOften},
		{"struck jumps count as executed", "2025-26", "senior-women", "free-skating", "2A, 3Lz+2T*, 3F+2T, 3Lo+2T", 3, "3Lo+2T*", "4.90", program.JumpTooOften},
		{"struck in its box", "2025-26", "senior-women", "short-program", "2A, 3F*, 3Lz+3T, 3Lo", 3, "3Lo*", "0.00", program.TooManyElements},
	} {
		t.Run(c.name, func(t *testing.T) {
			season, err := catalog.Season(c.season)
			if err != nil {
				t.Fatal(err)
			}
			elements, err := program.ParseLine(c.line)
			if err != nil {
				t.Fatal(err)
			}
			got, faults := program.Check(season, &program.Program{Category: c.category, Segment: c.segment, Elements: elements, KeepPanelCalls: true})
			if faults != nil {
				t.Fatal(faults)
			}
			if e := got.Elements[c.element]; e.Code != c.credited || e.Base.String() != c.base {
				t.Errorf("%s %v, want %s %s\n%s", e.Code, e.Base, c.credited, c.base, findings(got))
			}
			var codes []program.Code
			for _, f := range got.Findings {
				if f.Element == c.element {
					codes = append(codes, f.Code)
				}
			}
			if c.found == "" && len(codes) > 0 || c.found != "" && !slices.Contains(codes, c.found) {
				t.Errorf("found %v, want %q", codes, c.found)
			}
		})
	}
}

// Published sheet of 2018-19, men's short program: 2T* alone, then 3Lo+2T* 5.39
// (4.90 x 1.1): a jump without value was executed, so its repetition is barred,
// whether the panel's calls are kept or found.
func TestJumpWithoutValueBarsItsRepetition(t *testing.T) {
	got := check(t, load(t), "2018-19", "senior-men", "short-program", "3A, FCSp4, 2T*, CSSp4, StSq3, 3Lo+2T x, CCoSp4", 0)
	if e := got.Elements[5]; e.Code != "3Lo+2T*" || e.Base.String() != "5.39" {
		t.Errorf("%s %v\n%s", e.Code, e.Base, findings(got))
	}
}

// Without the panel's calls their marks are taken off, and a finding says what the
// rules made of it.
func TestCallsTakenOffAreTold(t *testing.T) {
	catalog := load(t)
	got := check(t, catalog, "2025-26", "senior-women", "free-skating", "3Lz+3T*, 3F, 3F+REP, 2A", 0)
	want := map[int]program.Severity{
		0: program.Warning, // no rule takes the 3T
		2: program.Info,    // the rules find the same +REP
	}
	for i, severity := range want {
		at := slices.IndexFunc(got.Findings, func(f program.Finding) bool { return f.Code == program.CallsTakenOff && f.Element == i })
		if at < 0 || got.Findings[at].Severity != severity {
			t.Errorf("element %d: want a finding of severity %v among\n%s", i, severity, findings(got))
		}
	}
	if got.Elements[0].Code != "3Lz+3T" || got.Elements[2].Code != "3F+REP" {
		t.Errorf("credited as %s and %s", got.Elements[0].Code, got.Elements[2].Code)
	}
}

// What the pages for 2022-23 and 2024-25 of a national site allow novices counts.
func TestNovicesMay(t *testing.T) {
	catalog := load(t)
	for _, c := range []struct{ name, season, category, segment, line string }{
		{"2A of a basic novice", "2022-23", "basic-novice-girls", "free-skating", "2A, 2Lz, 2F+2T, 1S, CCoSp2, LSp2, StSq1"},
		{"one single and one double repeated", "2025-26", "intermediate-novice-boys", "free-skating", "2A, 2Lz, 2F+1T, 2F, 2S+1T, CCoSp2, FCSp2, StSq1"},
		{"Euler of an advanced novice", "2024-25", "advanced-novice-girls", "short-program", "2A, 2Lz+1Eu+2T, 2F, CCoSp3, LSp3, StSq3"},
	} {
		got := check(t, catalog, c.season, c.category, c.segment, c.line, 0)
		for _, f := range got.Findings {
			if f.Severity > program.Info {
				t.Errorf("%s: %s %s", c.name, f.Code, f.Message)
			}
		}
	}
}
