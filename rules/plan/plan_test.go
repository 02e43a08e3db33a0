package plan_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/plan"
)

func ability(code string, success plan.Chance, grade rules.Points, misses ...plan.Miss) plan.Ability {
	return plan.Ability{Code: code, Success: success * 10_000, Grade: grade, Misses: misses}
}

// free is a request for the free skating of women in 2025-26.
func free(abilities ...plan.Ability) *plan.Request {
	return &plan.Request{Category: "senior-women", Segment: "free-skating", Abilities: abilities, SecondHalf: plan.SecondHalf{Success: plan.One}}
}

// Values of 2025-26 (published ISU score sheets): 3Lz 5.90, 2A 3.30, 3T 4.20; a grade is
// a tenth of the base value, the last three jump elements of the second half have 1.1 of
// it, a jump alone for the second time 0.7.
func TestPlansCalculatedByHand(t *testing.T) {
	season, err := load(t).Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	once := 1
	for _, c := range []struct {
		name             string
		req              *plan.Request
		elements         string
		score, net, asIs string // of the first plan
	}{
		// 0.8 x 6.49 + 0.2 x (6.49 - 2.95) = 5.90; two Axels 3.63 each; 0.2 falls.
		{"the last three in the second half", with(free(ability("3Lz", 80, 0), ability("2A", 100, 0)), func(r *plan.Request) { r.Abilities[0].AtMost = &once }), "3Lz x, 2A x, 2A x", "13.16", "12.96", "13.16"},
		// The second Lutz is always marked: 0.8 x 4.54 + 0.2 x (4.54 - 2.95) = 3.95, beside
		// the first, an Axel of 3.63 and one of 3.30 in the first half.
		{"four jumps for three places", free(ability("3Lz", 80, 0), ability("2A", 100, 0)), "2A, 3Lz x, 3Lz x, 2A x", "16.78", "16.38", "16.78"},
		// A second Lutz alone: 5.90 x 1.1 = 6.49, x 0.7 = 4.54.
		{"a second jump alone counts less", free(ability("3Lz", 100, 0)), "3Lz x, 3Lz x", "11.03", "11.03", "11.03"},
		// Kept out of the second half: 5.90 + 4.13.
		{"no second half", with(free(ability("3Lz", 100, 0)), func(r *plan.Request) { r.SecondHalf.AtMost = new(int) }), "3Lz, 3Lz", "10.03", "10.03", "10.03"},
		// 3Lz once: 6.49.
		{"a limit of one jump", with(free(ability("3Lz", 100, 0)), func(r *plan.Request) { r.Limits = []plan.Limit{{Jump: "3Lz", AtMost: 1}} }), "3Lz x", "6.49", "6.49", "6.49"},
		// The combination (5.90 + 4.20) x 1.1 = 11.11 takes the only triple.
		{"a limit of triples", with(free(ability("3Lz", 100, 0), ability("3Lz+2T", 100, 0)), func(r *plan.Request) { r.Limits = []plan.Limit{{Turns: 3, AtMost: 1}} }), "3Lz+2T x", "7.92", "7.92", "7.92"},
		// A spin that is worth more is left out for the one that is kept: 2.80 and 3.00 of
		// the same name have one place.
		{"kept", with(free(ability("CCoSp4", 100, 0), ability("CCoSp3", 100, 0)), func(r *plan.Request) { r.Keep = []plan.Keep{{Code: "CCoSp3"}} }), "CCoSp3", "3.00", "3.00", "3.00"},
		// Two combinations that break off leave two jumps alone, and the second is a
		// repetition: 0.5 x 0.5 of the cases lose 0.3 x 5.90 x 1.1 (6.49 - 4.54 = 1.95).
		{"a miss repeats a jump", free(
			ability("3Lz+3T", 50, 0, plan.Miss{Code: "3Lz", Chance: 500_000}), ability("3Lz+2T", 50, 0, plan.Miss{Code: "3Lz", Chance: 500_000})),
			"3Lz+3T x, 3Lz+2T x", "15.52", "15.52", "16.01"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := best(t, season, c.req)
			p := &got.Plans[0]
			if !got.Optimal || ofPlan(p) != c.elements || plan.Round(p.ElementScore).String() != c.score || plan.Round(p.Net).String() != c.net || plan.Round(p.AsPlanned).String() != c.asIs {
				t.Errorf("%s: %v, net %v, as planned %v; want %s: %s, %s, %s (optimal %v)", ofPlan(p), plan.Round(p.ElementScore), plan.Round(p.Net), plan.Round(p.AsPlanned),
					c.elements, c.score, c.net, c.asIs, got.Optimal)
			}
			if got.Bound.Cmp(p.Net) != 0 {
				t.Errorf("bound %v", got.Bound)
			}
		})
	}
}

