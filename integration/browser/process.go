package browser

import (
	"bufio"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// NewProgram is NewServer with the built program in a process of its own. Its Stop is
// kill -9: the program does nothing any more.
func NewProgram(t testing.TB) *Server {
	t.Helper()
	path := filepath.Join(t.TempDir(), "rinktally")
	build := exec.CommandContext(t.Context(), "go", "build", "-o", path, "../../server/cmd/rinktally") //nolint:gosec // the path is the test's own
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("build the program: %v\n%s", err, out)
	}
	s := &Server{t: t}
	s.config.GRPCAddr, s.config.HTTPAddr, s.config.Data = "127.0.0.1:0", "127.0.0.1:0", t.TempDir()
	s.start = func() func() { return s.inProcess(path) }
	s.Start()
	t.Cleanup(s.Stop)
	return s
}

// inProcess runs the program and reads where it listens, and at its first start the
// administrator's token.
func (s *Server) inProcess(path string) (kill func()) {
	s.t.Helper()
	c := exec.CommandContext(s.t.Context(), path, "serve", //nolint:gosec // the program of the test
		"--grpc-addr", s.config.GRPCAddr, "--http-addr", s.config.HTTPAddr, "--data", s.config.Data)
	out, err := c.StdoutPipe()
	if err != nil {
		s.t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		s.t.Fatal(err)
	}
	kill = func() {
		_ = c.Process.Kill()
		_ = c.Wait() // says that it was killed
	}
	lines := bufio.NewScanner(out)
	heard := func(label string) string {
		for lines.Scan() {
			if _, said, ok := strings.Cut(lines.Text(), label); ok {
				return strings.TrimSpace(said)
			}
		}
		kill()
		s.t.Fatalf("the program has ended before it said %q: %v", label, lines.Err())
		return ""
	}
	s.URL = strings.TrimSuffix(heard("pages and REST"), "/")
	s.config.HTTPAddr = strings.TrimPrefix(s.URL, "http://")
	s.config.GRPCAddr = heard("gRPC")
	if s.AdminToken == "" {
		heard("administrator")
		s.AdminToken = heard("")
	}
	go func() { _, _ = io.Copy(io.Discard, out) }()
	return kill
}
