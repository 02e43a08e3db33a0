package rules_test

import (
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
