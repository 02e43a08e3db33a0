// Package errs makes every gRPC status that the server answers with. Each
// carries an ErrorInfo with a reason of the public contract; the faults of a
// request come all together as a BadRequest.
package errs

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
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
)

// Domain is the domain of every reason.
const Domain = "rinktally"

// maxViolations bounds how many faults one answer names.
const maxViolations = 100

// Status turns the faults of a request into a status. The request may be nil;
// with it the metadata names what was found at the fault's field. An error that
// is no fault of the request becomes INTERNAL.
func Status(err error, req proto.Message) error {
	var faults rules.FieldErrors
	var one rules.FieldError
	switch {
	case errors.As(err, &faults) && len(faults) > 0:
	case errors.As(err, &one):
		faults = rules.FieldErrors{one}
	default:
		return Internal(err)
	}
	faults = unique(faults)
	first := gravest(faults)
	bad := &errdetails.BadRequest{}
	for _, f := range faults[:min(len(faults), maxViolations)] {
		bad.FieldViolations = append(bad.FieldViolations, &errdetails.BadRequest_FieldViolation{
			Field: valid(f.Field), Description: valid(f.Message), Reason: string(f.Reason),
		})
	}
	message := first.Error()
	if more := len(faults) - 1; more > 0 {
		message += fmt.Sprintf(" (and %d more, see fieldViolations)", more)
	}
	info := &errdetails.ErrorInfo{Reason: string(first.Reason), Domain: Domain, Metadata: metadata(first, req)}
	return build(codeOf(first.Reason), message, info, bad)
}

// New makes a status that is about the call as a whole rather than a field.
// Metadata is given as key, value, key, value.
func New(code codes.Code, reason pb.ErrorReason_Value, message string, metadata ...string) error {
	return build(code, message, infoOf(reason, metadata...))
}

// Internal hides a fault of the server from the caller.
func Internal(cause error) error {
	return hide(cause, New(codes.Internal, pb.ErrorReason_INTERNAL,
		"a fault of the server; the request id finds it in the server's log"))
}

// hide gives a status that shows the caller nothing of its cause. Text gives that
// back for the log, where the request id finds it.
func hide(cause, shown error) error { return &hiding{cause: cause, status: status.Convert(shown)} }

type hiding struct {
	cause  error
	status *status.Status
}

func (e *hiding) Error() string              { return e.cause.Error() }
func (e *hiding) Unwrap() error              { return e.cause }
func (e *hiding) GRPCStatus() *status.Status { return e.status }

// Context says that a call was given up: its deadline passed or its caller
// left, or what status its context has as the cause. It gives nil while the call
// goes on.
func Context(ctx context.Context) error {
	var made interface{ GRPCStatus() *status.Status }
	switch err := ctx.Err(); {
	case err == nil:
		return nil
	case errors.As(context.Cause(ctx), &made):
		return context.Cause(ctx)
	case errors.Is(err, context.DeadlineExceeded):
		return New(codes.DeadlineExceeded, pb.ErrorReason_DEADLINE, "the call took longer than its deadline; calculations may be repeated")
	default:
		return New(codes.Canceled, pb.ErrorReason_CANCELLED, "the caller gave the call up")
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
	return New(codes.Unimplemented, pb.ErrorReason_NOT_FOUND, "there is no method "+cut(name), "path", cut(name))
}

// Proto gives an error's status as the message that answers carry.
func Proto(err error) *spb.Status { return status.Convert(err).Proto() }

// Reason gives the reason of a status, or "" when it has none.
func Reason(err error) string {
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.ErrorInfo); ok {
			return info.GetReason()
		}
	}
	return ""
}

// Fields gives the paths at fault in a status.
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

// codeOf gives the canonical code of a reason; most are faults of an argument.
func codeOf(reason rules.Reason) codes.Code {
	switch pb.ErrorReason_Value(pb.ErrorReason_Value_value[string(reason)]) {
	case pb.ErrorReason_SEASON_UNKNOWN, pb.ErrorReason_ELEMENT_NOT_FOUND, pb.ErrorReason_NOT_FOUND, pb.ErrorReason_NOT_IN_EVENT:
		return codes.NotFound
	case pb.ErrorReason_REVISION_MISMATCH, pb.ErrorReason_GOE_VALUE_UNKNOWN, pb.ErrorReason_RULES_NOT_AVAILABLE:
		return codes.FailedPrecondition
	default:
		return codes.InvalidArgument
	}
}

// gravest picks the fault that the status is about: what is not there at all,
// then the first fault of the request, and only then what the tables lack.
func gravest(faults rules.FieldErrors) rules.FieldError {
	for _, code := range []codes.Code{codes.NotFound, codes.InvalidArgument} {
		i := slices.IndexFunc(faults, func(f rules.FieldError) bool { return codeOf(f.Reason) == code })
		if i >= 0 {
			return faults[i]
		}
	}
	return faults[0]
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
		info.Metadata[metadata[i]] = valid(metadata[i+1])
	}
	return info
}

func build(code codes.Code, message string, details ...protoadapt.MessageV1) error {
	s, err := status.New(code, valid(message)).WithDetails(details...)
	if err != nil {
		return status.Error(code, valid(message)) // only a code of OK can bring us here
	}
	return s.Err()
}

// valid replaces what is not UTF-8, as a path or a query can hold: a status with
// it could not be sent.
func valid(s string) string { return strings.ToValidUTF8(s, "\uFFFD") }

// Code gives the canonical code of a status.
func Code(err error) codes.Code { return status.Code(err) }

// Text tells an error for the log: its cause where the caller does not see it,
// otherwise the message that the caller gets.
func Text(err error) string {
	if hidden := (*hiding)(nil); errors.As(err, &hidden) {
		return hidden.cause.Error()
	}
	return status.Convert(err).Message()
}

// Metadata gives one value of a status's ErrorInfo, or "".
func Metadata(err error, key string) string {
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.ErrorInfo); ok {
			return info.GetMetadata()[key]
		}
	}
	return ""
}

// WithRequestID gives an INTERNAL that names the request id.
func WithRequestID(err error, id string) error {
	s := status.Convert(err)
	return New(s.Code(), pb.ErrorReason_INTERNAL, s.Message(), "request_id", id)
}

// Complete gives a status that some library made the reason of its code.
func Complete(err error) error {
	s := status.Convert(err)
	switch s.Code() {
	case codes.DeadlineExceeded:
		return New(s.Code(), pb.ErrorReason_DEADLINE, "the call took longer than its deadline; calculations may be repeated")
	case codes.Canceled:
		return New(s.Code(), pb.ErrorReason_CANCELLED, "the caller gave the call up")
	case codes.InvalidArgument, codes.OutOfRange:
		return New(codes.InvalidArgument, pb.ErrorReason_FIELD_INVALID, cut(s.Message()))
	case codes.NotFound, codes.Unimplemented:
		return New(s.Code(), pb.ErrorReason_NOT_FOUND, cut(s.Message()))
	case codes.ResourceExhausted:
		return New(s.Code(), pb.ErrorReason_BODY_TOO_LARGE, s.Message())
	default:
		return Internal(err)
	}
}

// TooMany says that a list of a body is longer than the server reads.
func TooMany(field string, most int) error {
	return Status(rules.Fault(field, rules.ReasonTooManyItems, "has too many items; allowed are %s; nothing of the body was read", rules.Allow("at most %d", most)), nil)
}
