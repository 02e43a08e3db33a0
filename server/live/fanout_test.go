package live_test

import (
	"bufio"
	"context"
	"fmt"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/protobuf/encoding/protojson"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// crowd is many watchers of one kind.
type crowd interface {
	// join adds a watcher that calls got for every board it gets.
	join(b *testing.B, got func())
	// change changes the event and returns when that is acknowledged.
	change(b *testing.B, n int)
}

// BenchmarkFanOut measures the time from an acknowledged change to the last of
// many watchers on this machine, beside a bare loop that writes as many bytes to
// as many sockets. It reports the median in milliseconds.
func BenchmarkFanOut(b *testing.B) {
	const watchers = 2000
	for _, kind := range []struct {
		name string
		make func(b *testing.B, h *hall) crowd
	}{{"bare", newBareCrowd}, {"sse", newSSECrowd}, {"grpc", newGRPCCrowd}} {
		b.Run(fmt.Sprintf("%s-%d", kind.name, watchers), func(b *testing.B) {
			h := newHall(b, time.Hour)
			c := kind.make(b, h)
			var got sync.WaitGroup
			got.Add(watchers)
			for range watchers {
				c.join(b, got.Done)
			}
			got.Wait() // each has its first board
			var took []time.Duration
			for b.Loop() {
				got.Add(watchers)
				c.change(b, len(took))
				acknowledged := time.Now()
				got.Wait()
				took = append(took, time.Since(acknowledged))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms/change")
		})
	}
}

// bareCrowd is sockets that a loop writes to.
type bareCrowd struct {
	port  net.Listener
	conns []net.Conn
	line  []byte
}

func newBareCrowd(b *testing.B, h *hall) crowd {
	b.Helper()
	size := len(must(protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(h.snapshot(b))))
	c := &bareCrowd{port: must(net.Listen("tcp", "127.0.0.1:0")), line: []byte(strings.Repeat("x", size) + "\n")}
	b.Cleanup(func() { _ = c.port.Close() })
	return c
}

func (c *bareCrowd) join(b *testing.B, got func()) {
	b.Helper()
	client := must(net.Dial("tcp", c.port.Addr().String()))
	server := must(c.port.Accept())
	b.Cleanup(func() { _, _ = client.Close(), server.Close() })
	c.conns = append(c.conns, server)
	got()
	go func() {
		lines := bufio.NewScanner(client)
		for lines.Scan() {
			got()
		}
	}()
}

func (c *bareCrowd) change(*testing.B, int) {
	// The first byte of the loop is the acknowledgement; what it takes counts.
	go func() {
		for _, conn := range c.conns {
			_, _ = conn.Write(c.line)
		}
	}()
}

// sseCrowd is connections that read Server-Sent Events.
type sseCrowd struct {
	*hall

	host, path string
}

func newSSECrowd(b *testing.B, h *hall) crowd {
	b.Helper()
	host, path, _ := strings.Cut(strings.TrimPrefix(h.serve(b), "http://"), "/")
	return &sseCrowd{h, host, "/" + path}
}

func (c *sseCrowd) join(b *testing.B, got func()) {
	b.Helper()
	conn := must(net.Dial("tcp", c.host))
	b.Cleanup(func() { _ = conn.Close() })
	must(fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: %s\r\n\r\n", c.path, c.host))
	go func() {
		res, err := http.ReadResponse(bufio.NewReader(conn), nil)
		if err != nil {
			return
		}
		lines := bufio.NewScanner(res.Body)
		for lines.Scan() {
			if strings.HasPrefix(lines.Text(), "data: ") {
				got()
			}
		}
	}()
}

func (c *sseCrowd) change(b *testing.B, n int) { c.hall.change(b, fmt.Sprint("Club ", n)) }

// grpcCrowd is streams, so many on a connection.
type grpcCrowd struct {
	*hall

	port    net.Listener
	client  pb.ScoreboardServiceClient
	streams int
}

func newGRPCCrowd(b *testing.B, h *hall) crowd {
	b.Helper()
	server := grpc.NewServer()
	pb.RegisterScoreboardServiceServer(server, h.board)
	c := &grpcCrowd{hall: h, port: must(net.Listen("tcp", "127.0.0.1:0"))}
	go func() { _ = server.Serve(c.port) }()
	b.Cleanup(server.Stop)
	return c
}

func (c *grpcCrowd) join(b *testing.B, got func()) {
	b.Helper()
	const perConnection = 100
	if c.streams%perConnection == 0 {
		conn := must(grpc.NewClient(c.port.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials())))
		b.Cleanup(func() { _ = conn.Close() })
		c.client = pb.NewScoreboardServiceClient(conn)
	}
	c.streams++
	stream := must(c.client.WatchScoreboard(context.Background(), &pb.WatchScoreboardRequest{Event: cup}))
	go func() {
		for {
			if _, err := stream.Recv(); err != nil {
				return
			}
			got()
		}
	}()
}

func (c *grpcCrowd) change(b *testing.B, n int) { c.hall.change(b, fmt.Sprint("Club ", n)) }
