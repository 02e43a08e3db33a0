package plan_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/plan"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/rules/value"
)

func load(t testing.TB) *table.Catalog {
	t.Helper()
	catalog, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	return catalog
}

func never() bool { return false }

// best plans, or fails.
func best(t testing.TB, season *rules.Season, req *plan.Request) *plan.Result {
	t.Helper()
	p, faults := plan.Read(season, req)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	result, faults := p.Best(never)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return result
}

// number is how many of something are tried: a few, or as many as a variable says.
func number(t *testing.T, variable string, otherwise int) int {
	t.Helper()
	text := os.Getenv(variable)
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatalf("%s: %v", variable, err)
	}
	return n
}

// came is one outcome of an ability with its chance.
type came struct {
	skate  skate
	chance *big.Rat
	grade  rules.Points
	fall   bool
}

// stands is an ability in a layout.
type stands struct {
	ability int
	second  bool
	bonus   bool
}

// exhaustive looks at all layouts of jump elements.
type exhaustive struct {
	book
	scorer
	req      *plan.Request
	season   *rules.Season
	second   *rules.SecondHalf
	best     *big.Rat
	layout   []stands
	outcomes [][2][]came // by ability and half
	looked   int
}

// comes lists the outcomes of an ability in a half, as the request or what is assumed
// says: a jump alone falls at the lowest grade, of a combination the first one.
func (x *exhaustive) comes(a *plan.Ability, second bool) []came {
	misses := a.Misses
	if len(misses) == 0 {
		code, _, _ := strings.Cut(a.Code, "+")
		misses = []plan.Miss{{Code: code, Chance: plan.One - a.Success, Grade: rules.Points(x.season.GOE.Min) * 100, Fall: true}}
	}
	var missed int64
	for _, m := range misses {
		missed += int64(m.Chance)
	}
	whole := int64(a.Success) + missed
	success := big.NewRat(int64(a.Success), whole)
	shift := rules.Points(0)
	if second {
		success.Mul(success, big.NewRat(int64(x.req.SecondHalf.Success), 1_000_000))
		shift = x.req.SecondHalf.Grade
	}
	grade := func(g rules.Points) rules.Points {
		return min(max(g+shift, rules.Points(x.season.GOE.Min)*100), rules.Points(x.season.GOE.Max)*100)
	}
	rest := new(big.Rat).Sub(big.NewRat(1, 1), success)
	out := []came{{readSkate(a.Code), success, grade(a.Grade), false}}
	for i, m := range misses {
		chance := new(big.Rat)
		switch {
		case missed > 0:
			chance.Mul(rest, big.NewRat(int64(m.Chance), missed))
		case i == 0:
			chance.Set(rest)
		}
		if chance.Sign() > 0 {
			out = append(out, came{readSkate(m.Code), chance, grade(m.Grade), m.Fall})
		}
	}
	return out
}

// net is the joint mean of a layout less its deductions; nil where the layout is not
// legal.
func (x *exhaustive) net(layout []stands) *big.Rat {
	came := make([][]came, len(layout))
	meant := make([]skate, len(layout))
	for i, s := range layout {
		half := 0
		if s.second {
			half = 1
		}
		came[i] = x.outcomes[s.ability][half]
		meant[i] = came[i][0].skate
	}
	if _, lost := x.judge(meant); lost {
		return nil
	}
	sum := new(big.Rat)
	program := make([]skate, len(layout))
	at := make([]int, len(layout))
	var patterns func(i, falls int, chance *big.Rat)
	patterns = func(i, falls int, chance *big.Rat) {
		if i < len(layout) {
			for k := range came[i] {
				o := &came[i][k]
				at[i], program[i] = k, o.skate
				more := falls
				if o.fall {
					more++
				}
				patterns(i+1, more, new(big.Rat).Mul(chance, o.chance))
			}
			return
		}
		verdicts, _ := x.judge(program)
		points := -x.deducted(falls)
		for i := range program {
			points += x.score(program[i].code, len(program[i].jumps), verdicts[i], layout[i].bonus, came[i][at[i]].grade)
		}
		sum.Add(sum, new(big.Rat).Mul(chance, new(big.Rat).SetInt64(int64(points))))
	}
	patterns(0, 0, big.NewRat(1, 1))
	return sum
}

