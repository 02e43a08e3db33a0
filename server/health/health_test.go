package health_test

import (
	"context"
	"errors"
	"testing"

	"go.uber.org/zap"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"

	"github.com/rinktally/rinktally/server/health"
)

func TestHealthFollowsTheChecks(t *testing.T) {
	ctx := context.Background()
	var fault error
	h := health.New(zap.NewNop(), []string{"a.Service"}, health.Check{Name: "thing", Probe: func(context.Context) (string, error) {
		return "fine", fault
	}})
	serving := func(service string) bool {
		t.Helper()
		res, err := h.Server().Check(ctx, &healthpb.HealthCheckRequest{Service: service})
		if err != nil {
			t.Fatal(err)
		}
		return res.GetStatus() == healthpb.HealthCheckResponse_SERVING
	}
	if serving("") || serving("a.Service") {
		t.Error("serves before the first check")
	}
	if ready, results := h.Update(ctx); !ready || results[0].Detail != "fine" || !serving("") || !serving("a.Service") {
		t.Errorf("ready %v, %v", ready, results)
	}
	fault = errors.New("it broke")
	if ready, results := h.Update(ctx); ready || results[0].Detail != "it broke" || serving("a.Service") {
		t.Errorf("ready %v, %v", ready, results)
	}
	fault = nil
	h.Stop()
	if ready, _ := h.Update(ctx); ready || serving("a.Service") {
		t.Error("serves after it was stopped")
	}
}
