// Package clienttest starts a scoring server inside a test, so that a program
// that uses package client is tested against the real answers and errors.
//
//	server := clienttest.Start(t)
//	c := server.Client()
//	organiser := server.Client(client.WithToken(server.Admin))
//
// Its events and books of attempts are in memory and end with the test.
package clienttest

import (
	"context"
	"errors"
	"io/fs"
	"net"
	"testing"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/intercept"
	"github.com/rinktally/rinktally/server/live"
	"github.com/rinktally/rinktally/server/practice"
	"github.com/rinktally/rinktally/server/program"
	"github.com/rinktally/rinktally/server/result"
	"github.com/rinktally/rinktally/server/rulesvc"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/tables"
)

// Server is a server that runs until the end of the test. It listens on the
// loopback interface without TLS.
type Server struct {
	// Addr is where it listens, "127.0.0.1:40123".
	Addr string
	// Admin is an administrator's token, with which events are made.
	Admin string

	tb testing.TB
}

// Option sets something of a server.
type Option func(*settings)

type settings struct {
	layers []table.Layer
	clock  tables.Clock
	log    *zap.Logger
}

// WithRules adds season tables, as offline.WithRules does.
func WithRules(tree fs.FS) Option {
	return func(s *settings) { s.layers = append(s.layers, table.Layer{Name: "rules", FS: tree}) }
}

// WithClock sets the time that decides what the season "current" is, and when
// something happened in an event.
func WithClock(now func() time.Time) Option {
	return func(s *settings) { s.clock = now }
}

// WithLogger shows the server's log; without it there is none.
func WithLogger(log *zap.Logger) Option {
	return func(s *settings) { s.log = log }
}

// needs is what each method of each service asks of its caller.
func needs() access.Needs {
	return access.Join(practice.Needs(), api.Needs(), live.Needs(), access.Free(
		pb.RulesService_ServiceDesc, pb.ScoringService_ServiceDesc, pb.ProgramService_ServiceDesc, pb.ResultService_ServiceDesc,
	))
}

// Start starts a server with the tables that ship with this module. The test
// fails at once if it cannot start.
func Start(tb testing.TB, opts ...Option) *Server {
	tb.Helper()
	s := settings{log: zap.NewNop()}
	for _, o := range opts {
		o(&s)
	}
	t, err := tables.New(s.clock, s.layers...)
	if err != nil {
		tb.Fatalf("season tables: %v", err)
	}
	listener, err := new(net.ListenConfig).Listen(context.Background(), "tcp", "127.0.0.1:0")
	if err != nil {
		tb.Fatalf("listen on loopback: %v", err)
	}
	ctx := context.Background()
	log, err := sqlite.Open(ctx, sqlite.Options{Path: sqlite.Memory, Clock: store.Clock(s.clock)})
	if err != nil {
		tb.Fatalf("events in memory: %v", err)
	}
	kept, err := sqlite.OpenBooks(ctx, sqlite.Memory)
	if err != nil {
		tb.Fatalf("books of attempts in memory: %v", err)
	}
	practised := practice.New(kept, t, store.Clock(s.clock))
	archive, book := tables.NewArchive(t, log, ""), host.NewBook(log, store.Clock(s.clock))
	admin, _, err := book.FirstAdminToken(ctx, "of the test")
	if err != nil {
		tb.Fatalf("the administrator's token: %v", err)
	}
	events, hub := api.New(book, archive), live.NewHub(book, archive, s.log)
	// The same chain as the program's, so that errors, request ids, deadlines and
	// rights are what users meet.
	chain := intercept.Options{Log: s.log, Deadline: 10 * time.Second, Access: access.NewGuard(book, practised, needs())}
	g := grpc.NewServer(
		grpc.ChainUnaryInterceptor(intercept.Unary(chain)),
		grpc.ChainStreamInterceptor(intercept.Stream(chain)...),
	)
	pb.RegisterRulesServiceServer(g, rulesvc.New(t))
	pb.RegisterScoringServiceServer(g, scoring.New(t))
	pb.RegisterProgramServiceServer(g, program.New(t))
	pb.RegisterResultServiceServer(g, result.New(t))
	pb.RegisterPracticeServiceServer(g, practised)
	watched := live.New(hub, 0)
	pb.RegisterEventServiceServer(g, live.NewEvents(events, watched))
	pb.RegisterScoreboardServiceServer(g, watched)
	ended := make(chan error, 1)
	go func() { ended <- g.Serve(listener) }()
	tb.Cleanup(func() {
		g.Stop()
		if err := <-ended; err != nil {
			tb.Errorf("serve: %v", err)
		}
		hub.Close()
		if err := errors.Join(kept.Close(), log.Close()); err != nil {
			tb.Errorf("events and books in memory: %v", err)
		}
	})
	return &Server{Addr: listener.Addr().String(), Admin: admin, tb: tb}
}

// Client makes a client of the server, which is closed at the end of the test.
func (s *Server) Client(opts ...client.Option) *client.Client {
	s.tb.Helper()
	c, err := client.New(s.Addr, append([]client.Option{client.WithPlaintext()}, opts...)...)
	if err != nil {
		s.tb.Fatal(err)
	}
	s.tb.Cleanup(func() { _ = c.Close() })
	return c
}
