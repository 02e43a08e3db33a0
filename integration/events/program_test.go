package events_test

import (
	"bufio"
	"bytes"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// program is the built server.
type program struct{ path string }

func build(t testing.TB) program {
	t.Helper()
	p := program{filepath.Join(t.TempDir(), "rinktally")}
	if out, err := exec.CommandContext(t.Context(), "go", "build", "-o", p.path, "../../server/cmd/rinktally").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return p
}

// run returns what a command of the program prints.
func (p program) run(t testing.TB, arguments ...string) (string, error) {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), p.path, arguments...).CombinedOutput()
	return string(out), err
}

// process is a server in a process of its own.
type process struct {
	grpc string // address
	http string // http://address

	cmd *exec.Cmd
	log bytes.Buffer // may be read when it has ended
}

// serve starts a server on free ports and waits until it answers.
func (p program) serve(t testing.TB, arguments ...string) *process {
	t.Helper()
	arguments = append([]string{"serve", "--grpc-addr", "127.0.0.1:0", "--http-addr", "127.0.0.1:0"}, arguments...)
	s := &process{cmd: exec.CommandContext(t.Context(), p.path, arguments...)}
	s.cmd.Stderr = &s.log
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.kill)
	// It says where it listens; calls are taken from then on.
	lines := bufio.NewScanner(out)
	for s.grpc == "" && lines.Scan() {
		if _, url, ok := strings.Cut(lines.Text(), "pages and REST"); ok {
			s.http = strings.TrimSuffix(strings.TrimSpace(url), "/")
		}
		if _, addr, ok := strings.Cut(lines.Text(), "gRPC"); ok {
			s.grpc = strings.TrimSpace(addr)
		}
	}
	if s.grpc == "" {
		s.kill()
		t.Fatalf("the server did not start:\n%s", s.log.String())
	}
	go func() { _, _ = io.Copy(io.Discard, out) }()
	return s
}

// admin makes an administrator's token where a server keeps its events.
func (p program) admin(t testing.TB, kept ...string) string {
	t.Helper()
	out, err := p.run(t, append([]string{"token", "create", "--role", "admin"}, kept...)...)
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return strings.TrimSpace(out)
}

// both returns the two ways to the server.
func (s *process) both(t testing.TB) []grpc.ClientConnInterface {
	t.Helper()
	return []grpc.ClientConnInterface{dial(t, s.grpc), restAt(s.http)}
}

// kill ends the process at once, as kill -9 does.
func (s *process) kill() {
	_ = s.cmd.Process.Kill() // it may have ended by itself
	_ = s.cmd.Wait()
}

// What happens to a server's process, on the built program.
func TestProgram(t *testing.T) {
	p := build(t)
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
	out, err := p.run(t, "serve", "--grpc-addr", "127.0.0.1:0", "--http-addr", "127.0.0.1:0", "--data", data)
	if err == nil || !strings.Contains(out, "another process uses this data: stop it, or give this one another folder") || !strings.Contains(out, data) {
		t.Errorf("%v: %s", err, out)
	}
	if _, err := pb.NewEventServiceClient(dial(t, s.grpc)).ListEvents(t.Context(), &pb.ListEventsRequest{}); err != nil {
		t.Errorf("the first server: %v", err)
	}
}
