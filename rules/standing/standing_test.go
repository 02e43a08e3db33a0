package standing_test

import (
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/standing"
	"github.com/rinktally/rinktally/rules/table"
)

func season(t *testing.T, key string) *rules.Season {
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

func points(s string) rules.Points {
	p, err := rules.ParsePoints(s)
	if err != nil {
		panic(err)
	}
	return p
}

func score(segment, total, elements, components string) standing.Score {
	return standing.Score{Segment: segment, SegmentScore: points(total), ElementScore: points(elements), ComponentScore: points(components)}
}

// The ties are printed on published sheets: women short program 2013-14 places
// 3 and 4 (62.83), men free skating 2005-06 places 10 and 11 (94.42).
func TestSegmentTies(t *testing.T) {
	short := standing.Segment(season(t, "2013-14"), "short-program", []standing.Score{
		score("short-program", "62.83", "32.55", "30.28"),
		score("short-program", "60.00", "30.00", "30.00"),
		score("short-program", "62.83", "34.12", "28.71"),
		{Segment: "short-program", Status: standing.Withdrawn},
	})
	for i, want := range []int{2, 3, 1, 0} {
		if short[i].Number != want {
			t.Errorf("short program, entry %d has place %d, want %d", i, short[i].Number, want)
		}
	}
	if short[0].Broken != "element_score" || short[1].Broken != "" {
		t.Errorf("the tie must say what broke it: %+v", short)
	}
	free := standing.Segment(season(t, "2005-06"), "free-skating", []standing.Score{
		score("free-skating", "94.42", "49.72", "46.70"),
		score("free-skating", "94.42", "44.02", "50.40"),
	})
	if free[0].Number != 2 || free[1].Number != 1 || free[0].Broken != "component_score" {
		t.Errorf("free skating: %+v", free)
	}
}

func TestSharedPlaceLeavesTheNextOut(t *testing.T) {
	got := standing.Segment(season(t, "2025-26"), "short-program", []standing.Score{
		score("short-program", "50.00", "25.00", "25.00"),
		score("short-program", "40.00", "20.00", "20.00"),
		score("short-program", "50.00", "25.00", "25.00"),
	})
	if got[0].Number != 1 || got[2].Number != 1 || got[1].Number != 3 || !got[0].Shared || got[1].Shared {
		t.Errorf("%+v", got)
	}
}

func TestFinal(t *testing.T) {
	got := standing.Final(season(t, "2025-26"), []standing.Competitor{
		{Scores: []standing.Score{score("short-program", "60.00", "30.00", "30.00"), score("free-skating", "110.00", "60.00", "50.00")}},
		{Scores: []standing.Score{score("short-program", "50.00", "25.00", "25.00"), score("free-skating", "120.00", "60.00", "60.00")}},
		{Scores: []standing.Score{score("short-program", "70.00", "35.00", "35.00")}}, // did not reach the free skating
		{Status: standing.Disqualified, Scores: []standing.Score{score("short-program", "80.00", "40.00", "40.00")}},
		{Scores: []standing.Score{score("short-program", "65.00", "30.00", "35.00"), {Segment: "free-skating", Status: standing.Withdrawn}}},
		{},
	})
	for i, want := range []struct {
		place int
		total string
		short int
	}{{2, "170.00", 3}, {1, "170.00", 4}, {3, "70.00", 1}, {0, "80.00", 0}, {0, "65.00", 2}, {0, "0.00", 0}} {
		if got[i].Number != want.place || got[i].Total != points(want.total) || got[i].Segments["short-program"].Number != want.short {
			t.Errorf("competitor %d: place %d, total %v, short %d; want %+v", i, got[i].Number, got[i].Total, got[i].Segments["short-program"].Number, want)
		}
	}
	if got[0].Broken != "free-skating" {
		t.Errorf("the tie of totals was broken by %q, want the free skating", got[0].Broken)
	}
}

// The scores are those of places 19 and 20 of a women's free skating of 2010-11,
// as published; the third is invented, to share a place.
func TestResultOfASingleSegment(t *testing.T) {
	got := standing.Final(season(t, "2010-11"), []standing.Competitor{
		{Scores: []standing.Score{score("free-skating", "73.57", "40.53", "33.04")}},
		{Scores: []standing.Score{score("free-skating", "73.57", "37.32", "37.25")}},
		{Scores: []standing.Score{score("free-skating", "73.57", "40.53", "33.04")}},
	})
	for i, want := range []standing.Place{
		{Number: 2, Broken: "component_score", Shared: true}, {Number: 1, Broken: "component_score"}, {Number: 2, Broken: "component_score", Shared: true},
	} {
		if got[i].Place != want || got[i].Segments["free-skating"] != want {
			t.Errorf("competitor %d: %+v, in the segment %+v; want %+v", i, got[i].Place, got[i].Segments["free-skating"], want)
		}
	}
}

// Two who did not reach the free skating stand as in the short program: the scores
// are those of places 3 and 4 of a women's short program of 2013-14, as published.
func TestTieBehindTheFreeSkating(t *testing.T) {
	got := standing.Final(season(t, "2013-14"), []standing.Competitor{
		{Scores: []standing.Score{score("short-program", "62.83", "32.55", "30.28")}},
		{Scores: []standing.Score{score("short-program", "62.83", "34.12", "28.71")}},
		{Scores: []standing.Score{score("short-program", "60.00", "30.00", "30.00"), score("free-skating", "90.00", "45.00", "45.00")}},
	})
	for i, want := range []int{3, 2, 1} {
		if got[i].Number != want || got[i].Shared {
			t.Errorf("competitor %d: %+v, want place %d", i, got[i].Place, want)
		}
	}
}
