package errs

import (
	"context"
	"errors"
	"strconv"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/store"
)

// eventCodes gives the canonical code of the reasons that events have.
var eventCodes = map[pb.ErrorReason_Value]codes.Code{
	pb.ErrorReason_EVENT_UNKNOWN:     codes.NotFound,
	pb.ErrorReason_EVENT_EXISTS:      codes.AlreadyExists,
	pb.ErrorReason_NOT_IN_EVENT:      codes.NotFound,
	pb.ErrorReason_NOT_NOW:           codes.FailedPrecondition,
	pb.ErrorReason_INCOMPLETE:        codes.FailedPrecondition,
	pb.ErrorReason_REVISION_MISMATCH: codes.FailedPrecondition,
	pb.ErrorReason_SEQUENCE_CONFLICT: codes.Aborted,
	pb.ErrorReason_REQUEST_ID_REUSED: codes.InvalidArgument,
	pb.ErrorReason_STORE_FULL:        codes.ResourceExhausted,
	pb.ErrorReason_STORE_UNAVAILABLE: codes.Unavailable,
	pb.ErrorReason_WATCHER_TOO_SLOW:  codes.Unavailable,
	pb.ErrorReason_SERVER_STOPPING:   codes.Unavailable,
	pb.ErrorReason_ACCESS_CHANGED:    codes.Unavailable,
	pb.ErrorReason_UNAUTHENTICATED:   codes.Unauthenticated,
	pb.ErrorReason_PERMISSION_DENIED: codes.PermissionDenied,
}

// Refuse says why an event does not take a call. Metadata is given as key,
// value, key, value.
func Refuse(reason pb.ErrorReason_Value, message string, metadata ...string) error {
	return New(eventCodes[reason], reason, message, metadata...)
}

// Conflict says that an event has moved on since the caller looked.
func Conflict(event string, expected, found uint64) error {
	e, f := strconv.FormatUint(expected, 10), strconv.FormatUint(found, 10)
	return Refuse(pb.ErrorReason_SEQUENCE_CONFLICT,
		"event "+rules.Quote(event)+" is at sequence "+f+", not "+e+": read it again and decide anew",
		"event", cut(event), "expected", e, "found", f)
}

// UnknownEvent says that there is no event with an id.
func UnknownEvent(event string) error {
	return Refuse(pb.ErrorReason_EVENT_UNKNOWN, "there is no event "+rules.Quote(event), "event", cut(event))
}

// Of gives the status of whatever a call on an event ended with: a status as it
// is, faults of the request with their fields, and what the store or the caller's
// context say.
func Of(err error, req proto.Message) error {
	var faults rules.FieldErrors
	var fault rules.FieldError
	var conflict *store.ConflictError
	var made interface{ GRPCStatus() *status.Status }
	switch {
	case err == nil:
		return nil
	case errors.As(err, &made):
		return err
	case errors.As(err, &faults), errors.As(err, &fault):
		return Status(err, req)
	case errors.As(err, &conflict):
		return Conflict(conflict.Stream, conflict.Expected, conflict.Actual)
	case errors.Is(err, context.DeadlineExceeded):
		return New(codes.DeadlineExceeded, pb.ErrorReason_DEADLINE,
			"the call took longer than its deadline; whether it took effect is open, so repeat it with the same request id")
	case errors.Is(err, context.Canceled):
		return New(codes.Canceled, pb.ErrorReason_CANCELLED, "the caller gave the call up")
	case errors.Is(err, store.ErrInvalid):
		return New(codes.InvalidArgument, pb.ErrorReason_FIELD_INVALID, "the request does not fit into the event's log: "+err.Error())
	case errors.Is(err, store.ErrStoreFull):
		return hide(err, Refuse(pb.ErrorReason_STORE_FULL,
			"the disk of the server's store takes no more (full, over its quota, or failing) and nothing was written: free some space on it, then repeat the call with the same request id"))
	case errors.Is(err, store.ErrUnavailable):
		return hide(err, Refuse(pb.ErrorReason_STORE_UNAVAILABLE, "the server cannot reach its storage now: repeat the call with the same request id"))
	default:
		return Internal(err)
	}
}
