// Package publish sends what everybody may see of a rink's events to a server that the
// world can reach. It only calls out, one call after another over one connection, so
// that it passes routers and proxies, and it asks the services of its own server as
// somebody without a token does, so that nothing else leaves the rink.
package publish

import (
	"context"
	"net/http"
	"net/url"
	"slices"
	"sync"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/live"
)

const (
	// beat is how long the rink is silent at most while the network holds.
	beat = 5 * time.Second
	// settle is how long a change waits at most until what is not live is made for the
	// copy: performances, results and papers. The scoreboard does not wait.
	settle = time.Second
	// firstPause and longestPause bound the pause after a call that went wrong.
	firstPause   = time.Second
	longestPause = 15 * time.Second
)

// Options is what a publisher needs.
type Options struct {
	To     string                   // address of the other server
	Token  string                   // what it knows this one by
	Events []string                 // ids of the events that are sent; empty = all that everybody may read
	Conn   grpc.ClientConnInterface // the services of this server, for nobody
	Book   *host.Book
	Hub    *live.Hub
	Log    *zap.Logger
}

// Publisher sends events. A nil Publisher sends none.
type Publisher struct {
	Options

	to   *url.URL
	http *http.Client

	mu     sync.Mutex
	events map[string]*publication
}

// New makes a publisher that sends when it runs.
func New(o Options) (*Publisher, error) {
	to, err := url.Parse(o.To)
	if err != nil {
		return nil, err
	}
	transport := http.DefaultTransport.(*http.Transport).Clone() //nolint:forcetypeassert // the library's own
	transport.MaxConnsPerHost = 1
	return &Publisher{Options: o, to: to, events: map[string]*publication{}, http: &http.Client{
		Transport: transport, Timeout: callTime,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}}, nil
}

// Run sends events until the context ends.
func (p *Publisher) Run(ctx context.Context) {
	p.Log.Info("what everybody may see of events is sent to another server", zap.String("publish_to", p.to.Redacted()), zap.Strings("events", p.Events))
	var running sync.WaitGroup
	defer running.Wait()
	look := time.NewTicker(beat)
	defer look.Stop()
	for {
		for _, name := range p.wanted(ctx) {
			if e := p.add(name); e != nil {
				running.Go(func() { e.run(ctx) })
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-look.C:
		}
	}
}

// wanted returns the events that are to be sent, as far as they are there and
// everybody may read them.
func (p *Publisher) wanted(ctx context.Context) []string {
	var names []string
	req := &pb.ListEventsRequest{}
	for {
		res, err := pb.NewEventServiceClient(p.Conn).ListEvents(ctx, req)
		if err != nil {
			return names // the store is away; it is asked again
		}
		for _, e := range res.GetEvents() {
			if len(p.Events) == 0 || slices.Contains(p.Events, e.GetEvent()) {
				names = append(names, e.GetEvent())
			}
		}
		if req.PageToken = res.GetNextPageToken(); req.GetPageToken() == "" {
			return names
		}
	}
}

// add adds an event, and returns nil when it is sent already.
func (p *Publisher) add(name string) *publication {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.events[name] != nil {
		return nil
	}
	e := &publication{Publisher: p, event: name, changed: make(chan struct{}, 1)}
	p.events[name] = e
	return e
}

// forget takes an event off those that are sent.
func (p *Publisher) forget(name string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.events, name)
}

// State says where an event is sent and whether that works.
func (p *Publisher) State(name string) *pb.GetPublicationResponse {
	if p == nil {
		return &pb.GetPublicationResponse{}
	}
	p.mu.Lock()
	e := p.events[name]
	p.mu.Unlock()
	if e == nil {
		return &pb.GetPublicationResponse{}
	}
	return e.state()
}

func (e *publication) state() *pb.GetPublicationResponse {
	e.mu.Lock()
	defer e.mu.Unlock()
	res := &pb.GetPublicationResponse{Address: e.to.JoinPath("events", e.event).String(), Fault: e.fault, Now: timestamppb.Now()}
	if !e.sent.IsZero() {
		res.SentTime = timestamppb.New(e.sent)
	}
	return res
}
