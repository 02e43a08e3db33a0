package intercept

import (
	"context"
	"encoding/hex"
	"math/rand/v2"
	"sync"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
)

// RequestIDKey is the metadata key of a call's id; over REST it is the header
// X-Request-Id.
const RequestIDKey = "x-request-id"

type requestIDContext struct{}

// callID is the id of one call. One that no caller has proposed is made when somebody
// first asks for it, which for most calls nobody does.
type callID struct {
	asked sync.Once
	id    string
}

func (c *callID) text() string {
	c.asked.Do(func() { c.id = NewRequestID(c.id) })
	return c.id
}

// RequestID returns the id of the call that a context belongs to, or "".
func RequestID(ctx context.Context) string {
	if c, ok := ctx.Value(requestIDContext{}).(*callID); ok {
		return c.text()
	}
	return ""
}

// NewRequestID returns the id that a caller proposes when it can be logged as it
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

// withRequestID sets a call's id, and says whether the caller proposed one.
func withRequestID(ctx context.Context) (named context.Context, id *callID, proposed bool) {
	id = &callID{}
	if given := metadata.ValueFromIncomingContext(ctx, RequestIDKey); len(given) > 0 {
		id.id, proposed = given[0], true
	}
	return context.WithValue(ctx, requestIDContext{}, id), id, proposed
}

// requestIDUnary answers with the id when the caller proposed one or the call
// failed. Others have no use for it, and a header that is new with every answer
// costs a twentieth of the throughput.
func requestIDUnary(ctx context.Context, req any, _ *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	ctx, id, proposed := withRequestID(ctx)
	res, err := handler(ctx, req)
	if proposed || err != nil {
		// Fails only where nobody listens for headers, such as in a test.
		_ = grpc.SetHeader(ctx, metadata.MD{RequestIDKey: {id.text()}})
	}
	return res, err
}

func requestIDStream(srv any, stream grpc.ServerStream, _ *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	ctx, id, _ := withRequestID(stream.Context())
	_ = stream.SetHeader(metadata.MD{RequestIDKey: {id.text()}})
	return handler(srv, &streamWithContext{ServerStream: stream, ctx: ctx})
}

// streamWithContext is a stream whose handler sees another context.
type streamWithContext struct {
	grpc.ServerStream
	ctx context.Context //nolint:containedctx // that is what it is for
}

func (s *streamWithContext) Context() context.Context { return s.ctx }
