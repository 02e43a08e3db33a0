package browser

import (
	"context"
	"testing"
	"time"

	"github.com/spf13/pflag"

	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
)

// Today is the day on the server's clock, in the season 2025-26.
func Today() time.Time { return time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC) }

// Serve runs the whole server on free ports of the loopback interface until the
// test ends, and gives its address for browsers. Settings are changed before it
// starts.
func Serve(t testing.TB, change ...func(*config.Config)) (url string) {
	t.Helper()
	var c config.Config
	c.Register(pflag.NewFlagSet("test", pflag.ContinueOnError))
	c.GRPCAddr, c.HTTPAddr, c.Data = "127.0.0.1:0", "127.0.0.1:0", t.TempDir()
	for _, f := range change {
		f(&c)
	}
	ctx, stop := context.WithCancel(context.Background())
	a, err := app.New(ctx, c, app.Options{Version: "test", Clock: Today})
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
	return "http://" + a.HTTPAddr()
}
