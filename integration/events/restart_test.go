package events_test

import (
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"sync"
	"syscall"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/store/pgtest"
)

// PostgreSQL ends in every way that it can, in the middle of segments, and starts
// again: between calls, when what goes on meanwhile is looked at, and while calls
// are under way. Nobody has to do anything but repeat what was not answered.
func TestDatabaseRestarts(t *testing.T) {
	cluster := newCluster(t)
	shared := inDatabase(cluster.URL("postgres"))
	a := start(t, shared)
	b := start(t, shared)
	d := newDesk("desk", a.admin, a.conn(t), b.conn(t))
	starting := make(chan error, 1)
	starting <- nil
	started := func() { // again
		if err := <-starting; err != nil {
			t.Fatal(err)
		}
	}
	var onA, onB <-chan followed
	event := ""
	d.before = func(calls int) {
		switch calls {
		case 300, 600:
			started()
			outage(t, cluster, map[int]syscall.Signal{300: syscall.SIGINT, 600: syscall.SIGQUIT}[calls], event, a, b)
			go func() { starting <- cluster.Start() }()
		case 800, 1000, 1200:
			started()
			go func() { starting <- cluster.Restart(syscall.SIGKILL) }()
		}
	}
	id := play(t, d, func(e string) {
		event = e
		onA, onB = follow(t, a.conn(t), event), follow(t, b.conn(t), event)
	})
	started()
	all := facts(t, a.conn(t), a.admin, id)
	checkFacts(t, "a database that was restarted", all)
	checkResults(t, b.conn(t), id)
	for name, following := range map[string]<-chan followed{"who watches the one": onA, "who watches the other": onB} {
		if f := checkFollowed(t, name, following, all); f.joined != 1 {
			t.Errorf("%s joined %d times", name, f.joined)
		}
	}
	if d.repeated == 0 {
		t.Error("no call met the restarts")
	}
	for _, s := range []*server{a, b} {
		checkReady(t, s, true)
	}
	t.Logf("%d calls, repeated %d times", d.calls, d.repeated)
}

// A database that neither answers nor ends holds up nobody for long, and nothing
// but events.
func TestDatabaseFreezes(t *testing.T) {
	cluster := newCluster(t)
	s := start(t, inDatabase(cluster.URL("postgres")))
	const cup = "frozen-cup"
	events, boards := pb.NewEventServiceClient(s.conn(t)), pb.NewScoreboardServiceClient(s.conn(t))
	admin := with(t.Context(), s.admin)
	must(events.CreateEvent(admin, &pb.CreateEventRequest{Event: cup, Name: "Frozen Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	watching := must(boards.WatchScoreboard(t.Context(), &pb.WatchScoreboardRequest{Event: cup}))
	must(watching.Recv())
	thaw, err := cluster.Freeze()
	defer thaw()
	if err != nil {
		t.Fatal(err)
	}
	place := &pb.UpdateEventRequest{Event: cup, Place: new("Tarn Hall"), RequestId: "once-1"}
	var wait sync.WaitGroup
	for _, call := range []func() error{
		func() error { _, err := events.UpdateEvent(admin, place); return err },
		func() error {
			_, err := boards.GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: cup})
			return err
		},
		func() error {
			late, err := boards.WatchScoreboard(t.Context(), &pb.WatchScoreboardRequest{Event: cup})
			if err == nil {
				_, err = late.Recv()
			}
			return err
		},
	} {
		wait.Go(func() {
			// Those who have to wait for others may come to the end of their own time.
			if err := call(); reason(err) != pb.ErrorReason_DEADLINE.String() {
				checkAway(t, "a call", err)
			}
		})
	}
	checkScoring(t, s.conn(t), s.admin)
	checkReady(t, s, false)
	wait.Wait()
	thaw()
	// The desk makes the same request again, by its first id.
	if _, err := insist(t.Context(), newDesk("once", s.admin, s.conn(t)), s.admin, pb.EventServiceClient.UpdateEvent, place); err != nil {
		t.Fatal(err)
	}
	if all := facts(t, s.conn(t), s.admin, cup); len(all) != 2 || all[1].GetRequestId() != "once-1" {
		t.Errorf("the facts are %v", all)
	}
	checkReady(t, s, true)
	board := must(watching.Recv()).GetScoreboard()
	for board == nil { // it was a heartbeat
		board = must(watching.Recv()).GetScoreboard()
	}
	if board.GetPlace() != "Tarn Hall" {
		t.Errorf("who watches sees %v", board)
	}
}

// outage stops the database and checks what goes on without it: whatever needs it
// is refused as to be repeated, and everything else is answered.
func outage(t *testing.T, cluster *pgtest.Cluster, by syscall.Signal, event string, servers ...*server) {
	t.Helper()
	if err := cluster.Stop(by); err != nil {
		t.Fatal(err)
	}
	for _, s := range servers {
		checkReady(t, s, false)
		for _, conn := range s.both(t) {
			// It is never repeated, so it must never come in.
			_, err := pb.NewEventServiceClient(conn).AddEntry(with(t.Context(), servers[0].admin), &pb.AddEntryRequest{
				Event: event, Category: "senior-men", Name: "Lost Invented", RequestId: "lost",
			})
			checkAway(t, "a command", err)
			_, err = pb.NewScoreboardServiceClient(conn).GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: event})
			checkAway(t, "the scoreboard", err)
			for _, token := range []string{"", servers[0].admin} {
				checkScoring(t, conn, token)
			}
		}
	}
}

