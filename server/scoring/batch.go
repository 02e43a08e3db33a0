package scoring

import (
	"context"
	"fmt"

	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
)

// MaxBatch is the largest number of segments of one batch.
const MaxBatch = 1000

// BatchScoreSegments scores up to MaxBatch segments. A bad one is answered with
// its error.
func (s *Service) BatchScoreSegments(ctx context.Context, req *pb.BatchScoreSegmentsRequest) (*pb.BatchScoreSegmentsResponse, error) {
	var faults rules.FieldErrors
	switch n := len(req.GetSegments()); {
	case n == 0:
		faults.Add("segments", rules.ReasonFieldRequired, "is empty: give %s segments", rules.Allow("1 to %d", MaxBatch))
	case n > MaxBatch:
		faults.Add("segments", rules.ReasonTooManyItems, "has %d segments; allowed in one call are %s; send several, or use the stream", n, rules.Allow("1 to %d", MaxBatch))
	}
	_, _, unknown := s.tables.Season(req.GetSeason(), req.GetRevision())
	faults = append(unknown, faults...)
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	res := &pb.BatchScoreSegmentsResponse{Results: make([]*pb.SegmentResult, len(req.GetSegments()))}
	for i, segment := range req.GetSegments() {
		if ctx.Err() != nil {
			return nil, errs.Context(ctx)
		}
		res.Results[i] = s.result(inherit(segment, req))
		for _, w := range res.Results[i].GetScore().GetWarnings() {
			for j, field := range w.GetFields() {
				w.Fields[j] = fmt.Sprintf("segments[%d].%s", i, field)
			}
		}
	}
	return res, nil
}

// inherit returns a segment with the season and revision of its batch where it
// names none. A segment of another season does not get the batch's revision. The
// request itself is not changed.
func inherit(segment *pb.ScoreSegmentRequest, batch *pb.BatchScoreSegmentsRequest) *pb.ScoreSegmentRequest {
	if segment.GetSeason() != "" {
		return segment
	}
	// The lists are shared: a deep copy would cost as much as the scoring.
	own := &pb.ScoreSegmentRequest{}
	segment.ProtoReflect().Range(func(field protoreflect.FieldDescriptor, value protoreflect.Value) bool {
		own.ProtoReflect().Set(field, value)
		return true
	})
	own.Season = batch.GetSeason()
	if own.GetRevision() == "" {
		own.Revision = batch.GetRevision()
	}
	return own
}

// result scores one segment of many. A fault of the program in one segment
// must not take the others with it.
func (s *Service) result(req *pb.ScoreSegmentRequest) (res *pb.SegmentResult) {
	defer func() {
		if p := recover(); p != nil {
			res = failed(errs.Internal(fmt.Errorf("segment: panic: %v", p)))
		}
	}()
	scored, err := s.score(req)
	if err != nil {
		return failed(errs.From(err, req))
	}
	return &pb.SegmentResult{Result: &pb.SegmentResult_Score{Score: scored}}
}

func failed(err error) *pb.SegmentResult {
	return &pb.SegmentResult{Result: &pb.SegmentResult_Error{Error: errs.Proto(err)}}
}
