package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"

	"github.com/rinktally/rinktally/server/config"
)

// release is set when a release is built; otherwise the version is what the
// build knows.
var release string

func version() string {
	if release != "" {
		return release
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	revision, modified := "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			revision = s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			modified = "+changes"
		}
	}
	if revision == "" {
		return info.Main.Version
	}
	return revision[:min(12, len(revision))] + modified
}

func versionCommand() *cobra.Command {
	return &cobra.Command{
		Use: "version", Short: "Show the program's version", Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := fmt.Fprintln(cmd.OutOrStdout(), version())
			return err
		},
	}
}

func configCommand() *cobra.Command {
	return &cobra.Command{
		Use: "config", Short: "List every setting: flag, variable, default, meaning", Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			serve := serveCommand()
			return config.Reference(cmd.OutOrStdout(), serve.Flags())
		},
	}
}

func healthcheckCommand() *cobra.Command {
	var settings config.Config
	var withTLS bool
	var within time.Duration
	cmd := &cobra.Command{
		Use:   "healthcheck",
		Short: "Ask a running server whether it is ready; the exit code is 0 when it is",
		Long: "Ask a running server whether it is ready; the exit code is 0 when it is. Where the\n" +
			"variables are set that the server was started with, no flag is needed.",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := settings.Load(cmd.Flags(), os.LookupEnv); err != nil {
				return err
			}
			ctx, cancel := context.WithTimeout(cmd.Context(), within)
			defer cancel()
			return healthcheck(ctx, settings.GRPCAddr, withTLS || settings.TLS())
		},
	}
	addSettings(cmd.Flags(), &settings, "grpc-addr", "tls-cert", "tls-key", "tls-self")
	cmd.Flags().BoolVar(&withTLS, "tls", false, "the server has TLS; its certificate is not checked, since only health is asked")
	cmd.Flags().DurationVar(&within, "within", 3*time.Second, "how long to wait for an answer")
	return cmd
}

func healthcheck(ctx context.Context, addr string, withTLS bool) error {
	security := insecure.NewCredentials()
	if withTLS {
		security = credentials.NewTLS(&tls.Config{InsecureSkipVerify: true}) //nolint:gosec // a probe of the same machine that sends nothing
	}
	conn, err := grpc.NewClient(addr, grpc.WithTransportCredentials(security))
	if err != nil {
		return err
	}
	defer conn.Close() //nolint:errcheck // nothing is left to save
	res, err := healthpb.NewHealthClient(conn).Check(ctx, &healthpb.HealthCheckRequest{})
	switch {
	case err != nil:
		return fmt.Errorf("the server at %s does not answer: %w", addr, err)
	case res.GetStatus() != healthpb.HealthCheckResponse_SERVING:
		return errors.New("the server at " + addr + " is not ready: " + res.GetStatus().String())
	}
	return nil
}