func with(r *plan.Request, change func(*plan.Request)) *plan.Request {
	change(r)
	return r
}

// All faults of a request come together, each at its field.
func TestFaultsOfARequest(t *testing.T) {
	season, err := load(t).Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	negative := -1
	for _, c := range []struct {
		name string
		req  *plan.Request
		want []string // field and reason
	}{
		{"nothing", free(), []string{"abilities FIELD_REQUIRED"}},
		{"too many", free(make([]plan.Ability, 61)...), []string{"abilities TOO_MANY_ITEMS"}},
		{"several", free(
			ability("9X", 50, 0), ability("3Lz", 150, 700), ability("3Lz<", 100, 0), ability("3F", 50, 0), ability("3F", 50, 0),
			ability("3Lo", 50, 0, plan.Miss{Code: "2Lo", Chance: 400_000}), ability("ChSq1", 50, 0), ability("3S", 50, 0, plan.Miss{Code: "StSq3", Chance: 500_000}),
			ability("", 50, 0), plan.Ability{Code: "2A", Success: plan.One, Attempts: -1, AtMost: &negative},
		), []string{
			"abilities[0].code CODE_INVALID", "abilities[1].success FIELD_INVALID", "abilities[1].grade MARK_OUT_OF_RANGE",
			"abilities[2].code FIELD_INVALID", "abilities[4].code FIELD_INVALID", "abilities[5].misses FIELD_INVALID", "abilities[6].misses FIELD_REQUIRED",
			"abilities[7].misses[0].code FIELD_INVALID", "abilities[8].code FIELD_REQUIRED", "abilities[9].attempts FIELD_INVALID", "abilities[9].atMost FIELD_INVALID",
		}},
		{"of misses", free(ability("3Lz", 50, 0, plan.Miss{Code: "2Lz", Chance: -1}, plan.Miss{Code: "3Lz<", Chance: 500_001, Grade: -600}, plan.Miss{Code: "9X"})), []string{
			"abilities[0].misses[0].chance FIELD_INVALID", "abilities[0].misses[1].grade MARK_OUT_OF_RANGE", "abilities[0].misses[2].code CODE_INVALID",
		}},
		{"of the rest", with(free(ability("3Lz", 100, 0)), func(r *plan.Request) {
			r.Keep = []plan.Keep{{Code: "3F"}, {Code: "?"}}
			r.Limits = []plan.Limit{{}, {Jump: "3Q"}, {Turns: 9}, {Jump: "3Lz", AtMost: -1}, {Jump: "3Lz", Turns: 3}}
			r.SecondHalf = plan.SecondHalf{Success: 2 * plan.One, Grade: 1100, AtMost: &negative}
			r.Plans, r.Aim = 11, plan.ChanceOfTarget
		}), []string{
			"keep[0].code FIELD_INVALID", "keep[1].code CODE_INVALID", "limits[0].jump FIELD_REQUIRED", "limits[1].jump CODE_INVALID",
			"limits[2].turns FIELD_INVALID", "limits[3].atMost FIELD_INVALID", "limits[4].turns FIELD_INVALID", "secondHalf.success FIELD_INVALID",
			"secondHalf.grade MARK_OUT_OF_RANGE", "secondHalf.atMost FIELD_INVALID", "plans FIELD_INVALID", "target FIELD_REQUIRED", "components FIELD_REQUIRED",
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, faults := plan.Read(season, c.req)
			var got []string
			for _, f := range faults {
				got = append(got, f.Field+" "+string(f.Reason))
			}
			slices.Sort(got)
			slices.Sort(c.want)
			if !slices.Equal(got, c.want) {
				t.Errorf("got\n%s\nwant\n%s\n%v", strings.Join(got, "\n"), strings.Join(c.want, "\n"), faults)
			}
		})
	}
}

