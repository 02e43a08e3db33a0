package intercept

import (
	"context"
	"io"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"

	"github.com/rinktally/rinktally/server/telemetry"
)

// BenchmarkChain measures what a call runs through before and after its handler.
func BenchmarkChain(b *testing.B) {
	core := zapcore.NewCore(zapcore.NewJSONEncoder(zap.NewProductionEncoderConfig()), zapcore.AddSync(io.Discard), zap.InfoLevel)
	all := steps(Options{
		Log: zap.New(core), Sampled: zap.New(zapcore.NewSamplerWithOptions(core, time.Second, 20, 100)),
		Metrics: telemetry.NewCalls(prometheus.NewRegistry()), Deadline: time.Second,
	})
	handler := func(context.Context, any) (any, error) { return nil, nil }
	for _, s := range all {
		b.Run(s.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, _ = call(context.Background(), s.unary, "/rinktally.v1.ScoringService/ScoreSegment", handler)
			}
		})
	}
}
