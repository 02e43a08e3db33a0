package score_test

import (
	"slices"
	"testing"
	"time"

	"github.com/rinktally/rinktally/integration/processor"
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

// row is what a score needs of a code at least, as whole numbers.
type row struct {
	base int64
	goe  [11]int64 // by mark, from -5
}

// mean is the trimmed mean, rounded half up. It sorts the marks.
func mean(marks []int64) int64 {
	slices.Sort(marks)
	sum, n := int64(0), int64(len(marks)-2)
	for _, m := range marks[1 : len(marks)-1] {
		sum += m
	}
	return rules.RoundDiv(sum, n)
}

// plainly does the look-ups and sums of the free skate, and nothing else.
func plainly(rows map[string]*row, in *score.Segment) int64 {
	var marks [9]int64
	total := int64(-100) // a fall
	for i := range in.Elements {
		e := &in.Elements[i]
		of := rows[e.Code]
		for j, m := range e.Marks {
			marks[j] = of.goe[m+5]
		}
		total += of.base + mean(marks[:])
	}
	for i := range in.Components {
		for j, m := range in.Components[i].Marks {
			marks[j] = int64(m)
		}
		total += rules.RoundDiv(mean(marks[:])*factor, 100)
	}
	return total
}

// factor is that of the components of a women's free skate in 2025-26, in hundredths.
const factor = 267

// BenchmarkOfPlain measures a whole segment beside the same look-ups and sums over
// plain whole numbers, in turns in one run, in the processor's time. Limit: 8 times as
// long.
func BenchmarkOfPlain(b *testing.B) {
	table, in := season(b, "2025-26"), freeSkate()
	rows := map[string]*row{}
	for _, e := range in.Elements {
		rows[e.Code] = new(row)
	}
	var work score.Work
	compute := func() *score.Result {
		out, faults := work.Compute(table, in)
		if faults != nil {
			b.Fatal(faults)
		}
		return out
	}
	for m := range 11 {
		for i := range in.Elements {
			for j := range in.Elements[i].Marks {
				in.Elements[i].Marks[j] = int32(m) - 5
			}
		}
		for i, e := range compute().Elements {
			of := rows[in.Elements[i].Code]
			of.base, of.goe[m] = int64(e.Score-e.GOE), int64(e.GOE)
		}
	}
	in = freeSkate()
	if whole := int64(compute().SegmentScore); whole != plainly(rows, in) {
		b.Fatalf("the plain sum is %d, the score %d", plainly(rows, in), whole)
	}
	const turn = 1000
	var used [2]time.Duration
	for b.Loop() {
		begun := processor.Used(b)
		for range turn {
			compute()
		}
		used[0] += processor.Used(b) - begun
		begun = processor.Used(b)
		for range turn {
			plainly(rows, in)
		}
		used[1] += processor.Used(b) - begun
	}
	b.ReportMetric(used[0].Seconds()/used[1].Seconds(), "of-plain-cpu")
	b.ReportMetric(0, "ns/op")
}
