package app_test

import (
	"context"
	"net"
	"net/http"
	"slices"
	"sync"
	"testing"

	collector "go.opentelemetry.io/proto/otlp/collector/trace/v1"
	"google.golang.org/grpc"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// spans is a collector that keeps the names of the spans it is sent.
type spans struct {
	collector.UnimplementedTraceServiceServer

	mu    sync.Mutex
	names []string
}

func (s *spans) Export(_ context.Context, req *collector.ExportTraceServiceRequest) (*collector.ExportTraceServiceResponse, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, r := range req.GetResourceSpans() {
		for _, scope := range r.GetScopeSpans() {
			for _, span := range scope.GetSpans() {
				s.names = append(s.names, span.GetName())
			}
		}
	}
	return &collector.ExportTraceServiceResponse{}, nil
}

// With an endpoint set, calls of both ports leave spans; health checks do not.
// Stopping sends what is left.
func TestTracesReachTheCollector(t *testing.T) {
	got := &spans{}
	server := grpc.NewServer()
	collector.RegisterTraceServiceServer(server, got)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = server.Serve(listener) }()
	t.Cleanup(server.Stop)

	c := settings(t)
	c.OTLPEndpoint = listener.Addr().String()
	traced := run(t, c)
	conn := dial(t, traced.GRPCAddr())
	if _, err := pb.NewRulesServiceClient(conn).ListSeasons(t.Context(), &pb.ListSeasonsRequest{}); err != nil {
		t.Fatal(err)
	}
	if _, err := healthpb.NewHealthClient(conn).Check(t.Context(), &healthpb.HealthCheckRequest{}); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/v1/seasons", "/livez", "/readyz"} {
		if code, body := get(t, "http://"+traced.HTTPAddr()+path); code != http.StatusOK {
			t.Fatalf("%s: %d %s", path, code, body)
		}
	}
	traced.stop()
	if err := <-traced.done; err != nil {
		t.Fatal(err)
	}
	got.mu.Lock()
	defer got.mu.Unlock()
	slices.Sort(got.names)
	if len(got.names) != 2 || got.names[1] != "rinktally.v1.RulesService/ListSeasons" {
		t.Errorf("spans %v", got.names)
	}
}
