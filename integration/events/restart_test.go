package events_test

import (
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"syscall"
	"testing"

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
				res, err := pb.NewScoringServiceClient(conn).ValueElements(with(t.Context(), token), &pb.ValueElementsRequest{
					Season: "2025-26", Category: "senior-women", Segment: "free-skating", Elements: []*pb.SkatedElement{{Code: "3Lz+3T"}},
				})
				if err != nil || res.GetTotalBaseValue() == "" {
					t.Errorf("scoring without the database: %v, %v", res, err)
				}
			}
		}
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
	if !stored && !strings.Contains(store.Detail, "not served meanwhile: rinktally.v1.EventService") {
		t.Errorf("/readyz does not say what is not served: %s", body)
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
