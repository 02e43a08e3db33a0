package intercept

import (
	"context"
	"sync"
	"time"

	"google.golang.org/grpc"

	"github.com/rinktally/rinktally/server/errs"
)

// deadlineUnary sets the server's own deadline for a call that brings none, and
// does not start one whose time is over.
func deadlineUnary(longest time.Duration) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, req any, _ *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
		if err := errs.Context(ctx); err != nil {
			return nil, err
		}
		if _, has := ctx.Deadline(); has {
			return handler(ctx, req)
		}
		limited := &deadline{Context: ctx, at: time.Now().Add(longest)}
		defer limited.stop()
		return handler(limited, req)
	}
}

// deadline is a context with a deadline whose timer starts only when someone
// waits for it. Most calls are calculations that never wait, and a timer for
// each of them would cost more than the rest of the interceptors together.
type deadline struct {
	context.Context //nolint:containedctx // it is one
	at              time.Time

	mu      sync.Mutex
	waiting context.Context // set once someone waits
	cancel  context.CancelFunc
}

// Deadline returns the server's own deadline.
func (d *deadline) Deadline() (time.Time, bool) { return d.at, true }

// Done starts the timer.
func (d *deadline) Done() <-chan struct{} {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.waiting == nil {
		d.waiting, d.cancel = context.WithDeadline(d.Context, d.at)
	}
	return d.waiting.Done()
}

// Err says why the call is over, or nil while it goes on.
func (d *deadline) Err() error {
	d.mu.Lock()
	waiting := d.waiting
	d.mu.Unlock()
	switch {
	case waiting != nil:
		return waiting.Err()
	case d.Context.Err() != nil:
		return d.Context.Err()
	case !time.Now().Before(d.at):
		return context.DeadlineExceeded
	}
	return nil
}

func (d *deadline) stop() {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.cancel != nil {
		d.cancel()
	}
}
