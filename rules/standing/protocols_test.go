package standing_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/standing"
)

// TestPublishedRankings reproduces the places of every complete segment of the
// published protocols from their scores.
func TestPublishedRankings(t *testing.T) {
	dir := os.Getenv("RINKTALLY_PROTOCOLS")
	if dir == "" {
		dir = "../../../shared/protocols"
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skipf("the published protocols are not here (%v); set RINKTALLY_PROTOCOLS to their folder", err)
	}
	type row struct {
		Season, Discipline, Level, Segment, Event string
		Rank                                      int
		TES, PCS, TSS                             string
	}
	groups := map[string][]row{}
	files, err := filepath.Glob(filepath.Join(dir, "*.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		lines := bufio.NewScanner(f)
		lines.Buffer(nil, 1<<20)
		for lines.Scan() {
			var r row
			if err := json.Unmarshal(lines.Bytes(), &r); err != nil {
				t.Fatal(err)
			}
			key := fmt.Sprint(r.Season, r.Event, r.Discipline, r.Level, r.Segment)
			if !slices.Contains(groups[key], r) { // some sheets stand in the source twice
				groups[key] = append(groups[key], r)
			}
		}
	}
	catalog, err := rules.Load(rules.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	segment := map[string]string{
		"short": "short-program", "free": "free-skating", "rhythm_dance": "rhythm-dance", "short_dance": "short-dance",
		"original_dance": "original-dance", "compulsory": "compulsory-dance",
	}
	complete, incomplete := 0, 0
	for key, rows := range groups {
		slices.SortFunc(rows, func(a, b row) int { return a.Rank - b.Rank })
		if rows[0].Rank != 1 || rows[len(rows)-1].Rank != len(rows) {
			incomplete++
			continue
		}
		complete++
		s, err := catalog.Season(rows[0].Season)
		if err != nil {
			t.Fatal(err)
		}
		name := segment[rows[0].Segment]
		if rows[0].Discipline == "dance" && name == "free-skating" {
			name = "free-dance"
		}
		var scores []standing.Score
		for _, r := range slices.Backward(rows) { // not in the order of places
			scores = append(scores, score(name, r.TSS, r.TES, r.PCS))
		}
		places := standing.Segment(s, name, scores)
		slices.Reverse(places)
		for i, p := range places {
			if p.Number != rows[i].Rank || p.Shared {
				t.Errorf("%s: %s points are given place %d (shared: %v), published %d", key, rows[i].TSS, p.Number, p.Shared, rows[i].Rank)
			}
		}
	}
	t.Logf("%d complete segment rankings reproduced, %d incomplete ones left out", complete, incomplete)
	if complete == 0 {
		t.Error("no ranking was checked")
	}
}
