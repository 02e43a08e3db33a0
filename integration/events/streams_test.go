package events_test

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/encoding"
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// update is what a watcher gets.
type update struct {
	kind  string // scoreboard, reset or heartbeat
	seq   uint64
	board []byte // JSON over SSE, protobuf over gRPC
}

// stream is the watcher's end of a watch. Reading it costs little, so that many of
// them can be had beside the server that is tried.
type stream interface {
	// next waits for an update.
	next() (update, error)
	close()
}

// sseStream reads Server-Sent Events from a connection of its own.
type sseStream struct {
	conn  net.Conn
	lines *bufio.Scanner
	retry time.Duration // what the server asks a browser to wait before it comes back
}

// watchSSE begins a watch of whole boards over SSE; after is the Last-Event-ID, "" for
// none.
func watchSSE(addr, event, after string) (*sseStream, error) {
	return openSSE(addr, "/v1/events/"+event+"/scoreboard:watch", after)
}

// watchChanges begins a watch over SSE as pages do.
func watchChanges(addr, event string) (*sseStream, error) {
	return openSSE(addr, "/v1/events/"+event+"/scoreboard:watch?changes=true", "")
}

func openSSE(addr, path, after string) (*sseStream, error) {
	conn, err := net.Dial("tcp", addr)
	if err != nil {
		return nil, err
	}
	s := &sseStream{conn: conn}
	if after != "" {
		after = "Last-Event-ID: " + after + "\r\n"
	}
	_, err = fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: %s\r\n%s\r\n", path, addr, after)
	if err == nil {
		var res *http.Response
		if res, err = http.ReadResponse(bufio.NewReader(conn), nil); err == nil && res.StatusCode != http.StatusOK {
			body, _ := io.ReadAll(res.Body)
			err = fmt.Errorf("HTTP %d: %s", res.StatusCode, body)
		}
		if err == nil {
			s.read(res.Body)
			return s, nil
		}
	}
	_ = conn.Close()
	return nil, err
}

func (s *sseStream) read(from io.Reader) {
	s.lines = bufio.NewScanner(from)
	s.lines.Buffer(nil, 1<<20)
}

func (s *sseStream) next() (update, error) {
	var u update
	for s.lines.Scan() {
		field, value, _ := bytes.Cut(s.lines.Bytes(), []byte(": "))
		var err error
		switch string(field) {
		case "id":
			u.seq, err = strconv.ParseUint(string(value), 10, 64)
		case "event":
			u.kind = string(value)
		case "data":
			u.board = bytes.Clone(value)
		case "retry":
			s.retry, err = time.ParseDuration(string(value) + "ms")
		case "":
			if u.kind != "" {
				return u, nil
			}
		}
		if err != nil {
			return u, err
		}
	}
	return u, errors.Join(io.EOF, s.lines.Err())
}

func (s *sseStream) close() { _ = s.conn.Close() }

// grpcStream reads a stream of gRPC.
type grpcStream struct {
	stream grpc.ServerStreamingClient[pb.WatchScoreboardResponse]
	cancel context.CancelFunc
}

// watchGRPC begins a watch over gRPC.
func watchGRPC(conn grpc.ClientConnInterface, event string, after *uint64) (*grpcStream, error) {
	ctx, cancel := context.WithCancel(context.Background())
	s, err := pb.NewScoreboardServiceClient(conn).WatchScoreboard(ctx, &pb.WatchScoreboardRequest{Event: event, AfterSequence: after}, grpc.ForceCodecV2(unread{}))
	if err != nil {
		cancel()
		return nil, err
	}
	return &grpcStream{s, cancel}, nil
}

func (s *grpcStream) next() (update, error) {
	var u update
	return u, s.stream.RecvMsg(&u)
}

func (s *grpcStream) close() { s.cancel() }

// unread is a codec that takes from a scoreboard its number and leaves the rest as
// it came.
type unread struct{}

var _ encoding.CodecV2 = unread{}

func (unread) Name() string { return "proto" }

func (unread) Marshal(v any) (mem.BufferSlice, error) {
	data, err := proto.Marshal(v.(proto.Message))
	return mem.BufferSlice{mem.SliceBuffer(data)}, err
}

func (unread) Unmarshal(data mem.BufferSlice, v any) error {
	u, reset := v.(*update), false
	err := fields(data.Materialize(), func(field protowire.Number, n uint64, message []byte) error {
		switch field {
		case 1: // scoreboard
			u.kind, u.board = "scoreboard", message
			return fields(message, func(field protowire.Number, n uint64, _ []byte) error {
				if field == 4 {
					u.seq = n
				}
				return nil
			})
		case 2: // heartbeat
			u.kind = "heartbeat"
			return fields(message, func(_ protowire.Number, n uint64, _ []byte) error { u.seq = n; return nil })
		case 3: // reset
			reset = n != 0
		}
		return nil
	})
	if reset {
		u.kind = "reset"
	}
	return err
}

// fields tells the fields of a message: of numbers the value, of what has a length
// its bytes.
func fields(data []byte, tell func(protowire.Number, uint64, []byte) error) error {
	for len(data) > 0 {
		field, kind, n := protowire.ConsumeTag(data)
		if n < 0 {
			return protowire.ParseError(n)
		}
		data = data[n:]
		var number uint64
		var bytes []byte
		switch kind {
		case protowire.VarintType:
			number, n = protowire.ConsumeVarint(data)
		case protowire.BytesType:
			bytes, n = protowire.ConsumeBytes(data)
		default:
			n = protowire.ConsumeFieldValue(field, kind, data)
		}
		if n < 0 {
			return protowire.ParseError(n)
		}
		if err := tell(field, number, bytes); err != nil {
			return err
		}
		data = data[n:]
	}
	return nil
}
