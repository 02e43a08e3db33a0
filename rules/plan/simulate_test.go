package plan_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/plan"
	"github.com/rinktally/rinktally/rules/value"
)

// The joint mean and the spread agree with 200,000 programs drawn by chance and credited
// by the oracle.
func TestJointOutcomesAgreeWithDraws(t *testing.T) {
	const draws = 200_000
	catalog := load(t)
	r := rand.New(rand.NewPCG(3, 5))
	for _, c := range []struct{ season, category, segment string }{
		{"2025-26", "senior-women", "free-skating"}, {"2016-17", "senior-men", "free-skating"}, {"2012-13", "senior-men", "free-skating"},
		{"2025-26", "senior-men", "short-program"},
	} {
		t.Run(c.season+" "+c.category+" "+c.segment, func(t *testing.T) {
			season, err := catalog.Season(c.season)
			if err != nil {
				t.Fatal(err)
			}
			useValues(season)
			ctx, faults := value.NewContext(season, c.category, c.segment, "")
			if faults != nil {
				t.Fatal(faults)
			}
			req := &plan.Request{
				Category: c.category, Segment: c.segment, Abilities: repertoire(r, season, c.segment == "short-program"),
				SecondHalf: plan.SecondHalf{Success: 900_000, Grade: -50}, Components: map[string]rules.Points{},
			}
			for _, component := range ctx.Segment.Panel {
				req.Components[component.Key] = 800
			}
			req.Scores = true
			p := &best(t, season, req).Plans[0]
			x := exhaustive{
				book: bookOf(c.season, c.category, c.segment), scorer: scorer{ctx, map[string]rules.Points{}}, req: req, season: season,
				second: &ctx.Segment.SecondHalf,
			}
			components := plan.Round(p.Segment) - plan.Round(p.Net)
			scores := x.draw(r, p, draws)
			var sum, squares float64
			for i, s := range scores {
				sum += float64(s)
				squares += float64(s) * float64(s)
				scores[i] += components
			}
			mean := sum / draws
			deviation := math.Sqrt(squares/draws - mean*mean)
			exact, _ := p.Net.Float64()
			if off := math.Abs(mean - exact); off > 4.5*deviation/math.Sqrt(draws) {
				t.Errorf("drawn %.3f, planned %.3f hundredths, deviation %.1f", mean, exact, deviation)
			}
			slices.Sort(scores)
			if first := p.Scores[0]; first.Chance != plan.One {
				t.Errorf("at least the lowest score, %v, comes with a chance of %v", first.Score, first.Chance)
			}
			for i, s := range p.Scores {
				if i > 0 && (s.Score <= p.Scores[i-1].Score || s.Chance > p.Scores[i-1].Chance) {
					t.Fatalf("%v follows %v", s, p.Scores[i-1])
				}
				drawn, chance := float64(countFrom(scores, s.Score))/draws, float64(s.Chance)/float64(plan.One)
				if math.Abs(drawn-chance) > 0.01 {
					t.Errorf("at least %v: %.4f of the draws, planned %v", s.Score, drawn, s.Chance)
				}
			}
			for _, q := range []struct {
				of   float64
				want rules.Points
			}{{0.1, p.Spread.P10}, {0.5, p.Spread.P50}, {0.9, p.Spread.P90}} {
				below := float64(len(scores)-countFrom(scores, q.want)) / draws
				upTo := float64(len(scores)-countFrom(scores, q.want+1)) / draws
				if below > q.of+0.01 || upTo < q.of-0.01 {
					t.Errorf("%v: %.4f of the draws are below it, %.4f not above it, want %v", q.want, below, upTo, q.of)
				}
			}
		})
	}
}

// countFrom counts the scores of at least one.
func countFrom(sorted []rules.Points, least rules.Points) int {
	at, _ := slices.BinarySearch(sorted, least)
	return len(sorted) - at
}

// draw skates a plan many times: scores of its elements less falls.
func (x *exhaustive) draw(r *rand.Rand, p *plan.Plan, times int) []rules.Points {
	var layout []stands
	var outcomes [][]came
	for _, e := range p.Elements {
		layout = append(layout, stands{ability: e.Ability, second: e.SecondHalf})
		outcomes = append(outcomes, x.comes(&x.req.Abilities[e.Ability], e.SecondHalf))
	}
	x.bonuses(layout)
	known := map[string]rules.Points{}
	scores := make([]rules.Points, times)
	program := make([]skate, len(layout))
	at := make([]int, len(layout))
	for n := range scores {
		name, falls := "", 0
		for i, o := range outcomes {
			left := r.Float64()
			k := 0
			for ; k < len(o)-1; k++ {
				chance, _ := o[k].chance.Float64()
				if left -= chance; left < 0 {
					break
				}
			}
			at[i], program[i] = k, o[k].skate
			name += strconv.Itoa(k)
			if o[k].fall {
				falls++
			}
		}
		points, seen := known[name]
		if !seen {
			points = -x.deducted(falls)
			verdicts, _ := x.judge(program)
			for i := range program {
				points += x.score(program[i].code, len(program[i].jumps), verdicts[i], layout[i].bonus, outcomes[i][at[i]].grade)
			}
			known[name] = points
		}
		scores[n] = points
	}
	return scores
}

func ratOf(p rules.Points) *big.Rat { return new(big.Rat).SetInt64(int64(p)) }
