// Package health reports whether the server can do its work: over gRPC for each
// service, and for /livez and /readyz as a whole.
package health

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
)

// Check is one thing that services need. Probe returns a line of detail, and an
// error when they cannot work without it. A detail beside an error is what everybody
// may read of it; the error itself is then for the log only.
type Check struct {
	Name  string
	Probe func(context.Context) (string, error)
	// For names the only services that need it; without them the server as a whole
	// goes on. Empty: everything needs it.
	For []string
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
	failed   []string // names of the checks that failed last
	known    bool     // there was a first Update
	stopping bool
}

// New makes the health of the named services; until the first Update none of
// them serves.
func New(log *zap.Logger, services []string, checks ...Check) *Health {
	h := &Health{checks: checks, services: append([]string{whole}, services...), log: log, grpc: health.NewServer()}
	for _, s := range h.services {
		h.grpc.SetServingStatus(s, healthpb.HealthCheckResponse_NOT_SERVING)
	}
	return h
}

// whole is what gRPC calls the server as a whole.
const whole = ""

// Server is the gRPC health service.
func (h *Health) Server() healthpb.HealthServer { return h.grpc }

// Update runs all checks and says whether the server as a whole is ready. Who asks
// and does not wait for the answer changes nothing.
func (h *Health) Update(ctx context.Context) (bool, []Result) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), probeTime)
	defer cancel()
	results := make([]Result, len(h.checks))
	var failed []string
	var causes []error
	down := map[string]bool{}
	for i, c := range h.checks {
		detail, err := c.Probe(ctx)
		results[i] = Result{Name: c.Name, OK: err == nil, Detail: detail}
		if err == nil {
			continue
		}
		results[i].Detail = cmp.Or(detail, err.Error())
		failed, causes = append(failed, c.Name), append(causes, err)
		needy := h.services
		if len(c.For) > 0 {
			needy = c.For
			results[i].Detail += "; not served meanwhile: " + strings.Join(needy, ", ")
		}
		for _, s := range needy {
			down[s] = true
		}
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.stopping {
		return false, append(results, Result{Name: "server", Detail: "is stopping"})
	}
	if !h.known || !slices.Equal(failed, h.failed) {
		h.known, h.failed = true, failed
		h.log.Info("readiness changed", zap.Bool("ready", !down[whole]), zap.Any("checks", results), zap.Errors("causes", causes))
		for _, s := range h.services {
			status := healthpb.HealthCheckResponse_SERVING
			if down[s] {
				status = healthpb.HealthCheckResponse_NOT_SERVING
			}
			h.grpc.SetServingStatus(s, status)
		}
	}
	return !down[whole], results
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
