package scoring

import (
	"context"

	spb "google.golang.org/genproto/googleapis/rpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/batch"
	"github.com/rinktally/rinktally/server/errs"
)

// BatchScoreSegments scores many segments. A bad one is answered with its error.
func (s *Service) BatchScoreSegments(ctx context.Context, req *pb.BatchScoreSegmentsRequest) (*pb.BatchScoreSegmentsResponse, error) {
	if err := s.checkBatch(req, "segments", len(req.GetSegments())); err != nil {
		return nil, err
	}
	results, err := batch.Each(ctx, req.GetSegments(), func(i int, segment *pb.ScoreSegmentRequest) (*pb.SegmentResult, error) {
		result, err := s.scored(batch.Inherit(segment, req))
		batch.Place("segments", i, result.GetScore().GetWarnings())
		return result, err
	}, segmentFailed)
	if err != nil {
		return nil, err
	}
	return &pb.BatchScoreSegmentsResponse{Results: results}, nil
}

// BatchCallLevels calls the levels of many programs. A bad one is answered with its
// error.
func (s *Service) BatchCallLevels(ctx context.Context, req *pb.BatchCallLevelsRequest) (*pb.BatchCallLevelsResponse, error) {
	if err := s.checkBatch(req, "programs", len(req.GetPrograms())); err != nil {
		return nil, err
	}
	results, err := batch.Each(ctx, req.GetPrograms(), func(i int, program *pb.CallLevelsRequest) (*pb.LevelsResult, error) {
		levels, err := s.CallLevels(ctx, batch.Inherit(program, req))
		batch.Place("programs", i, levels.GetWarnings())
		return &pb.LevelsResult{Result: &pb.LevelsResult_Levels{Levels: levels}}, err
	}, func(status *spb.Status) *pb.LevelsResult {
		return &pb.LevelsResult{Result: &pb.LevelsResult_Error{Error: status}}
	})
	if err != nil {
		return nil, err
	}
	return &pb.BatchCallLevelsResponse{Results: results}, nil
}

// checkBatch refuses a batch as a whole: for the number of its items, its season or
// its revision.
func (s *Service) checkBatch(req batch.Request, field string, items int) error {
	_, _, faults := s.tables.Season(req.GetSeason(), req.GetRevision())
	return errs.From(append(faults, batch.Count(field, items)...).Err(), req)
}

// scored scores one segment of many.
func (s *Service) scored(req *pb.ScoreSegmentRequest) (*pb.SegmentResult, error) {
	score, err := s.score(req)
	if err != nil {
		return nil, errs.From(err, req)
	}
	return &pb.SegmentResult{Result: &pb.SegmentResult_Score{Score: score}}, nil
}

func segmentFailed(status *spb.Status) *pb.SegmentResult {
	return &pb.SegmentResult{Result: &pb.SegmentResult_Error{Error: status}}
}
