// Package errs makes every gRPC status that the server answers with. Each
// carries an ErrorInfo with a reason of the public contract; the faults of a
// request come all together as a BadRequest.
package errs

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	spb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/protoadapt"
	"google.golang.org/protobuf/types/known/durationpb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/store"
)

// Domain is the domain of every reason.
const Domain = "rinktally"

// maxViolations bounds how many faults one answer names.
const maxViolations = 100

// New makes a status that is about the call as a whole rather than a field; its
// code is the one that the table of reasons names. Metadata is given as key,
// value, key, value.
func New(reason pb.ErrorReason_Value, message string, metadata ...string) error {
	code, named := codeOf[reason]
	if !named {
		return Internal(fmt.Errorf("reason %v has no code: %s", reason, message))
	}
	return build(code, message, infoOf(reason, metadata...))
}

// refusal is how packages that make no statuses say why a call is refused: the
// reason, and metadata as key, value, key, value. The message is the error's text.
type refusal interface {
	error
	Refused() (reason pb.ErrorReason_Value, metadata []string)
}

// From makes the status of whatever a call ended with: a status stays as it is,
// with a reason where a library made it without one; faults of the request come
// all together with their fields, and what was found there if the request is not
// nil; refusals and what the store or the caller's context say have reasons of
// their own. Every other error is INTERNAL. The status of no error is nil.
func From(err error, req proto.Message) error {
	var made interface{ GRPCStatus() *status.Status }
	var faults rules.FieldErrors
	var fault rules.FieldError
	var refused refusal
	var conflict *store.ConflictError
	var damage *store.DamagedError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &made):
		if Reason(err) == "" {
			return complete(err)
		}
		return err
	case errors.As(err, &faults) && len(faults) > 0:
		return badRequest(faults, req)
	case errors.As(err, &fault):
		return badRequest(rules.FieldErrors{fault}, req)
	case errors.As(err, &refused):
		reason, metadata := refused.Refused()
		return New(reason, refused.Error(), metadata...)
	case errors.As(err, &conflict):
		return Conflict(conflict.Stream, conflict.Expected, conflict.Actual)
	case errors.As(err, &damage):
		record := strconv.FormatUint(damage.Seq, 10)
		return hide(err, New(pb.ErrorReason_EVENT_DAMAGED,
			"the log of event "+rules.Quote(damage.Stream)+" is damaged at record "+record+", so nothing more is written to it: bring it back from a copy by \"rinktally events restore\"",
			"event", damage.Stream, "record", record))
	case errors.Is(err, context.DeadlineExceeded):
		return New(pb.ErrorReason_DEADLINE,
			"the call took longer than its deadline; whether it took effect is open, so repeat it with the same request id")
	case errors.Is(err, context.Canceled):
		return New(pb.ErrorReason_CANCELLED, "the caller gave the call up")
	case errors.Is(err, store.ErrInvalid):
		return New(pb.ErrorReason_FIELD_INVALID, "the request does not fit into the event's log: "+err.Error())
	case errors.Is(err, store.ErrStoreFull):
		return hide(err, New(pb.ErrorReason_STORE_FULL,
			"the disk of the server's store takes no more (full, over its quota, read-only, or failing) and nothing was written: free some space on it or make it writable, then repeat the call with the same request id"))
	case errors.Is(err, store.ErrUnavailable):
		return hide(err, New(pb.ErrorReason_STORE_UNAVAILABLE, "the server cannot reach its storage now: repeat the call with the same request id"))
	default:
		return Internal(err)
	}
}

// badRequest makes the status of a request's faults.
func badRequest(faults rules.FieldErrors, req proto.Message) error {
	faults = unique(faults)
	first, code := gravest(faults)
	if code == codes.Internal {
		return Internal(fmt.Errorf("reason %q has no code: %w", first.Reason, faults))
	}
	bad := &errdetails.BadRequest{}
	for _, f := range faults[:min(len(faults), maxViolations)] {
		bad.FieldViolations = append(bad.FieldViolations, &errdetails.BadRequest_FieldViolation{
			Field: Shown(f.Field), Description: Shown(f.Message), Reason: string(f.Reason),
		})
	}
	message := first.Error()
	if more := len(faults) - 1; more > 0 {
		message += fmt.Sprintf(" (and %d more, see fieldViolations)", more)
	}
	info := &errdetails.ErrorInfo{Reason: string(first.Reason), Domain: Domain, Metadata: metadata(first, req)}
	return build(code, message, info, bad)
}

