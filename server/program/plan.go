package program

import (
	"context"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/plan"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
)

// PlanProgram finds the best program of what a skater can do. When the call's time is
// nearly over it answers with the best that it has found.
func (s *Service) PlanProgram(ctx context.Context, req *pb.PlanProgramRequest) (*pb.PlanProgramResponse, error) {
	in, faults := toPlan(req)
	season, current, unknown := s.tables.Season(req.GetSeason(), req.GetRevision())
	if len(unknown) > 0 {
		faults = append(append(unknown, ask.PlaceRequired(in.Category, in.Segment)...), faults...)
		return nil, errs.From(faults, req)
	}
	if _, wrong := ask.Place(season, in.Category, in.Segment); len(wrong) > 0 {
		return nil, errs.From(append(wrong, faults...), req)
	}
	planner, wrong := plan.Read(season, in)
	faults = append(faults, paths(wrong, req.GetComponents())...)
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	result, wrong := planner.Best(over(ctx))
	if err := wrong.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	if ctx.Err() != nil {
		return nil, errs.Context(ctx)
	}
	res := fromPlan(result)
	res.Rules = answer.RulesInfo(season)
	res.Warnings = answer.Warnings(current, result.Warnings)
	return res, nil
}

// longest is the time of a call that has no deadline, as one in process.
const longest = 10 * time.Second

// over reports whether a call has used up the time for its search: four fifths of what it
// was given, so that there is time to answer.
func over(ctx context.Context) func() bool {
	given := longest
	if deadline, has := ctx.Deadline(); has {
		given = time.Until(deadline)
	}
	end := time.Now().Add(given * 4 / 5)
	return func() bool { return ctx.Err() != nil || time.Now().After(end) }
}

// toPlan turns a request into what is planned for, with the faults of what that cannot
// hold. A value at fault is left as one that is not at fault again.
func toPlan(req *pb.PlanProgramRequest) (*plan.Request, rules.FieldErrors) {
	r := &planReader{}
	in := &plan.Request{
		Category: req.GetCategory(), Segment: req.GetSegment(), Scope: req.GetScope(), Plans: int(req.GetPlans()), Scores: req.GetScores(),
		Aim: r.aim(req.GetAim()), SecondHalf: r.secondHalf(req.GetSecondHalf()), Target: r.target(req.GetTarget()),
	}
	for i, a := range req.GetAbilities() {
		if i > plan.MaxAbilities { // which is refused as a whole
			in.Abilities = make([]plan.Ability, len(req.GetAbilities()))
			break
		}
		in.Abilities = append(in.Abilities, r.ability(fieldOf("abilities", i), a))
	}
	for _, k := range req.GetKeep() {
		in.Keep = append(in.Keep, plan.Keep{Code: k.GetCode(), SecondHalf: k.SecondHalf})
	}
	for i, l := range req.GetLimits() {
		if l.AtMost == nil {
			r.faults.Add(fieldOf("limits", i)+".atMost", rules.ReasonFieldRequired, "is missing: say how many of them the program may have, 0 or more")
		}
		in.Limits = append(in.Limits, plan.Limit{Jump: l.GetJump(), Turns: int(l.GetTurns()), AtMost: int(l.GetAtMost())})
	}
	in.Components = toComponents(req.GetComponents(), &r.faults)
	return in, r.faults
}
