package plan_test

import (
	"math/big"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/integration/protocols"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/plan"
	"github.com/rinktally/rinktally/rules/program"
)

// unsigned takes the panel's calls off a code.
var unsigned = strings.NewReplacer("*", "", "+REP", "", "+COMBO", "", "<", "", "!", "", "q", "", "e", "")

// meant returns the codes of a sheet as they were meant, or nothing where a code has
// letters that only look like calls.
func meant(s *protocols.Sheet) []program.Planned {
	var out []program.Planned
	for _, e := range s.Elements {
		code := e.Code
		if strings.ContainsAny(code[:min(1, len(code))], "12345ATFLS") && !strings.Contains(code, "Sp") && !strings.Contains(code, "Sq") && !strings.Contains(code, "St") {
			code = unsigned.Replace(code)
		} else {
			code = strings.NewReplacer("*", "", "V", "").Replace(code)
		}
		if code != "" {
			out = append(out, program.Planned{Code: code, SecondHalf: e.SecondHalf})
		}
	}
	return out
}

// lost reports whether the check finds an ERROR.
func lost(r *program.Result) bool {
	for _, f := range r.Findings {
		if f.Severity == program.Error {
			return true
		}
	}
	return false
}

// What was skated, taken as abilities that always come, is planned at least as well:
// published free programs of single skating that lose nothing as they were meant. 20 of
// them are tried, or as many as RINKTALLY_PLAN_PROGRAMS says.
func TestSkatedProgramsArePlannedAsWell(t *testing.T) {
	dir, err := protocols.Folder("../..")
	if err != nil {
		t.Skip(err)
	}
	sheets, err := protocols.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	catalog := load(t)
	var free []protocols.Sheet
	for _, s := range sheets {
		if s.SegmentKey() == "free-skating" && (s.Discipline == "men" || s.Discipline == "women") {
			free = append(free, s)
		}
	}
	want := number(t, "RINKTALLY_PLAN_PROGRAMS", 20)
	tried, better := 0, 0
	for i := range free {
		s := &free[(i*97)%len(free)] // of all seasons
		if tried == want {
			break
		}
		season, err := catalog.Season(s.Season)
		if err != nil {
			t.Fatal(err)
		}
		in := &program.Program{Category: s.Category(), Segment: s.SegmentKey(), Elements: meant(s)}
		skated, faults := program.Check(season, in)
		if faults != nil || lost(skated) {
			continue
		}
		req := abilitiesOf(in, skated)
		p, faults := plan.Read(season, req)
		if faults != nil {
			continue // a jump without turns
		}
		got, faults := p.Best(never)
		if faults != nil {
			t.Errorf("%s: %v", s.String(), faults)
			continue
		}
		tried++
		first := &got.Plans[0]
		switch {
		case !got.Optimal, lost(first.Program), first.ElementScore.Cmp(new(big.Rat).SetInt64(int64(first.Program.Base))) != 0:
			t.Errorf("%s: optimal %v, worth %s, by the check %v with %v", s.String(), got.Optimal, first.ElementScore.FloatString(2), first.Program.Base, first.Program.Findings)
		case first.Program.Base < skated.Base:
			t.Errorf("%s: planned %v, skated %v", s.String(), first.Program.Base, skated.Base)
		case first.Program.Base > skated.Base:
			better++
		}
	}
	if tried < min(want, 20) {
		t.Errorf("only %d programs", tried)
	}
	t.Logf("%d programs, %d planned better than skated", tried, better)
}

// abilitiesOf takes a program as what the skater can do, each element as often as it
// was skated, with as many jumps in the second half.
func abilitiesOf(in *program.Program, skated *program.Result) *plan.Request {
	req := &plan.Request{Category: in.Category, Segment: in.Segment, SecondHalf: plan.SecondHalf{Success: plan.One}}
	at := map[string]int{}
	later := 0
	for n, e := range in.Elements {
		if e.SecondHalf && skated.Elements[n].Kind == element.Jump {
			later++
		}
		i, seen := at[e.Code]
		if !seen {
			i = len(req.Abilities)
			at[e.Code] = i
			req.Abilities = append(req.Abilities, plan.Ability{Code: e.Code, Success: plan.One, AtMost: new(int)})
		}
		*req.Abilities[i].AtMost++
	}
	req.SecondHalf.AtMost = &later
	return req
}
