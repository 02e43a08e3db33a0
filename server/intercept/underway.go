package intercept

import (
	"context"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"google.golang.org/grpc"
)

// Underway counts the calls that the server works on. A call whose answer waits to
// be read, or that waits for its caller's next message, is not under way.
type Underway struct{ calls atomic.Int64 }

// idleEvery is how often Idle looks.
const idleEvery = 20 * time.Millisecond

// Idle waits until no call has been under way for a while. It reports false when the
// context ends before.
func (u *Underway) Idle(ctx context.Context, while time.Duration) bool {
	ticker := time.NewTicker(idleEvery)
	defer ticker.Stop()
	since := time.Now()
	for {
		if u.calls.Load() > 0 {
			since = time.Now()
		}
		if time.Since(since) >= while {
			return true
		}
		select {
		case <-ticker.C:
		case <-ctx.Done():
			return false
		}
	}
}

func (u *Underway) unary(ctx context.Context, req any, _ *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	u.calls.Add(1)
	defer u.calls.Add(-1)
	return handler(ctx, req)
}

func (u *Underway) stream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	if strings.HasPrefix(info.FullMethod, healthService) {
		return handler(srv, stream) // whoever watches the health does so to the end
	}
	s := &streamUnderway{ServerStream: stream, u: u}
	u.calls.Add(1)
	defer s.wait(1) // for ever: a message may be on its way still
	return handler(srv, s)
}

// streamUnderway does not count the stream while it waits for its caller.
type streamUnderway struct {
	grpc.ServerStream

	u     *Underway
	mu    sync.Mutex
	waits int // for the caller, to read or to send
}

// wait counts one more or one less thing that the stream waits for.
func (s *streamUnderway) wait(more int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	before := s.waits
	s.waits += more
	switch {
	case before == 0:
		s.u.calls.Add(-1)
	case s.waits == 0:
		s.u.calls.Add(1)
	}
}

// SendMsg sends an answer.
func (s *streamUnderway) SendMsg(m any) error {
	s.wait(1)
	defer s.wait(-1)
	return s.ServerStream.SendMsg(m)
}

// RecvMsg reads a message.
func (s *streamUnderway) RecvMsg(m any) error {
	s.wait(1)
	defer s.wait(-1)
	return s.ServerStream.RecvMsg(m)
}
