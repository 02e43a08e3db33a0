package telemetry

import (
	"context"
	"fmt"
	"net/http"
	"os"

	"go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc"
	"go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc/filters"
	"go.opentelemetry.io/contrib/instrumentation/net/http/otelhttp"
	"go.opentelemetry.io/otel"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracegrpc"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/sdk/resource"
	"go.opentelemetry.io/otel/sdk/trace"
	"google.golang.org/grpc"
)

// Traces sends spans of every call to an OpenTelemetry collector. The zero
// pointer is valid and does nothing, at no cost.
type Traces struct{ provider *trace.TracerProvider }

// NewTraces starts tracing when an endpoint is given (host:port, plain text) or
// one of the standard OTEL_EXPORTER_OTLP_… variables is set; otherwise it returns nil.
func NewTraces(ctx context.Context, endpoint, version string) (*Traces, error) {
	var options []otlptracegrpc.Option
	switch {
	case endpoint != "":
		options = append(options, otlptracegrpc.WithEndpoint(endpoint), otlptracegrpc.WithInsecure())
	case os.Getenv("OTEL_EXPORTER_OTLP_ENDPOINT") == "" && os.Getenv("OTEL_EXPORTER_OTLP_TRACES_ENDPOINT") == "":
		return nil, nil //nolint:nilnil // nil is the tracer that does nothing
	}
	exporter, err := otlptracegrpc.New(ctx, options...)
	if err != nil {
		return nil, fmt.Errorf("starting traces: %w", err)
	}
	about, err := resource.New(ctx, resource.WithAttributes(
		attribute.String("service.name", "rinktally"), attribute.String("service.version", version)), resource.WithFromEnv())
	if err != nil {
		return nil, fmt.Errorf("starting traces: %w", err)
	}
	provider := trace.NewTracerProvider(trace.WithBatcher(exporter), trace.WithResource(about))
	otel.SetTextMapPropagator(propagation.NewCompositeTextMapPropagator(propagation.TraceContext{}, propagation.Baggage{}))
	return &Traces{provider: provider}, nil
}

// ServerOptions returns what the gRPC server needs; health checks are left out.
func (t *Traces) ServerOptions() []grpc.ServerOption {
	if t == nil {
		return nil
	}
	return []grpc.ServerOption{grpc.StatsHandler(otelgrpc.NewServerHandler(
		otelgrpc.WithTracerProvider(t.provider),
		otelgrpc.WithFilter(filters.Not(filters.HealthCheck())),
	))}
}

// Handler wraps the HTTP side.
func (t *Traces) Handler(next http.Handler) http.Handler {
	if t == nil {
		return next
	}
	return otelhttp.NewHandler(next, "http", otelhttp.WithTracerProvider(t.provider), otelhttp.WithFilter(func(r *http.Request) bool {
		return r.URL.Path != "/livez" && r.URL.Path != "/readyz" && r.URL.Path != "/metrics"
	}))
}

// Stop sends what is left.
func (t *Traces) Stop(ctx context.Context) error {
	if t == nil {
		return nil
	}
	return t.provider.Shutdown(ctx)
}
