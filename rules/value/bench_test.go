package value_test

import (
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/value"
)

// BenchmarkElements values the twelve elements of an invented free skating.
func BenchmarkElements(b *testing.B) {
	place := context(b, catalog(b), "2025-26", "senior-women", "free-skating", "")
	var skated []value.Skated
	for i, code := range []string{
		"3Lz+3T", "3F!", "2A+1Eu+3S", "CCoSp4", "3Lo", "FCSp3", "StSq3", "3Lz<+2T", "3S", "2A", "ChSq1", "LSp4",
	} {
		skated = append(skated, value.Skated{Code: code, SecondHalf: i > 6})
	}
	valued := make([]value.Valued, 0, len(skated))
	b.ReportAllocs()
	for b.Loop() {
		var warnings rules.Warnings
		var faults rules.FieldErrors
		if valued, faults = place.Elements(valued[:0], skated, &warnings); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
