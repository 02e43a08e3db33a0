// Package built runs the built server in a process of its own, for tests of what happens
// to a process.
package built

import (
	"bufio"
	"bytes"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// Program is the built server.
type Program struct{ path string }

// New builds the server. Tests in a folder of integration may call it.
func New(t testing.TB) Program {
	t.Helper()
	p := Program{filepath.Join(t.TempDir(), "rinktally")}
	build := exec.CommandContext(t.Context(), "go", "build", "-o", p.path, "../../server/cmd/rinktally") //nolint:gosec // the path is the test's own
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("build the program: %v\n%s", err, out)
	}
	return p
}

// Run returns what a command of the program prints.
func (p Program) Run(t testing.TB, arguments ...string) (string, error) {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), p.path, arguments...).CombinedOutput() //nolint:gosec // the program of the test
	return string(out), err
}

// Admin makes an administrator's token where a server keeps its events.
func (p Program) Admin(t testing.TB, kept ...string) string {
	t.Helper()
	out, err := p.Run(t, append([]string{"token", "create", "--role", "admin"}, kept...)...)
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return strings.TrimSpace(out)
}

// Process is a server in a process of its own.
type Process struct {
	GRPC string // address
	HTTP string // http://address

	Cmd *exec.Cmd
	Log bytes.Buffer // may be read when it has ended
}

// Serve starts a server, on free ports where the arguments name none, and waits until it
// answers.
func (p Program) Serve(t testing.TB, arguments ...string) *Process {
	t.Helper()
	arguments = append([]string{"serve", "--grpc-addr", "127.0.0.1:0", "--http-addr", "127.0.0.1:0"}, arguments...)
	s := &Process{Cmd: exec.CommandContext(t.Context(), p.path, arguments...)} //nolint:gosec // the program of the test
	s.Cmd.Stderr = &s.Log
	out, err := s.Cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Kill)
	// It says where it listens; calls are taken from then on.
	lines := bufio.NewScanner(out)
	for s.GRPC == "" && lines.Scan() {
		if _, url, ok := strings.Cut(lines.Text(), "pages and REST"); ok {
			s.HTTP = strings.TrimSuffix(strings.TrimSpace(url), "/")
		}
		if _, addr, ok := strings.Cut(lines.Text(), "gRPC"); ok {
			s.GRPC = strings.TrimSpace(addr)
		}
	}
	if s.GRPC == "" {
		s.Kill()
		t.Fatalf("the server did not start:\n%s", s.Log.String())
	}
	go func() { _, _ = io.Copy(io.Discard, out) }()
	return s
}

// Kill ends the process at once, as kill -9 does.
func (s *Process) Kill() {
	_ = s.Cmd.Process.Kill() // it may have ended by itself
	_ = s.Cmd.Wait()
}
