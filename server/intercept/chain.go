// Package intercept holds what every call runs through before its handler,
// whether it comes over gRPC or over REST.
package intercept

import (
	"context"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc"

	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/telemetry"
)

// Options settles the chain.
type Options struct {
	Log      *zap.Logger      // where calls are logged
	Sampled  *zap.Logger      // where successful calls are logged; nil = Log
	Metrics  *telemetry.Calls // nil = none
	Deadline time.Duration    // of unary calls that bring none; 0 = none
	Access   *access.Guard    // who may call what; nil = everybody everything
	Limiter  *Limiter         // nil = no limit
	Underway *Underway        // counts the calls under way; nil = none does
	// Copies answers calls on events that are only copied here; nil = there are none.
	Copies grpc.UnaryServerInterceptor
}

// step is one interceptor with its name.
type step struct {
	name   string
	unary  grpc.UnaryServerInterceptor
	stream grpc.StreamServerInterceptor
}

// steps is the one place that says the order, outermost first:
//
//   - recover around everything, so that no fault of the chain itself ends the
//     program;
//   - under way next, which counts what a stopping server waits for;
//   - request id next, since everything after it names the id;
//   - telemetry and log, which see every outcome;
//   - recover once more inside them, so that a handler's panic is counted and
//     logged as the INTERNAL that the caller gets;
//   - deadline, then who may call, then the rate limit, around the handler alone.
//     Who calls is known first, since looking a token up takes time that the
//     deadline bounds;
//   - copies in place of the handler, where the event is one.
//
// A handler checks its own request, because all faults of it are reported together.
func steps(o Options) []step {
	list := []step{{"recover", recoverUnary, recoverStream}}
	if o.Underway != nil {
		list = append(list, step{"under way", o.Underway.unary, o.Underway.stream})
	}
	list = append(list, step{"request id", requestIDUnary, requestIDStream})
	if o.Metrics != nil {
		list = append(list, step{"telemetry", o.Metrics.Unary, o.Metrics.Stream})
	}
	calls := newCallLog(o.Log, o.Sampled)
	list = append(list,
		step{"log", calls.unary, calls.stream},
		step{"recover handler", recoverUnary, recoverStream},
	)
	if o.Deadline > 0 {
		list = append(list, step{"deadline", deadlineUnary(o.Deadline), nil}) // streams live as long as they like
	}
	if o.Access != nil {
		list = append(list, step{"access", o.Access.Unary, o.Access.Stream})
	}
	if o.Limiter != nil {
		list = append(list, step{"rate limit", o.Limiter.unary, o.Limiter.stream})
	}
	if o.Copies != nil {
		list = append(list, step{"copies", o.Copies, nil}) // streams know them themselves
	}
	return list
}

// Unary returns the interceptors of unary calls as one.
func Unary(o Options) grpc.UnaryServerInterceptor {
	var all []grpc.UnaryServerInterceptor
	for _, s := range steps(o) {
		all = append(all, s.unary)
	}
	return joined(all...)
}

// joined returns interceptors as one, the first one outermost. It costs a call two pieces
// of memory, while gRPC's own chain takes one for each step.
func joined(all ...grpc.UnaryServerInterceptor) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, req any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
		p := &passage{steps: all, info: info, handler: handler}
		p.next = p.goOn
		return p.goOn(ctx, req)
	}
}

// passage is the way of one call through the steps.
type passage struct {
	steps   []grpc.UnaryServerInterceptor // that are still to come
	info    *grpc.UnaryServerInfo
	handler grpc.UnaryHandler
	next    grpc.UnaryHandler // goOn; a step calls it once at most
}

func (p *passage) goOn(ctx context.Context, req any) (any, error) {
	if len(p.steps) == 0 {
		return p.handler(ctx, req)
	}
	step := p.steps[0]
	p.steps = p.steps[1:]
	return step(ctx, req, p.info, p.next)
}

// Stream returns the interceptors of streams, the first one outermost.
func Stream(o Options) []grpc.StreamServerInterceptor {
	var chain []grpc.StreamServerInterceptor
	for _, s := range steps(o) {
		if s.stream != nil {
			chain = append(chain, s.stream)
		}
	}
	return chain
}
