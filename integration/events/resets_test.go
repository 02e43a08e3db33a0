package events_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"runtime"
	"sync"
	"testing"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Callers open streams and reset them at once, leave connections half open, and go
// away in the middle of commands and of watches, over gRPC and over HTTP/1. Meanwhile
// everybody else is answered; a command that was under way is in the log once or not at
// all, and once when it is repeated; and goroutines and memory are as before in the end.
func TestCallersThatGoAway(t *testing.T) {
	s := start(t)
	others := s.conn(t)
	g := &goingAway{t: t, server: s, event: &killing{admin: s.admin, place: map[string]uint64{}}, others: others}
	g.event.prepare(t, others)
	g.round() // until what is kept for those who come back is as much as ever will be
	g.settled(0)
	goroutines, held := runtime.NumGoroutine(), memory()
	const rounds, most = 2, 1 << 10
	for range rounds {
		g.round()
	}
	g.settled(goroutines)
	if each := (memory() - held) / int64(rounds*g.gone); each > most {
		t.Errorf("a caller that went away holds %d bytes, want at most %d", each, most)
	}
	g.event.check(t, others)
	t.Logf("%d callers went away in %d rounds; of %d commands %d had been written; others were answered %d times",
		(1+rounds)*g.gone, 1+rounds, len(g.event.place), g.written, g.answered)
}

// How many of each go away in a round.
const (
	resetReads    = 400
	resetCommands = 80
	goneCommands  = 20 // of connections
	goneWatchers  = 40
	halfOpen      = 20
)

// goingAway is a server whose callers go away.
type goingAway struct {
	t      *testing.T
	server *server
	event  *killing
	others *grpc.ClientConn

	rounds, gone, written, answered int
}

// round lets callers of all kinds go away while others call.
func (g *goingAway) round() {
	g.t.Helper()
	g.gone = 0
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for {
			if _, err := pb.NewScoreboardServiceClient(g.others).GetScoreboard(g.t.Context(), &pb.GetScoreboardRequest{Event: killCup}); err != nil {
				g.t.Errorf("somebody else: %v", err)
				return
			}
			g.answered++
			select {
			case <-stop:
				return
			default:
			}
		}
	}()
	var open []int // numbers of the marks that were not answered
	first := g.rounds * roundNumbers
	g.rounds++
	open = append(open, g.resetStreams(first)...)
	open = append(open, g.resetConnections(first+len(open))...)
	g.watchersGo()
	g.halfOpen()
	close(stop)
	<-stopped
	g.repeat(open)
}

// resetStreams opens streams for reads, watches and commands, and resets each at once.
func (g *goingAway) resetStreams(number int) (open []int) {
	g.t.Helper()
	c := dialHTTP2(g.t, must(net.Dial("tcp", g.server.GRPCAddr())))
	for i := range resetReads {
		method, request := pb.ScoreboardService_GetScoreboard_FullMethodName, proto.Message(&pb.GetScoreboardRequest{Event: killCup})
		if i%2 == 0 {
			method, request = pb.ScoreboardService_WatchScoreboard_FullMethodName, &pb.WatchScoreboardRequest{Event: killCup}
		}
		c.reset(c.grpc(method, "", request))
	}
	for i := range resetCommands {
		open = append(open, number+i)
		c.reset(c.grpc(pb.EventService_SetElementMarks_FullMethodName, g.server.admin, g.event.request(1, number+i)))
	}
	c.read() // all of that
	c.end()
	g.gone += resetReads + resetCommands
	return open
}

// resetConnections makes a command on a connection of its own, and resets that.
func (g *goingAway) resetConnections(number int) (open []int) {
	g.t.Helper()
	for i := range goneCommands {
		open = append(open, number+i)
		request := g.event.request(1, number+i)
		if i%2 == 0 {
			c := dialHTTP2(g.t, must(net.Dial("tcp", g.server.GRPCAddr())))
			c.grpc(pb.EventService_SetElementMarks_FullMethodName, g.server.admin, request)
			c.end()
			continue
		}
		method := pb.File_rinktally_v1_event_proto.Services().ByName("EventService").Methods().ByName("SetElementMarks")
		call := must(restRequest(g.t.Context(), "http://"+g.server.HTTPAddr(), method, request))
		call.Header.Set("Authorization", "Bearer "+g.server.admin)
		conn := must(net.Dial("tcp", g.server.HTTPAddr()))
		if err := call.Write(conn); err != nil {
			g.t.Fatal(err)
		}
		reset(conn)
	}
	g.gone += goneCommands
	return open
}

