package count

import (
	"math"
	"testing"
)

// The design's example: 11 of 24 before, 9 of 13 since.
func TestExample(t *testing.T) {
	e := Effect{Open: true, Before: Share{Attempts: 24, Successes: 11}, After: Share{Attempts: 13, Successes: 9}}
	e.Before.complete()
	e.After.complete()
	e.decide()
	t.Logf("%+v", e)
	if math.Floor(e.Better*100) != 91 || e.More != 13 {
		t.Errorf("%+v", e)
	}
}

func BenchmarkDecide(b *testing.B) {
	for b.Loop() {
		e := Effect{Open: true, Before: Share{Attempts: 240, Successes: 110}, After: Share{Attempts: 130, Successes: 66}}
		e.decide()
	}
}