// look looks at a layout in skating order.
func (x *exhaustive) look(layout []stands) {
	x.looked++
	if net := x.net(layout); net != nil && (x.best == nil || net.Cmp(x.best) > 0) {
		x.best, x.layout = net, slices.Clone(layout)
	}
}

// all looks at every choice of elements, halves and, in a short program, orders.
func (x *exhaustive) all() {
	for _, a := range x.req.Abilities {
		x.outcomes = append(x.outcomes, [2][]came{x.comes(&a, false), x.comes(&a, true)})
	}
	var chosen []int
	var choose func(i int)
	choose = func(i int) {
		if i == len(x.req.Abilities) {
			x.halves(chosen)
			return
		}
		most := 1
		if !strings.Contains(x.req.Abilities[i].Code, "+") {
			most = 2
		}
		if m := x.req.Abilities[i].AtMost; m != nil {
			most = *m
		}
		before := len(chosen)
		for range most + 1 {
			choose(i + 1)
			if len(chosen) == x.jumps {
				break
			}
			chosen = append(chosen, i)
		}
		chosen = chosen[:before]
	}
	choose(0)
}

// halves looks at every way to put a choice into halves.
func (x *exhaustive) halves(chosen []int) {
	later := (x.jumps + 1) / 2
	if m := x.req.SecondHalf.AtMost; m != nil {
		later = *m
	}
	for set := range 1 << len(chosen) {
		var first, second []stands
		for i, a := range chosen {
			if set&(1<<i) == 0 {
				first = append(first, stands{ability: a})
			} else {
				second = append(second, stands{ability: a, second: true})
			}
		}
		if len(second) > later {
			continue
		}
		for _, f := range x.orders(first) {
			for _, s := range x.orders(second) {
				x.look(x.bonuses(append(slices.Clone(f), s...)))
			}
		}
	}
}

// orders are the orders that are tried of the elements of a half: all in a short
// program, else that of the abilities.
func (x *exhaustive) orders(half []stands) [][]stands {
	if !x.short || len(half) < 2 {
		return [][]stands{half}
	}
	var all [][]stands
	for i := range half {
		rest := slices.Delete(slices.Clone(half), i, i+1)
		for _, o := range x.orders(rest) {
			all = append(all, append([]stands{half[i]}, o...))
		}
	}
	return all
}

// bonuses gives the bonus to the elements of the second half that earn it.
func (x *exhaustive) bonuses(layout []stands) []stands {
	from := len(layout)
	switch x.second.Which {
	case "all":
		from = 0
	case "last":
		from -= x.second.Last
	}
	for i := range layout {
		layout[i].bonus = layout[i].second && i >= from
	}
	return layout
}

// repertoire makes random abilities: jumps and combinations with misses of all kinds.
func repertoire(r *rand.Rand, season *rules.Season, short bool) []plan.Ability {
	triple := []string{"3T", "3S", "3Lo", "3F", "3Lz", "2A", "3A", "4T", "4S", "2Lz"}
	second := []string{"2T", "3T", "2Lo", "2A+SEQ", "1Lo+3S", "3T"}
	if season.Params.Season >= "2018" {
		second[4] = "1Eu+3S"
	}
	if short {
		second = []string{"2T", "3T", "2Lo", "3Lo", "3T"}
	}
	grades := func() rules.Points { return rules.Points(r.IntN(5)*50 - 100) }
	chance := func(low, high int) plan.Chance { return plan.Chance(low+r.IntN(high-low+1)) * 10_000 }
	var out []plan.Ability
	seen := map[string]bool{}
	jumps, combinations := 2+r.IntN(3), 1+r.IntN(2)
	for len(out) < jumps+combinations {
		code := triple[r.IntN(len(triple))]
		single := code
		if len(out) >= jumps {
			code += "+" + second[r.IntN(len(second))]
		}
		if seen[code] {
			continue
		}
		seen[code] = true
		a := plan.Ability{Code: code, Success: chance(40, 100), Grade: grades()}
		left := plan.One - a.Success
		lower := strconv.Itoa(int(single[0]-'0')-1) + single[1:]
		rest := strings.TrimPrefix(code, single)
		switch r.IntN(4) {
		case 0: // what is assumed
		case 1: // a fall, or one turn less
			half := left / 2 / 10_000 * 10_000
			a.Misses = []plan.Miss{{Code: single, Chance: half, Grade: rules.Points(season.GOE.Min) * 100, Fall: true}, {Code: lower + rest, Chance: left - half, Grade: -50}}
		case 2: // one turn less
			a.Misses = []plan.Miss{{Code: lower, Chance: left, Grade: -100}}
		case 3: // short of rotation
			if single[0] == '2' && season.Params.Season < "2018" { // not every double has its own value then
				continue
			}
			a.Misses = []plan.Miss{{Code: single + "<" + rest, Chance: left, Grade: -150, Fall: r.IntN(3) == 0}}
		}
		if rest == "" && r.IntN(2) == 0 || rest == "" && len(out) > 1 {
			once := 1
			a.AtMost = &once
		}
		out = append(out, a)
	}
	return out
}

