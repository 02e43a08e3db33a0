package events_test

import (
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/store/pgtest"
)

// newCluster starts a PostgreSQL until the test ends.
func newCluster(t testing.TB) *pgtest.Cluster {
	t.Helper()
	cluster, err := pgtest.New()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := cluster.Close(); err != nil {
			t.Error(err)
		}
	})
	return cluster
}

// inDatabase lets a server keep its events in a database.
func inDatabase(url string) func(*config.Config) {
	return func(c *config.Config) { c.Store = url }
}

// Two servers share one PostgreSQL. The desks call them in turn and repeat every
// call at the other one; who watches either of them sees everything; the results
// are those of one server.
func TestTwoServers(t *testing.T) {
	shared := inDatabase(newCluster(t).URL("postgres"))
	a := start(t, shared)
	b := start(t, shared)
	if a.admin == "" || b.admin != "" {
		t.Fatal("the servers do not share the administrator's token")
	}
	d := newDesk("desk", a.admin, a.conn(t), b.conn(t))
	d.twice = true
	var onA, onB <-chan followed
	id := play(t, d, func(event string) {
		onA, onB = follow(t, a.conn(t), event), follow(t, b.conn(t), event)
	})
	all := facts(t, a.conn(t), a.admin, id)
	checkFacts(t, "two servers", all)
	checkFacts(t, "the other server", facts(t, b.conn(t), a.admin, id))
	for name, following := range map[string]<-chan followed{"who watches the one": onA, "who watches the other": onB} {
		if f := checkFollowed(t, name, following, all); f.joined != 1 {
			t.Errorf("%s joined %d times", name, f.joined)
		}
	}
	for _, s := range []*server{a, b} {
		checkResults(t, s.conn(t), id)
	}
	// A request id is one request, wherever it comes in.
	_, err := pb.NewEventServiceClient(b.conn(t)).AddEntry(with(t.Context(), a.admin), &pb.AddEntryRequest{Event: id, Category: "senior-men", Name: "Nobody", RequestId: "desk-2"})
	if reason(err) != pb.ErrorReason_REQUEST_ID_REUSED.String() {
		t.Errorf("another request with a used id at the other server: %v", err)
	}
	t.Logf("%d calls, each made at both servers", d.calls)
}
