package scoring

import (
	"context"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
)

// ScoreSegment returns the total of one segment.
func (s *Service) ScoreSegment(_ context.Context, req *pb.ScoreSegmentRequest) (*pb.ScoreSegmentResponse, error) {
	res, err := s.score(req)
	if err != nil {
		return nil, errs.From(err, req)
	}
	return res, nil
}

// score is what the unary call, the stream and the batch share.
func (s *Service) score(req *pb.ScoreSegmentRequest) (*pb.ScoreSegmentResponse, rules.FieldErrors) {
	season, current, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err != nil {
		return nil, ask.WithoutSeason(err, req.GetCategory(), req.GetSegment(), codesOf(req.GetElements()))
	}
	if faults := tooLong(req); len(faults) > 0 {
		_, where := ask.Place(season, req.GetCategory(), req.GetSegment())
		return nil, append(where, faults...)
	}
	w := newWork()
	defer w.done()
	in := &w.in
	faults := toSegment(req, season, in)
	result, wrong := w.Compute(season, in)
	if len(wrong) > 0 {
		if _, where := ask.Place(season, in.Category, in.Segment); len(where) > 0 {
			// The calculation stops at the first of these; a caller wants all
			// faults at once.
			return nil, append(append(where, ask.Codes(codesOf(req.GetElements()))...), faults...)
		}
		return nil, append(wrong, faults...)
	}
	if len(faults) > 0 {
		return nil, faults
	}
	res := fromResult(result)
	res.Rules = answer.RulesInfo(season)
	res.Warnings = answer.Warnings(current, result.Warnings)
	return res, nil
}

func codesOf(elements []*pb.MarkedElement) []value.Skated {
	skated := make([]value.Skated, len(elements))
	for i, e := range elements {
		skated[i].Code = e.GetCode()
	}
	return skated
}
