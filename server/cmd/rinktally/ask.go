package main

import (
	"context"
	"crypto/x509"
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/errs"
)

// tokenVariable has the token that a running server is asked with.
const tokenVariable = "RINKTALLY_TOKEN" //nolint:gosec // the name of a variable

// asker is whom a command asks about an event: the store, or a running server.
type asker struct {
	*kept

	server string
	ca     string
}

// flags adds the flags that name a running server.
func (a *asker) flags(flags *pflag.FlagSet) {
	flags.StringVar(&a.server, "server", "", "ask the running server with this gRPC address, such as 127.0.0.1:7070")
	flags.StringVar(&a.ca, "ca", "", "with --server: the server has TLS with a certificate from this file, or \"system\" for one that this machine trusts")
}

// ask gives whom to call about an evena. To read only works beside a
// running server also without asking ia.
func (a *asker) ask(cmd *cobra.Command, readOnly bool, do func(context.Context, pb.EventServiceClient) error) error {
	if a.server == "" {
		err := a.with(cmd, readOnly, func(ctx context.Context, d *app.Desk) error { return told(do(ctx, d.Events())) })
		if inUse := (inUseError{}); errors.As(err, &inUse) {
			return fmt.Errorf("%w, or ask it: add --server 127.0.0.1:7070 (its gRPC address; where it has TLS of its own also --ca %s) and set %s to an organiser's or administrator's token",
				err, app.CertificateFile(a.settings), tokenVariable)
		}
		return err
	}
	token := os.Getenv(tokenVariable)
	if token == "" {
		return fmt.Errorf("--server: set %s to an organiser's or administrator's token", tokenVariable)
	}
	security := insecure.NewCredentials()
	if a.ca != "" {
		var pool *x509.CertPool // nil is the system's
		if a.ca != "system" {
			file, err := os.ReadFile(a.ca)
			if err != nil {
				return fmt.Errorf("--ca: %w", err)
			}
			pool = x509.NewCertPool()
			if !pool.AppendCertsFromPEM(file) {
				return fmt.Errorf("--ca: %s holds no certificate", a.ca)
			}
		}
		security = credentials.NewClientTLSFromCert(pool, "")
	}
	conn, err := grpc.NewClient(a.server, grpc.WithTransportCredentials(security))
	if err != nil {
		return fmt.Errorf("--server: %w", err)
	}
	defer conn.Close() //nolint:errcheck // nothing is left to save
	const patience = 10 * time.Second
	ctx, cancel := context.WithTimeout(cmd.Context(), patience)
	defer cancel()
	err = do(metadata.AppendToOutgoingContext(ctx, "authorization", "Bearer "+token), pb.NewEventServiceClient(conn))
	if status.Code(err) == codes.Unavailable && errs.Reason(err) == "" { // from the transport, not from the server
		return fmt.Errorf("--server: no answer from %s; check the address, that the server runs, and --ca, which a server with TLS needs and one without must not have: %w", a.server, told(err))
	}
	return told(err)
}
