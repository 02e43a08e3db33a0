// Package program answers ProgramService: what a program is worth under a
// season's rules, what is struck in it and why.
package program

import (
	"context"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	content "github.com/rinktally/rinktally/rules/program"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/tables"
)

// Service implements ProgramService over season tables. It keeps nothing.
type Service struct {
	tables *tables.Tables
}

// New makes the service.
func New(t *tables.Tables) *Service { return &Service{tables: t} }

// CheckProgram says how a season credits a program, and beside it how a second
// season would.
func (s *Service) CheckProgram(_ context.Context, req *pb.CheckProgramRequest) (*pb.CheckProgramResponse, error) {
	in, faults := toProgram(req)
	var out leftOut
	if req.GetPartial() {
		faults = out.take(faults)
	}
	season, warning, unknown := s.tables.Season(req.GetSeason(), req.GetRevision())
	if len(unknown) > 0 {
		faults = append(faults, ask.WithoutSeason(unknown, in.Category, in.Segment, skated(in))...)
		return nil, errs.From(faults, req)
	}
	res, wrong := check(season, warning, in, req)
	for req.GetPartial() && len(wrong) > 0 && out.takeElements(in, wrong) {
		res, wrong = check(season, warning, in, req)
	}
	faults = append(faults, wrong...)
	if req.GetCompareSeason() != "" {
		compared, wrong := s.compare(season, in, req)
		switch {
		case req.GetPartial():
			out.add(wrong...)
		case len(faults) == 0, len(wrong) > 0 && wrong[0].Reason == rules.ReasonSeasonUnknown:
			// What is wrong with the program itself is reported for the first season only.
			faults = append(faults, wrong...)
		}
		if len(faults) == 0 {
			res.Compared = compared
		}
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	res.LeftOut = out.messages
	return res, nil
}

// check answers under one season. Faults name their paths in the request.
func check(season *rules.Season, current *rules.Warning, in *content.Program, req *pb.CheckProgramRequest) (*pb.CheckProgramResponse, rules.FieldErrors) {
	if _, faults := ask.Place(season, in.Category, in.Segment); len(faults) > 0 {
		return nil, append(faults, ask.Codes(skated(in))...)
	}
	result, faults := content.Check(season, in)
	if len(faults) > 0 {
		return nil, paths(faults, req.GetComponents())
	}
	res := fromResult(in, result)
	res.Rules = answer.RulesInfo(season)
	res.Warnings = answer.Warnings(current, inRequest(in, result.Warnings))
	return res, nil
}
