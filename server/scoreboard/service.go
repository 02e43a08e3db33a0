package scoreboard

import (
	"context"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/encoding"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
)

// Heartbeat is how long a stream is silent at most.
const Heartbeat = 15 * time.Second

// Service implements ScoreboardService.
type Service struct {
	pb.UnimplementedScoreboardServiceServer

	events *event.Service
	hub    *Hub
	beat   time.Duration
}

// New makes the service. beat is how long a stream is silent at most; 0 means
// Heartbeat.
func New(events *event.Service, hub *Hub, beat time.Duration) *Service {
	if beat <= 0 {
		beat = Heartbeat
	}
	return &Service{events: events, hub: hub, beat: beat}
}

// GetScoreboard shows the scoreboard as it is now.
func (s *Service) GetScoreboard(ctx context.Context, req *pb.GetScoreboardRequest) (*pb.GetScoreboardResponse, error) {
	res := &pb.GetScoreboardResponse{}
	err := s.events.View(ctx, req.GetEvent(), access.Actor{}, func(r *event.Reader) error {
		res.Scoreboard = Board(r)
		return nil
	})
	return res, errs.Of(err, req)
}

// WatchScoreboard sends the scoreboard now and after every change.
func (s *Service) WatchScoreboard(req *pb.WatchScoreboardRequest, stream grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error {
	ctx := stream.Context()
	// What is encoded once must be the same for all.
	if err := grpc.SetSendCompressor(ctx, encoding.Identity); err != nil {
		return errs.Internal(err)
	}
	w, err := s.watch(ctx, req.GetEvent(), req.AfterSequence)
	if err != nil {
		return err
	}
	defer w.Leave()
	done := make(chan error, 1)
	go func() {
		done <- w.send(ctx, s.beat, func(f *Frame, reset bool) error { return f.send(stream, reset) }, func(seq uint64) error {
			return stream.Send(&pb.WatchScoreboardResponse{
				Update: &pb.WatchScoreboardResponse_Heartbeat{Heartbeat: &pb.Heartbeat{Sequence: seq}},
			})
		})
	}()
	select {
	case err := <-done:
		return err
	case <-w.Cut:
	}
	// A watcher that reads nothing any more holds the sender up for ever; to
	// return is what ends it. One that is only slow may take what it was sent.
	patience := time.NewTimer(writeTime)
	defer patience.Stop()
	select {
	case err := <-done:
		return err
	case <-patience.C:
		return w.Err()
	}
}

// watching is a watcher with what it is to be sent first.
type watching struct {
	*Watcher

	first []*Frame
	reset bool
	after uint64 // what the watcher has already
}

func (s *Service) watch(ctx context.Context, name string, after *uint64) (*watching, error) {
	w, first, reset, err := s.hub.Join(ctx, name, after)
	if err != nil {
		return nil, err
	}
	out := &watching{Watcher: w, first: first, reset: reset}
	if after != nil {
		out.after = *after
	}
	return out, nil
}

// send sends frames and, while there are none, heartbeats, until the watcher
// leaves, is too slow, or the server stops.
func (w *watching) send(ctx context.Context, every time.Duration, frame func(f *Frame, reset bool) error, beat func(seq uint64) error) error {
	silent := time.NewTimer(every)
	defer silent.Stop()
	sent := w.after
	for _, f := range w.first {
		if err := frame(f, w.reset); err != nil {
			return err
		}
		sent = f.Seq
	}
	for {
		select {
		case <-ctx.Done():
			return errs.Context(ctx)
		case <-w.Cut:
			return w.Err()
		case <-w.Woke:
			for _, f := range w.Take() {
				if err := frame(f, false); err != nil {
					return err
				}
				sent = f.Seq
			}
		case <-silent.C:
			if err := beat(sent); err != nil {
				return err
			}
		}
		silent.Reset(every)
	}
}
