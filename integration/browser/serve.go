package browser

import (
	"context"
	"io/fs"
	"testing"
	"time"

	"github.com/spf13/pflag"

	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
)

// Today is the day on the server's clock, in the season 2025-26.
func Today() time.Time { return time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC) }

// Server is the whole server, which can be stopped and started again: at the same
// address and with what it kept.
type Server struct {
	URL        string // for browsers
	AdminToken string // of the administrator

	t      testing.TB
	config config.Config
	engine fs.FS // as WebAssembly; nil = as it was built into the test
	start  func() (stop func())
	stop   func()
}

// Serve runs the whole server on free ports of the loopback interface until the
// test ends, and returns its address for browsers. Settings are changed before it
// starts.
func Serve(t testing.TB, change ...func(*config.Config)) (url string) {
	t.Helper()
	return NewServer(t, change...).URL
}

// NewServer is Serve for tests that stop the server or need a token.
func NewServer(t testing.TB, change ...func(*config.Config)) *Server {
	t.Helper()
	return NewServerWith(t, nil, change...)
}

// NewServerWith is NewServer with an engine as WebAssembly for the pages.
func NewServerWith(t testing.TB, engine fs.FS, change ...func(*config.Config)) *Server {
	t.Helper()
	s := &Server{t: t, engine: engine}
	s.start = s.inTest
	c := &s.config
	c.Register(pflag.NewFlagSet("test", pflag.ContinueOnError))
	c.GRPCAddr, c.HTTPAddr, c.Data = "127.0.0.1:0", "127.0.0.1:0", t.TempDir()
	for _, f := range change {
		f(c)
	}
	s.Start()
	t.Cleanup(s.Stop)
	return s
}

// Start starts the server again.
func (s *Server) Start() {
	s.t.Helper()
	s.stop = s.start()
}

// inTest runs the server in the test's own process.
func (s *Server) inTest() (halt func()) {
	s.t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	a, err := app.New(ctx, s.config, app.Options{Version: "test", Clock: Today, Engine: s.engine})
	if err != nil {
		stop()
		s.t.Fatal(err)
	}
	token, err := a.FirstAdminToken(ctx)
	if err != nil {
		s.t.Error(err)
	}
	if token != "" {
		s.AdminToken = token
	}
	s.config.GRPCAddr, s.config.HTTPAddr, s.URL = a.GRPCAddr(), a.HTTPAddr(), "http://"+a.HTTPAddr()
	if s.config.TLS() {
		s.URL = "https://" + a.HTTPAddr()
	}
	done := make(chan error, 1)
	go func() { done <- a.Run(ctx) }()
	return func() {
		stop()
		if err := <-done; err != nil {
			s.t.Errorf("the server stopped with: %v", err)
		}
	}
}

// Stop stops the server, as at the end of the test; a program of NewProgram is killed.
func (s *Server) Stop() {
	if s.stop != nil {
		s.stop()
	}
	s.stop = nil
}
