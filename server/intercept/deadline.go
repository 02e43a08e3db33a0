package intercept

import (
	"context"
	"time"

	"google.golang.org/grpc"

	"github.com/rinktally/rinktally/server/errs"
)

// deadlineUnary gives a call that brings no deadline the server's own, and does
// not start one whose time is over.
func deadlineUnary(longest time.Duration) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, req any, _ *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
		if _, has := ctx.Deadline(); !has {
			var cancel context.CancelFunc
			ctx, cancel = context.WithTimeout(ctx, longest)
			defer cancel()
		}
		if err := errs.Context(ctx); err != nil {
			return nil, err
		}
		return handler(ctx, req)
	}
}