func checkScoring(t *testing.T, conn grpc.ClientConnInterface, token string) {
	t.Helper()
	res, err := pb.NewScoringServiceClient(conn).ValueElements(with(t.Context(), token), &pb.ValueElementsRequest{
		Season: "2025-26", Category: "senior-women", Segment: "free-skating", Elements: []*pb.SkatedElement{{Code: "3Lz+3T"}},
	})
	if err != nil || res.GetTotalBaseValue() == "" {
		t.Errorf("scoring without the database: %v, %v", res, err)
	}
}

func checkAway(t *testing.T, what string, err error) {
	t.Helper()
	if status.Code(err) != codes.Unavailable || reason(err) != pb.ErrorReason_STORE_UNAVAILABLE.String() || !strings.Contains(err.Error(), "repeat the call") {
		t.Errorf("%s without the database: %v", what, err)
	}
}

// checkReady checks that a server is ready as a whole, and for events when their
// store is there.
func checkReady(t *testing.T, s *server, stored bool) {
	t.Helper()
	res, err := http.Get("http://" + s.HTTPAddr() + "/readyz")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	var said struct {
		Ready  bool
		Checks []struct {
			Name, Detail string
			OK           bool
		}
	}
	if err != nil || json.Unmarshal(body, &said) != nil || len(said.Checks) != 2 {
		t.Fatalf("/readyz: %v: %s", err, body)
	}
	store := said.Checks[1]
	if res.StatusCode != http.StatusOK || !said.Ready || store.Name != "store" || store.OK != stored {
		t.Errorf("/readyz: HTTP %d: %s", res.StatusCode, body)
	}
	// Why, with the hosts and users of the database, is for the log.
	const away = "cannot be reached or used now; the server's log says why; not served meanwhile: "
	if !stored && store.Detail != away+"rinktally.v1.PracticeService, rinktally.v1.EventService, rinktally.v1.ScoreboardService, rinktally.v1.CopyService" {
		t.Errorf("/readyz does not say what is not served, or says more: %s", body)
	}
	for service, up := range map[string]bool{
		"": true, pb.ScoringService_ServiceDesc.ServiceName: true,
		pb.EventService_ServiceDesc.ServiceName: stored, pb.ScoreboardService_ServiceDesc.ServiceName: stored,
	} {
		res, err := healthpb.NewHealthClient(s.conn(t)).Check(t.Context(), &healthpb.HealthCheckRequest{Service: service})
		if err != nil || (res.GetStatus() == healthpb.HealthCheckResponse_SERVING) != up {
			t.Errorf("health of %q: %v, %v", service, res, err)
		}
	}
}