// The best program is what an exhaustive search over all layouts finds, by rules that
// were read and written a second time. 25 random repertoires are tried, or as many as
// RINKTALLY_PLAN_REPERTOIRES says.
func TestBestOfAllLayouts(t *testing.T) {
	catalog := load(t)
	r := rand.New(rand.NewPCG(7, 11))
	placesOf := []struct{ category, segment string }{
		{"senior-men", "free-skating"}, {"senior-women", "free-skating"}, {"senior-men", "short-program"}, {"senior-women", "short-program"},
		{"junior-men", "free-skating"}, {"junior-women", "free-skating"},
	}
	keys := []string{"2010-11", "2012-13", "2013-14", "2014-15", "2015-16", "2016-17", "2017-18", "2018-19", "2019-20", "2021-22", "2022-23", "2024-25", "2025-26"}
	looked, wrong := 0, 0
	for n := range number(t, "RINKTALLY_PLAN_REPERTOIRES", 25) {
		key := keys[r.IntN(len(keys))]
		at := placesOf[r.IntN(len(placesOf))]
		season, err := catalog.Season(key)
		if err != nil {
			t.Fatal(err)
		}
		req := &plan.Request{
			Category: at.category, Segment: at.segment, Abilities: repertoire(r, season, at.segment == "short-program"),
			SecondHalf: plan.SecondHalf{Success: []plan.Chance{plan.One, 950_000, 900_000}[r.IntN(3)], Grade: []rules.Points{0, -20, -50}[r.IntN(3)]},
		}
		ctx, faults := value.NewContext(season, at.category, at.segment, "")
		if faults != nil {
			t.Fatal(faults)
		}
		x := exhaustive{
			book: bookOf(key, at.category, at.segment), scorer: scorer{ctx, map[string]rules.Points{}}, req: req, season: season,
			second: &ctx.Segment.SecondHalf,
		}
		useValues(season)
		x.all()
		looked += x.looked
		p, faults := plan.Read(season, req)
		if faults != nil {
			t.Fatalf("%d: %s %v %v", n, key, at, faults)
		}
		got, faults := p.Best(never)
		if faults != nil {
			t.Fatalf("%d: %s %v %v", n, key, at, faults)
		}
		if !got.Optimal || got.Plans[0].Net.Cmp(x.best) != 0 {
			wrong++
			t.Errorf("%d: %s %s %s %s\nplanned %s %s\nbest    %s %s", n, key, at.category, at.segment, told(req),
				got.Plans[0].Net.FloatString(6), ofPlan(&got.Plans[0]), x.best.FloatString(6), x.told(x.layout))
		}
	}
	t.Logf("%d layouts looked at, %d plans differ", looked, wrong)
}

func told(req *plan.Request) string {
	var b strings.Builder
	for _, a := range req.Abilities {
		fmt.Fprintf(&b, "%s %v %v %v; ", a.Code, a.Success, a.Grade, a.Misses)
	}
	fmt.Fprintf(&b, "second half %v", req.SecondHalf)
	return b.String()
}

func ofPlan(p *plan.Plan) string {
	var words []string
	for _, e := range p.Elements {
		word := e.Code
		if e.SecondHalf {
			word += " x"
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

func (x *exhaustive) told(layout []stands) string {
	var words []string
	for _, s := range layout {
		word := x.req.Abilities[s.ability].Code
		if s.second {
			word += " x"
		}
		if s.bonus {
			word += "b"
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}
