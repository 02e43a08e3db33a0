package value_test

import (
	"strings"
	"testing"
)

// TestUnknownElementNamesSimilarOnes looks at what a person reads who has
// mistyped a code: codes that the table has.
func TestUnknownElementNamesSimilarOnes(t *testing.T) {
	c := catalog(t)
	for code, want := range map[string]string{
		"5A":     "1A, 2A, 3A, 4A", // other turns
		"CCoSp5": "CCoSp4",         // another level
		"StSqX4": "StSq4",          // as much of the name as there is
		"XxSp4":  "CSp4",           // the same kind and level
	} {
		_, _, err := one{"2025-26", "senior-women", "free-skating", "", code}.value(t, c)
		if err == nil || !strings.Contains(err.Error(), "it knows: ") || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: want %s among what the table knows, got: %v", code, want, err)
		}
	}
}
