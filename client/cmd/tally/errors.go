package main

import (
	"errors"
	"fmt"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// printError says why there is no answer: each fault of the request on a line of
// its own with its field. The label, such as "record 3: ", stands before each.
func (a *app) printError(label string, err error) {
	var e *client.Error
	if !errors.As(err, &e) {
		fmt.Fprintf(a.err, "tally: %s%v\n", label, err)
		return
	}
	if a.json {
		a.printJSON(a.err, e.GRPCStatus().Proto())
		return
	}
	if len(e.Violations) == 0 {
		fmt.Fprintf(a.err, "tally: %s%s\n", label, e.Message)
	}
	for _, v := range e.Violations {
		fmt.Fprintf(a.err, "tally: %s%s: %s\n", label, v.Field, v.Message)
	}
	switch {
	case e.Code == codes.Unavailable && e.Reason == pb.ErrorReason_ERROR_REASON_UNSPECIFIED:
		fmt.Fprintf(a.err, "The server at %s does not answer. Does it run? A server without TLS needs --plaintext, one that made its certificate for itself --ca.\n", a.server)
	case (e.Code == codes.Internal || e.Code == codes.Unknown) && e.RequestID != "":
		fmt.Fprintf(a.err, "Request id, for the server's log: %s\n", e.RequestID)
	}
}

// printUsage says what has to be put right on the command line or in a file, with
// --json as a status in the shape of a refused call.
func (a *app) printUsage(err usageError) {
	if !a.json {
		fmt.Fprintf(a.err, "tally: %v\n", err)
		return
	}
	a.printJSON(a.err, status.New(codes.InvalidArgument, err.Error()).Proto())
}
