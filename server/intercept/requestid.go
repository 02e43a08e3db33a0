package intercept

import (
	"context"
	"encoding/hex"
	"math/rand/v2"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
)

// RequestIDKey is the metadata key of a call's id; over REST it is the header
// X-Request-Id.
const RequestIDKey = "x-request-id"

type requestIDContext struct{}

// RequestID gives the id of the call that a context belongs to, or "".
func RequestID(ctx context.Context) string {
	id, _ := ctx.Value(requestIDContext{}).(string)
	return id
}

// NewRequestID gives the id that a caller proposes when it can be logged as it
// is, and a new one otherwise.
func NewRequestID(proposed string) string {
	if validID(proposed) {
		return proposed
	}
	var raw [16]byte
	for i := 0; i < len(raw); i += 8 {
		n := rand.Uint64() //nolint:gosec // names a call, guards nothing
		for j := range 8 {
			raw[i+j] = byte(n >> (8 * j))
		}
	}
	return hex.EncodeToString(raw[:])
}

func validID(id string) bool {
	if id == "" || len(id) > 64 {
		return false
	}
	for _, c := range []byte(id) {
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '-', c == '_', c == '.':
		default:
			return false
		}
	}
	return true
}

func withRequestID(ctx context.Context) (context.Context, string) {
	proposed := ""
	if values := metadata.ValueFromIncomingContext(ctx, RequestIDKey); len(values) > 0 {
		proposed = values[0]
	}
	id := NewRequestID(proposed)
	return context.WithValue(ctx, requestIDContext{}, id), id
}

func requestIDUnary(ctx context.Context, req any, _ *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	ctx, id := withRequestID(ctx)
	// Fails only where nobody listens for headers, such as in a test.
	_ = grpc.SetHeader(ctx, metadata.MD{RequestIDKey: {id}})
	return handler(ctx, req)
}

func requestIDStream(srv any, stream grpc.ServerStream, _ *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	ctx, id := withRequestID(stream.Context())
	_ = stream.SetHeader(metadata.MD{RequestIDKey: {id}})
	return handler(srv, &streamWithContext{ServerStream: stream, ctx: ctx})
}

// streamWithContext is a stream whose handler sees another context.
type streamWithContext struct {
	grpc.ServerStream
	ctx context.Context //nolint:containedctx // that is what it is for
}

func (s *streamWithContext) Context() context.Context { return s.ctx }
