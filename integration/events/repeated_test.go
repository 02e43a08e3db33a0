package events_test

import (
	"context"
	"testing"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// A call that changes nothing is remembered like every other: repeated after
// somebody else has changed the same thing, it changes nothing either and answers
// its first sequence number, on each store and at every server of it.
func TestRepeatedCallsThatChangedNothing(t *testing.T) {
	t.Run("file", func(t *testing.T) {
		s := start(t)
		checkRepeated(t, s.admin, s.conn(t), s.conn(t))
	})
	t.Run("database", func(t *testing.T) {
		shared := inDatabase(newCluster(t).URL("postgres"))
		a, b := start(t, shared), start(t, shared)
		checkRepeated(t, a.admin, a.conn(t), b.conn(t))
	})
}

// sequenced is what every answer of a change has.
type sequenced interface{ GetSequence() uint64 }

// numbered is the sequence number of an answer.
func numbered[R sequenced](res R, err error) (uint64, error) { return res.GetSequence(), err }

// checkRepeated makes calls at one server and repeats them at another.
func checkRepeated(t *testing.T, admin string, one, other grpc.ClientConnInterface) {
	const cup, category, segment = "quiet-cup", "senior-women", "short-program"
	at, again := pb.NewEventServiceClient(one), pb.NewEventServiceClient(other)
	ctx := with(t.Context(), admin)
	do := func(_ uint64, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	do(numbered(at.CreateEvent(ctx, &pb.CreateEventRequest{Event: cup, Name: "Quiet Cup", StartDate: "2026-03-14", Season: "2025-26"})))
	do(numbered(at.SetCategory(ctx, &pb.SetCategoryRequest{Event: cup, Category: category})))
	do(numbered(at.SetPanel(ctx, &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: 4}})))
	do(numbered(at.ImportEntries(ctx, &pb.ImportEntriesRequest{Event: cup, Csv: "entry,category,name,club\n1,senior-women,Ada Invented,Pond\n2,senior-women,Bea Invented,Pond\n"})))
	do(numbered(at.DrawStartingOrder(ctx, &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: segment, Method: pb.OrderMethod_GIVEN, Entries: []string{"1", "2"}})))
	do(numbered(at.StartSegment(ctx, &pb.StartSegmentRequest{Event: cup, Category: category, Segment: segment})))
	do(numbered(at.CallSkater(ctx, &pb.CallSkaterRequest{Event: cup, Category: category, Segment: segment})))
	do(numbered(at.CallElement(ctx, &pb.CallElementRequest{Event: cup, Category: category, Segment: segment, Entry: "1", Code: "3F"})))

	revise := func(code string) *pb.ReviseElementRequest {
		return &pb.ReviseElementRequest{Event: cup, Category: category, Segment: segment, Entry: "1", Element: 1, Code: code}
	}
	review := func(in bool) *pb.ReviewElementRequest {
		return &pb.ReviewElementRequest{Event: cup, Category: category, Segment: segment, Entry: "1", Element: 1, InReview: in}
	}
	absent := func(judges ...int32) *pb.SetAbsentJudgesRequest {
		return &pb.SetAbsentJudgesRequest{Event: cup, Category: category, Segment: segment, Judges: judges}
	}
	place := func(name string) *pb.UpdateEventRequest { return &pb.UpdateEventRequest{Event: cup, Place: &name} }
	club := func(name string) *pb.UpdateEntryRequest {
		return &pb.UpdateEntryRequest{Event: cup, Entry: "1", Club: &name}
	}
	list := func(club string) *pb.ImportEntriesRequest {
		return &pb.ImportEntriesRequest{Event: cup, Csv: "entry,category,name,club\n2,senior-women,Bea Invented," + club + "\n"}
	}
	for name, c := range map[string]struct {
		// quiet changes nothing; loud changes the same thing afterwards.
		quiet func(ctx context.Context, at pb.EventServiceClient, id string) (uint64, error)
		loud  func() (uint64, error)
	}{
		"ReviseElement": {
			func(ctx context.Context, at pb.EventServiceClient, id string) (uint64, error) {
				req := revise("3F")
				req.RequestId = id
				return numbered(at.ReviseElement(ctx, req))
			},
			func() (uint64, error) { return numbered(at.ReviseElement(ctx, revise("3Lz"))) },
		},
		"ReviewElement": {
			func(ctx context.Context, at pb.EventServiceClient, id string) (uint64, error) {
				req := review(false)
				req.RequestId = id
				return numbered(at.ReviewElement(ctx, req))
			},
			func() (uint64, error) { return numbered(at.ReviewElement(ctx, review(true))) },
		},
		"SetAbsentJudges": {
			func(ctx context.Context, at pb.EventServiceClient, id string) (uint64, error) {
				req := absent()
				req.RequestId = id
				return numbered(at.SetAbsentJudges(ctx, req))
			},
			func() (uint64, error) { return numbered(at.SetAbsentJudges(ctx, absent(2))) },
		},
		"UpdateEvent": {
			func(ctx context.Context, at pb.EventServiceClient, id string) (uint64, error) {
				req := place("")
				req.RequestId = id
				return numbered(at.UpdateEvent(ctx, req))
			},
			func() (uint64, error) { return numbered(at.UpdateEvent(ctx, place("Tarn Hall"))) },
		},
		"UpdateEntry": {
			func(ctx context.Context, at pb.EventServiceClient, id string) (uint64, error) {
				req := club("Pond")
				req.RequestId = id
				return numbered(at.UpdateEntry(ctx, req))
			},
			func() (uint64, error) { return numbered(at.UpdateEntry(ctx, club("Lake"))) },
		},
		"ImportEntries": {
			func(ctx context.Context, at pb.EventServiceClient, id string) (uint64, error) {
				req := list("Pond")
				req.RequestId = id
				res, err := at.ImportEntries(ctx, req)
				if err == nil && res.GetAdded()+res.GetChanged() != 0 {
					t.Errorf("ImportEntries: added %d, changed %d, want nothing", res.GetAdded(), res.GetChanged())
				}
				return numbered(res, err)
			},
			func() (uint64, error) { return numbered(at.ImportEntries(ctx, list("Lake"))) },
		},
	} {
		first, err := c.quiet(ctx, at, "quiet-"+name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		changed, err := c.loud()
		if err != nil || changed <= first {
			t.Errorf("%s: the other call answers %d after %d: %v", name, changed, first, err)
			continue
		}
		repeated, err := c.quiet(ctx, again, "quiet-"+name)
		if err != nil || repeated != first {
			t.Errorf("%s: repeated: %d, first %d: %v", name, repeated, first, err)
		}
		res, err := again.GetEvent(ctx, &pb.GetEventRequest{Event: cup})
		if err != nil || res.GetEvent().GetSequence() != changed {
			t.Errorf("%s: the event is at %d after the repetition, want %d: %v", name, res.GetEvent().GetSequence(), changed, err)
		}
	}
}
