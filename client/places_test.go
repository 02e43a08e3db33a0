package client_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/clienttest"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// AllPlaces puts pages together to the standings that the calls of the event answer,
// beyond what one page holds.
func TestAllPlaces(t *testing.T) {
	const size = 600
	server := clienttest.Start(t)
	c := server.Client()
	organiser := client.ContextWithToken(t.Context(), server.Admin)
	var csv strings.Builder
	csv.WriteString("category,name\n")
	for i := range size {
		fmt.Fprintf(&csv, "%s,Invented %d\n", category, i)
	}
	must(c.CreateEvent(organiser, &pb.CreateEventRequest{Event: cup, Name: "Spring Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	must(c.SetCategory(organiser, &pb.SetCategoryRequest{Event: cup, Category: category}))
	must(c.SetPanel(organiser, &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: 1}}))
	must(c.ImportEntries(organiser, &pb.ImportEntriesRequest{Event: cup, Csv: csv.String()}))
	if before := must(c.AllPlaces(t.Context(), cup)); before.GetStanding() != nil || before.GetSequence() == 0 {
		t.Errorf("before the first segment: %v", before)
	}
	must(c.DrawStartingOrder(organiser, &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short}))
	referee := client.ContextWithToken(t.Context(), must(c.CreateToken(organiser, &pb.CreateTokenRequest{Event: cup, Role: pb.Role_REFEREE})).GetToken())
	must(c.StartSegment(referee, &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
	all := must(c.AllPlaces(t.Context(), cup))
	standing := must(c.GetSegmentStanding(t.Context(), &pb.GetSegmentStandingRequest{Event: cup, Category: category, Segment: short})).GetStanding()
	final := must(c.GetFinalStanding(t.Context(), &pb.GetFinalStandingRequest{Event: cup, Category: category})).GetStanding()
	if !proto.Equal(all.GetStanding(), standing) || !proto.Equal(all.GetFinalStanding(), final) || len(standing.GetPlaces()) != size {
		t.Errorf("%d and %d places, want %d as the calls of the standings answer them", len(all.GetStanding().GetPlaces()), len(all.GetFinalStanding().GetPlaces()), size)
	}
	board := must(c.GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: cup})).GetScoreboard()
	if len(board.GetStanding().GetPlaces()) >= size || board.GetStanding().GetTotalPlaces() != size {
		t.Errorf("the board has %d places and says %d", len(board.GetStanding().GetPlaces()), board.GetStanding().GetTotalPlaces())
	}
	if _, err := c.AllPlaces(t.Context(), "no-cup"); !errors.Is(err, client.ErrReason(pb.ErrorReason_EVENT_UNKNOWN)) {
		t.Errorf("of an unknown event: %v", err)
	}
}

// When a place changes between two pages AllPlaces begins again, though not for ever.
func TestAllPlacesBeginsAgain(t *testing.T) {
	server := clienttest.Start(t)
	c := server.Client()
	d := setUp(t, server, c)
	must(c.AddEntry(d.organiser, &pb.AddEntryRequest{Event: cup, Category: category, Name: "Bea Invented"}))
	for changes, refused := range map[int]bool{0: false, 1: false, 9: false, 10: true} {
		pages := 0
		turn := func(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, invoke grpc.UnaryInvoker, opts ...grpc.CallOption) error {
			page, ok := req.(*pb.ListPlacesRequest)
			if !ok {
				return invoke(ctx, method, req, reply, cc, opts...)
			}
			page.PageSize = 1 // there are two
			if page.GetPageToken() != "" && pages < changes {
				pages++
				must(c.UpdateEntry(d.organiser, &pb.UpdateEntryRequest{Event: cup, Entry: "1", Club: new(fmt.Sprint("Club ", changes, pages))}))
			}
			return invoke(ctx, method, req, reply, cc, opts...)
		}
		all, err := server.Client(client.WithDialOptions(grpc.WithChainUnaryInterceptor(turn))).AllPlaces(t.Context(), cup)
		switch {
		case refused != errors.Is(err, client.ErrReason(pb.ErrorReason_PAGE_TOKEN_INVALID)):
			t.Errorf("%d changes: %v", changes, err)
		case !refused && (len(all.GetStanding().GetPlaces()) != 1 || len(all.GetFinalStanding().GetPlaces()) != 2 || pages != changes):
			t.Errorf("%d changes, %d of them seen: %v", changes, pages, all)
		}
	}
}
