package program_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

// A sequence of three jumps counts as the one element of three jumps: of the sheets
// of 2022-23 to 2025-26, 100 free programs have one, and none of them has a
// combination of three jumps beside it. Women's programs are judged by a rule of
// their own name.
func TestLongSequencesCountLikeCombinations(t *testing.T) {
	got := check(t, load(t), "2025-26", "senior-women", "free-skating", "3Lz+2A+2A+SEQ, 3F+2T+2Lo", 0)
	at := slices.IndexFunc(got.Findings, func(f program.Finding) bool { return f.Code == program.TooManyLongCombinations })
	if at < 0 {
		t.Fatalf("not found among\n%s", findings(got))
	}
	if f := got.Findings[at]; f.Confidence != rules.High || f.Rule != "program.layouts.free-women.combinations" {
		t.Errorf("%s rests on %s (%s)", f.Code, f.Rule, f.Confidence)
	}
}

// Women's rules that are as men's do not speak of men.
func TestSharedRulesNameNobodyElse(t *testing.T) {
	got := check(t, load(t), "2025-26", "senior-women", "free-skating", "3Lz, 3Lz+2T, 3F, 3F+2T, 3Lo, 3Lo", 0)
	if len(got.Warnings) == 0 {
		t.Error("nothing warns; the test needs a rule that is not sure")
	}
	for _, w := range got.Warnings {
		if strings.Contains(w.Message, "men's") {
			t.Errorf("warns %q", w.Message)
		}
	}
}

// What another call would rest on stands beside that call, not as a warning of
// the program that does not have it.
func TestOtherCallsDoNotWarn(t *testing.T) {
	// No sheet of 2020-21 prints 1S, the value of 2S<<; 2S is printed.
	got := check(t, load(t), "2020-21", "senior-women", "free-skating", "2S", 0)
	for _, w := range got.Warnings {
		if w.Code == rules.WarnInferredValue || strings.HasPrefix(w.Rule, "deductions") {
			t.Errorf("warns of %s: %s", w.Rule, w.Message)
		}
	}
	if len(got.Elements[0].Worth) == 0 {
		t.Error("no other call of 2S is told")
	}
	for _, change := range got.Elements[0].Worth {
		unsure := strings.HasSuffix(change.Message, "What this rests on is not fully sure.")
		if unsure != (change.Call == program.Downgraded) {
			t.Errorf("%s: %s", change.Call, change.Message)
		}
	}
	sure := check(t, load(t), "2016-17", "senior-women", "free-skating", "3Lz", 0)
	for _, change := range sure.Elements[0].Worth {
		if strings.Contains(change.Message, "not fully sure") {
			t.Errorf("2016-17: %s", change.Message)
		}
	}
}

// What a couple has to show in its short program is cited from the sheets of the
// season itself.
func TestPrescribedLiftsCiteTheirSeason(t *testing.T) {
	catalog := load(t)
	for _, season := range catalog.Seasons() {
		key := season.Params.Season
		if key < "2010" || season.Content.Layout("senior-pairs", "short-program") == nil {
			continue
		}
		got := check(t, catalog, key, "senior-pairs", "short-program", "2A", 0)
		cited := 0
		for _, f := range got.Findings {
			if strings.HasSuffix(f.Rule, ".boxes.lift") || strings.HasSuffix(f.Rule, ".boxes.death_spiral") {
				if cited++; !strings.Contains(f.Source, key) || f.Confidence != rules.Medium {
					t.Errorf("%s: %s is cited from %q (%s)", key, f.Rule, f.Source, f.Confidence)
				}
			}
		}
		if cited != 2 {
			t.Errorf("%s: %d of 2 found among\n%s", key, cited, findings(got))
		}
	}
}
