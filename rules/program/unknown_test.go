package program_test

import (
	"errors"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

// A code that the season has no value for is a fault of the request, with the
// reason that its base value would be refused with, whether or not the program
// has a place for an element of its kind.
func TestUnknownElementsAreFaults(t *testing.T) {
	season, err := load(t).Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	for code, want := range map[string]rules.Reason{
		"6Q": rules.ReasonCodeInvalid, "6F": rules.ReasonCodeInvalid, "3L": rules.ReasonCodeInvalid, "3Q+2T": rules.ReasonCodeInvalid,
		"5A": rules.ReasonElementUnknown, "WJ": rules.ReasonElementUnknown, "5ALi4": rules.ReasonElementUnknown,
	} {
		_, err := program.Check(season, &program.Program{Category: "senior-women", Segment: "free-skating", Elements: []program.Planned{{Code: "2A"}, {Code: code}}})
		var faults rules.FieldErrors
		if !errors.As(err, &faults) || len(faults) != 1 || faults[0].Reason != want || faults[0].Field != "elements[1].code" {
			t.Errorf("%s: %v, want %s at elements[1].code", code, err, want)
		}
	}
}
