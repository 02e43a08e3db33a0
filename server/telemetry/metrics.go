// Package telemetry counts and traces what the server does: Prometheus metrics
// always, OpenTelemetry traces where an endpoint for them is set.
package telemetry

import (
	"net/http"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"github.com/rinktally/rinktally/server/tables"
)

// Metrics is the server's registry of metrics.
type Metrics struct {
	Calls *Calls // of every call, over gRPC and over REST

	registry *prometheus.Registry
}

// NewMetrics makes the registry with the metrics of calls, tables, process and
// version.
func NewMetrics(version string, t *tables.Tables) *Metrics {
	registry := prometheus.NewRegistry()
	m := &Metrics{Calls: NewCalls(registry), registry: registry}
	build := prometheus.NewGauge(prometheus.GaugeOpts{
		Name: "rinktally_build_info", Help: "Always 1; its label is the version of the program.",
		ConstLabels: prometheus.Labels{"version": version},
	})
	build.Set(1)
	m.registry.MustRegister(
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
		build,
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "rinktally_tables_seasons", Help: "Season tables in use.",
		}, func() float64 { return float64(len(t.Catalog().Keys())) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "rinktally_tables_loaded_timestamp_seconds", Help: "When the tables in use were loaded.",
		}, func() float64 { return float64(t.State().Loaded.Unix()) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "rinktally_tables_last_load_failed", Help: "1 when the last load of tables failed and older ones are in use.",
		}, func() float64 {
			if t.State().Err != nil {
				return 1
			}
			return 0
		}),
	)
	return m
}

// Handler serves the metrics in Prometheus' text format.
func (m *Metrics) Handler() http.Handler {
	return promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{})
}
