//go:build !js

// The engine as WebAssembly has no streams: whoever has it calls ScoreSegment.

package scoring

import (
	"errors"
	"io"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/batch"
	"github.com/rinktally/rinktally/server/errs"
)

// ScoreSegments scores a stream of segments, each answered in order before the
// next one is read, so that a slow reader slows the sender and nothing piles up.
func (s *Service) ScoreSegments(stream grpc.BidiStreamingServer[pb.ScoreSegmentsRequest, pb.ScoreSegmentsResponse]) error {
	for {
		req, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err // the transport's own status
		}
		result := batch.One(func() (*pb.SegmentResult, error) {
			if req.GetSegment() == nil {
				var missing rules.FieldErrors
				missing.Add("segment", rules.ReasonFieldRequired, "is missing")
				return nil, errs.From(missing, req)
			}
			return s.scored(req.GetSegment())
		}, segmentFailed)
		if err := stream.Send(&pb.ScoreSegmentsResponse{Result: result}); err != nil {
			return err
		}
	}
}
