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

// ValueElements returns the base values of a program's elements.
func (s *Service) ValueElements(_ context.Context, req *pb.ValueElementsRequest) (*pb.ValueElementsResponse, error) {
	season, current, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	skated := toSkated(req.GetElements())
	if err != nil {
		return nil, errs.From(ask.WithoutSeason(err, req.GetCategory(), req.GetSegment(), skated), req)
	}
	_, faults := ask.Place(season, req.GetCategory(), req.GetSegment())
	if len(skated) == 0 {
		faults.Add("elements", rules.ReasonFieldRequired, "is empty: give the elements in the order skated")
	}
	if len(faults) > 0 {
		return nil, errs.From(append(faults, ask.Codes(skated)...), req)
	}
	place, err := value.NewContext(season, req.GetCategory(), req.GetSegment(), req.GetScope())
	if err != nil {
		return nil, errs.From(err, req)
	}
	var found rules.Warnings
	valued, err := place.Elements(make([]value.Valued, 0, len(skated)), skated, &found)
	if err != nil {
		return nil, errs.From(err, req)
	}
	res := &pb.ValueElementsResponse{
		Elements: make([]*pb.ValuedElement, len(valued)),
		Rules:    answer.RulesInfo(season),
		Warnings: answer.Warnings(current, found),
	}
	var total rules.Points
	for i := range valued {
		v := &valued[i]
		total += v.Base
		res.Elements[i] = &pb.ValuedElement{
			Code: v.Element.String(), BaseValue: answer.Points(v.Base), Parts: answer.Parts(v), Factors: answer.Factors(v),
		}
	}
	res.TotalBaseValue = total.String()
	return res, nil
}
