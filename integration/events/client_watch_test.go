package events_test

import (
	"context"
	"errors"
	"net"
	"sync"
	"sync/atomic"
	"testing"

	"google.golang.org/grpc"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
)

// door leads a client to the server that is there now; "" is none.
type door struct{ server atomic.Value }

func (d *door) dial(ctx context.Context, _ string) (net.Conn, error) {
	addr, _ := d.server.Load().(string)
	if addr == "" {
		return nil, errors.New("no server is there")
	}
	var dialer net.Dialer
	return dialer.DialContext(ctx, "tcp", addr)
}

// One range of the Go client sees every change of an event once, over a server that
// starts again on its data; and the present board when it was away for longer than
// changes are kept.
func TestClientWatchesOverRestarts(t *testing.T) {
	data := t.TempDir()
	kept := func(c *config.Config) { c.Data = data }
	s := start(t, kept)
	admin := s.admin
	g := newSegment(t, newDesk("before", admin, s.conn(t)))
	p := g.call()
	element := g.element(p, "3F")
	g.mark(p, element, 2, 0) // from here on each mark of the first judge can be seen

	var way door
	way.server.Store(s.GRPCAddr())
	c := must(client.New("passthrough:///rink", client.WithPlaintext(), client.WithDialOptions(grpc.WithContextDialer(way.dial))))
	t.Cleanup(func() { _ = c.Close() })
	var wait sync.WaitGroup
	defer wait.Wait()
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	first := g.now()
	boards := make(chan uint64, 1000)
	states := make(chan error, 1000)
	wait.Go(func() {
		defer close(boards)
		defer close(states)
		for board, err := range c.WatchScoreboard(ctx, &pb.WatchScoreboardRequest{Event: watched}, client.OnConnection(func(err error) { states <- err })) {
			if err != nil {
				if !errors.Is(err, context.Canceled) {
					t.Errorf("the watch ended with: %v", err)
				}
				return
			}
			boards <- board.GetSequence()
		}
	})
	// through reads boards one by one up to a number.
	through := func(from, to uint64) {
		t.Helper()
		for want := from; want <= to; want++ {
			if got := <-boards; got != want {
				t.Fatalf("board %d comes, want %d", got, want)
			}
		}
	}
	lost := func() {
		t.Helper()
		if err := <-states; err == nil {
			t.Fatal("a server that stopped counts as heard")
		}
	}
	again := func() {
		t.Helper()
		for err := range states {
			if err == nil {
				return
			}
		}
		t.Fatal("the server is not heard again")
	}
	through(first, first)
	last := g.mark(p, element, 1, 1)
	through(last, last)

	s.stop()
	lost()
	s = start(t, kept)
	g.desk = newDesk("after", admin, s.conn(t))
	missed := g.mark(p, element, 1, 0)
	for i := range int32(4) {
		last = g.mark(p, element, 1, (i+1)%2)
	}
	way.server.Store(s.GRPCAddr())
	through(missed, last)
	again()

	way.server.Store("")
	s.stop()
	lost()
	s = start(t, kept)
	g.desk = newDesk("long-after", admin, s.conn(t))
	for i := range int32(300) {
		last = g.mark(p, element, 1, i%2)
	}
	way.server.Store(s.GRPCAddr())
	through(last, last)
	again()
	cancel()
	if seq, more := <-boards; more {
		t.Errorf("behind the end comes board %d", seq)
	}
}
