package offline

import (
	"context"
	"io"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// stream is the server's side of a stream whose other side is a sequence of
// segments and a range over the results.
type stream struct {
	grpc.ServerStream // none: scoring only receives and sends

	ctx   context.Context // a gRPC stream carries its context
	next  func() (*pb.ScoreSegmentRequest, bool)
	yield func(*pb.SegmentResult, error) bool
	left  bool // the reader has left the range
}

func (s *stream) Context() context.Context { return s.ctx }

func (s *stream) Recv() (*pb.ScoreSegmentsRequest, error) {
	if err := errs.Context(s.ctx); err != nil {
		return nil, err
	}
	segment, ok := s.next()
	if !ok {
		return nil, io.EOF
	}
	return &pb.ScoreSegmentsRequest{Segment: segment}, nil
}

func (s *stream) Send(answer *pb.ScoreSegmentsResponse) error {
	if !s.yield(answer.GetResult(), nil) {
		s.left = true
		return context.Canceled
	}
	return nil
}