// watchersGo lets watchers go away in the middle of what they are sent.
func (g *goingAway) watchersGo() {
	g.t.Helper()
	for i := range goneWatchers {
		if i%2 == 0 {
			reset(must(watchSSE(g.server.HTTPAddr(), killCup, "")).conn)
			continue
		}
		c := dialHTTP2(g.t, must(net.Dial("tcp", g.server.GRPCAddr())))
		c.grpc(pb.ScoreboardService_WatchScoreboard_FullMethodName, "", &pb.WatchScoreboardRequest{Event: killCup})
		c.read()
		c.end()
	}
	g.gone += goneWatchers
}

// halfOpen begins to say something, and goes away.
func (g *goingAway) halfOpen() {
	g.t.Helper()
	for i := range halfOpen {
		switch i % 4 {
		case 0: // half of what HTTP/2 begins with
			conn := must(net.Dial("tcp", g.server.GRPCAddr()))
			_ = must(io.WriteString(conn, http2.ClientPreface[:12]))
			reset(conn)
		case 1: // a call without its message
			c := dialHTTP2(g.t, must(net.Dial("tcp", g.server.GRPCAddr())))
			c.headers(pb.EventService_SetElementMarks_FullMethodName, g.server.admin)
			c.read()
			c.end()
		case 2: // half of a message
			c := dialHTTP2(g.t, must(net.Dial("tcp", g.server.GRPCAddr())))
			id := c.headers(pb.EventService_SetElementMarks_FullMethodName, g.server.admin)
			c.data(id, false, []byte{0, 0, 0, 1, 0, 'x'})
			c.read()
			c.end()
		default: // half of a body
			conn := must(net.Dial("tcp", g.server.HTTPAddr()))
			_ = must(fmt.Fprintf(conn, "POST /v1/seasons/2025-26/segments:score HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{"))
			reset(conn)
		}
	}
	g.gone += halfOpen
}

// repeat makes the commands again whose callers went away.
func (g *goingAway) repeat(open []int) {
	g.t.Helper()
	// What a server still has to do with a command whose caller is gone has no end that
	// can be seen from outside, and a repetition finds it done or does it.
	before := map[string]int{}
	for _, f := range g.event.news(g.t, g.others) {
		before[f.GetRequestId()]++
		g.written++
	}
	for _, number := range open {
		id, seq, err := g.event.mark(g.t.Context(), g.others, 1, number)
		if err != nil || before[id] > 1 {
			g.t.Fatalf("mark %s, which stands in the log %d times, is repeated: %v", id, before[id], err)
		}
		g.event.place[id] = seq
	}
	seen := map[string]bool{}
	for _, f := range g.event.news(g.t, g.others) {
		if g.event.seen++; seen[f.GetRequestId()] || g.event.place[f.GetRequestId()] != f.GetSequence() {
			g.t.Errorf("fact %v stands there twice, or its request was answered with %d", f, g.event.place[f.GetRequestId()])
		}
		seen[f.GetRequestId()] = true
	}
	if len(seen) != len(open) {
		g.t.Errorf("%d commands stand in the log, want %d", len(seen), len(open))
	}
}

// settled waits until the server has ended what it did for those who are gone: no
// more goroutines than so many; 0 asks only for the watchers.
func (g *goingAway) settled(goroutines int) {
	g.t.Helper()
	eventually(g.t, "nobody watches", func() bool { return watching(g.t, g.server) == 0 })
	last := 0
	eventually(g.t, fmt.Sprintf("%d goroutines remain", goroutines), func() bool {
		http.DefaultClient.CloseIdleConnections()
		before := last
		last = runtime.NumGoroutine()
		if goroutines == 0 {
			return last == before
		}
		return last <= goroutines
	})
}

