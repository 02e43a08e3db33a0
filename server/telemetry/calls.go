package telemetry

import (
	"context"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// Calls counts calls under the names that gRPC servers commonly use, so that
// ready-made dashboards work. Each method's counters are looked up once, when it is
// first called or somebody asks for metrics, and kept: looking them up by their labels at
// every call would take longer than everything else around a calculation.
type Calls struct {
	started, handled *prometheus.CounterVec
	seconds          *prometheus.HistogramVec
	received, sent   *prometheus.CounterVec

	methods map[string]func() *callCounters // by full name; not changed after Initialize
	unknown func() *callCounters            // of every other name, so that callers cannot make the list grow
}

// callCounters are the counters of one method.
type callCounters struct {
	started, received, sent prometheus.Counter
	handled                 [codes.Unauthenticated + 1]prometheus.Counter
	seconds                 prometheus.Observer
}

// callSeconds are the bounds of the histogram of call times: a calculation takes
// tens of microseconds, a batch tens of milliseconds.
var callSeconds = []float64{.00005, .0001, .00025, .0005, .001, .0025, .005, .01, .025, .1, .5, 2.5, 10}

// NewCalls makes the counters and registers them.
func NewCalls(registry prometheus.Registerer) *Calls {
	labels := []string{"grpc_type", "grpc_service", "grpc_method"}
	counter := func(name, help string, labels ...string) *prometheus.CounterVec {
		return prometheus.NewCounterVec(prometheus.CounterOpts{Name: name, Help: help}, labels)
	}
	c := &Calls{
		started:  counter("grpc_server_started_total", "Calls that began.", labels...),
		handled:  counter("grpc_server_handled_total", "Calls that ended, by how.", append(labels[:3:3], "grpc_code")...),
		received: counter("grpc_server_msg_received_total", "Messages of callers.", labels...),
		sent:     counter("grpc_server_msg_sent_total", "Messages to callers.", labels...),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "grpc_server_handling_seconds", Help: "How long calls took.", Buckets: callSeconds,
		}, labels),
	}
	registry.MustRegister(c)
	c.methods, c.unknown = map[string]func() *callCounters{}, c.counters("unknown", "unknown", "unknown")
	return c
}

// vectors are what the counters stand in.
func (c *Calls) vectors() []prometheus.Collector {
	return []prometheus.Collector{c.started, c.handled, c.received, c.sent, c.seconds}
}

// Describe implements prometheus.Collector.
func (c *Calls) Describe(descriptions chan<- *prometheus.Desc) {
	for _, v := range c.vectors() {
		v.Describe(descriptions)
	}
}

// Collect implements prometheus.Collector.
func (c *Calls) Collect(metrics chan<- prometheus.Metric) {
	c.unknown()
	for _, m := range c.methods {
		m()
	}
	for _, v := range c.vectors() {
		v.Collect(metrics)
	}
}

// Initialize takes the methods that there are, before the first call. Each
// appears at zero.
func (c *Calls) Initialize(services map[string]grpc.ServiceInfo) {
	for service, info := range services {
		for _, m := range info.Methods {
			c.methods["/"+service+"/"+m.Name] = c.counters(kind(m.IsClientStream, m.IsServerStream), service, m.Name)
		}
	}
}

func kind(fromClient, fromServer bool) string {
	switch {
	case fromClient && fromServer:
		return "bidi_stream"
	case fromClient:
		return "client_stream"
	case fromServer:
		return "server_stream"
	default:
		return "unary"
	}
}

func (c *Calls) counters(labels ...string) func() *callCounters {
	return sync.OnceValue(func() *callCounters {
		m := &callCounters{
			started:  c.started.WithLabelValues(labels...),
			received: c.received.WithLabelValues(labels...),
			sent:     c.sent.WithLabelValues(labels...),
			seconds:  c.seconds.WithLabelValues(labels...),
		}
		for code := range m.handled {
			m.handled[code] = c.handled.WithLabelValues(append(labels[:3:3], codes.Code(code).String())...)
		}
		return m
	})
}

func (c *Calls) of(method string) *callCounters {
	if m := c.methods[method]; m != nil {
		return m()
	}
	return c.unknown()
}

func (m *callCounters) end(start time.Time, err error) {
	code := status.Code(err)
	if int(code) >= len(m.handled) {
		code = codes.Unknown
	}
	m.handled[code].Inc()
	m.seconds.Observe(time.Since(start).Seconds())
}

// Unary counts unary calls.
func (c *Calls) Unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	m, start := c.of(info.FullMethod), time.Now()
	m.started.Inc()
	m.received.Inc()
	res, err := handler(ctx, req)
	if err == nil {
		m.sent.Inc()
	}
	m.end(start, err)
	return res, err
}

// Stream counts streams and their messages.
func (c *Calls) Stream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	m, start := c.of(info.FullMethod), time.Now()
	m.started.Inc()
	err := handler(srv, &countedStream{ServerStream: stream, counters: m})
	m.end(start, err)
	return err
}

type countedStream struct {
	grpc.ServerStream
	counters *callCounters
}

func (s *countedStream) RecvMsg(m any) error {
	err := s.ServerStream.RecvMsg(m)
	if err == nil {
		s.counters.received.Inc()
	}
	return err
}

func (s *countedStream) SendMsg(m any) error {
	err := s.ServerStream.SendMsg(m)
	if err == nil {
		s.counters.sent.Inc()
	}
	return err
}
