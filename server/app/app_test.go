package app_test

import (
	"context"
	"testing"
	"time"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"io"

	"github.com/spf13/pflag"

	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
)

// settings are the defaults, on free ports.
func settings(t testing.TB) config.Config {
	t.Helper()
	var c config.Config
	flags := pflag.NewFlagSet("test", pflag.ContinueOnError)
	c.Register(flags)
	c.GRPCAddr, c.HTTPAddr, c.Data = "127.0.0.1:0", "127.0.0.1:0", t.TempDir()
	return c
}

// start runs a server with the default settings and a real log until the test ends.
func start(t testing.TB, ctx context.Context) *app.App {
	t.Helper()
	log := zap.New(zapcore.NewCore(zapcore.NewJSONEncoder(zap.NewProductionEncoderConfig()), zapcore.AddSync(io.Discard), zap.InfoLevel))
	a, err := app.New(ctx, settings(t), app.Options{Version: "test", Log: log, Clock: func() time.Time { return time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(ctx)
	done := make(chan error, 1)
	go func() { done <- a.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Error(err)
		}
	})
	return a
}
