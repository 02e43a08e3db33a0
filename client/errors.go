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

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Error is why a call has no answer. Code, Reason, the fields of Violations and
// the keys of Metadata are stable; messages are for people and may change.
type Error struct {
	// Code is the kind of failure: codes.InvalidArgument, codes.Unavailable, …
	Code codes.Code
	// Reason is what went wrong, for programs: pb.ErrorReason_GOE_VALUE_UNKNOWN. It is
	// unspecified when the failure did not come from a service, such as a server
	// that cannot be reached, or has a reason that this client is too old to know;
	// GRPCStatus has its name then.
	Reason pb.ErrorReason_Value
	// Message says what is wrong and what is allowed.
	Message string
	// Violations are the faults of the request, all of them.
	Violations []Violation
	// Metadata repeats the values in the message.
	Metadata map[string]string
	// RequestID finds the call in the server's log; empty offline, and when the call
	// never left.
	RequestID string

	status *status.Status
}

// Violation is one fault of a request.
type Violation struct {
	Field   string               // path: "elements[3].marks[2]"
	Reason  pb.ErrorReason_Value // what is wrong, for programs
	Message string               // what was found and what is allowed
}

// ErrReason is what errors.Is looks for to match errors by their reason, of the
// whole or of any field:
//
//	errors.Is(err, client.ErrReason(pb.ErrorReason_MARK_OFF_GRID))
func ErrReason(r pb.ErrorReason_Value) error { return reason(r) }

type reason pb.ErrorReason_Value

func (r reason) Error() string { return pb.ErrorReason_Value(r).String() }

// Error is one line: code, reason, and each field at fault; without such fields the
// message, which otherwise repeats the first of them.
func (e *Error) Error() string {
	about := e.Code.String()
	if e.Reason != pb.ErrorReason_ERROR_REASON_UNSPECIFIED {
		about += " " + e.Reason.String()
	}
	faults := make([]string, len(e.Violations))
	for i, v := range e.Violations {
		faults[i] = v.Field + ": " + v.Message
	}
	return about + ": " + cmp.Or(strings.Join(faults, "; "), e.Message)
}

// Is matches what ErrReason returns, and the context's errors where the code means them.
func (e *Error) Is(target error) bool {
	switch target {
	case context.DeadlineExceeded:
		return e.Code == codes.DeadlineExceeded
	case context.Canceled:
		return e.Code == codes.Canceled
	}
	wanted, ok := target.(reason)
	if !ok || wanted == reason(pb.ErrorReason_ERROR_REASON_UNSPECIFIED) {
		return false
	}
	return reason(e.Reason) == wanted || slices.ContainsFunc(e.Violations, func(v Violation) bool {
		return reason(v.Reason) == wanted
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
	st := explained(status.FromProto(s))
	e := &Error{Code: st.Code(), Message: st.Message(), RequestID: requestID, status: st}
	for _, detail := range st.Details() {
		switch d := detail.(type) {
		case *errdetails.ErrorInfo:
			e.Reason = reasonNamed(d.GetReason())
			e.Metadata = maps.Clone(d.GetMetadata())
		case *errdetails.BadRequest:
			for _, v := range d.GetFieldViolations() {
				e.Violations = append(e.Violations, Violation{Field: v.GetField(), Reason: reasonNamed(v.GetReason()), Message: v.GetDescription()})
			}
		}
	}
	if e.Code == codes.Unimplemented && e.Reason == pb.ErrorReason_ERROR_REASON_UNSPECIFIED {
		e.Message += "; what answers at this address is not the gRPC port of a scoring server, or an older one"
	}
	return e
}

func reasonNamed(name string) pb.ErrorReason_Value {
	return pb.ErrorReason_Value(pb.ErrorReason_Value_value[name])
}

// ended are the reasons of a call that its caller ended.
var ended = map[codes.Code]pb.ErrorReason_Value{
	codes.Canceled:         pb.ErrorReason_CANCELLED,
	codes.DeadlineExceeded: pb.ErrorReason_DEADLINE,
}

// explained adds the reason where gRPC or the context ended a call on this side, so
// that it is the same as when the server or the offline client sees the end.
func explained(s *status.Status) *status.Status {
	why, ok := ended[s.Code()]
	if !ok || len(s.Details()) > 0 {
		return s
	}
	detailed, err := s.WithDetails(&errdetails.ErrorInfo{Reason: why.String(), Domain: "rinktally"})
	if err != nil {
		return s // only a code of OK has no details
	}
	return detailed
}