// Where no program can be made, the answer says why.
func TestNoLegalProgram(t *testing.T) {
	season, err := load(t).Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	no := false
	for _, c := range []struct {
		name string
		req  *plan.Request
		want string // field and a word of the message
	}{
		{"nothing can be placed", &plan.Request{Category: "senior-women", Segment: "short-program", Abilities: []plan.Ability{ability("ChSq1", 100, 0)}, SecondHalf: plan.SecondHalf{Success: plan.One}}, "abilities[0].code ChSq1"},
		{"kept though it counts for nothing", &plan.Request{
			Category: "senior-women", Segment: "short-program", Abilities: []plan.Ability{ability("ChSq1", 100, 0), ability("2A", 100, 0)},
			Keep: []plan.Keep{{Code: "ChSq1"}}, SecondHalf: plan.SecondHalf{Success: plan.One},
		}, "keep[0].code ChSq1"},
		{"two spins of one name kept", with(free(ability("CCoSp4", 100, 0), ability("CCoSp3", 100, 0)), func(r *plan.Request) {
			r.Keep = []plan.Keep{{Code: "CCoSp4"}, {Code: "CCoSp3"}}
		}), "keep[1].code CCoSp"},
		{"kept against a limit", with(free(ability("3Lz", 100, 0)), func(r *plan.Request) {
			r.Keep, r.Limits = []plan.Keep{{Code: "3Lz", SecondHalf: &no}}, []plan.Limit{{Jump: "3Lz"}}
		}), "keep limits"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, faults := plan.Read(season, c.req)
			if faults != nil {
				t.Fatal(faults)
			}
			got, faults := p.Best(never)
			if len(faults) == 0 {
				t.Fatalf("planned %s", ofPlan(&got.Plans[0]))
			}
			field, word, _ := strings.Cut(c.want, " ")
			if f := faults[0]; f.Reason != rules.ReasonNoLegalProgram || f.Field != field || !strings.Contains(f.Message, word) {
				t.Errorf("%v", faults)
			}
		})
	}
}

// Plans differ in a jump element, the best first, and say what was swapped.
func TestPlansDiffer(t *testing.T) {
	season, err := load(t).Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	req := free(ability("3Lz", 80, 0), ability("3F", 80, 0), ability("3Lo", 80, 0), ability("2A", 90, 0), ability("3S", 85, 0), ability("3T", 90, 0),
		ability("3Lz+3T", 50, 0), ability("3F+2T", 70, 0), ability("CCoSp4", 70, 0), ability("LSp4", 70, 0), ability("FCSp4", 70, 0), ability("CSp4", 70, 0))
	for i := range req.Abilities {
		req.Abilities[i].Attempts = 10
	}
	req.Plans = 5
	got := best(t, season, req)
	if len(got.Plans) != 5 {
		t.Fatalf("%d plans", len(got.Plans))
	}
	seen := map[string]bool{}
	for i := range got.Plans {
		p := &got.Plans[i]
		var jumps []string
		for _, e := range p.Elements {
			if !strings.Contains(e.Code, "Sp") {
				jumps = append(jumps, e.Code)
			}
		}
		slices.Sort(jumps)
		name := strings.Join(jumps, " ")
		if seen[name] {
			t.Errorf("plan %d has the jumps of another: %s", i, name)
		}
		seen[name] = true
		if i > 0 && (got.Plans[i-1].Net.Cmp(p.Net) < 0 || p.Differs.Sign() < 0 || p.Message == "") {
			t.Errorf("plan %d: %v, %s", i, p.Differs, p.Message)
		}
		if i > 0 && (p.Differs.Cmp(ratOf(*got.Plans[0].Error)) < 0) != strings.Contains(p.Message, "noise") {
			t.Errorf("plan %d differs by %s, standard error %v: %s", i, p.Differs.FloatString(2), *got.Plans[0].Error, p.Message)
		}
	}
}

