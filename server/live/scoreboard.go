package live

import (
	"context"
	"time"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
)

// Heartbeat is how long a stream is silent at most.
const Heartbeat = 15 * time.Second

// Service implements ScoreboardService.
type Service struct {
	pb.UnimplementedScoreboardServiceServer

	hub  *Hub
	beat time.Duration
}

// New makes the service. beat is how long a stream is silent at most; 0 means
// Heartbeat.
func New(hub *Hub, beat time.Duration) *Service {
	if beat <= 0 {
		beat = Heartbeat
	}
	return &Service{hub: hub, beat: beat}
}

// Needs is what each call of ScoreboardService asks of its caller.
func Needs() access.Needs {
	return access.Needs{
		pb.ScoreboardService_GetScoreboard_FullMethodName:   {Read: true},
		pb.ScoreboardService_WatchScoreboard_FullMethodName: {Read: true},
		pb.ScoreboardService_ListPlaces_FullMethodName:      {Read: true},
	}
}

// GetScoreboard shows the scoreboard as it is now.
func (s *Service) GetScoreboard(ctx context.Context, req *pb.GetScoreboardRequest) (*pb.GetScoreboardResponse, error) {
	if copied := s.hub.copies.Board(req.GetEvent()); copied != nil { // without its places
		return &pb.GetScoreboardResponse{Scoreboard: copied}, nil
	}
	res := &pb.GetScoreboardResponse{}
	err := s.hub.read(ctx, req.GetEvent(), func(p *parts) error {
		res.Scoreboard = p.board()
		return nil
	})
	return res, errs.From(err, req)
}

// WatchScoreboard sends the scoreboard now and after every change.
func (s *Service) WatchScoreboard(req *pb.WatchScoreboardRequest, stream grpc.ServerStreamingServer[pb.WatchScoreboardResponse]) error {
	w, err := s.hub.JoinBoard(stream.Context(), req.GetEvent(), req.AfterSequence, req.GetChanges())
	if err != nil {
		return err
	}
	return s.stream(w, stream, func(beat *pb.Heartbeat) error {
		return stream.Send(&pb.WatchScoreboardResponse{
			Update: &pb.WatchScoreboardResponse_Heartbeat{Heartbeat: beat},
		})
	})
}