// Internal hides a fault of the server from the caller.
func Internal(cause error) error {
	return hide(cause, build(codes.Internal,
		"a fault of the server; the request id finds it in the server's log",
		infoOf(pb.ErrorReason_INTERNAL)))
}

// hide returns a status that shows the caller nothing of its cause. Text returns that
// for the log, where the request id finds it.
func hide(cause, shown error) error { return &hiding{cause: cause, status: status.Convert(shown)} }

type hiding struct {
	cause  error
	status *status.Status
}

func (e *hiding) Error() string              { return e.cause.Error() }
func (e *hiding) Unwrap() error              { return e.cause }
func (e *hiding) GRPCStatus() *status.Status { return e.status }

// Context says that a call was given up: its deadline passed or its caller
// left, or what status its context has as the cause. It returns nil while the call
// goes on.
func Context(ctx context.Context) error {
	var made interface{ GRPCStatus() *status.Status }
	switch err := ctx.Err(); {
	case err == nil:
		return nil
	case errors.As(context.Cause(ctx), &made):
		return context.Cause(ctx)
	case errors.Is(err, context.DeadlineExceeded):
		return New(pb.ErrorReason_DEADLINE, "the call took longer than its deadline; calculations may be repeated")
	default:
		return New(pb.ErrorReason_CANCELLED, "the caller gave the call up")
	}
}

// RateLimited says when the caller may come again.
func RateLimited(after time.Duration) error {
	seconds := strconv.Itoa(int((after + time.Second - 1) / time.Second))
	return build(codes.ResourceExhausted, "too many calls; try again in "+seconds+" s",
		infoOf(pb.ErrorReason_RATE_LIMITED, "retry_after_seconds", seconds),
		&errdetails.RetryInfo{RetryDelay: durationpb.New(after)})
}

// UnknownMethod says that no service here has the method.
func UnknownMethod(name string) error {
	return build(codes.Unimplemented, "there is no method "+cut(name), infoOf(pb.ErrorReason_NOT_FOUND, "path", cut(name)))
}

// Proto returns an error's status as the message that answers carry.
func Proto(err error) *spb.Status { return status.Convert(err).Proto() }

// Reason returns the reason of a status, or "" when it has none.
func Reason(err error) string {
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.ErrorInfo); ok {
			return info.GetReason()
		}
	}
	return ""
}

// Fields returns the paths at fault in a status.
func Fields(err error) []string {
	var fields []string
	for _, d := range status.Convert(err).Details() {
		if bad, ok := d.(*errdetails.BadRequest); ok {
			for _, v := range bad.GetFieldViolations() {
				fields = append(fields, v.GetField())
			}
		}
	}
	return fields
}

// gravest picks the fault that the status is about, and its code: one that the
// table does not name, which is the server's own; what is not there at all; then
// the first fault of the request, and only then what the tables lack.
func gravest(faults rules.FieldErrors) (rules.FieldError, codes.Code) {
	for _, code := range []codes.Code{codes.Internal, codes.NotFound, codes.InvalidArgument} {
		for _, f := range faults {
			if codeOfFault(f.Reason) == code {
				return f, code
			}
		}
	}
	return faults[0], codeOfFault(faults[0].Reason)
}

// codeOfFault is the code of a fault's reason; INTERNAL when the table has none.
func codeOfFault(reason rules.Reason) codes.Code {
	code, named := codeOf[pb.ErrorReason_Value(pb.ErrorReason_Value_value[string(reason)])]
	if !named {
		return codes.Internal
	}
	return code
}

func unique(faults rules.FieldErrors) rules.FieldErrors {
	seen := make(map[rules.FieldError]bool, len(faults))
	out := faults[:0:0]
	for _, f := range faults {
		if !seen[f] {
			seen[f] = true
			out = append(out, f)
		}
	}
	return out
}

