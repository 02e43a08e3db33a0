package score_test

import (
	"slices"
	"testing"

	"github.com/rinktally/rinktally/rules/score"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// panelOf is the invented free skate with so many judges.
func panelOf(judges int) *score.Segment {
	in := freeSkate()
	for i := range in.Elements {
		in.Elements[i].Marks = in.Elements[i].Marks[:judges]
	}
	for i := range in.Components {
		in.Components[i].Marks = in.Components[i].Marks[:judges]
	}
	return in
}

// TestUnsurePanelWarns checks that an answer says so when it rests on what is
// known from memory: how small panels count. The scale and whole panels are printed.
func TestUnsurePanelWarns(t *testing.T) {
	catalog, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		season string
		judges int
		want   []string // the rules of the panel and the scale that must be named
	}{
		{"2025-26", 9, nil},
		{"2025-26", 5, nil},
		{"2025-26", 4, []string{"panel.small"}},
		{"2025-26", 1, []string{"panel.small"}},
		{"2023-24", 9, nil},
		{"2023-24", 3, []string{"panel.small"}},
	} {
		season, err := catalog.Season(test.season)
		if err != nil {
			t.Fatal(err)
		}
		got, faults := score.Compute(season, panelOf(test.judges))
		if faults != nil {
			t.Fatal(faults)
		}
		var said []string
		for _, w := range got.Warnings {
			if slices.Contains([]string{"goe", "panel", "panel.small"}, w.Rule) {
				said = append(said, w.Rule)
			}
		}
		if !slices.Equal(said, test.want) {
			t.Errorf("%s with %d judges warns of %v, want %v", test.season, test.judges, said, test.want)
		}
	}
}
