package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (a *app) planCommand() *cobra.Command {
	var at place
	var plans int32
	cmd := &cobra.Command{
		Use:   "plan FILE|-",
		Short: "The best program of what a skater can do, and what practice is worth",
		Long: `plan finds the legal program with the highest expected score from what a skater
can do and how often it comes, says whether none is better, how the score spreads,
and what practice of each element is worth.

FILE holds the abilities as JSON, as POST …/programs:plan reads it; "-" reads it
from standard input:

  {"season": "2025-26", "category": "senior-women", "segment": "free-skating",
   "abilities": [
     {"code": "3Lz", "success": 0.8, "grade": 1.2, "attempts": 40},
     {"code": "3Lz+3T", "success": 0.55, "grade": 0.8,
      "misses": [{"code": "3Lz+2T", "chance": 0.25, "grade": -1},
                 {"code": "3Lz", "chance": 0.2, "grade": -5, "fall": true}]},
     {"code": "CCoSp4", "success": 0.7, "grade": 2}],
   "keep": [{"code": "CCoSp4"}], "limits": [{"jump": "3Lz", "atMost": 2}],
   "secondHalf": {"success": 0.95, "grade": -0.2},
   "components": [{"component": "COMPOSITION", "mark": 7.5}, …], "target": "105.00"}

Without misses a jump falls and an element with a level comes one level lower.`,
		Example: "  tally plan --plans 3 skater.json",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			data, err := a.readAll(args[0])
			if err != nil {
				return err
			}
			req := &pb.PlanProgramRequest{}
			if err := decode(data, req); err != nil {
				return usagef("%s: %w", args[0], err)
			}
			at.fill(cmd, &req.Season, &req.Category, &req.Segment)
			if req.GetPlans() == 0 || cmd.Flags().Changed("plans") {
				req.Plans = plans
			}
			return ask(cmd.Context(), a, client.Authority.PlanProgram, req, func(answer *pb.PlanProgramResponse) {
				a.printRules(answer.GetRules(), req.GetCategory(), req.GetSegment())
				a.printPlans(req, answer)
			})
		},
	}
	at.flags(cmd, "senior-women", "free-skating")
	cmd.Flags().Int32Var(&plans, "plans", 1, "`NUMBER` of plans, 1 to 10")
	return cmd
}

func (a *app) printPlans(req *pb.PlanProgramRequest, p *pb.PlanProgramResponse) {
	for i, plan := range p.GetPlans() {
		if i > 0 {
			fmt.Fprintf(a.out, "\nPlan %d, %s below the first: %s\n\n", i+1, plan.GetDiffers(), plan.GetMessage())
		}
		a.printPlan(plan)
	}
	fmt.Fprintln(a.out)
	switch {
	case p.GetOptimal():
		fmt.Fprintln(a.out, "No legal program of these abilities is better than the first one.")
	case p.GetBound() != "":
		fmt.Fprintf(a.out, "The time was over before it was shown that no program is better; none is worth more than %s after falls.\n", p.GetBound())
	default:
		fmt.Fprintln(a.out, "The best of the programs that were looked at; that none is better was not shown.")
	}
	a.printPractice(p)
	a.printAssumed(req, p)
	fmt.Fprintf(a.out, "\n%s\n", p.GetCaution())
	a.printWarnings(p.GetWarnings())
	fmt.Fprintln(a.out, "\nUnofficial: the technical panel calls what was skated, and the event's referee signs.")
}

// printPlan prints one program with what it is expected to score.
func (a *app) printPlan(p *pb.ProgramPlan) {
	t := newTable([]any{"#", "Element", "", "Comes", "Expected"}, 1, 4, 5)
	for i, e := range p.GetElements() {
		t.add(i+1, e.GetCode(), yes(e.GetSecondHalf(), "2nd half"), percent(e.GetChance()), e.GetExpectedScore())
	}
	t.add("", "As planned", "", "", p.GetAsPlannedScore())
	t.add("", "All patterns of misses together", "", "", p.GetExpectedElementScore())
	t.add("", fmt.Sprintf("After %.2f falls", p.GetExpectedFalls()), "", "", p.GetExpectedNetScore())
	if p.GetExpectedSegmentScore() != "" {
		t.add("", "Segment score", "", "", p.GetExpectedSegmentScore())
	}
	a.printTable(t)
	if s := p.GetSpread(); s != nil {
		fmt.Fprintf(a.out, "\nOne time in ten not above %s, every other time %s, nine times in ten %s.\n", s.GetP10(), s.GetP50(), s.GetP90())
	}
	if p.ChanceOfTarget != nil {
		fmt.Fprintf(a.out, "The target is reached in %s of the cases.\n", percent(p.GetChanceOfTarget()))
	}
	if p.GetStandardError() != "" {
		fmt.Fprintf(a.out, "The attempts counted leave a standard error of %s points.\n", p.GetStandardError())
	}
	for _, e := range p.GetEmpty() {
		fmt.Fprintf(a.out, "Empty places for %s: %d.\n", e.GetTitle(), e.GetCount())
	}
}

// percent prints a chance in whole hundredths.
// percent prints a chance in whole percent. What is not certain is never rounded
// to 100%, and what may happen never to 0%.
func percent(chance float64) string {
	switch {
	case chance >= 0.995 && chance < 1:
		return "more than 99%"
	case chance > 0 && chance <= 0.005:
		return "less than 1%"
	}
	return fmt.Sprintf("%.0f%%", 100*chance)
}

func (a *app) printPractice(p *pb.PlanProgramResponse) {
	if len(p.GetPractice()) == 0 {
		return
	}
	fmt.Fprintln(a.out, "\nWhat practice is worth")
	t := newTable([]any{"Element", "", "Ten of 100 more", "Enters from"}, 3, 4)
	for _, x := range p.GetPractice() {
		needed := "never"
		if x.Needed != nil {
			needed = percent(x.GetNeeded())
		}
		t.add(x.GetCode(), yes(x.GetInPlan(), "in the plan"), x.GetGain(), needed)
	}
	a.printTable(t)
}

// printAssumed says what was assumed, what cannot be used, and what the answer takes
// for granted.
func (a *app) printAssumed(req *pb.PlanProgramRequest, p *pb.PlanProgramResponse) {
	code := func(i int32) string { return req.GetAbilities()[i].GetCode() }
	if len(p.GetUnusable()) > 0 {
		fmt.Fprintln(a.out, "\nNot for this program")
		for _, u := range p.GetUnusable() {
			fmt.Fprintf(a.out, "  %s: %s\n", code(u.GetAbility()), u.GetFinding().GetMessage())
		}
	}
	if len(p.GetAssumed()) > 0 {
		fmt.Fprintln(a.out, "\nAssumed of misses")
		for _, x := range p.GetAssumed() {
			var misses []string
			for _, m := range x.GetMisses() {
				misses = append(misses, fmt.Sprintf("%s %s at %+g%s", percent(m.GetChance()), m.GetCode(), m.GetGrade(), yes(m.GetFall(), ", a fall")))
			}
			fmt.Fprintf(a.out, "  %s: %s\n", code(x.GetAbility()), strings.Join(misses, "; "))
		}
	}
	fmt.Fprintln(a.out, "\nTaken for granted")
	for _, x := range p.GetAssumptions() {
		fmt.Fprintf(a.out, "  %s\n", x.GetMessage())
	}
}
