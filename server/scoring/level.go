package scoring

import (
	"context"
	"fmt"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
)

// CallLevels returns the levels of a program's elements.
func (s *Service) CallLevels(_ context.Context, req *pb.CallLevelsRequest) (*pb.CallLevelsResponse, error) {
	res, err := s.Levels(req)
	if err != nil {
		return nil, errs.From(err, req)
	}
	return res, nil
}

// Levels is what the call shares with the calls of a technical panel.
func (s *Service) Levels(req *pb.CallLevelsRequest) (*pb.CallLevelsResponse, rules.FieldErrors) {
	season, current, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err != nil {
		return nil, err
	}
	return LevelsIn(season, current, req)
}

// LevelsIn is Levels by a season that was found already. current is the warning
// that came with it, or nil.
func LevelsIn(season *rules.Season, current *rules.Warning, req *pb.CallLevelsRequest) (*pb.CallLevelsResponse, rules.FieldErrors) {
	program, faults := toProgram(req)
	category, where := ask.Place(season, req.GetCategory(), req.GetSegment())
	faults = append(where, faults...)
	if category == nil { // the elements are checked all the same, so that all faults come together
		program.Discipline = level.DisciplineOf(program.Elements)
	} else {
		program.MaxLevel, program.Cap, program.CategoryLevel = category.MaxLevel, &category.Cap, category.Level
		program.Discipline = category.Discipline
	}
	faults = append(faults, textFaults(level.Check(season.Levels, program), req)...)
	if len(faults) > 0 {
		return nil, faults
	}
	called := callLevels(season.Levels, program)
	warnings := called.Warnings
	res := &pb.CallLevelsResponse{
		Elements: make([]*pb.CalledElement, len(called.Elements)),
		Caution:  called.Caution,
		Rules:    answer.RulesInfo(season),
	}
	valued, err := value.NewContext(season, req.GetCategory(), req.GetSegment(), "")
	for i := range called.Elements {
		var found rules.Warnings
		base := calledBase(&valued, err == nil, &called.Elements[i], &found)
		for j := range found {
			warnings.Add(&found[j], fmt.Sprintf("elements[%d]", i))
		}
		res.Elements[i] = fromCall(&program.Elements[i], &called.Elements[i], base)
	}
	res.Warnings = answer.Warnings(current, warnings)
	return res, nil
}

// calledBase returns the base value of a called code as it is printed, or "" and
// a note when the season's table has none.
func calledBase(in *value.Context, known bool, call *level.Called, warnings *rules.Warnings) string {
	if call.NoValue {
		return rules.Points(0).String()
	}
	if known && call.Code != "" {
		if v, err := in.Elements(nil, []value.Skated{{Code: call.Code}}, warnings); err == nil {
			return v[0].Base.String()
		}
	}
	if call.Code == "" {
		return "" // the notes say what the code lacks
	}
	call.Notes = append(call.Notes, fmt.Sprintf("The table of season %s has no base value for %s, so none is given.", in.Season.Params.Season, call.Code))
	return ""
}
