package result

import (
	"context"
	"slices"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/tables"
)

func service(t *testing.T) *Service {
	t.Helper()
	all, err := tables.New(func() time.Time { return time.Date(2026, 1, 10, 0, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	return New(all)
}

// The scores are those of places 3 and 4 of a women's short program of 2013-14,
// as published (62.83 each; the higher element score stands first).
func TestRankSegment(t *testing.T) {
	got, err := service(t).RankSegment(context.Background(), &pb.RankSegmentRequest{
		Season: "2013-14", Segment: "short-program",
		Entries: []*pb.SegmentEntry{
			{Id: "a", SegmentScore: "62.83", ElementScore: "32.55", ComponentScore: "30.28"},
			{Id: "b", Status: pb.CompetitorStatus_WITHDRAWN},
			{Id: "c", SegmentScore: "62.83", ElementScore: "34.12", ComponentScore: "28.71"},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct {
		id    string
		place int32
		by    string
	}{{"c", 1, "element_score"}, {"a", 2, "element_score"}, {"b", 0, ""}} {
		if e := got.GetEntries()[i]; e.GetId() != want.id || e.GetPlace() != want.place || e.GetTieBrokenBy() != want.by {
			t.Errorf("entry %d is %v, want %+v", i, e, want)
		}
	}
}

func TestRankEvent(t *testing.T) {
	got, err := service(t).RankEvent(context.Background(), &pb.RankEventRequest{
		Season: "current", Category: "senior-women",
		Competitors: []*pb.Competitor{
			{Id: "a", Segments: []*pb.SegmentScore{{Segment: "short-program", SegmentScore: "50.00"}, {Segment: "free-skating", SegmentScore: "100.5"}}},
			{Id: "b", Segments: []*pb.SegmentScore{{Segment: "short-program", SegmentScore: "60.00"}}},
			{Id: "c", Segments: []*pb.SegmentScore{{Segment: "short-program", SegmentScore: "49.50"}, {Segment: "free-skating", SegmentScore: "101"}}},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"c", "a", "b"} {
		if c := got.GetCompetitors()[i]; c.GetId() != want || c.GetPlace() != int32(i+1) {
			t.Errorf("place %d is %v, want %s", i+1, c, want)
		}
	}
	if c := got.GetCompetitors()[0]; c.GetTotalScore() != "150.50" || c.GetTieBrokenBy() != "free-skating" || c.GetSegments()[0].GetPlace() != 3 {
		t.Errorf("the winner is %v", c)
	}
	if w := got.GetWarnings(); len(w) != 1 || !slices.Equal(w[0].GetFields(), []string{"competitors[0]", "competitors[2]"}) {
		t.Errorf("a tie broken by a rule from memory must warn at the tied ones: %v", w)
	}
}

func TestFaultsComeTogether(t *testing.T) {
	_, err := service(t).RankEvent(context.Background(), &pb.RankEventRequest{
		Season: "2025-26", Category: "senior-woman",
		Competitors: []*pb.Competitor{
			{Id: "a", Segments: []*pb.SegmentScore{{Segment: "long-program", SegmentScore: "x"}, {Segment: "short-program"}}},
			{Id: "a"},
		},
	})
	if status.Code(err) != codes.InvalidArgument || errs.Reason(err) != "CATEGORY_UNKNOWN" {
		t.Fatalf("got %v", err)
	}
	want := []string{"category", "competitors[0].segments[0].segment", "competitors[0].segments[0].segmentScore", "competitors[0].segments[1].segmentScore", "competitors[1].id"}
	if got := errs.Fields(err); len(got) != len(want) {
		t.Errorf("fields at fault: %v, want %v", got, want)
	}
}

// A competitor with more segments than there are is refused before they are
// compared with each other.
func TestOneScoreForEachSegment(t *testing.T) {
	c := &pb.Competitor{Id: "a"}
	for range 8 {
		c.Segments = append(c.Segments, &pb.SegmentScore{Segment: "free-skating", SegmentScore: "1.00"})
	}
	_, err := service(t).RankEvent(context.Background(), &pb.RankEventRequest{Season: "2025-26", Competitors: []*pb.Competitor{c}})
	if fields := errs.Fields(err); errs.Reason(err) != "TOO_MANY_ITEMS" || len(fields) != 1 || fields[0] != "competitors[0].segments" {
		t.Errorf("%v at %q", err, fields)
	}
}
