// Package app puts the server together, in reading order, and takes it apart in
// reverse under one deadline.
package app

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"os"
	"strings"

	"go.uber.org/zap"
	"google.golang.org/grpc"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/reflection"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/copies"
	"github.com/rinktally/rinktally/server/health"
	"github.com/rinktally/rinktally/server/inproc"
	"github.com/rinktally/rinktally/server/intercept"
	"github.com/rinktally/rinktally/server/live"
	"github.com/rinktally/rinktally/server/practice"
	"github.com/rinktally/rinktally/server/program"
	"github.com/rinktally/rinktally/server/publish"
	"github.com/rinktally/rinktally/server/rehearsal"
	"github.com/rinktally/rinktally/server/rest"
	"github.com/rinktally/rinktally/server/result"
	"github.com/rinktally/rinktally/server/rulesvc"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/books"
	"github.com/rinktally/rinktally/server/tables"
	"github.com/rinktally/rinktally/server/telemetry"
)

// App is a server that listens but does not answer yet.
type App struct {
	config config.Config
	log    *zap.Logger

	tables    *tables.Tables
	events    *events
	books     *books.Store
	hub       *live.Hub
	publisher *publish.Publisher // nil where no events are sent
	underway  *intercept.Underway
	reload    <-chan os.Signal
	health    *health.Health
	traces    *telemetry.Traces
	secret    *tls.Certificate  // of --tls-self
	root      *x509.Certificate // that has signed it
	demo      func(event string)
	grpc      *grpc.Server
	http      *http.Server
	metrics   *http.Server // of a port of their own; nil where they have none
	onGRPC    net.Listener
	onHTTP    net.Listener
	onMetrics net.Listener
}

// Options is what differs between a program and a test.
type Options struct {
	Version string
	Log     *zap.Logger      // nil = none
	Clock   tables.Clock     // nil = the system's
	Reload  <-chan os.Signal // asks for the --rules folder to be loaded again; nil = only changes do
	// Demo is called with the id of the event that plays itself, once it does; nil is not.
	Demo func(event string)
	// Engine is the engine as WebAssembly for pages; nil = as it was built into the program.
	Engine fs.FS
}

// New loads the tables, puts the services together and opens both ports. After
// an error nothing is left open.
func New(ctx context.Context, c config.Config, o Options) (*App, error) {
	if o.Log == nil {
		o.Log = zap.NewNop()
	}
	a := &App{config: c, log: o.Log, reload: o.Reload, demo: o.Demo}
	if err := a.build(ctx, o); err != nil {
		a.close()
		return nil, err
	}
	return a, nil
}

