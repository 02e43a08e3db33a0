package client

import (
	"context"
	"crypto/rand"
	"errors"
	"strings"
	"time"

	"github.com/grpc-ecosystem/go-grpc-middleware/v2/interceptors/retry"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	"github.com/rinktally/rinktally/client/policy"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// repeatable reports whether a unary call of the contract may be made again. Methods
// are named as gRPC names them: "/rinktally.v1.EventService/CreateEvent".
func repeatable(method string) bool {
	name := strings.ReplaceAll(strings.TrimPrefix(method, "/"), "/", ".")
	d, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(name))
	m, ok := d.(protoreflect.MethodDescriptor)
	return err == nil && ok && m.ParentFile().Package() == contract && policy.Repeats(m)
}

// contract is the package of all services of the contract.
var contract = pb.File_rinktally_v1_event_proto.Package()

type retryPolicy struct {
	attempts int
	backoff  time.Duration
	jitter   float64
}

func (p retryPolicy) check() error {
	switch {
	case p.attempts < 1 || p.attempts > 100:
		return errors.New("attempts: want 1 to 100")
	case p.backoff <= 0:
		return errors.New("backoff: want more than 0")
	case !(p.jitter >= 0 && p.jitter <= 1):
		return errors.New("jitter: want 0 to 1")
	}
	return nil
}

// pause is how long to wait before which attempt.
func (p retryPolicy) pause() retry.BackoffFunc {
	return retry.BackoffExponentialWithJitterBounded(p.backoff, p.jitter, policy.MaxPause)
}

// repeat repeats unary calls as the policy and repeatable allow. An interceptor
// rather than gRPC's own retry, which takes a call for answered as soon as the
// server has sent a header, even when the answer is UNAVAILABLE.
func repeat(p retryPolicy) grpc.UnaryClientInterceptor {
	again := retry.UnaryClientInterceptor(
		retry.WithMax(uint(p.attempts)),
		retry.WithCodes(codes.Unavailable),
		retry.WithBackoff(p.pause()),
	)
	return func(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, invoke grpc.UnaryInvoker, opts ...grpc.CallOption) error {
		if !repeatable(method) {
			return invoke(ctx, method, req, reply, cc, opts...)
		}
		return again(ctx, method, identified(req), reply, cc, invoke, opts...)
	}
}

// identified returns what all attempts of a call send. A request that changes
// something and has no request id gets one in a copy: by it the server recognizes
// an attempt whose answer was lost.
func identified(req any) any {
	message, ok := req.(proto.Message)
	if !ok || !message.ProtoReflect().IsValid() {
		return req
	}
	id := policy.RequestID(message.ProtoReflect().Descriptor())
	if id == nil || message.ProtoReflect().Has(id) {
		return req
	}
	message = proto.Clone(message)
	message.ProtoReflect().Set(id, protoreflect.ValueOfString(rand.Text()))
	return message
}
