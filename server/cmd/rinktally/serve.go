package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"
	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"

	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
)

func serveCommand() *cobra.Command {
	var settings config.Config
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Start the server",
		Long: "Start the server with the embedded season tables. Every flag can also be set in\n" +
			"the environment (RINKTALLY_GRPC_ADDR for --grpc-addr) or in the file that --config\n" +
			"names; \"rinktally config\" lists them.",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := settings.Load(cmd.Flags(), os.LookupEnv); err != nil {
				return err
			}
			ctx, stop := signal.NotifyContext(cmd.Context(), os.Interrupt, syscall.SIGTERM)
			defer stop()
			return serve(ctx, settings, cmd.ErrOrStderr(), cmd.OutOrStdout())
		},
	}
	addServeFlags(cmd, &settings)
	return cmd
}

func addServeFlags(cmd *cobra.Command, settings *config.Config) {
	cmd.Flags().String(config.FileFlag, "", "file with settings, in YAML, named as the flags")
	settings.Register(cmd.Flags())
}

// serve runs the server until the context ends. The log goes to one writer, a
// line for people about what is where to the other.
func serve(ctx context.Context, settings config.Config, log, people io.Writer) error {
	start := time.Now()
	const mebibyte = 1 << 20
	memory := app.SettleMemory(int64(settings.Memory) * mebibyte)
	go app.ReturnMemory(ctx)
	logger, err := newLog(settings.LogLevel, log)
	if err != nil {
		return err
	}
	if settings.Data != "" {
		if settings.Data, err = filepath.Abs(settings.Data); err != nil {
			return fmt.Errorf("--data: %w", err)
		}
	}
	reload := make(chan os.Signal, 1)
	signal.Notify(reload, syscall.SIGHUP)
	defer signal.Stop(reload)
	var server *app.App
	server, err = app.New(ctx, settings, app.Options{
		Version: version(), Log: logger, Reload: reload,
		Demo: func(event string) {
			_, _ = fmt.Fprintf(people, "An invented event plays itself now. Its scoreboard:\n  %s/events/%s\n", server.Sites()[0], event)
		},
	})
	if err != nil {
		return err
	}
	admin, err := server.FirstAdminToken(ctx)
	if err != nil {
		return fmt.Errorf("the administrator's token: %w", err)
	}
	seasons := server.Tables().Catalog().Keys()
	logger.Info("serving",
		zap.String("data", settings.Data),
		zap.String("grpc", server.GRPCAddr()), zap.String("http", server.HTTPAddr()), zap.String("metrics", server.MetricsAddr()), zap.String("rules", settings.Rules),
		zap.Int("seasons", len(seasons)), zap.Int64("memory_limit", memory), zap.String("version", version()), zap.Duration("took", time.Since(start)))
	_, _ = fmt.Fprintf(people, "rinktally serves the rules of %d seasons, %s to %s.\n  pages and REST  %s\n  gRPC            %s\n  events          %s\n",
		len(seasons), seasons[0], seasons[len(seasons)-1],
		strings.Join(server.Sites(), "\n                  "), server.GRPCAddr(), keptIn(settings))
	if shown := server.Fingerprint(); shown != "" {
		_, _ = fmt.Fprintf(people, "  certificate     made by this server; browsers ask once. Its SHA-256 fingerprint:\n                  %s\n", shown)
		_, _ = fmt.Fprintf(people, "                  A phone that installs its root from %s/trust asks no more.\n                  The root's fingerprint:\n                  %s\n",
			server.Sites()[len(server.Sites())-1], server.RootFingerprint())
	}
	if admin != "" {
		_, _ = fmt.Fprintf(people, "  administrator   this token makes events and is shown only now:\n                  %s\n", admin)
	}
	return server.Run(ctx)
}

// keptIn says to people where events are kept.
func keptIn(settings config.Config) string {
	switch {
	case settings.Store != "":
		return "in the database that --store names"
	case settings.Data == "":
		return "in memory, gone when the server stops"
	default:
		return "in " + settings.Data
	}
}

// newLog makes the log: one JSON object a line.
func newLog(level string, w io.Writer) (*zap.Logger, error) {
	least, err := zapcore.ParseLevel(level)
	if err != nil {
		return nil, fmt.Errorf("--log-level: %q is no level; allowed are debug, info, warn and error", level)
	}
	encoding := zap.NewProductionEncoderConfig()
	encoding.TimeKey, encoding.EncodeTime = "time", zapcore.RFC3339NanoTimeEncoder
	encoding.EncodeDuration = zapcore.StringDurationEncoder
	return zap.New(zapcore.NewCore(zapcore.NewJSONEncoder(encoding), zapcore.Lock(zapcore.AddSync(w)), least)), nil
}
