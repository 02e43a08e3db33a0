package intercept

import (
	"context"
	"fmt"
	"runtime/debug"

	"google.golang.org/grpc"

	"github.com/rinktally/rinktally/server/errs"
)

// Panic is the cause of an INTERNAL that a panicking handler led to.
type Panic struct {
	Value any
	Stack []byte
}

// Error names the value that the handler panicked with.
func (p *Panic) Error() string { return fmt.Sprintf("panic: %v", p.Value) }

func recoverUnary(ctx context.Context, req any, _ *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (res any, err error) {
	defer recovered(&err)
	return handler(ctx, req)
}

func recoverStream(srv any, stream grpc.ServerStream, _ *grpc.StreamServerInfo, handler grpc.StreamHandler) (err error) {
	defer recovered(&err)
	return handler(srv, stream)
}

func recovered(err *error) {
	if v := recover(); v != nil {
		*err = errs.Internal(&Panic{Value: v, Stack: debug.Stack()})
	}
}
