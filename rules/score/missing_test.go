package score_test

import (
	"errors"
	"slices"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/score"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

func season(t testing.TB, key string) *rules.Season {
	t.Helper()
	catalog, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	s, err := catalog.Season(key)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// oneSpin is a segment of one element with a panel's marks.
func oneSpin(grades ...int32) *score.Segment {
	in := &score.Segment{Category: "senior-women", Segment: "free-skating", Elements: []score.Element{{Code: "CCoSp4", Marks: grades}}}
	for _, key := range []string{"COMPOSITION", "PRESENTATION", "SKATING_SKILLS"} {
		in.Components = append(in.Components, score.Component{Key: key, Marks: marks[rules.Points](len(grades), 700)})
	}
	return in
}

// A mark that a judge of the panel did not give counts as the season says, at the
// place of that judge, whether the request holds something there or leaves it out.
func TestMissingMarkCountsForItsJudge(t *testing.T) {
	s := season(t, "2025-26")
	goe := func(in *score.Segment, missing ...int32) rules.Points {
		t.Helper()
		in.Elements[0].Missing = missing
		r, err := score.Compute(s, in)
		if err != nil {
			t.Fatal(err)
		}
		return r.Elements[0].GOE
	}
	given := []int32{1, 4, 2, 3, 5}
	for judge := range given {
		held := slices.Clone(given)
		held[judge] = -5 // stands for nothing
		counted := slices.Clone(given)
		counted[judge] = int32(s.GOE.MissingMark)
		want := goe(oneSpin(counted...))
		if got := goe(oneSpin(held...), int32(judge+1)); got != want {
			t.Errorf("judge %d, place held: %v, want %v", judge+1, got, want)
		}
		left := oneSpin(given...)
		left.Elements[0].Marks = slices.Delete(slices.Clone(given), judge, judge+1)
		if got := goe(left, int32(judge+1)); got != want {
			t.Errorf("judge %d, place left out: %v, want %v", judge+1, got, want)
		}
		// The same with an absent judge in front, who has a number but no place.
		behind := oneSpin(given...)
		behind.Absent = []int32{1}
		behind.Elements[0].Marks = left.Elements[0].Marks
		if got := goe(behind, int32(judge+2)); got != want {
			t.Errorf("judge %d behind an absent one: %v, want %v", judge+2, got, want)
		}
	}
	// Two that are missing, named out of order: 4 and 3 are dropped as one highest and
	// one of the two zeros as lowest, (0 + 2 + 3) / 3 of 0.35 for each grade.
	if got := goe(oneSpin(1, 4, 2, 3, 5), 5, 1); got != 58 {
		t.Errorf("two missing: %v, want 0.58", got)
	}
}

// Of a drawn panel the marks of the named judges count, and no others.
func TestCountedJudges(t *testing.T) {
	s := season(t, "2009-10")
	in := &score.Segment{Category: "senior-women", Segment: "free-skating", Elements: []score.Element{{Code: "CCoSp4", Marks: []int32{3, -1, 1, -2, 2, 0, 3}}}}
	for _, key := range []string{"SKATING_SKILLS", "TRANSITIONS", "PERFORMANCE", "COMPOSITION", "INTERPRETATION"} {
		in.Components = append(in.Components, score.Component{Key: key, Marks: []rules.Points{900, 500, 600, 400, 700, 650, 950}})
	}
	in.Counted, in.Absent = []int32{8, 2, 6}, []int32{1} // with judge 1 absent, marks 7, 1 and 5
	got, err := score.Compute(s, in)
	if err != nil {
		t.Fatal(err)
	}
	in.Counted, in.Absent = nil, nil
	in.Elements[0].Marks = []int32{3, 3, 2}
	for i := range in.Components {
		in.Components[i].Marks = []rules.Points{950, 900, 700}
	}
	want, err := score.Compute(s, in)
	if err != nil {
		t.Fatal(err)
	}
	if got.SegmentScore != want.SegmentScore || got.ElementScore != want.ElementScore {
		t.Errorf("%v of %v, the counted judges alone give %v of %v", got.ElementScore, got.SegmentScore, want.ElementScore, want.SegmentScore)
	}
}

// Marks that do not go with the panel are reported, each where it is.
func TestMarksThatDoNotFitThePanel(t *testing.T) {
	s := season(t, "2025-26")
	for name, c := range map[string]struct {
		change func(*score.Segment)
		reason rules.Reason
		field  string
	}{
		"a mark too low":           {func(in *score.Segment) { in.Elements[0].Marks[1] = -6 }, rules.ReasonMarkOutOfRange, "elements[0].marks[1]"},
		"a mark too high":          {func(in *score.Segment) { in.Elements[0].Marks[2] = 6 }, rules.ReasonMarkOutOfRange, "elements[0].marks[2]"},
		"nobody's mark is missing": {func(in *score.Segment) { in.Elements[0].Missing = []int32{0} }, rules.ReasonJudgeUnknown, "elements[0].missingMarks[0].judge"},
		"a stranger's is":          {func(in *score.Segment) { in.Elements[0].Missing = []int32{6} }, rules.ReasonJudgeUnknown, "elements[0].missingMarks[0].judge"},
		"an absent judge's is": {func(in *score.Segment) { in.Absent, in.Elements[0].Missing = []int32{6}, []int32{6} },
			rules.ReasonJudgeUnknown, "elements[0].missingMarks[0].judge"},
		"one is twice":   {func(in *score.Segment) { in.Elements[0].Missing = []int32{2, 2} }, rules.ReasonJudgeUnknown, "elements[0].missingMarks[1].judge"},
		"all are":        {func(in *score.Segment) { in.Elements[0].Missing = []int32{1, 2, 3, 4, 5} }, rules.ReasonPanelSize, "elements[0].marks"},
		"one is unnamed": {func(in *score.Segment) { in.Elements[0].Marks = in.Elements[0].Marks[:4] }, rules.ReasonPanelSize, "elements[0].marks"},
		"too few are named": {func(in *score.Segment) {
			in.Elements[0].Marks, in.Elements[0].Missing = in.Elements[0].Marks[:3], []int32{1}
		},
			rules.ReasonPanelSize, "elements[0].marks"},
		"an absent judge counts": {func(in *score.Segment) { in.Absent, in.Counted = []int32{2}, []int32{1, 2} }, rules.ReasonJudgeUnknown, "countedJudges[1]"},
		"one counts twice":       {func(in *score.Segment) { in.Counted = []int32{1, 1} }, rules.ReasonJudgeUnknown, "countedJudges[1]"},
	} {
		t.Run(name, func(t *testing.T) {
			in := oneSpin(1, 2, 3, 2, 1)
			c.change(in)
			_, err := score.Compute(s, in)
			var faults rules.FieldErrors
			if !errors.As(err, &faults) || len(faults) != 1 || faults[0].Reason != c.reason || faults[0].Field != c.field {
				t.Errorf("want only %s at %s, got %v", c.reason, c.field, err)
			}
		})
	}
}
