package events_test

import (
	"strings"
	"testing"

	"google.golang.org/grpc"

	"github.com/rinktally/rinktally/integration/built"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// program is the built server.
type program struct{ built.Program }

// process is a server in a process of its own.
type process struct{ *built.Process }

func (p program) serve(t testing.TB, arguments ...string) *process {
	t.Helper()
	return &process{p.Serve(t, arguments...)}
}

// both returns the two ways to the server.
func (s *process) both(t testing.TB) []grpc.ClientConnInterface {
	t.Helper()
	return []grpc.ClientConnInterface{dial(t, s.GRPC), restAt(s.HTTP)}
}

// What happens to a server's process, on the built program.
func TestProgram(t *testing.T) {
	p := program{built.New(t)}
	t.Run("second server", func(t *testing.T) { secondServer(t, p) })
	t.Run("full disk", func(t *testing.T) { fullDisk(t, p) })
	t.Run("histories/SQLite", func(t *testing.T) { oneServer(t, p) })
	t.Run("histories/PostgreSQL", func(t *testing.T) { twoServers(t, p) })
	t.Run("published", func(t *testing.T) { publishedKilled(t, p) })
	t.Run("killed/SQLite", func(t *testing.T) { killed(t, p, 1, "--data", t.TempDir()) })
	t.Run("killed/PostgreSQL", func(t *testing.T) {
		killed(t, p, 1, "--data", t.TempDir(), "--store", newCluster(t).URL("postgres"))
	})
	t.Run("killed/two servers", func(t *testing.T) {
		killed(t, p, 2, "--data", t.TempDir(), "--store", newCluster(t).URL("postgres"))
	})
}

// A second server on the same data folder is told what to do, and the first goes
// on.
func secondServer(t *testing.T, p program) {
	data := t.TempDir()
	s := p.serve(t, "--data", data)
	out, err := p.Run(t, "serve", "--grpc-addr", "127.0.0.1:0", "--http-addr", "127.0.0.1:0", "--data", data)
	if err == nil || !strings.Contains(out, "another process uses this data: stop it, or give this one another folder") || !strings.Contains(out, data) {
		t.Errorf("%v: %s", err, out)
	}
	if _, err := pb.NewEventServiceClient(dial(t, s.GRPC)).ListEvents(t.Context(), &pb.ListEventsRequest{}); err != nil {
		t.Errorf("the first server: %v", err)
	}
}
