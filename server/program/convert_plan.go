package program

import (
	"fmt"
	"math"
	"math/big"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/plan"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/ask"
)

// fieldOf is the path of an item of a list.
func fieldOf(list string, i int) string { return fmt.Sprintf("%s[%d]", list, i) }

// planReader turns the numbers of a request into exact ones.
type planReader struct{ faults rules.FieldErrors }

// chance reads a chance to a millionth. What is no number between -1000 and 1000 is at
// fault; whether it is a chance is for the plan.
func (r *planReader) chance(field string, x *float64) plan.Chance {
	switch {
	case x == nil:
		r.faults.Add(field, rules.ReasonFieldRequired, "is missing: give a chance, 0 to 1")
	case !(math.Abs(*x) <= 1000):
		r.faults.Add(field, rules.ReasonFieldInvalid, "is %s; allowed is %s", ask.Number(*x), rules.Allowed("0 to 1"))
	default:
		return plan.Chance(math.Round(*x * float64(plan.One)))
	}
	return 0
}

// grade reads a mean grade in hundredths.
func (r *planReader) grade(field string, x *float64) rules.Points {
	if x == nil {
		r.faults.Add(field, rules.ReasonFieldRequired, "is missing: give the mean grade of execution, such as 1.2")
		return 0
	}
	grade, ok := ask.Hundredths(*x)
	if !ok {
		r.faults.Add(field, ask.Refused(*x), "is %s; allowed are %s", ask.Number(*x), rules.Allowed("steps of 0.01, such as 1.25"))
	}
	return grade
}

func (r *planReader) ability(field string, a *pb.Ability) plan.Ability {
	out := plan.Ability{
		Code: a.GetCode(), Success: r.chance(field+".success", a.Success), Grade: r.grade(field+".grade", a.Grade),
		Attempts: int(a.GetAttempts()), AtMost: count(a.AtMost),
	}
	for j, m := range a.GetMisses() {
		if j > plan.MaxMisses { // which is refused as a whole
			break
		}
		at := fieldOf(field+".misses", j)
		out.Misses = append(out.Misses, plan.Miss{
			Code: m.GetCode(), Chance: r.chance(at+".chance", m.Chance), Grade: r.grade(at+".grade", m.Grade), Fall: m.GetFall(),
		})
	}
	return out
}

// count turns an optional number.
func count(n *int32) *int {
	if n == nil {
		return nil
	}
	whole := int(*n)
	return &whole
}

func (r *planReader) secondHalf(h *pb.SecondHalfCost) plan.SecondHalf {
	out := plan.SecondHalf{Success: plan.One}
	if h == nil {
		return out
	}
	if h.Success != nil {
		out.Success = r.chance("secondHalf.success", h.Success)
	}
	out.Grade, out.AtMost = r.grade("secondHalf.grade", proto.Float64(h.GetGrade())), count(h.AtMost)
	return out
}

func (r *planReader) aim(aim pb.PlanAim_Value) plan.Aim {
	switch aim {
	case pb.PlanAim_PLAN_AIM_UNSPECIFIED, pb.PlanAim_EXPECTED_SCORE:
	case pb.PlanAim_CHANCE_OF_TARGET:
		return plan.ChanceOfTarget
	default:
		r.faults.Add("aim", rules.ReasonFieldInvalid, "is %d; allowed are %s", aim, rules.Allowed("EXPECTED_SCORE, CHANCE_OF_TARGET"))
	}
	return plan.ExpectedScore
}

func (r *planReader) target(text string) *rules.Points {
	if text == "" {
		return nil
	}
	target, err := rules.ParsePoints(text)
	if err != nil {
		r.faults.Add("target", rules.ReasonFieldInvalid, "%v", err)
	}
	return &target
}

// mean prints an exact mean in points, rounded once.
func mean(x *big.Rat) string { return answer.Points(plan.Round(x)) }

// number returns an exact number as JSON carries it, to a millionth.
func number(x *big.Rat) float64 { return float64(plan.Millionths(x)) / float64(plan.One) }

func fromPlan(r *plan.Result) *pb.PlanProgramResponse {
	res := &pb.PlanProgramResponse{Optimal: r.Optimal, Caution: plan.Caution}
	if r.Bound != nil {
		res.Bound = mean(r.Bound)
	}
	for i := range r.Plans {
		res.Plans = append(res.Plans, fromOnePlan(&r.Plans[i]))
	}
	for i := range r.Practice {
		x := &r.Practice[i]
		p := &pb.PracticeWorth{Code: x.Code, InPlan: x.InPlan, Gain: mean(x.Gain), Message: x.Message}
		if x.Needed != nil {
			p.Needed = proto.Float64(fromChance(*x.Needed))
		}
		res.Practice = append(res.Practice, p)
	}
	for _, a := range r.Assumed {
		assumed := &pb.AssumedMisses{Ability: int32(a.Ability)}
		for _, m := range a.Misses {
			assumed.Misses = append(assumed.Misses, &pb.Miss{
				Code: m.Code, Chance: proto.Float64(fromChance(m.Chance)), Grade: proto.Float64(fromGrade(m.Grade)), Fall: m.Fall,
			})
		}
		res.Assumed = append(res.Assumed, assumed)
	}
	for i := range r.Unusable {
		u := &r.Unusable[i]
		res.Unusable = append(res.Unusable, &pb.UnusableAbility{Ability: int32(u.Ability), Finding: fromFinding(&u.Finding)})
	}
	for _, a := range r.Assumptions {
		res.Assumptions = append(res.Assumptions, &pb.Assumption{
			Code: pb.PlanAssumption_Value(pb.PlanAssumption_Value_value[a.Code]), Message: a.Message,
		})
	}
	return res
}

func fromChance(c plan.Chance) float64 { return float64(c) / float64(plan.One) }
func fromGrade(g rules.Points) float64 { return float64(g) / float64(rules.Point) }

func fromOnePlan(p *plan.Plan) *pb.ProgramPlan {
	out := &pb.ProgramPlan{
		ExpectedElementScore: mean(p.ElementScore), AsPlannedScore: mean(p.AsPlanned), ExpectedNetScore: mean(p.Net),
		ExpectedFalls: number(p.Falls), Differs: mean(p.Differs), Message: p.Message, Program: fromResult(p.Checked, p.Program),
	}
	for i := range p.Elements {
		e := &p.Elements[i]
		out.Elements = append(out.Elements, &pb.PlanElement{
			Code: e.Code, SecondHalf: e.SecondHalf, ExpectedScore: mean(e.Expected), Chance: number(e.Chance),
			Ability: int32(e.Ability), Grade: fromGrade(e.Grade),
		})
	}
	if p.Segment != nil {
		out.ExpectedSegmentScore = mean(p.Segment)
		out.Spread = &pb.ScoreSpread{P10: answer.Points(p.Spread.P10), P50: answer.Points(p.Spread.P50), P90: answer.Points(p.Spread.P90)}
	}
	for _, x := range p.Scores {
		out.Scores = append(out.Scores, &pb.ScoreChance{Score: answer.Points(x.Score), AtLeast: fromChance(x.Chance)})
	}
	if p.Chance != nil {
		out.ChanceOfTarget = proto.Float64(fromChance(*p.Chance))
	}
	if p.Error != nil {
		out.StandardError = answer.Points(*p.Error)
	}
	for _, e := range p.Empty {
		out.Empty = append(out.Empty, &pb.EmptyPlace{Place: e.Place, Count: int32(e.Count), Title: e.Title})
	}
	return out
}
