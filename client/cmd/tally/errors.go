package main

import (
	"errors"
	"fmt"

	"google.golang.org/grpc/codes"

	"github.com/rinktally/rinktally/client"
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
	switch e.Code {
	case codes.Unavailable:
		fmt.Fprintf(a.err, "The server at %s does not answer. Does it run? A server without TLS needs --plaintext.\n", a.server)
	case codes.Internal, codes.Unknown:
		if e.RequestID != "" {
			fmt.Fprintf(a.err, "Request id, for the server's log: %s\n", e.RequestID)
		}
	}
}
