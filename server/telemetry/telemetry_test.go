package telemetry_test

import (
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil"
	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/tables"
	"github.com/rinktally/rinktally/server/telemetry"
)

// services are the methods of the contract.
func services() map[string]grpc.ServiceInfo {
	server := grpc.NewServer()
	pb.RegisterRulesServiceServer(server, pb.UnimplementedRulesServiceServer{})
	pb.RegisterScoringServiceServer(server, pb.UnimplementedScoringServiceServer{})
	return server.GetServiceInfo()
}

func TestCallsAreCountedByHowTheyEnd(t *testing.T) {
	registry := prometheus.NewRegistry()
	calls := telemetry.NewCalls(registry)
	calls.Initialize(services())
	ask := func(method string, err error) {
		_, _ = calls.Unary(context.Background(), nil, &grpc.UnaryServerInfo{FullMethod: method},
			func(context.Context, any) (any, error) { return nil, err })
	}
	ask("/rinktally.v1.RulesService/GetSeason", nil)
	ask("/rinktally.v1.RulesService/GetSeason", nil)
	ask("/rinktally.v1.RulesService/GetSeason", errs.Internal(errors.New("x")))
	for i := range 50 {
		ask("/invented/"+strings.Repeat("x", i), errs.UnknownMethod("x"))
	}
	want := `# HELP grpc_server_started_total Calls that began.
# TYPE grpc_server_started_total counter
grpc_server_started_total{grpc_method="BatchCallLevels",grpc_service="rinktally.v1.ScoringService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="BatchScoreSegments",grpc_service="rinktally.v1.ScoringService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="CallLevels",grpc_service="rinktally.v1.ScoringService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="CompareSeasons",grpc_service="rinktally.v1.RulesService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="ExportElements",grpc_service="rinktally.v1.RulesService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="GetElement",grpc_service="rinktally.v1.RulesService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="GetSeason",grpc_service="rinktally.v1.RulesService",grpc_type="unary"} 3
grpc_server_started_total{grpc_method="ListElements",grpc_service="rinktally.v1.RulesService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="ListSeasons",grpc_service="rinktally.v1.RulesService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="ParseElements",grpc_service="rinktally.v1.ScoringService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="ScoreSegment",grpc_service="rinktally.v1.ScoringService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="ScoreSegments",grpc_service="rinktally.v1.ScoringService",grpc_type="bidi_stream"} 0
grpc_server_started_total{grpc_method="ValueElements",grpc_service="rinktally.v1.ScoringService",grpc_type="unary"} 0
grpc_server_started_total{grpc_method="unknown",grpc_service="unknown",grpc_type="unknown"} 50
`
	if err := testutil.GatherAndCompare(registry, strings.NewReader(want), "grpc_server_started_total"); err != nil {
		t.Error(err)
	}
	families, err := registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	counted := map[string]float64{}
	for _, f := range families {
		if f.GetName() != "grpc_server_handled_total" {
			continue
		}
		for _, m := range f.GetMetric() {
			key := ""
			for _, l := range m.GetLabel() {
				if l.GetName() == "grpc_method" || l.GetName() == "grpc_code" {
					key += l.GetValue() + " "
				}
			}
			counted[key] += m.GetCounter().GetValue()
		}
	}
	if counted["OK GetSeason "] != 2 || counted["Internal GetSeason "] != 1 || counted["Unimplemented unknown "] != 50 {
		t.Errorf("%v", counted)
	}
}

// messages is a stream of so many messages.
type messages struct {
	grpc.ServerStream
	left int
}

func (m *messages) RecvMsg(any) error {
	if m.left == 0 {
		return io.EOF
	}
	m.left--
	return nil
}

func (m *messages) SendMsg(any) error { return nil }

func TestMessagesOfStreamsAreCounted(t *testing.T) {
	registry := prometheus.NewRegistry()
	calls := telemetry.NewCalls(registry)
	calls.Initialize(services())
	info := &grpc.StreamServerInfo{FullMethod: "/rinktally.v1.ScoringService/ScoreSegments", IsClientStream: true, IsServerStream: true}
	err := calls.Stream(nil, &messages{left: 3}, info, func(_ any, s grpc.ServerStream) error {
		for s.RecvMsg(nil) == nil {
			if err := s.SendMsg(nil); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	families, err := registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, f := range families {
		if f.GetName() != "grpc_server_msg_received_total" && f.GetName() != "grpc_server_msg_sent_total" {
			continue
		}
		sum := 0.0
		for _, m := range f.GetMetric() {
			sum += m.GetCounter().GetValue()
		}
		seen++
		if sum != 3 {
			t.Errorf("%s is %v", f.GetName(), sum)
		}
	}
	if seen != 2 {
		t.Errorf("%d of 2 metrics", seen)
	}
}

func TestMetricsTellAboutTheTables(t *testing.T) {
	loaded, err := tables.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	w := httptest.NewRecorder()
	telemetry.NewMetrics("1.2.3", loaded).Handler().ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/metrics", nil))
	for _, want := range []string{`rinktally_build_info{version="1.2.3"} 1`, "rinktally_tables_seasons 2", "rinktally_tables_last_load_failed 0", "process_"} {
		if !strings.Contains(w.Body.String(), want) {
			t.Errorf("%s is missing", want)
		}
	}
}

func TestTracesAreOffUnlessAsked(t *testing.T) {
	t.Setenv("OTEL_EXPORTER_OTLP_ENDPOINT", "")
	t.Setenv("OTEL_EXPORTER_OTLP_TRACES_ENDPOINT", "")
	traces, err := telemetry.NewTraces(t.Context(), "", "test")
	if err != nil || traces != nil || len(traces.ServerOptions()) != 0 {
		t.Errorf("%v, %v", traces, err)
	}
	if err := traces.Stop(t.Context()); err != nil {
		t.Error(err)
	}
}
