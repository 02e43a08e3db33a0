package app

import (
	"context"
	"net"
	"sync/atomic"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/encoding"
	_ "google.golang.org/grpc/encoding/proto" // registers the codec that codec adds to
	"google.golang.org/grpc/mem"
	"google.golang.org/grpc/peer"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
)

// An answer over gRPC waits in memory until its caller has read it, long after its
// handler has returned, and gRPC lets it wait for ever. So a connection is closed
// when one of its answers has waited too long, as net/http closes one, and while too
// much is unread its next calls wait a moment and are refused then. They do not wait
// longer: a caller may wait for just this answer before it reads the others.
const (
	unreadTime = 2 * time.Minute // as answers over HTTP
	maxUnread  = 32 << 20        // bytes of a connection, beyond which its calls wait
	roomTime   = 2 * time.Second
	roomEvery  = 100 * time.Millisecond
	// largeAnswer is what fits into the window that HTTP/2 gives each stream: smaller
	// answers leave the server at once unless the caller wants to do harm, and are
	// limited by the number of streams.
	largeAnswer = 64 << 10
)

// caller is a connection's other end, as peers carry it, with what waits for it.
type caller struct {
	net.Addr

	conn    net.Conn
	patient time.Duration
	unread  atomic.Int64 // bytes
}

// callers is a port whose connections are closed when their callers do not read.
type callers struct {
	net.Listener

	patient time.Duration
}

// Accept waits for a connection.
func (l callers) Accept() (net.Conn, error) {
	conn, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return &called{Conn: conn, from: &caller{Addr: conn.RemoteAddr(), conn: conn, patient: l.patient}}, nil
}

// called is a connection that knows its caller.
type called struct {
	net.Conn

	from *caller
}

// RemoteAddr returns the caller.
func (c *called) RemoteAddr() net.Addr { return c.from }

// callerOf returns the connection of a call; nil where the call came without one.
func callerOf(ctx context.Context) *caller {
	if p, ok := peer.FromContext(ctx); ok {
		c, _ := p.Addr.(*caller)
		return c
	}
	return nil
}

// addressed is an answer together with who is to read it.
type addressed struct {
	answer any
	to     *caller
}

// addressUnary is the outermost interceptor: it says who is to read an answer.
func addressUnary(ctx context.Context, req any, _ *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	to := callerOf(ctx)
	if to == nil {
		return handler(ctx, req)
	}
	if err := to.room(ctx); err != nil {
		return nil, err
	}
	res, err := handler(ctx, req)
	if err != nil {
		return nil, err
	}
	return addressed{res, to}, nil
}

// room waits a moment for the caller to read enough of what was sent to it.
func (c *caller) room(ctx context.Context) error {
	for begun := time.Now(); c.unread.Load() > maxUnread; {
		if time.Since(begun) > roomTime {
			return errs.RateLimited(roomTime)
		}
		select {
		case <-time.After(roomEvery):
		case <-ctx.Done():
			return errs.Context(ctx)
		}
	}
	return nil
}

// addressStream is the outermost interceptor of streams. It refuses what cannot be
// read, and closes the connection of a caller that lets a stream wait with its next
// answer. Scoreboards have limits of their own.
func addressStream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	if to := callerOf(stream.Context()); to != nil && info.IsClientStream {
		stream = &timedStream{stream, to}
	}
	return handler(srv, readStream{stream})
}

// timedStream limits how long the caller lets an answer wait.
type timedStream struct {
	grpc.ServerStream

	to *caller
}

// SendMsg sends an answer.
func (s *timedStream) SendMsg(m any) error {
	over := s.to.over()
	defer over.Stop()
	return s.ServerStream.SendMsg(m)
}

// over starts the time that an answer may wait.
func (c *caller) over() *time.Timer {
	return time.AfterFunc(c.patient, func() { _ = c.conn.Close() })
}

// codec is gRPC's own, which encodes a season once for all its readers, watches over
// large answers until they are read, and marks requests that cannot be read.
type codec struct {
	encoding.CodecV2

	seasons *answer.Seasons
}

func newCodec() codec { return codec{encoding.GetCodecV2("proto"), answer.NewSeasons()} }

// Marshal encodes an answer.
func (c codec) Marshal(v any) (mem.BufferSlice, error) {
	a, known := v.(addressed)
	if known {
		v = a.answer
	}
	data, err := c.encode(v)
	if err != nil || !known || data.Len() <= largeAnswer {
		return data, err
	}
	return mem.BufferSlice{a.to.watch(data)}, nil
}

func (c codec) encode(v any) (mem.BufferSlice, error) {
	season, ok := v.(*pb.GetSeasonResponse)
	if !ok {
		return c.CodecV2.Marshal(v)
	}
	data, err := c.seasons.Encoded(season, func() ([]byte, error) { return proto.Marshal(season) })
	return mem.BufferSlice{mem.SliceBuffer(data)}, err
}

// Unmarshal reads a request. Of an error gRPC would make an answer by itself, INTERNAL,
// as if the server were at fault; so the request is marked instead (see readable).
func (c codec) Unmarshal(data mem.BufferSlice, v any) error {
	fault := c.CodecV2.Unmarshal(data, v)
	m, is := v.(proto.Message)
	if !is || fault == nil {
		return fault
	}
	proto.Reset(m)
	m.ProtoReflect().SetUnknown(unreadable)
	return nil
}

// watch counts an answer until it is read.
func (c *caller) watch(data mem.BufferSlice) mem.Buffer {
	whole := data.MaterializeToBuffer(mem.DefaultBufferPool())
	data.Free()
	w := &waiting{to: c, held: whole, size: int64(whole.Len()), over: c.over()}
	c.unread.Add(w.size)
	bytes := whole.ReadOnlyData()
	return mem.NewBuffer(&bytes, w)
}

// waiting is an answer that is not read yet. It is the pool that its buffer goes
// back to when the last byte has been written.
type waiting struct {
	to   *caller
	held mem.Buffer
	size int64
	over *time.Timer
}

var _ mem.BufferPool = (*waiting)(nil)

// Get is there for the interface; buffers come from the pool of the codec.
func (w *waiting) Get(length int) *[]byte { return mem.DefaultBufferPool().Get(length) }

// Put ends the waiting.
func (w *waiting) Put(*[]byte) {
	w.over.Stop()
	w.to.unread.Add(-w.size)
	w.held.Free()
}
