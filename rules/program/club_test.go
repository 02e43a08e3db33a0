package program_test

import (
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules/program"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// TestOwnSpinWithoutLevel checks a club's own spin, whose code says that it is one
// and whose table values it without a level: nothing is said to be missing. A spin
// of the season without a level is an attempt as before.
func TestOwnSpinWithoutLevel(t *testing.T) {
	c, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS}, table.Layer{Name: "club", FS: fstest.MapFS{
		"lake/season.yaml": {Data: []byte("season: lake\ntitle: Lake\nextends: 2025-26\nsource: our own rule\nvalues: {singles: extend}\n")},
		"lake/singles.csv": {Data: []byte("# our own values\ncode,base_value\nTwoFootSp,0.40\n")},
	}})
	if err != nil {
		t.Fatal(err)
	}
	season, err := c.Season("lake")
	if err != nil {
		t.Fatal(err)
	}
	for code, want := range map[string]int{"TwoFootSp": 0, "CCoSp": 1} {
		got, err := program.Check(season, &program.Program{Category: "senior-women", Segment: "free-skating", Elements: []program.Planned{{Code: code}}})
		if err != nil {
			t.Fatal(err)
		}
		found := 0
		for _, f := range got.Findings {
			if f.Code == program.NoLevel {
				found++
			}
		}
		if found != want {
			t.Errorf("%s: NO_LEVEL is found %d times, want %d", code, found, want)
		}
	}
}
