package events_test

import (
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
)

// streamsPerConnection is how many gRPC watchers share a connection, as behind a
// proxy.
const streamsPerConnection = 100

// crowd is many watchers of one event. Each notes what it sees until its stream
// ends.
type crowd struct {
	watchers []*watcher
	conns    []*grpc.ClientConn
	reading  sync.WaitGroup
	arrivals sync.Map // of updates by sequence number: *arrival
}

// watcher is one of a crowd. What it noted is to be read when its stream has ended.
type watcher struct {
	stream

	seen  []update // without boards
	board []byte   // the last one
	err   error    // why the stream ended
}

// arrival is an update's way to all watchers.
type arrival struct {
	watchers atomic.Int32
	at       time.Time // of the last watcher
	last     chan struct{}
}

func (c *crowd) arrival(seq uint64) *arrival {
	if a, ok := c.arrivals.Load(seq); ok {
		return a.(*arrival)
	}
	a, _ := c.arrivals.LoadOrStore(seq, &arrival{last: make(chan struct{})})
	return a.(*arrival)
}

// join adds so many watchers over SSE and over gRPC. Both addresses are of one
// server.
func (c *crowd) join(httpAddr, grpcAddr, event string, sse, streams int) error {
	for range sse {
		s, err := watchSSE(httpAddr, event, "")
		if err != nil {
			return err
		}
		c.add(s)
	}
	var conn *grpc.ClientConn
	for i := range streams {
		if i%streamsPerConnection == 0 {
			var err error
			if conn, err = grpc.NewClient(grpcAddr, grpc.WithTransportCredentials(insecure.NewCredentials())); err != nil {
				return err
			}
			c.conns = append(c.conns, conn)
		}
		s, err := watchGRPC(conn, event, nil)
		if err != nil {
			return err
		}
		c.add(s)
	}
	return nil
}

func (c *crowd) add(s stream) { c.watchers = append(c.watchers, &watcher{stream: s}) }

// read lets all watchers read, once all have joined.
func (c *crowd) read() {
	for _, w := range c.watchers {
		c.reading.Go(func() {
			for {
				u, err := w.next()
				if err != nil {
					w.err = err
					return
				}
				if u.kind == "heartbeat" {
					continue
				}
				w.board = u.board
				u.board = nil
				w.seen = append(w.seen, u)
				a := c.arrival(u.seq)
				if int(a.watchers.Add(1)) == len(c.watchers) {
					a.at = time.Now()
					close(a.last)
				}
			}
		})
	}
}

// await waits until all watchers have an update.
func (c *crowd) await(t testing.TB, seq uint64) {
	t.Helper()
	a := c.arrival(seq)
	select {
	case <-a.last:
	case <-time.After(patience):
		t.Fatalf("%d of %d watchers have update %d", a.watchers.Load(), len(c.watchers), seq)
	}
}

// leave ends all watches.
func (c *crowd) leave() {
	for _, w := range c.watchers {
		w.close()
	}
	for _, conn := range c.conns {
		_ = conn.Close()
	}
	c.reading.Wait()
}

// numbers returns the sequence numbers of the updates that a watcher saw.
func (w *watcher) numbers() []uint64 {
	seqs := make([]uint64, len(w.seen))
	for i, u := range w.seen {
		seqs[i] = u.seq
	}
	return seqs
}
