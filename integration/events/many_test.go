package events_test

import (
	"errors"
	"io"
	"testing"
	"time"

	"google.golang.org/grpc"

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
