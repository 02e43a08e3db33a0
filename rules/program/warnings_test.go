package program_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

// A second combination of three jumps is sure in 2025-26 (published sheets);
// only that a sequence counts like one is inferred, and only then is it told.
func TestLongSequencesAloneAreUnsure(t *testing.T) {
	const sequences = "program.layouts.free-women.combinations.sequences"
	for line, want := range map[string]rules.Confidence{
		"3Lz+2T+2Lo, 3F+2T+2Lo": rules.High, "3Lz+2A+2A+SEQ, 3F+2T+2Lo": rules.Inferred,
	} {
		got := check(t, load(t), "2025-26", "senior-women", "free-skating", line, 0)
		at := slices.IndexFunc(got.Findings, func(f program.Finding) bool { return f.Code == program.TooManyLongCombinations })
		if at < 0 || got.Findings[at].Confidence != want {
			t.Errorf("%s: want a finding with confidence %s, got\n%s", line, want, findings(got))
		}
		warns := slices.ContainsFunc(got.Warnings, func(w rules.Warning) bool { return w.Rule == sequences })
		if warns != (want == rules.Inferred) {
			t.Errorf("%s warns: %v", line, got.Warnings)
		}
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

// What another call would rest on is told beside that call, not as a warning of
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
