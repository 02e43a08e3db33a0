package score_test

import (
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/score"
)

// freeSkate is an invented free skate: 12 elements, 9 judges, 3 components.
func freeSkate() *score.Segment {
	in := &score.Segment{Category: "senior-women", Segment: "free-skating"}
	for i, code := range []string{
		"3Lz+3T", "3F!", "2A+1Eu+3S", "CCoSp4", "3Lo", "FCSp3", "StSq3", "3Lz<+2T", "3S", "2A", "ChSq1", "LSp4",
	} {
		e := score.Element{Code: code, SecondHalf: i > 6, Marks: make([]int32, 9)}
		for j := range e.Marks {
			e.Marks[j] = int32((i*7+j*3)%6) - 1
		}
		in.Elements = append(in.Elements, e)
	}
	for i, key := range []string{"COMPOSITION", "PRESENTATION", "SKATING_SKILLS"} {
		c := score.Component{Key: key, Marks: make([]rules.Points, 9)}
		for j := range c.Marks {
			c.Marks[j] = rules.Points(700 + 25*((i*5+j*2)%7))
		}
		in.Components = append(in.Components, c)
	}
	in.Deductions = []score.Deduction{{Kind: "FALL", Count: 1}}
	return in
}

// BenchmarkSegment scores a whole segment of 12 elements and 9 judges, with its
// memory used again from one to the next, as the server does it, and with new
// memory each time. Limit: 5 microseconds and 10 allocations.
func BenchmarkSegment(b *testing.B) {
	table, in := season(b, "2025-26"), freeSkate()
	b.Run("memory=kept", func(b *testing.B) {
		b.ReportAllocs()
		var work score.Work
		for b.Loop() {
			if _, err := work.Compute(table, in); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("memory=new", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := score.Compute(table, in); err != nil {
				b.Fatal(err)
			}
		}
	})
}