func infoOf(reason pb.ErrorReason_Value, metadata ...string) *errdetails.ErrorInfo {
	info := &errdetails.ErrorInfo{Reason: reason.String(), Domain: Domain}
	for i := 0; i+1 < len(metadata); i += 2 {
		if info.Metadata == nil {
			info.Metadata = map[string]string{}
		}
		info.Metadata[metadata[i]] = Shown(metadata[i+1])
	}
	return info
}

func build(code codes.Code, message string, details ...protoadapt.MessageV1) error {
	s, err := status.New(code, Shown(message)).WithDetails(details...)
	if err != nil {
		return status.Error(code, Shown(message)) // only a code of OK can bring us here
	}
	return s.Err()
}

// secrets finds tokens in texts: "rt_" or "rb_", the event or book, "_" and the secret
// or its beginning. Only an error needs it, so it is compiled then.
var secrets = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\br[tb]_[a-z0-9-]*_[A-Za-z0-9_-]+`) })

// Shown returns a caller's text as answers and the log may show it: a token that
// was sent where something else belongs keeps its secret, and what is not UTF-8, as
// a path or a query can hold, is replaced: a status with it could not be sent.
func Shown(s string) string {
	return secrets().ReplaceAllLiteralString(strings.ToValidUTF8(s, "\uFFFD"), "rt_… (a token)")
}

// Code returns the canonical code of a status.
func Code(err error) codes.Code { return status.Code(err) }

// Text returns an error for the log: its cause where the caller does not see it,
// otherwise the message that the caller gets.
func Text(err error) string {
	if hidden := (*hiding)(nil); errors.As(err, &hidden) {
		return hidden.cause.Error()
	}
	return status.Convert(err).Message()
}

// Metadata returns one value of a status's ErrorInfo, or "".
func Metadata(err error, key string) string {
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.ErrorInfo); ok {
			return info.GetMetadata()[key]
		}
	}
	return ""
}

// WithRequestID returns an INTERNAL that names the request id.
func WithRequestID(err error, id string) error {
	s := status.Convert(err)
	return New(pb.ErrorReason_INTERNAL, s.Message(), "request_id", id)
}

// complete returns a status that some library made the reason of its code.
func complete(err error) error {
	s := status.Convert(err)
	switch s.Code() {
	case codes.DeadlineExceeded:
		return New(pb.ErrorReason_DEADLINE, "the call took longer than its deadline; calculations may be repeated")
	case codes.Canceled:
		return New(pb.ErrorReason_CANCELLED, "the caller gave the call up")
	case codes.InvalidArgument, codes.OutOfRange:
		return New(pb.ErrorReason_FIELD_INVALID, cut(s.Message()))
	case codes.NotFound, codes.Unimplemented:
		return build(s.Code(), cut(s.Message()), infoOf(pb.ErrorReason_NOT_FOUND))
	case codes.ResourceExhausted:
		return New(pb.ErrorReason_BODY_TOO_LARGE, s.Message())
	default:
		return Internal(err)
	}
}

// Conflict says that an event has moved on since the caller looked.
func Conflict(event string, expected, found uint64) error {
	e, f := strconv.FormatUint(expected, 10), strconv.FormatUint(found, 10)
	return New(pb.ErrorReason_SEQUENCE_CONFLICT,
		"event "+rules.Quote(event)+" is at sequence "+f+", not "+e+": read it again before you decide",
		"event", cut(event), "expected", e, "found", f)
}

// UnknownEvent says that there is no event with an id.
func UnknownEvent(event string) error {
	return New(pb.ErrorReason_EVENT_UNKNOWN, "there is no event "+rules.Quote(event), "event", cut(event))
}

// NoMessage refuses a request over gRPC whose bytes are no message of its call.
func NoMessage() error {
	return From(rules.Fault("body", rules.ReasonFieldInvalid,
		"is no message of this call; want what its .proto file describes, with all texts in UTF-8"), nil)
}

// TooMany says that a list of a body is longer than the server reads.
func TooMany(field string, most int) error {
	return From(rules.Fault(field, rules.ReasonTooManyItems, "has too many items; allowed are %s; nothing of the body was read", rules.Allow("at most %d", most)), nil)
}
