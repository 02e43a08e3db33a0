package telemetry

import (
	"context"
	"errors"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"github.com/rinktally/rinktally/server/store"
)

// Events adds the metrics of events: how many the server has in memory, how many
// watchers their scoreboards have, how many desks are open, and how many events are
// damaged.
func (m *Metrics) Events(open, watchers, desks, damaged func() int) {
	m.registry.MustRegister(
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "rinktally_events_open", Help: "Events that the server has in memory because somebody asked for them.",
		}, func() float64 { return float64(open()) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "rinktally_scoreboard_watchers", Help: "Watchers of scoreboards, over gRPC and HTTP.",
		}, func() float64 { return float64(watchers()) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "rinktally_event_desks", Help: "Desks that watch an event, over gRPC and HTTP.",
		}, func() float64 { return float64(desks()) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "rinktally_events_damaged", Help: "Events whose log was found damaged; they are refused for writing.",
		}, func() float64 { return float64(damaged()) }),
	)
}

// Log returns a log whose appends are counted and timed.
func (m *Metrics) Log(log store.Log) store.Log {
	l := &countedLog{
		Log: log,
		appends: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "rinktally_store_appends_total", Help: "Appends to the log of events, by how they ended.",
		}, []string{"outcome"}),
		facts: prometheus.NewCounter(prometheus.CounterOpts{
			Name: "rinktally_store_facts_total", Help: "Facts that were added to the log of events.",
		}),
		seconds: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: "rinktally_store_append_seconds", Help: "How long appends took until they were durable.", Buckets: appendSeconds,
		}),
	}
	for _, o := range outcomes {
		l.appends.WithLabelValues(o.name)
	}
	m.registry.MustRegister(l.appends, l.facts, l.seconds)
	return l
}

// appendSeconds are the bounds of the histogram of append times: a sync of a
// solid-state disk takes under a millisecond, one of a memory card some hundred.
var appendSeconds = []float64{.00025, .0005, .001, .0025, .005, .01, .025, .05, .1, .25, 1, 5}

// outcomes of an append by its error; the first that matches.
var outcomes = []struct {
	name string
	err  error
}{
	{"ok", nil}, {"replayed", nil},
	{"conflict", store.ErrConflict}, {"full", store.ErrStoreFull}, {"unavailable", store.ErrUnavailable},
	{"cancelled", context.Canceled}, {"late", context.DeadlineExceeded}, {"other", nil},
}

type countedLog struct {
	store.Log

	appends *prometheus.CounterVec
	facts   prometheus.Counter
	seconds prometheus.Histogram
}

// Append is store.Log.Append.
func (l *countedLog) Append(ctx context.Context, stream string, expected uint64, requestID string, facts []store.Fact) (store.Result, error) {
	start := time.Now()
	result, err := l.Log.Append(ctx, stream, expected, requestID, facts)
	switch {
	case err != nil:
		l.appends.WithLabelValues(outcome(err)).Inc()
	case result.Replayed:
		l.appends.WithLabelValues("replayed").Inc()
	default:
		l.appends.WithLabelValues("ok").Inc()
		l.facts.Add(float64(len(facts)))
		l.seconds.Observe(time.Since(start).Seconds())
	}
	return result, err
}

func outcome(err error) string {
	for _, o := range outcomes {
		if o.err != nil && errors.Is(err, o.err) {
			return o.name
		}
	}
	return "other"
}
