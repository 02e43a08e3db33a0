package client

import (
	"cmp"
	"context"
	"errors"
	"maps"
	"slices"
	"strings"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	statuspb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// Error is why a call has no answer. Code, Reason, the fields of Violations and
// the keys of Metadata are stable; messages are for people and may change.
type Error struct {
	// Code is the kind of failure: codes.InvalidArgument, codes.Unavailable, …
	Code codes.Code
	// Reason is a name of the public ErrorReason enum, "GOE_VALUE_UNKNOWN"; empty
	// when the failure did not come from the server's services.
	Reason string
	// Message says what is wrong and what is allowed.
	Message string
	// Violations are the faults of the request, all of them.
	Violations []Violation
	// Metadata repeats the values in the message.
	Metadata map[string]string
	// RequestID finds the call in the server's log; empty offline.
	RequestID string

	status *status.Status
}

// Violation is one fault of a request.
type Violation struct {
	Field   string // path: "elements[3].marks[2]"
	Reason  string // name of the public ErrorReason enum
	Message string // what was found and what is allowed
}

// ErrReason matches errors by their reason, of the whole or of any field:
//
//	errors.Is(err, client.ErrReason("MARK_OFF_GRID"))
type ErrReason string

// Error implements error.
func (r ErrReason) Error() string { return string(r) }

// Error is one line: code, reason, and each field at fault; without such fields the
// message, which otherwise repeats the first of them.
func (e *Error) Error() string {
	about := e.Code.String()
	if e.Reason != "" {
		about += " " + e.Reason
	}
	faults := make([]string, len(e.Violations))
	for i, v := range e.Violations {
		faults[i] = v.Field + ": " + v.Message
	}
	return about + ": " + cmp.Or(strings.Join(faults, "; "), e.Message)
}

// Is matches an ErrReason, and the context's errors where the code means them.
func (e *Error) Is(target error) bool {
	switch target {
	case context.DeadlineExceeded:
		return e.Code == codes.DeadlineExceeded
	case context.Canceled:
		return e.Code == codes.Canceled
	}
	reason, ok := target.(ErrReason)
	if !ok || reason == "" {
		return false
	}
	return e.Reason == string(reason) || slices.ContainsFunc(e.Violations, func(v Violation) bool {
		return v.Reason == string(reason)
	})
}

// GRPCStatus is the status as it came, for programs that pass it on.
func (e *Error) GRPCStatus() *status.Status {
	if e.status != nil {
		return e.status
	}
	return status.New(e.Code, e.Message)
}

// FromError turns a gRPC status, or the end of a context, into an *Error. An
// *Error stays as it is and nil stays nil.
func FromError(err error) error { return fromError(err, "") }

func fromError(err error, requestID string) error {
	var e *Error
	if err == nil || errors.As(err, &e) {
		return err
	}
	if s, ok := status.FromError(err); ok {
		return errorFromStatus(s.Proto(), requestID)
	}
	return errorFromStatus(status.FromContextError(err).Proto(), requestID)
}

func errorFromStatus(s *statuspb.Status, requestID string) *Error {
	st := status.FromProto(s)
	e := &Error{Code: st.Code(), Message: st.Message(), RequestID: requestID, status: st}
	for _, detail := range st.Details() {
		switch d := detail.(type) {
		case *errdetails.ErrorInfo:
			e.Reason = d.GetReason()
			e.Metadata = maps.Clone(d.GetMetadata())
		case *errdetails.BadRequest:
			for _, v := range d.GetFieldViolations() {
				e.Violations = append(e.Violations, Violation{Field: v.GetField(), Reason: v.GetReason(), Message: v.GetDescription()})
			}
		}
	}
	return e
}
