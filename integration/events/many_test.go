package events_test

import (
	"context"
	"errors"
	"io"
	"net/http"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"

	"github.com/rinktally/rinktally/integration/described"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
)

// A server that stops tells thousands of watchers, from one address and with a rate
// limit that is far lower, to come back, and is through before its deadline; also
// when some of them read nothing any more.
func TestStopUnderManyWatchers(t *testing.T) {
	const each, stuck = 2000, 20
	s := start(t, func(c *config.Config) { c.Rate, c.RateBurst, c.StopTimeout = 1, 1000, patience })
	m := newMarking(t, s)
	for range stuck {
		defer must(watchSSE(s.HTTPAddr(), m.event, "")).close()
	}
	for range 100 {
		m.mark()
	}
	var c crowd
	if err := c.join(s.HTTPAddr(), s.GRPCAddr(), m.event, each, each); err != nil {
		t.Fatal(err)
	}
	c.read()
	defer c.leave()
	c.await(t, m.now())
	begun := time.Now()
	s.stop()
	t.Logf("stopped in %v", time.Since(begun))
	c.reading.Wait()
	for i, w := range c.watchers {
		if over, ok := w.stream.(*sseStream); ok {
			if !errors.Is(w.err, io.EOF) || errors.Is(w.err, io.ErrUnexpectedEOF) || over.retry < 2*time.Second || over.retry > 4*time.Second {
				t.Fatalf("watcher %d ends with: %v, to come back after %v", i, w.err, over.retry)
			}
		} else if reason(w.err) != pb.ErrorReason_SERVER_STOPPING.String() {
			t.Fatalf("watcher %d ends with: %v", i, w.err)
		}
	}
}

// A hall full of phones asks from one address: a rate limit counts other calls, not
// their scoreboards, and holds up nobody of the panel.
func TestPhonesBehindOneAddress(t *testing.T) {
	s := start(t, func(c *config.Config) { c.Rate, c.RateBurst = 0.1, 100 })
	g := newSegment(t, newDesk("phones", s.admin, s.conn(t)))
	var c crowd
	if err := c.join(s.HTTPAddr(), s.GRPCAddr(), watched, 500, 500); err != nil {
		t.Fatal(err)
	}
	c.read()
	defer c.leave()
	for _, conn := range []grpc.ClientConnInterface{s.rest(), s.conn(t)} {
		for range 500 {
			must(pb.NewScoreboardServiceClient(conn).GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: watched}))
		}
	}
	var err error
	for range 200 {
		if _, err = pb.NewEventServiceClient(s.rest()).GetEvent(t.Context(), &pb.GetEventRequest{Event: watched}); err != nil {
			break
		}
	}
	if reason(err) != pb.ErrorReason_RATE_LIMITED.String() {
		t.Errorf("after 200 other calls in a moment: %v", err)
	}
	g.skate()
	c.await(t, g.now())
}

// A crowd behind one address that asks for papers and lists without end is
// limited in these, and in nothing else: the panel and the scoreboards behind the same
// address notice nothing, nor does anybody whom a proxy tells apart.
func TestCrowdThatAsksForPapers(t *testing.T) {
	s := start(t, func(c *config.Config) { c.ReadRate, c.ReadBurst, c.Proxies = 0.01, 20, []string{"127.0.0.0/8"} })
	g := newSegment(t, newDesk("crowd", s.admin, s.conn(t)))
	paper := &pb.GetDocumentRequest{Event: watched, Category: category, Segment: short, Document: pb.Document_STARTING_ORDER}
	list := &pb.ListEventsRequest{}
	for _, conn := range s.both(t) {
		events := pb.NewEventServiceClient(conn)
		asks := map[string]func(context.Context) error{
			"lists": func(ctx context.Context) error { _, err := events.ListEvents(ctx, list); return err },
			"season": func(ctx context.Context) error {
				_, err := pb.NewRulesServiceClient(conn).GetSeason(ctx, &pb.GetSeasonRequest{Season: "2025-26"})
				return err
			},
		}
		if _, overGRPC := conn.(*grpc.ClientConn); overGRPC { // over REST papers are no messages
			asks["papers"] = func(ctx context.Context) error { _, err := events.GetDocument(ctx, paper); return err }
		}
		for name, ask := range asks {
			refusals := 0
			for range 40 {
				if err := ask(t.Context()); reason(err) == pb.ErrorReason_RATE_LIMITED.String() {
					refusals++
					break
				} else if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
			}
			if refusals == 0 {
				t.Errorf("%s: none of 40 calls was refused", name)
			}
		}
		for range 100 {
			must(pb.NewScoreboardServiceClient(conn).GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: watched}))
		}
	}
	const forwarded = "x-forwarded-for"
	other := metadata.AppendToOutgoingContext(t.Context(), forwarded, "192.0.2.1")
	if _, err := pb.NewEventServiceClient(s.conn(t)).GetDocument(other, paper); err != nil {
		t.Errorf("another caller behind the same proxy, over gRPC: %v", err)
	}
	req := must(http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+s.HTTPAddr()+"/v1/events", nil))
	req.Header.Set(forwarded, "192.0.2.2")
	res := must(described.Client.Do(req))
	if _ = res.Body.Close(); res.StatusCode != http.StatusOK {
		t.Errorf("another caller behind the same proxy, over REST: %s", res.Status)
	}
	g.skate()
}
