package scoreboard

import (
	"context"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/encoding"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event/api"
)

// Heartbeat is how long a stream is silent at most.
const Heartbeat = 15 * time.Second

// Service implements ScoreboardService.
type Service struct {
	pb.UnimplementedScoreboardServiceServer

	events *api.Service
	hub    *Hub
	beat   time.Duration
}

// New makes the service. beat is how long a stream is silent at most; 0 means
// Heartbeat.
func New(events *api.Service, hub *Hub, beat time.Duration) *Service {
	if beat <= 0 {
		beat = Heartbeat
	}
	return &Service{events: events, hub: hub, beat: beat}
}

// Needs is what each call of ScoreboardService asks of its caller.
func Needs() access.Needs {
	return access.Needs{
		pb.ScoreboardService_GetScoreboard_FullMethodName:   {Read: true},
		pb.ScoreboardService_WatchScoreboard_FullMethodName: {Read: true},
	}
}

// GetScoreboard shows the scoreboard as it is now.
func (s *Service) GetScoreboard(ctx context.Context, req *pb.GetScoreboardRequest) (*pb.GetScoreboardResponse, error) {
	res := &pb.GetScoreboardResponse{}
	err := s.events.View(ctx, req.GetEvent(), access.Actor{}, func(r *api.Reader) error {
		res.Scoreboard = Board(r)
		return nil
	})
	return res, errs.From(err, req)
}

// WatchScoreboard sends the scoreboard now and after every change.
func (s *Service) WatchScoreboard(req *pb.WatchScoreboardRequest, stream grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error {
	ctx := stream.Context()
	// What is encoded once must be the same for all.
	if err := grpc.SetSendCompressor(ctx, encoding.Identity); err != nil {
		return errs.Internal(err)
	}
	w, err := s.hub.Join(ctx, req.GetEvent(), req.AfterSequence)
	if err != nil {
		return err
	}
	defer w.Leave()
	done := make(chan error, 1)
	go func() {
		done <- s.send(ctx, w, func(f *Frame, reset bool) error { return f.send(stream, reset) }, func(seq uint64) error {
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

// send sends frames and, while there are none, heartbeats, until the watcher
// leaves, is too slow, or the server stops.
func (s *Service) send(ctx context.Context, w *Watcher, frame func(f *Frame, reset bool) error, beat func(seq uint64) error) error {
	silent := time.NewTimer(s.beat)
	defer silent.Stop()
	for {
		for f, reset := w.Next(); f != nil; f, reset = w.Next() {
			if err := frame(f, reset); err != nil {
				return err
			}
		}
		silent.Reset(s.beat)
		select {
		case <-ctx.Done():
			return errs.Context(ctx)
		case <-w.Cut:
			return w.Err()
		case <-w.Woke:
		case <-silent.C:
			if err := beat(w.seen); err != nil {
				return err
			}
		}
	}
}
