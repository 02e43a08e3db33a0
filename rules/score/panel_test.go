package score_test

import (
	"errors"
	"slices"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/score"
)

// TestOddListOfMarksIsTold takes a segment of nine judges and gives some lists
// another number of marks: those lists, and no others, are at fault.
func TestOddListOfMarksIsTold(t *testing.T) {
	component := func(i, n int) func(*score.Segment) {
		return func(in *score.Segment) { in.Components[i].Marks = marks[rules.Points](n, 700) }
	}
	element := func(i, n int) func(*score.Segment) {
		return func(in *score.Segment) { in.Elements[i].Marks = marks[int32](n, 1) }
	}
	for name, tc := range map[string]struct {
		change []func(*score.Segment)
		fields []string
	}{
		"a component with one mark more":  {[]func(*score.Segment){component(1, 10)}, []string{"components[1].marks"}},
		"a component with one mark less":  {[]func(*score.Segment){component(0, 8)}, []string{"components[0].marks"}},
		"a component without marks":       {[]func(*score.Segment){component(2, 0)}, []string{"components[2].marks"}},
		"two components with a mark more": {[]func(*score.Segment){component(0, 10), component(2, 10)}, []string{"components[0].marks", "components[2].marks"}},
		"an element with one mark more":   {[]func(*score.Segment){element(3, 10)}, []string{"elements[3].marks"}},
		"a component and an element":      {[]func(*score.Segment){component(1, 7), element(0, 7)}, []string{"components[1].marks", "elements[0].marks"}},
		"far too many judges": {
			[]func(*score.Segment){component(0, 30), component(1, 30), component(2, 30)}, []string{"components[0].marks"},
		},
		"nobody marked": {
			[]func(*score.Segment){component(0, 0), component(1, 0), component(2, 0)}, []string{"components[0].marks"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			in := freeSkate()
			for _, change := range tc.change {
				change(in)
			}
			_, err := score.Compute(season(t, "2025-26"), in)
			var faults rules.FieldErrors
			if !errors.As(err, &faults) {
				t.Fatalf("want faults, got %v", err)
			}
			var fields []string
			for _, f := range faults {
				if f.Reason != rules.ReasonPanelSize {
					t.Errorf("reason %s: %v", f.Reason, f)
				}
				fields = append(fields, f.Field)
			}
			slices.Sort(fields)
			if !slices.Equal(fields, tc.fields) {
				t.Errorf("at fault are %q, want %q:\n%v", fields, tc.fields, err)
			}
		})
	}
}

// More absent judges than any panel has leave no panel to look a missing mark's
// judge up in.
func TestMissingMarkOfAPanelThatCannotBe(t *testing.T) {
	in := freeSkate()
	in.Absent = make([]int32, 30)
	in.Elements[0].Missing = []int32{25}
	_, err := score.Compute(season(t, "2025-26"), in)
	var faults rules.FieldErrors
	if !errors.As(err, &faults) || len(faults) != 1 || faults[0].Reason != rules.ReasonPanelSize {
		t.Errorf("want the size of the panel as the one fault, got %v", err)
	}
}

func marks[M ~int32 | ~int64](n int, mark M) []M { return slices.Repeat([]M{mark}, n) }