// reset ends a connection at once: what is under way is lost, and the other end is
// shown an error.
func reset(conn net.Conn) {
	_ = conn.(*net.TCPConn).SetLinger(0)
	_ = conn.Close()
}

// http2Conn is a connection of HTTP/2 whose caller says what it likes.
type http2Conn struct {
	t       *testing.T
	conn    net.Conn
	framer  *http2.Framer
	writing sync.Mutex
	encoded bytes.Buffer
	encode  *hpack.Encoder
	stream  uint32
	pings   chan struct{}
	reading sync.WaitGroup
}

// dialHTTP2 begins to speak HTTP/2, and takes whatever is sent.
func dialHTTP2(t *testing.T, conn net.Conn) *http2Conn {
	t.Helper()
	c := &http2Conn{t: t, conn: conn, framer: http2.NewFramer(conn, conn), stream: 1, pings: make(chan struct{}, 1)}
	c.encode = hpack.NewEncoder(&c.encoded)
	_ = must(io.WriteString(conn, http2.ClientPreface))
	const window = 1 << 30
	c.must(errors.Join(c.framer.WriteSettings(), c.framer.WriteWindowUpdate(0, window)))
	c.reading.Go(func() {
		for {
			frame, err := c.framer.ReadFrame()
			if err != nil {
				close(c.pings)
				return
			}
			switch f := frame.(type) {
			case *http2.SettingsFrame:
				if !f.IsAck() {
					c.writing.Lock()
					_ = c.framer.WriteSettingsAck()
					c.writing.Unlock()
				}
			case *http2.PingFrame:
				if f.IsAck() {
					c.pings <- struct{}{}
				}
			}
		}
	})
	return c
}

func (c *http2Conn) must(err error) {
	c.t.Helper()
	if err != nil {
		c.t.Fatal(err)
	}
}

// headers begins a call of gRPC on a stream of its own.
func (c *http2Conn) headers(path, token string) uint32 {
	c.t.Helper()
	c.encoded.Reset()
	for _, f := range [][2]string{
		{":method", http.MethodPost}, {":scheme", "http"}, {":path", path}, {":authority", "rink"},
		{"content-type", "application/grpc"}, {"te", "trailers"}, {"authorization", "Bearer " + token},
	} {
		if f[0] != "authorization" || token != "" {
			c.must(c.encode.WriteField(hpack.HeaderField{Name: f[0], Value: f[1]}))
		}
	}
	c.writing.Lock()
	defer c.writing.Unlock()
	id := c.stream
	c.stream += 2
	c.must(c.framer.WriteHeaders(http2.HeadersFrameParam{StreamID: id, BlockFragment: c.encoded.Bytes(), EndHeaders: true}))
	return id
}

// grpc makes a call.
func (c *http2Conn) grpc(method, token string, request proto.Message) uint32 {
	c.t.Helper()
	id := c.headers(method, token)
	body := must(proto.Marshal(request))
	c.data(id, true, append(binary.BigEndian.AppendUint32([]byte{0}, uint32(len(body))), body...))
	return id
}

// data sends bytes of a call, its last ones or not.
func (c *http2Conn) data(id uint32, last bool, bytes []byte) {
	c.t.Helper()
	c.writing.Lock()
	defer c.writing.Unlock()
	c.must(c.framer.WriteData(id, last, bytes))
}

// reset resets a stream.
func (c *http2Conn) reset(id uint32) {
	c.t.Helper()
	c.writing.Lock()
	defer c.writing.Unlock()
	c.must(c.framer.WriteRSTStream(id, http2.ErrCodeCancel))
}

// read waits until the other end has read all that was sent.
func (c *http2Conn) read() {
	c.t.Helper()
	c.writing.Lock()
	c.must(c.framer.WritePing(false, [8]byte{}))
	c.writing.Unlock()
	ctx, cancel := context.WithTimeout(c.t.Context(), patience)
	defer cancel()
	select {
	case _, open := <-c.pings:
		if !open {
			c.t.Fatal("the server has ended the connection")
		}
	case <-ctx.Done():
		c.t.Fatal("the server does not read")
	}
}

// end resets the connection.
func (c *http2Conn) end() {
	reset(c.conn)
	c.reading.Wait()
}
