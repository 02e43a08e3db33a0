package intercept

import (
	"context"
	"testing"

	"google.golang.org/grpc"
)

// A call is under way until it waits for its caller, and again after that.
func TestWhatIsUnderWay(t *testing.T) {
	var u Underway
	is := func(when string, want int64) {
		t.Helper()
		if got := u.calls.Load(); got != want {
			t.Errorf("%s %d calls are under way, want %d", when, got, want)
		}
	}
	_, _ = u.unary(t.Context(), nil, nil, func(context.Context, any) (any, error) {
		is("in a handler", 1)
		return nil, nil
	})
	is("after it", 0)
	outside := &stuckStream{sending: make(chan struct{}), read: make(chan struct{})}
	sent := make(chan struct{})
	_ = u.stream(nil, outside, &grpc.StreamServerInfo{FullMethod: "/x/Y"}, func(_ any, s grpc.ServerStream) error {
		is("in a stream", 1)
		go func() {
			_ = s.SendMsg(nil)
			close(sent)
		}()
		<-outside.sending
		is("while an answer waits", 0)
		return nil
	})
	is("after a stream whose answer waits still", 0)
	close(outside.read)
	<-sent
	is("once it is read", 0)
	_ = u.stream(nil, outside, &grpc.StreamServerInfo{FullMethod: healthService + "Watch"}, func(any, grpc.ServerStream) error {
		is("while the health is watched", 0)
		return nil
	})
}

func TestIdle(t *testing.T) {
	var u Underway
	_, _ = u.unary(t.Context(), nil, nil, func(context.Context, any) (any, error) {
		ctx, cancel := context.WithTimeout(t.Context(), 5*idleEvery)
		defer cancel()
		if u.Idle(ctx, idleEvery) {
			t.Error("idle while a call is under way")
		}
		return nil, nil
	})
	if !u.Idle(t.Context(), idleEvery) {
		t.Error("not idle")
	}
}

// stuckStream is a stream whose caller reads late.
type stuckStream struct {
	grpc.ServerStream

	sending, read chan struct{}
}

func (s *stuckStream) SendMsg(any) error {
	close(s.sending)
	<-s.read
	return nil
}
