package scoring

import (
	"context"
	"fmt"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
)

// CallLevels gives the levels of a program's elements.
func (s *Service) CallLevels(_ context.Context, req *pb.CallLevelsRequest) (*pb.CallLevelsResponse, error) {
	res, err := s.Levels(req)
	if err != nil {
		return nil, errs.Status(err, req)
	}
	return res, nil
}

// Levels is what the call shares with the calls of a technical panel. Errors are
// rules.FieldErrors.
func (s *Service) Levels(req *pb.CallLevelsRequest) (*pb.CallLevelsResponse, error) {
	season, current, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err != nil {
		return nil, err
	}
	program, faults := toProgram(req)
	category, where := place(season, req.GetCategory(), req.GetSegment())
	faults = append(where, faults...)
	if category != nil {
		program.MaxLevel = category.MaxLevel
		if category.Discipline != rules.Singles {
			faults.Add("category", rules.ReasonRulesNotAvailable,
				"season %s has no level rules for %s; it has those of single skating", season.Params.Season, category.Discipline)
		}
	}
	faults = append(faults, level.Check(season.Levels, program)...)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	called := level.Call(season.Levels, program)
	warnings := called.Warnings
	res := &pb.CallLevelsResponse{
		Elements: make([]*pb.CalledElement, len(called.Elements)),
		Rules:    answer.RulesInfo(season),
	}
	for i := range called.Elements {
		base, warning := calledBase(season, category, &called.Elements[i])
		if warning != nil {
			warnings.Add(warning.Code, warning.Rule, warning.Message)
		}
		res.Elements[i] = fromCall(&called.Elements[i], base)
	}
	res.Warnings = answer.Warnings(current, warnings)
	return res, nil
}

// calledBase gives the base value of a called code as it is printed, or "" and
// a warning when the season's table has none.
func calledBase(season *rules.Season, category *rules.Category, call *level.Called) (string, *rules.Warning) {
	if call.NoValue {
		return rules.Points(0).String(), nil
	}
	if table := season.Table(category.Discipline); table != nil {
		if row, _ := table.Find(call.Code, ""); row != nil {
			return row.Base.String(), row.Warn
		}
	}
	return "", &rules.Warning{
		Code: rules.WarnLowConfidence, Rule: call.Code,
		Message: fmt.Sprintf("the table of season %s has no base value for %s, so none is given", season.Params.Season, call.Code),
	}
}
