package integration_test

import (
	"context"
	"net/http"
	"sync"
	"testing"
	"time"

	"github.com/spf13/pflag"
	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"go.uber.org/zap/zaptest/observer"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/integration/described"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
)

// today is a day of the season 2025-26, so that "current" does not move.
func today() time.Time { return time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC) }

// server is the whole program on free ports of the loopback interface.
type server struct {
	app  *app.App
	logs *observer.ObservedLogs // what it logged as warning or worse
	http *http.Client
}

// start runs a server with the default settings until the test ends. Settings
// are changed before it starts.
func start(t testing.TB, change ...func(*config.Config)) *server {
	t.Helper()
	var c config.Config
	c.Register(pflag.NewFlagSet("test", pflag.ContinueOnError))
	c.GRPCAddr, c.HTTPAddr, c.Data = "127.0.0.1:0", "127.0.0.1:0", t.TempDir()
	for _, f := range change {
		f(&c)
	}
	core, logs := observer.New(zapcore.WarnLevel)
	ctx, stop := context.WithCancel(context.Background())
	a, err := app.New(ctx, c, app.Options{Version: "test", Log: zap.New(core), Clock: today})
	if err != nil {
		stop()
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- a.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("the server stopped with: %v", err)
		}
	})
	return &server{app: a, logs: logs, http: &http.Client{Timeout: time.Minute, Transport: described.Transport}}
}

// url returns the address of a path.
func (s *server) url(path string) string { return "http://" + s.app.HTTPAddr() + path }

// conn returns a gRPC connection.
func (s *server) conn(t testing.TB) *grpc.ClientConn {
	t.Helper()
	conn, err := grpc.NewClient(s.app.GRPCAddr(), grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(64<<20)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return conn
}

// client returns a connection of the client library.
func (s *server) client(t testing.TB) *client.Client {
	t.Helper()
	c, err := client.New(s.app.GRPCAddr(), client.WithPlaintext())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

// parallel runs f in so many goroutines and waits for all.
func parallel(n int, f func(i int)) {
	var wait sync.WaitGroup
	for i := range n {
		wait.Go(func() { f(i) })
	}
	wait.Wait()
}