func (a *App) build(ctx context.Context, o Options) error {
	c := a.config
	var err error

	// What the server answers from and keeps.
	if a.tables, err = loadTables(c.Rules, o.Clock); err != nil {
		return err
	}
	if err := makeData(c); err != nil {
		return err
	}
	clock := store.Clock(o.Clock)
	log, err := openLog(ctx, c, clock, false)
	if err != nil {
		return err
	}
	metrics := telemetry.NewMetrics(o.Version, a.tables)
	rehearsals := rehearsal.New(metrics.Log(log), func(ctx context.Context) (store.Log, error) { return openMemory(ctx, clock) })
	a.events = newEvents(c, a.tables, rehearsals, clock)
	a.events.book.Report = a.reportDamage
	if a.books, err = openBooks(ctx, c); err != nil {
		return err
	}
	practised := practice.New(a.books, a.tables, clock)
	a.hub = live.NewHub(a.events.book, a.events.archive, a.log)
	copied, err := copies.Open(inData(c, copiesFolder), clock, a.log)
	if err != nil {
		return fmt.Errorf("--data: %w", err)
	}
	a.hub.Show(copied)
	copied.Changed = a.hub.CopyChanged
	a.events.service.Others = copied
	metrics.Events(a.events.book.Open, a.hub.Watchers, a.hub.Desks, func() int { return len(a.events.book.Damaged()) })

	// What every call runs through.
	if a.traces, err = telemetry.NewTraces(ctx, c.OTLPEndpoint, o.Version); err != nil {
		return err
	}
	guard := access.NewGuard(a.events.book, practised, needs())
	guard.Copied = copied.Refuse
	guard.Rehearsed = a.rehearsedBy(rehearsals)
	a.events.service.Rehearsals = &stage{rehearsals, a.events.book, a.hub}
	for _, token := range c.AcceptPublishTokens {
		guard.Publishers = append(guard.Publishers, access.Hash(token))
	}
	proxies, err := c.ProxyNetworks()
	if err != nil {
		return fmt.Errorf("--proxies: %w", err)
	}
	a.underway = &intercept.Underway{}
	chain := intercept.Options{
		Underway: a.underway,
		Log:      a.log, Sampled: sampled(a.log, c.LogFirst, c.LogThenOf),
		Metrics: metrics.Calls, Deadline: c.Deadline,
		Access: guard, Limiter: intercept.NewLimiter(intercept.Limits{
			Rate: c.Rate, Burst: c.RateBurst, ReadRate: c.ReadRate, ReadBurst: c.ReadBurst, Proxies: proxies,
		}),
		Copies: copied.Unary,
	}

	// The services, each registered for gRPC and, by the same chain, for REST.
	security, err := a.loadTLS()
	if err != nil {
		return err
	}
	watched := live.New(a.hub, live.Heartbeat)
	a.grpc = newGRPC(c, chain, a.traces, security)
	inside := inproc.New(intercept.Unary(chain))
	nobody := inproc.New(guard.Unary) // what everybody is answered, for the other server
	if c.PublishTo != "" {
		if a.publisher, err = publish.New(publish.Options{
			To: c.PublishTo, Token: c.PublishToken, Events: c.PublishEvents, Conn: nobody, Book: a.events.book, Hub: a.hub, Log: a.log,
		}); err != nil {
			return fmt.Errorf("--publish-to: %w", err)
		}
	}
	called := readable{a.grpc}
	for _, registrar := range []grpc.ServiceRegistrar{called, inside, nobody} {
		pb.RegisterRulesServiceServer(registrar, rulesvc.New(a.tables))
		pb.RegisterScoringServiceServer(registrar, scoring.New(a.tables))
		pb.RegisterProgramServiceServer(registrar, program.New(a.tables))
		pb.RegisterResultServiceServer(registrar, result.New(a.tables))
		pb.RegisterPracticeServiceServer(registrar, practised)
		pb.RegisterEventServiceServer(registrar, live.NewEvents(a.events.service, watched))
		pb.RegisterScoreboardServiceServer(registrar, watched)
		pb.RegisterCopyServiceServer(registrar, copies.New(copied, a.events.has, a.publisher.State))
	}
	stored := []string{pb.PracticeService_ServiceDesc.ServiceName, pb.EventService_ServiceDesc.ServiceName, pb.ScoreboardService_ServiceDesc.ServiceName, pb.CopyService_ServiceDesc.ServiceName}
	a.health = health.New(a.log, append([]string{
		pb.RulesService_ServiceDesc.ServiceName, pb.ScoringService_ServiceDesc.ServiceName,
		pb.ProgramService_ServiceDesc.ServiceName, pb.ResultService_ServiceDesc.ServiceName,
	}, stored...),
		health.Check{Name: "tables", Probe: a.probeTables},
		health.Check{Name: "store", Probe: a.probeStore, For: stored})
	healthpb.RegisterHealthServer(called, a.health.Server())
	reflection.Register(called)
	metrics.Calls.Initialize(a.grpc.GetServiceInfo()) // all services are registered

	shown := metrics.Handler()
	if c.MetricsAddr != "" {
		alone := http.NewServeMux()
		alone.Handle("GET /metrics", shown)
		a.metrics, shown = rest.Serve(alone), nil
	}
	handler, err := rest.New(rest.Options{
		Conn:       inside,
		WatchBoard: func(refuse rest.Refuse) http.Handler { return watched.BoardSSE(guard, refuse) },
		WatchEvent: func(refuse rest.Refuse) http.Handler { return watched.EventSSE(guard, refuse) },
		Tables:     a.tables, Health: a.health, Metrics: shown, Log: a.log,
		Version: o.Version, MaxBody: c.MaxBody, MaxBatchBody: c.MaxBatchBody, Kept: live.Kept, CORSOrigins: c.CORSOrigins, Engine: o.Engine,
		Root: a.installed(),
	})
	if err != nil {
		return err
	}
	a.http = rest.Serve(a.traces.Handler(handler))

	// The ports, last: whoever can connect is answered.
	var ports net.ListenConfig
	if a.onGRPC, err = ports.Listen(ctx, "tcp", c.GRPCAddr); err != nil {
		return fmt.Errorf("--grpc-addr: %w", err)
	}
	if a.onHTTP, err = ports.Listen(ctx, "tcp", c.HTTPAddr); err != nil {
		return fmt.Errorf("--http-addr: %w", err)
	}
	if a.metrics != nil {
		if a.onMetrics, err = ports.Listen(ctx, "tcp", c.MetricsAddr); err != nil {
			return fmt.Errorf("--metrics-addr: %w", err)
		}
	}
	if security != nil {
		web := security.Clone()
		web.NextProtos = []string{"h2", "http/1.1"} // one connection carries all that a browser has open
		a.onHTTP = tls.NewListener(a.onHTTP, web)
	}
	return nil
}

