package scoring

import (
	"context"
	"fmt"

	spb "google.golang.org/genproto/googleapis/rpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/batch"
	"github.com/rinktally/rinktally/server/errs"
)

// ParseElements says what element codes stand for. A bad one is answered with its
// error.
func (s *Service) ParseElements(ctx context.Context, req *pb.ParseElementsRequest) (*pb.ParseElementsResponse, error) {
	season, current, faults := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err := append(faults, batch.Count("codes", len(req.GetCodes()))...).Err(); err != nil {
		return nil, errs.From(err, req)
	}
	results, err := batch.Each(ctx, req.GetCodes(), func(i int, code string) (*pb.ParsedResult, error) {
		read, wrong := value.Read(season, code)
		if wrong != nil {
			wrong.Field = fmt.Sprintf("codes[%d]", i)
			return nil, errs.From(*wrong, req)
		}
		return &pb.ParsedResult{Result: &pb.ParsedResult_Element{Element: fromReading(code, &read)}}, nil
	}, func(status *spb.Status) *pb.ParsedResult {
		return &pb.ParsedResult{Result: &pb.ParsedResult_Error{Error: status}}
	})
	if err != nil {
		return nil, err
	}
	return &pb.ParseElementsResponse{Results: results, Rules: answer.RulesInfo(season), Warnings: answer.Warnings(current, nil)}, nil
}

func fromReading(given string, r *value.Reading) *pb.ParsedElement {
	e := &r.Element
	out := &pb.ParsedElement{
		Given: given, Code: e.String(), Respelled: r.Respelled, Kind: r.Kind.String(), Name: e.Describe(),
		Markers: e.Markers().Texts(), KeyPoints: e.KeyPoints, NoValue: e.NoValue(), Disciplines: texts(r.Disciplines),
	}
	for i := range e.Parts() {
		out.Parts = append(out.Parts, fromPart(&e.Parts()[i]))
	}
	return out
}

func fromPart(p *element.Part) *pb.ParsedPart {
	part := &pb.ParsedPart{
		Code: p.Text, Bare: p.Bare(), Name: p.Describe(), Kind: p.Kind.String(), Turns: int32(p.Turns), NoValue: p.NoValue,
	}
	if p.Level != 0 {
		part.Level = string(p.Level)
	}
	for _, sign := range []string{p.EdgeSign(), p.Rotation.String(), p.Reduced.String()} {
		if sign != "" {
			part.Signs = append(part.Signs, sign)
		}
	}
	return part
}

func texts(list []rules.Discipline) []string {
	out := make([]string, len(list))
	for i, d := range list {
		out[i] = string(d)
	}
	return out
}
