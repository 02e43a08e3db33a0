package health_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"go.uber.org/zap"
	"go.uber.org/zap/zaptest/observer"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"

	"github.com/rinktally/rinktally/server/health"
)

func TestHealthFollowsTheChecks(t *testing.T) {
	ctx := context.Background()
	var fault error
	h := health.New(zap.NewNop(), []string{"a.Service"}, health.Check{Name: "thing", Probe: func(context.Context) (string, error) {
		if fault != nil {
			return "", fault
		}
		return "fine", nil
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

// What only some services need does not take the others away.
func TestHealthOfEachService(t *testing.T) {
	ctx := context.Background()
	var fault error
	const whole, stored, other = "", "a.Stored", "a.Other"
	core, logged := observer.New(zap.InfoLevel)
	h := health.New(zap.New(core), []string{stored, other},
		health.Check{Name: "tables", Probe: func(context.Context) (string, error) { return "fine", nil }},
		health.Check{Name: "store", For: []string{stored}, Probe: func(ctx context.Context) (string, error) { return "for everybody", errors.Join(fault, ctx.Err()) }})
	check := func(wantStored healthpb.HealthCheckResponse_ServingStatus) {
		t.Helper()
		for service, want := range map[string]healthpb.HealthCheckResponse_ServingStatus{
			whole: healthpb.HealthCheckResponse_SERVING, other: healthpb.HealthCheckResponse_SERVING, stored: wantStored,
		} {
			res, err := h.Server().Check(ctx, &healthpb.HealthCheckRequest{Service: service})
			if err != nil || res.GetStatus() != want {
				t.Errorf("%q: %v, %v; want %v", service, res, err, want)
			}
		}
	}
	h.Update(ctx)
	check(healthpb.HealthCheckResponse_SERVING)
	fault = errors.New("it broke at 10.0.0.1")
	ready, results := h.Update(ctx)
	if !ready || !results[0].OK || results[1].OK || results[1].Detail != "for everybody; not served meanwhile: a.Stored" {
		t.Errorf("ready %v, %v", ready, results)
	}
	if last := logged.All()[logged.Len()-1]; !strings.Contains(fmt.Sprint(last.ContextMap()["causes"]), "10.0.0.1") {
		t.Errorf("the log does not say why: %v", last.ContextMap())
	}
	check(healthpb.HealthCheckResponse_NOT_SERVING)
	fault = nil
	gone, leave := context.WithCancel(ctx)
	leave() // who asked has left
	h.Update(gone)
	check(healthpb.HealthCheckResponse_SERVING)
}
