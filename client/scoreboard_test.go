package client_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// hall is a scoreboard whose streams a test writes: each watch gets the next one.
type hall struct {
	pb.UnimplementedScoreboardServiceServer

	streams []func(grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error
	asked   []string // behind which sequence number each watch began
}

func (h *hall) WatchScoreboard(req *pb.WatchScoreboardRequest, s grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error {
	after := "now"
	if req.AfterSequence != nil {
		after = fmt.Sprint(req.GetAfterSequence())
	}
	h.asked = append(h.asked, after)
	if len(h.asked) > len(h.streams) {
		return status.Error(codes.NotFound, "the script is over")
	}
	return h.streams[len(h.asked)-1](s)
}

func (h *hall) start(t *testing.T) string {
	t.Helper()
	return serve(t, func(g *grpc.Server) { pb.RegisterScoreboardServiceServer(g, h) })
}

// script is a stream that sends boards, then a heartbeat where one is given, and
// ends with an error; nil is the end of the stream.
func script(end error, beat uint64, boards ...uint64) func(grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error {
	return func(s grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error {
		for _, seq := range boards {
			answer := &pb.WatchScoreboardResponse{Update: &pb.WatchScoreboardResponse_Scoreboard{Scoreboard: &pb.Scoreboard{Sequence: seq}}}
			if err := s.Send(answer); err != nil {
				return err
			}
		}
		if beat != 0 {
			answer := &pb.WatchScoreboardResponse{Update: &pb.WatchScoreboardResponse_Heartbeat{Heartbeat: &pb.Heartbeat{Sequence: beat}}}
			if err := s.Send(answer); err != nil {
				return err
			}
		}
		return end
	}
}

// silent sends a board and then nothing any more.
func silent(s grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error {
	if err := script(nil, 0, 1)(s); err != nil {
		return err
	}
	<-s.Context().Done()
	return s.Context().Err()
}

// seen ranges over a watch to its end.
func seen(ctx context.Context, c client.Scoreboards, req *pb.WatchScoreboardRequest, opts ...client.WatchOption) (boards []uint64, err error) {
	for board, err := range c.WatchScoreboard(ctx, req, opts...) {
		if err != nil {
			return boards, err
		}
		boards = append(boards, board.GetSequence())
	}
	return boards, nil
}

type streams = []func(grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error

func TestWatchGoesOn(t *testing.T) {
	away := status.Error(codes.Unavailable, "away")
	denied := status.Error(codes.PermissionDenied, "not for you")
	tests := []struct {
		name     string
		streams  streams
		after    *uint64
		attempts int
		want     []uint64
		asked    []string
		code     codes.Code // of the error at the end
	}{
		{"broken", streams{script(away, 0, 4, 5), script(denied, 0, 6)}, nil, 3, []uint64{4, 5, 6}, []string{"now", "5"}, codes.PermissionDenied},
		{"behind a number", streams{script(denied, 0, 4)}, new(uint64(3)), 3, []uint64{4}, []string{"3"}, codes.PermissionDenied},
		{"ended without an error", streams{script(nil, 0, 4), script(denied, 0)}, nil, 3, []uint64{4}, []string{"now", "4"}, codes.PermissionDenied},
		{"heartbeat", streams{script(away, 9, 4), script(denied, 0)}, nil, 3, []uint64{4}, []string{"now", "9"}, codes.PermissionDenied},
		{"a log that was restored", streams{script(away, 0, 40), script(denied, 0, 7)}, nil, 3, []uint64{40, 7}, []string{"now", "40"}, codes.PermissionDenied},
		{"broken by a proxy", streams{script(status.Error(codes.Internal, "RST_STREAM"), 0, 4), script(status.Error(codes.Unknown, "?"), 0), script(denied, 0)},
			nil, 3, []uint64{4}, []string{"now", "4", "4"}, codes.PermissionDenied},
		{"away for more attempts than a call has", streams{script(away, 0, 4), script(away, 0), script(away, 0), script(denied, 0)},
			nil, 2, []uint64{4}, []string{"now", "4", "4", "4"}, codes.PermissionDenied},
		{"away at first", streams{script(away, 0), script(denied, 0, 4)}, nil, 2, []uint64{4}, []string{"now", "now"}, codes.PermissionDenied},
		{"never heard", streams{script(away, 0), script(away, 0), script(away, 0)}, nil, 2, nil, []string{"now", "now"}, codes.Unavailable},
		{"refused at once", streams{script(status.Error(codes.NotFound, "no such event"), 0)}, nil, 3, nil, []string{"now"}, codes.NotFound},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			h := &hall{streams: test.streams}
			c := connect(t, h.start(t), client.WithPlaintext(), client.WithRetry(test.attempts, time.Millisecond, 0))
			req := &pb.WatchScoreboardRequest{Event: "spring-cup", AfterSequence: test.after}
			given := proto.CloneOf(req)
			boards, err := seen(t.Context(), c, req)
			var e *client.Error
			if !errors.As(err, &e) || e.Code != test.code {
				t.Errorf("ends with %v, want %v", err, test.code)
			}
			if !slices.Equal(boards, test.want) || !slices.Equal(h.asked, test.asked) {
				t.Errorf("boards %v after asking behind %v; want %v after %v", boards, h.asked, test.want, test.asked)
			}
			if !proto.Equal(req, given) {
				t.Errorf("the request was changed to %v", req)
			}
		})
	}
}

// TestWatchOfASilentServer loses a server that says nothing, as one whose cable was
// pulled, and says so.
func TestWatchOfASilentServer(t *testing.T) {
	h := &hall{streams: streams{silent, script(status.Error(codes.NotFound, "removed"), 2)}}
	c := connect(t, h.start(t), client.WithPlaintext(), client.WithRetry(3, time.Millisecond, 0))
	c.SetSilence(2 * time.Second) // longer than a busy machine lets a board wait
	var states []codes.Code
	boards, err := seen(t.Context(), c, &pb.WatchScoreboardRequest{Event: "spring-cup"},
		client.OnConnection(func(err error) { states = append(states, status.Code(err)) }))
	if !slices.Equal(boards, []uint64{1}) || !slices.Equal(h.asked, []string{"now", "1"}) || status.Code(err) != codes.NotFound {
		t.Errorf("boards %v, asked %v, %v", boards, h.asked, err)
	}
	if !slices.Equal(states, []codes.Code{codes.Unavailable, codes.OK}) {
		t.Errorf("the connection was %v; want lost, then heard again", states)
	}
}

// TestWatchWaitsForASlowReader does not count the reader's time as silence.
func TestWatchWaitsForASlowReader(t *testing.T) {
	h := &hall{streams: streams{script(status.Error(codes.NotFound, "removed"), 0, 1, 2)}}
	c := connect(t, h.start(t), client.WithPlaintext(), client.WithRetry(3, time.Millisecond, 0))
	const silence = 2 * time.Second // longer than a busy machine lets a board wait
	c.SetSilence(silence)
	n := 0
	for _, err := range c.WatchScoreboard(t.Context(), &pb.WatchScoreboardRequest{Event: "spring-cup"}) {
		if err != nil {
			break
		}
		if n++; n == 1 {
			time.Sleep(silence + silence/5)
		}
	}
	if n != 2 || !slices.Equal(h.asked, []string{"now"}) {
		t.Errorf("%d boards over watches behind %v; want 2 over one", n, h.asked)
	}
}

// TestWatchEndsWithItsContext ends a watch that waits for a board and one that waits
// for its server.
func TestWatchEndsWithItsContext(t *testing.T) {
	h := &hall{streams: streams{silent}}
	up := connect(t, h.start(t), client.WithPlaintext())
	down := connect(t, "127.0.0.1:1", client.WithPlaintext(), client.WithRetry(100, time.Hour, 0))
	for name, c := range map[string]*client.Client{"a board": up, "a server": down} {
		ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
		defer cancel()
		_, err := seen(ctx, c, &pb.WatchScoreboardRequest{Event: "spring-cup"})
		if !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("waiting for %s ends with %v", name, err)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	var end error
	for board, err := range connect(t, (&hall{streams: streams{silent}}).start(t), client.WithPlaintext()).WatchScoreboard(ctx, &pb.WatchScoreboardRequest{Event: "spring-cup"}) {
		if end = err; board != nil {
			cancel()
		}
	}
	var e *client.Error
	if !errors.Is(end, context.Canceled) || !errors.As(end, &e) {
		t.Errorf("given up, it ends with %v", end)
	}
}

// TestLeavingAWatchEndsItsStream leaves after the first board; the server sees it.
func TestLeavingAWatchEndsItsStream(t *testing.T) {
	left := make(chan struct{})
	h := &hall{streams: streams{func(s grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error {
		defer close(left)
		return silent(s)
	}}}
	c := connect(t, h.start(t), client.WithPlaintext())
	for board, err := range c.WatchScoreboard(t.Context(), &pb.WatchScoreboardRequest{Event: "spring-cup"}) {
		if err != nil || board.GetSequence() != 1 {
			t.Errorf("got %v, %v", board, err)
		}
		break
	}
	select {
	case <-left:
	case <-time.After(time.Minute):
		t.Error("the stream goes on after its reader has left")
	}
}
