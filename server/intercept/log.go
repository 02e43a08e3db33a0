package intercept

import (
	"context"
	"errors"
	"strings"
	"time"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/server/errs"
)

// callLog writes one line a call: who asked what, how it ended and how long it
// took. Successful calls go to the sampled log, where the sampler decides before
// any field is put together.
type callLog struct{ all, sampled *zap.Logger }

// practiceService has books of attempts: what its refusals quote may name a child, so
// only the server's own faults are written out.
const practiceService = "/rinktally.v1.PracticeService/"

func newCallLog(all, sampled *zap.Logger) callLog {
	if all == nil {
		all = zap.NewNop()
	}
	if sampled == nil {
		sampled = all
	}
	return callLog{all: all, sampled: sampled}
}

// healthService is asked every few seconds by whoever watches; its calls are
// not worth a line.
const healthService = "/grpc.health.v1.Health/"

func (l callLog) unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	start := time.Now()
	res, err := handler(ctx, req)
	l.write(ctx, info.FullMethod, start, err)
	return res, err
}

func (l callLog) stream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	start := time.Now()
	err := handler(srv, stream)
	l.write(stream.Context(), info.FullMethod, start, err)
	return err
}

func (l callLog) write(ctx context.Context, method string, start time.Time, err error) {
	if strings.HasPrefix(method, healthService) {
		return
	}
	code := status.Code(err)
	log, level := l.sampled, zapcore.InfoLevel
	if err != nil && code != codes.ResourceExhausted { // a crowd over its limit would fill the log
		log = l.all
	}
	if code == codes.Internal || code == codes.Unknown || code == codes.DataLoss {
		level = zapcore.ErrorLevel
	}
	line := log.Check(level, method) // the sampler counts each method by itself
	if line == nil {
		return
	}
	fields := []zap.Field{
		zap.String("method", method),
		zap.String("code", code.String()),
		zap.Duration("took", time.Since(start)),
		zap.String("request_id", RequestID(ctx)),
	}
	if p, ok := peer.FromContext(ctx); ok && p.Addr != nil {
		fields = append(fields, zap.String("peer", p.Addr.String()))
	}
	if agent := userAgent(ctx); agent != "" {
		fields = append(fields, zap.String("user_agent", agent))
	}
	if err != nil {
		fields = append(fields, zap.String("reason", errs.Reason(err)))
		if level == zapcore.ErrorLevel || !strings.HasPrefix(method, practiceService) {
			fields = append(fields, zap.String("error", errs.Text(err)))
		}
	}
	if p := (*Panic)(nil); errors.As(err, &p) {
		fields = append(fields, zap.ByteString("stack", p.Stack))
	}
	line.Write(fields...)
}

// userAgent returns who asks; behind REST the browser or program.
func userAgent(ctx context.Context) string {
	for _, key := range []string{"grpcgateway-user-agent", "user-agent"} {
		if values := metadata.ValueFromIncomingContext(ctx, key); len(values) > 0 {
			const most = 200
			return values[0][:min(len(values[0]), most)]
		}
	}
	return ""
}
