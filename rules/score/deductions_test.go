package score_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/score"
)

// Falls grow dearer with their number, however they are listed; what stands between
// them changes nothing.
func TestDeductionsOfAKindAreCountedTogether(t *testing.T) {
	s := season(t, "2025-26")
	total := func(list ...score.Deduction) rules.Points {
		t.Helper()
		in := oneSpin(1, 2, 3, 2, 1)
		in.Deductions = list
		r, err := score.Compute(s, in)
		if err != nil {
			t.Fatal(err)
		}
		var sum rules.Points
		for _, d := range r.Deductions {
			sum += d.Value
		}
		if sum != r.TotalDeductions || r.SegmentScore != r.ElementScore+r.ComponentScore+sum {
			t.Errorf("%v: the parts %v, together %v, segment score %v of %v and %v", list, sum, r.TotalDeductions, r.SegmentScore, r.ElementScore, r.ComponentScore)
		}
		return sum
	}
	fall := func(n int) score.Deduction { return score.Deduction{Kind: "FALL", Count: n} }
	late := score.Deduction{Kind: "TIME_VIOLATION", Count: 1}
	one, five := total(fall(1)), total(fall(5))
	if one != -100 || five >= 5*one {
		t.Fatalf("a fall costs %v and five cost %v: want -1.00, and more than five times that", one, five)
	}
	if got := total(fall(2), late, fall(1), fall(2)); got != five+total(late) {
		t.Errorf("five falls in three entries and another deduction cost %v, want %v", got, five+total(late))
	}
	if got := total(score.Deduction{Kind: "OTHER", Count: 1, Value: -25}, fall(1)); got != one-25 {
		t.Errorf("a fall and 0.25 cost %v", got)
	}
}

// How much may be taken off, and how often.
func TestBoundsOfDeductions(t *testing.T) {
	s := season(t, "2025-26")
	for _, c := range []struct {
		deduction score.Deduction
		reason    rules.Reason // "" = is taken
		field     string
	}{
		{score.Deduction{Kind: "FALL", Count: 0}, rules.ReasonDeductionValue, "deductions[0].count"},
		{score.Deduction{Kind: "FALL", Count: 50}, "", ""},
		{score.Deduction{Kind: "FALL", Count: 51}, rules.ReasonDeductionValue, "deductions[0].count"},
		{score.Deduction{Kind: "FALL", Count: 1, Value: -100}, rules.ReasonDeductionValue, "deductions[0].value"},
		{score.Deduction{Kind: "OTHER", Count: 0, Value: -1}, rules.ReasonDeductionValue, "deductions[0].count"},
		{score.Deduction{Kind: "OTHER", Count: 51, Value: -1}, rules.ReasonDeductionValue, "deductions[0].count"},
		{score.Deduction{Kind: "OTHER", Count: 1}, rules.ReasonDeductionValue, "deductions[0].value"},
		{score.Deduction{Kind: "OTHER", Count: 1, Value: 1}, rules.ReasonDeductionValue, "deductions[0].value"},
		{score.Deduction{Kind: "OTHER", Count: 1, Value: -1}, "", ""},
		{score.Deduction{Kind: "OTHER", Count: 1, Value: -10000}, "", ""},
		{score.Deduction{Kind: "OTHER", Count: 1, Value: -10001}, rules.ReasonDeductionValue, "deductions[0].value"},
		{score.Deduction{Kind: "SNORING", Count: 1}, rules.ReasonDeductionUnknown, "deductions[0].kind"},
	} {
		in := oneSpin(1, 2, 3, 2, 1)
		in.Deductions = []score.Deduction{c.deduction}
		_, err := score.Compute(s, in)
		var faults rules.FieldErrors
		switch {
		case c.reason == "" && err != nil:
			t.Errorf("%+v: %v", c.deduction, err)
		case c.reason != "" && (!errors.As(err, &faults) || len(faults) != 1 || faults[0].Reason != c.reason || faults[0].Field != c.field):
			t.Errorf("%+v: want only %s at %s, got %v", c.deduction, c.reason, c.field, err)
		}
	}
}

// A fault names all that the category may be taken off, its own and the season's.
func TestUnknownDeductionNamesTheOthers(t *testing.T) {
	s := season(t, "2025-26")
	for category, own := range map[string][]string{
		"senior-women": nil,
		"senior-dance": {"MUSIC", "MUSIC_TEMPO", "EXTENDED_LIFT"},
	} {
		kinds := s.DeductionsOf(s.Categories[category])
		for _, kind := range append([]string{"FALL", "COSTUME"}, own...) {
			if !slices.Contains(kinds, kind) {
				t.Errorf("%s: %s is not among %v", category, kind, kinds)
			}
		}
		if slices.Contains(kinds, "EXTENDED_LIFT") != (own != nil) {
			t.Errorf("%s: %v", category, kinds)
		}
	}
	in := oneSpin(1, 2, 3, 2, 1)
	in.Deductions = []score.Deduction{{Kind: "EXTENDED_LIFT", Count: 1}}
	_, err := score.Compute(s, in)
	if want := "no deduction of this category; it has: " + strings.Join(s.DeductionsOf(s.Categories["senior-women"]), ", ") + ", OTHER"; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("want %q, got %v", want, err)
	}
}