// loadTables loads the embedded tables and those of a folder.
func loadTables(dir string, clock tables.Clock) (*tables.Tables, error) {
	var layers []table.Layer
	if dir != "" {
		layer, err := tables.Folder(dir)
		if err != nil {
			return nil, fmt.Errorf("--rules: %w", err)
		}
		layers = append(layers, layer)
	}
	t, err := tables.New(clock, layers...)
	if err != nil {
		return nil, fmt.Errorf("the season tables have faults:\n%w", err)
	}
	return t, nil
}

// probeTables says which tables answer, and the faults of a load that failed.
func (a *App) probeTables(context.Context) (string, error) {
	seasons := a.tables.Catalog().Keys()
	if len(seasons) == 0 {
		return "", errors.New("no season table is loaded")
	}
	detail := fmt.Sprintf("%d seasons, %s to %s", len(seasons), seasons[0], seasons[len(seasons)-1])
	if err := a.tables.State().Err; err != nil {
		detail += "; the last load failed and older tables answer: " + err.Error()
	}
	return detail, nil
}

// probeStore reports whether events can be read and written.
func (a *App) probeStore(ctx context.Context) (string, error) {
	if err := errors.Join(a.events.log.Ready(ctx), a.books.Ready(ctx)); err != nil {
		return "cannot be reached or used now; the server's log says why", err // which may name hosts and users
	}
	detail := "in the data folder"
	switch {
	case a.config.Store != "":
		detail = "PostgreSQL"
	case a.config.Data == "":
		detail = "in memory, nothing is kept"
	}
	// Reading goes on, and only a change can find out that there is room again, so
	// the services stay up.
	if a.events.book.Full() {
		detail += "; its disk takes no more (full, read-only, or failing): the last change was refused, reading goes on"
	}
	if damaged := a.events.book.Damaged(); len(damaged) > 0 {
		const most = 10 // events named
		detail += fmt.Sprintf("; the logs of %d events are damaged and refused for writing: %s", len(damaged), strings.Join(damaged[:min(most, len(damaged))], ", "))
	}
	return detail, nil
}

// reportDamage logs that the log of an event was found damaged, or is whole again.
func (a *App) reportDamage(event string, damage *store.DamagedError) {
	if damage == nil {
		a.log.Info("the log of an event is whole again", zap.String("event", event))
		return
	}
	a.log.Error("the log of an event is damaged: it is shown as it was before, and refused for writing; bring it back from a copy",
		zap.String("event", event), zap.Uint64("record", damage.Seq), zap.String("fault", damage.Fault))
}

// GRPCAddr is the address that gRPC listens on.
func (a *App) GRPCAddr() string { return a.onGRPC.Addr().String() }

// HTTPAddr is the address that HTTP listens on.
func (a *App) HTTPAddr() string { return a.onHTTP.Addr().String() }

// MetricsAddr is the address of the metrics' own port, "" where they have none.
func (a *App) MetricsAddr() string {
	if a.onMetrics == nil {
		return ""
	}
	return a.onMetrics.Addr().String()
}

// Sites are the addresses for browsers, each as https://host:port. Where the HTTP
// port is open to every network of the machine, there is one for each.
func (a *App) Sites() []string {
	scheme := "http://"
	if a.config.TLS() {
		scheme = "https://"
	}
	host, port, err := net.SplitHostPort(a.HTTPAddr())
	if ip := net.ParseIP(host); err != nil || ip == nil || !ip.IsUnspecified() {
		return []string{scheme + a.HTTPAddr()}
	}
	sites := []string{scheme + net.JoinHostPort("127.0.0.1", port)}
	for _, ip := range ipv4() {
		sites = append(sites, scheme+net.JoinHostPort(ip.String(), port))
	}
	return sites
}

// FirstAdminToken makes an administrator's token when the events have none; else
// it returns "".
func (a *App) FirstAdminToken(ctx context.Context) (string, error) {
	token, _, err := a.events.book.FirstAdminToken(ctx, "first start")
	return token, err
}

// Fingerprint tells the certificate that the server made for itself apart from
// others; it is empty without --tls-self.
func (a *App) Fingerprint() string {
	if a.secret == nil {
		return ""
	}
	return fingerprint(a.secret.Leaf)
}

// RootFingerprint is Fingerprint of the root that has signed that certificate, which
// phones install to ask no more.
func (a *App) RootFingerprint() string {
	return a.installed().Fingerprint
}

// installed is the root as phones install it.
func (a *App) installed() rest.Root {
	if a.root == nil {
		return rest.Root{}
	}
	return rest.Root{Certificate: a.root.Raw, Fingerprint: fingerprint(a.root)}
}

// Tables are the season tables that the server answers from.
func (a *App) Tables() *tables.Tables { return a.tables }
