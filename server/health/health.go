// Package health tells whether the server can do its work: over gRPC for each
// service, and for /livez and /readyz.
package health

import (
	"context"
	"sync"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
)

// Check is one thing that the server needs. Probe gives a line of detail, and an
// error when the server cannot work without it.
type Check struct {
	Name  string
	Probe func(context.Context) (string, error)
}

// Result is how one check went.
type Result struct {
	Name   string `json:"name"`
	OK     bool   `json:"ok"`
	Detail string `json:"detail"`
}

// probeTime is how long a check may take.
const probeTime = 2 * time.Second

// Health runs the checks and keeps the gRPC health service up to date.
type Health struct {
	checks   []Check
	services []string
	log      *zap.Logger
	grpc     *health.Server

	mu       sync.Mutex
	ready    bool
	stopping bool
}

// New makes the health of the named services; until the first Update none of
// them serves.
func New(log *zap.Logger, services []string, checks ...Check) *Health {
	h := &Health{checks: checks, services: append([]string{""}, services...), log: log, grpc: health.NewServer()}
	h.set(healthpb.HealthCheckResponse_NOT_SERVING)
	return h
}

// Server is the gRPC health service.
func (h *Health) Server() healthpb.HealthServer { return h.grpc }

// Update runs all checks and says whether the server is ready.
func (h *Health) Update(ctx context.Context) (bool, []Result) {
	ctx, cancel := context.WithTimeout(ctx, probeTime)
	defer cancel()
	ready := true
	results := make([]Result, len(h.checks))
	for i, c := range h.checks {
		detail, err := c.Probe(ctx)
		results[i] = Result{Name: c.Name, OK: err == nil, Detail: detail}
		if err != nil {
			results[i].Detail = err.Error()
			ready = false
		}
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.stopping {
		return false, append(results, Result{Name: "server", Detail: "is stopping"})
	}
	if ready != h.ready {
		h.ready = ready
		h.log.Info("readiness changed", zap.Bool("ready", ready), zap.Any("checks", results))
		if ready {
			h.set(healthpb.HealthCheckResponse_SERVING)
		} else {
			h.set(healthpb.HealthCheckResponse_NOT_SERVING)
		}
	}
	return ready, results
}

// Watch updates until the context ends.
func (h *Health) Watch(ctx context.Context, every time.Duration) {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			h.Update(ctx)
		}
	}
}

// Stop says for good that nothing serves any more, so that new calls go elsewhere.
func (h *Health) Stop() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.stopping = true
	h.grpc.Shutdown()
}

func (h *Health) set(status healthpb.HealthCheckResponse_ServingStatus) {
	for _, s := range h.services {
		h.grpc.SetServingStatus(s, status)
	}
}
