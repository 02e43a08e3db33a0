package offline_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"google.golang.org/grpc/codes"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/offline"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// A club's own season: 2016-17 with another title.
func club() fstest.MapFS {
	return fstest.MapFS{"club/season.yaml": {Data: []byte(
		"season: club\ntitle: Our club\nextends: 2016-17\nsource: our own rule\nvalid_from: 2016-07-01\nvalid_to: 2017-06-30\n")}}
}

func TestWithRulesAddsSeasons(t *testing.T) {
	c, err := offline.New(offline.WithRules(club()))
	if err != nil {
		t.Fatal(err)
	}
	for season, title := range map[string]string{"club": "Our club", "2016-17": "Season 2016-17"} {
		answer, err := c.GetSeason(t.Context(), &pb.GetSeasonRequest{Season: season})
		if err != nil || answer.GetSeason().GetTitle() != title {
			t.Errorf("%s: %v, %v; want title %q", season, answer.GetSeason().GetTitle(), err, title)
		}
	}
	answer, err := c.ValueElements(t.Context(), &pb.ValueElementsRequest{
		Season: "club", Category: "senior-women", Segment: "free-skating", Elements: []*pb.SkatedElement{{Code: "3Lz"}},
	})
	// 6.00: ISU Communication 2000, which the club's season extends.
	if err != nil || answer.GetTotalBaseValue() != "6.00" {
		t.Errorf("3Lz: %s, %v", answer.GetTotalBaseValue(), err)
	}
}

func TestWithRulesNamesFaults(t *testing.T) {
	tree := club()
	tree["club/season.yaml"].Data = append(tree["club/season.yaml"].Data, "goe: {min: low}\n"...)
	_, err := offline.New(offline.WithRules(tree))
	if err == nil || !strings.Contains(err.Error(), "club/season.yaml:7") {
		t.Errorf("want file and line of the fault, got %v", err)
	}
}

func TestWithClock(t *testing.T) {
	at := func() time.Time { return time.Date(2017, 2, 1, 0, 0, 0, 0, time.UTC) }
	c, err := offline.New(offline.WithClock(at))
	if err != nil {
		t.Fatal(err)
	}
	answer, err := c.ListSeasons(t.Context(), &pb.ListSeasonsRequest{})
	if err != nil || answer.GetCurrent() != "2016-17" {
		t.Errorf("current is %q, %v; want 2016-17", answer.GetCurrent(), err)
	}
}

func TestEndedContext(t *testing.T) {
	c, err := offline.New()
	if err != nil {
		t.Fatal(err)
	}
	cancelled, cancel := context.WithCancel(t.Context())
	cancel()
	late, cancel := context.WithDeadline(t.Context(), time.Now().Add(-time.Second))
	defer cancel()
	for want, ctx := range map[codes.Code]context.Context{codes.Canceled: cancelled, codes.DeadlineExceeded: late} {
		_, err := c.ListSeasons(ctx, &pb.ListSeasonsRequest{})
		var e *client.Error
		if !errors.As(err, &e) || e.Code != want || !errors.Is(err, ctx.Err()) {
			t.Errorf("got %v, want %v", err, want)
		}
	}
}
