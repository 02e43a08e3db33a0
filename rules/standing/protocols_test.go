package standing_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/rinktally/rinktally/integration/protocols"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/standing"
	"github.com/rinktally/rinktally/rules/table"
)

// TestPublishedRankings reproduces the places of every complete segment of the
// published protocols from their scores.
func TestPublishedRankings(t *testing.T) {
	dir, err := protocols.Folder("../..")
	if err != nil {
		t.Skip(err)
	}
	sheets, err := protocols.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	type row struct {
		season, segment string
		rank            int
		tes, pcs, tss   string
	}
	groups := map[string][]row{}
	for i := range sheets {
		s := &sheets[i]
		r := row{s.Season, s.SegmentKey(), s.Rank, s.TES, s.PCS, s.TSS}
		key := fmt.Sprint(s.Season, s.Event, s.Discipline, s.Level, s.Segment)
		if !slices.Contains(groups[key], r) { // some sheets stand in the source twice
			groups[key] = append(groups[key], r)
		}
	}
	catalog, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	complete, incomplete := 0, 0
	for key, rows := range groups {
		slices.SortFunc(rows, func(a, b row) int { return a.rank - b.rank })
		if rows[0].rank != 1 || rows[len(rows)-1].rank != len(rows) {
			incomplete++
			continue
		}
		complete++
		s, err := catalog.Season(rows[0].season)
		if err != nil {
			t.Fatal(err)
		}
		name := rows[0].segment
		var scores []standing.Score
		for _, r := range slices.Backward(rows) { // not in the order of places
			scores = append(scores, score(name, r.tss, r.tes, r.pcs))
		}
		places := standing.Segment(s, name, scores)
		slices.Reverse(places)
		for i, p := range places {
			if p.Number != rows[i].rank || p.Shared {
				t.Errorf("%s: %s points are given place %d (shared: %v), published %d", key, rows[i].tss, p.Number, p.Shared, rows[i].rank)
			}
		}
	}
	t.Logf("%d complete segment rankings reproduced, %d incomplete ones left out", complete, incomplete)
	if complete == 0 {
		t.Error("no ranking was checked")
	}
}