// When the time is over, the best that was found is the answer, and the bound is not
// below what the whole search finds.
func TestSearchThatIsStopped(t *testing.T) {
	season, err := load(t).Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	var abilities []plan.Ability
	for _, first := range []string{"3Lz", "3F", "3Lo", "3S", "3T", "2A"} {
		abilities = append(abilities, ability(first, 80, 0))
		for _, second := range []string{"2T", "3T", "2Lo", "1Eu+3S"} {
			abilities = append(abilities, ability(first+"+"+second, 70, 0))
		}
	}
	whole := best(t, season, free(abilities...))
	p, faults := plan.Read(season, free(abilities...))
	if faults != nil {
		t.Fatal(faults)
	}
	got, faults := p.Best(func() bool { return true })
	if faults != nil {
		t.Fatal(faults)
	}
	if got.Optimal || got.Bound.Cmp(whole.Plans[0].Net) < 0 || got.Plans[0].Net.Cmp(got.Bound) > 0 || lost(got.Plans[0].Program) {
		t.Errorf("optimal %v, bound %s, found %s, best %s", got.Optimal, got.Bound.FloatString(2), got.Plans[0].Net.FloatString(2), whole.Plans[0].Net.FloatString(2))
	}
	if !whole.Optimal {
		t.Error("the whole search was stopped")
	}
}

// The plan with the best chance of a target far above the mean dares more than the one
// with the highest expected score.
func TestAimAtATarget(t *testing.T) {
	season, err := load(t).Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	once := 1
	sure, bold := ability("2A", 100, 0), ability("3A", 30, 200)
	sure.AtMost, bold.AtMost = &once, &once
	req := free(sure, bold)
	req.Limits = []plan.Limit{{Jump: "2A", AtMost: 1}, {Jump: "3A", AtMost: 1}}
	req.Components = map[string]rules.Points{"COMPOSITION": 700, "PRESENTATION": 700, "SKATING_SKILLS": 700}
	target := rules.Points(6800)
	req.Target, req.Aim = &target, plan.ChanceOfTarget
	got := best(t, season, req)
	if p := &got.Plans[0]; p.Chance == nil || *p.Chance != 300_000 || got.Optimal || got.Bound != nil {
		t.Errorf("%s: %v, optimal %v", ofPlan(p), p.Chance, got.Optimal)
	}
	easy := rules.Points(5600)
	req.Target = &easy
	if got := best(t, season, req); *got.Plans[0].Chance != plan.One || !got.Optimal {
		t.Errorf("a target that is always reached: %v, optimal %v", *got.Plans[0].Chance, got.Optimal)
	}
}

// Ten points more of success are worth what planning again finds, and an ability enters
// the plan from its needed success on.
func TestPractice(t *testing.T) {
	season, err := load(t).Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	req := func() *plan.Request {
		return free(ability("3Lz", 70, 0), ability("3F", 60, 0), ability("3Lo", 50, 0), ability("3S", 85, 0),
			ability("3Lz+3T", 40, 0), ability("3F+2T", 60, 0), ability("3A", 10, 0))
	}
	got := best(t, season, req())
	if len(got.Practice) != 7 {
		t.Fatalf("%d abilities", len(got.Practice))
	}
	for _, x := range got.Practice {
		changed := func(success plan.Chance) *plan.Result {
			r := req()
			r.Abilities[x.Ability].Success = success
			return best(t, season, r)
		}
		now := req().Abilities[x.Ability].Success
		if again := changed(min(plan.One, now+100_000)).Plans[0].Net; again.Sub(again, got.Plans[0].Net).Cmp(x.Gain) != 0 {
			t.Errorf("%s: gain %s, planned again %s", x.Code, x.Gain.FloatString(4), again.FloatString(4))
		}
		in := func(r *plan.Result) bool {
			return slices.ContainsFunc(r.Plans[0].Elements, func(e plan.Element) bool { return e.Ability == x.Ability })
		}
		switch {
		case x.Needed == nil:
			if in(changed(plan.One)) {
				t.Errorf("%s is in the plan when it always comes", x.Code)
			}
		case !in(changed(*x.Needed)):
			t.Errorf("%s is not in the plan at %v", x.Code, *x.Needed)
		case *x.Needed > 0 && in(changed(*x.Needed-10_000)):
			t.Errorf("%s is in the plan below %v", x.Code, *x.Needed)
		}
	}
}
