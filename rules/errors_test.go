package rules_test

import (
	"reflect"
	"testing"

	"github.com/rinktally/rinktally/rules"
)

// A request that is wrong throughout does not fill the memory with its faults.
func TestFaultsAreBounded(t *testing.T) {
	var faults rules.FieldErrors
	for range 5000 {
		faults.Add("marks", rules.ReasonMarkOutOfRange, "is %d", 9)
	}
	if n := len(faults); n != 1000 {
		t.Errorf("%d faults were collected, want 1000", n)
	}
}

// TestWarningsOfOneRule checks that a rule makes one warning with all the fields that
// rest on it, in the request's order, and that the shared warning stays as it is.
func TestWarningsOfOneRule(t *testing.T) {
	value := &rules.Warning{Code: rules.WarnInferredValue, Rule: "values.singles.3Lz", Confidence: rules.Inferred, Message: "inferred"}
	panel := &rules.Warning{Code: rules.WarnLowConfidence, Rule: "panel", Confidence: rules.Memory, Message: "from memory"}
	var got rules.Warnings
	for _, field := range []string{"elements[10]", "elements[9]", "elements[10]", "elements[0]"} {
		got.Add(value, field)
	}
	for _, field := range []string{"components[1]", "", "components[0]"} { // all of the answer, whatever else is named
		got.Add(panel, field)
	}
	first, second := *value, *panel
	first.Fields = []string{"elements[0]", "elements[9]", "elements[10]"}
	if want := (rules.Warnings{first, second}); !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if value.Fields != nil || panel.Fields != nil {
		t.Error("a shared warning was changed")
	}
}
