package live_test

import (
	"context"
	"net"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/test/bufconn"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/live"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/tables"
)

var day = time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)

// must returns the answer of a call that has to go well; the test ends otherwise.
func must[R any](res R, err error) R {
	if err != nil {
		panic(err)
	}
	return res
}

// embedded is the season tables, loaded once for all tests.
var embedded = sync.OnceValue(func() *tables.Archive {
	return tables.NewArchive(must(tables.New(func() time.Time { return day })), nil, "")
})

// hall is an event with a scoreboard, over a log in memory.
type hall struct {
	*api.Service

	log   *sqlite.Log
	book  *host.Book
	hub   *live.Hub
	board *live.Service
	later atomic.Int64 // how far the clock was set ahead, in nanoseconds
}

const (
	cup      = "spring-cup"
	category = "senior-women"
	short    = "short-program"
	free     = "free-skating"
)

func newHall(t testing.TB, beat time.Duration) *hall {
	t.Helper()
	h := &hall{}
	clock := func() time.Time { return day.Add(time.Duration(h.later.Load())) }
	h.log = must(sqlite.Open(context.Background(), sqlite.Options{Path: sqlite.Memory, Clock: clock}))
	t.Cleanup(func() { _ = h.log.Close() })
	h.book = host.NewBook(h.log, clock)
	h.Service = api.New(h.book, embedded())
	h.open(t, beat)
	must(h.CreateEvent(as(t, pb.Role_ADMIN), &pb.CreateEventRequest{Event: cup, Name: "Spring Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	must(h.SetCategory(as(t, pb.Role_ORGANISER), &pb.SetCategoryRequest{Event: cup, Category: category}))
	must(h.SetPanel(as(t, pb.Role_ORGANISER), &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: 2}}))
	for _, name := range []string{"Ada Invented", "Bea Invented", "Cleo Invented"} {
		must(h.AddEntry(as(t, pb.Role_ORGANISER), &pb.AddEntryRequest{Event: cup, Category: category, Name: name}))
	}
	return h
}

// open starts the scoreboard, as a server does that comes back over the same log.
func (h *hall) open(t testing.TB, beat time.Duration) {
	t.Helper()
	h.hub = live.NewHub(h.book, embedded(), nil)
	hub := h.hub
	t.Cleanup(hub.Close)
	h.board = live.New(hub, beat)
}

func as(t testing.TB, role pb.Role_Value) context.Context {
	t.Helper()
	return access.WithActor(t.Context(), access.Actor{Event: cup, Role: role, Token: "1"})
}

func (h *hall) start(t testing.TB, segment string) {
	t.Helper()
	must(h.DrawStartingOrder(as(t, pb.Role_ORGANISER), &pb.DrawStartingOrderRequest{
		Event: cup, Category: category, Segment: segment, Method: pb.OrderMethod_GIVEN, Entries: []string{"1", "2", "3"},
	}))
	must(h.StartSegment(as(t, pb.Role_REFEREE), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: segment}))
}

func (h *hall) call(t testing.TB, segment, entry string) {
	t.Helper()
	must(h.CallSkater(as(t, pb.Role_TECHNICAL_PANEL), &pb.CallSkaterRequest{Event: cup, Category: category, Segment: segment, Entry: entry}))
	must(h.CallElement(as(t, pb.Role_TECHNICAL_PANEL), &pb.CallElementRequest{Event: cup, Category: category, Segment: segment, Entry: entry, Code: "2A"}))
}

func (h *hall) finish(t testing.TB, segment, entry string, mark int32) *pb.Performance {
	t.Helper()
	for judge := int32(1); judge <= 2; judge++ {
		must(h.SetElementMarks(as(t, pb.Role_ORGANISER), &pb.SetElementMarksRequest{
			Event: cup, Category: category, Segment: segment, Entry: entry, Judge: judge, Marks: []*pb.GivenElementMark{{Element: 1, Mark: &mark}},
		}))
		var marks []*pb.GivenComponentMark
		for _, c := range []pb.Component_Value{pb.Component_COMPOSITION, pb.Component_PRESENTATION, pb.Component_SKATING_SKILLS} {
			marks = append(marks, &pb.GivenComponentMark{Component: c, Mark: new(7.25)})
		}
		must(h.SetComponentMarks(as(t, pb.Role_ORGANISER), &pb.SetComponentMarksRequest{
			Event: cup, Category: category, Segment: segment, Entry: entry, Judge: judge, Marks: marks,
		}))
	}
	return must(h.ConfirmSkater(as(t, pb.Role_REFEREE), &pb.ConfirmSkaterRequest{Event: cup, Category: category, Segment: segment, Entry: entry})).GetPerformance()
}

// change makes a commit that everybody can see.
func (h *hall) change(t testing.TB, place string) uint64 {
	t.Helper()
	return must(h.UpdateEvent(as(t, pb.Role_ORGANISER), &pb.UpdateEventRequest{Event: cup, Place: &place})).GetSequence()
}

func (h *hall) snapshot(t testing.TB) *pb.Scoreboard {
	t.Helper()
	return must(h.board.GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: cup})).GetScoreboard()
}

// dial returns a client of the scoreboard behind the access check, over a
// connection in memory.
func (h *hall) dial(t testing.TB) pb.ScoreboardServiceClient {
	t.Helper()
	return pb.NewScoreboardServiceClient(h.conn(t))
}

func (h *hall) conn(t testing.TB) *grpc.ClientConn {
	t.Helper()
	guard := access.NewGuard(h.book, nil, access.Join(api.Needs(), live.Needs()))
	server := grpc.NewServer(grpc.ChainUnaryInterceptor(guard.Unary), grpc.ChainStreamInterceptor(guard.Stream))
	pb.RegisterScoreboardServiceServer(server, h.board)
	pb.RegisterEventServiceServer(server, live.NewEvents(h.Service, h.board))
	const window = 64 << 10
	port := bufconn.Listen(window)
	go func() { _ = server.Serve(port) }()
	t.Cleanup(server.Stop)
	conn := must(grpc.NewClient("passthrough:///hall", grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return port.DialContext(ctx) })))
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

func reasonOf(err error) string { return errs.Reason(err) }
