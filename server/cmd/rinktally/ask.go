package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/client"
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

// ask calls do with the service to ask about an event. To read only works beside a
// running server also without asking it.
func (a *asker) ask(cmd *cobra.Command, readOnly bool, do func(context.Context, pb.EventServiceClient) error) error {
	if a.server == "" {
		err := a.with(cmd, readOnly, func(ctx context.Context, d *app.Desk) error { return told(do(ctx, d.Events())) })
		if inUse := (inUseError{}); errors.As(err, &inUse) {
			return fmt.Errorf("%w, or ask it: add --server 127.0.0.1:7070 (its gRPC address; where it has TLS of its own also --ca %s) and set %s to an organiser's or administrator's token",
				err, app.CertificateFile(a.settings), tokenVariable)
		}
		return err
	}
	c, err := a.dial()
	if err != nil {
		return err
	}
	defer c.Close() //nolint:errcheck // nothing is left to save
	err = do(cmd.Context(), pb.NewEventServiceClient(c.Conn()))
	if status.Code(err) == codes.Unavailable && errs.Reason(err) == "" { // from the transport, not from the server
		return fmt.Errorf("--server: no answer from %s; check the address, that the server runs, and --ca, which a server with TLS needs and one without must not have: %w", a.server, told(err))
	}
	return told(err)
}

// dial returns a client of the running server.
func (a *asker) dial() (*client.Client, error) {
	token := os.Getenv(tokenVariable)
	if token == "" {
		return nil, fmt.Errorf("--server: set %s to an organiser's or administrator's token", tokenVariable)
	}
	opts := []client.Option{client.WithToken(token), client.WithUserAgent("rinktally")}
	switch a.ca {
	case "":
		opts = append(opts, client.WithPlaintext())
	case "system": // which the client trusts by itself
	default:
		opts = append(opts, client.WithCAFile(a.ca))
	}
	c, err := client.New(a.server, opts...)
	if err != nil {
		return nil, fmt.Errorf("--server: %w", err)
	}
	return c, nil
}
