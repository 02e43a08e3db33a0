package count

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rinktally/rinktally/rules"
)

var newest = time.Date(2026, 1, 17, 9, 30, 0, 0, time.UTC)

// worth values outcomes for the tests as the first digits of their codes.
var scale = &Scale{
	Lowest: -5 * rules.Point, Highest: 5 * rules.Point,
	Worth: func(code string, fall bool, grade rules.Points) rules.Points {
		points := rules.Points(code[0]-'0')*rules.Point + grade/10
		if fall {
			points -= rules.Point
		}
		return points
	},
}

// tries reads attempts: "3Lz" came as meant, "3Lz=3Lz<" came so, with "!" a fall, with
// "@2" a grade of 2, with "~90" so many days before the newest, with "*3" three times.
func tries(text string) []Attempt {
	var list []Attempt
	for word := range strings.FieldsSeq(text) {
		word, times, _ := strings.Cut(word, "*")
		word, days, _ := strings.Cut(word, "~")
		word, grade, graded := strings.Cut(word, "@")
		word, fall := strings.CutSuffix(word, "!")
		planned, came, given := strings.Cut(word, "=")
		if !given {
			came = planned
		}
		a := Attempt{Planned: planned, Came: came, Fall: fall, Graded: graded}
		var n, back int
		_, _ = fmt.Sscan(cmp.Or(days, "0"), &back)
		_, _ = fmt.Sscan(cmp.Or(grade, "0"), &a.Grade)
		_, _ = fmt.Sscan(cmp.Or(times, "1"), &n)
		a.Grade *= rules.Point
		a.Time = newest.AddDate(0, 0, -back)
		for range n {
			list = append(list, a)
		}
	}
	return list
}

// What attempts speak for: the mean with half an attempt on either side, the ways in
// which an element was missed with what is left in their proportions, at most four.
func TestAbilities(t *testing.T) {
	for name, c := range map[string]struct {
		attempts  string
		successes int
		success   float64
		misses    string // code, !, grade, chance
		folded    int
	}{
		"all came":                    {"3Lz*9", 9, 9.5 / 10, "", 0},
		"none came":                   {"3Lz!*9", 0, 0.5 / 10, "3Lz! -5.00 0.9500", 0},
		"one":                         {"3Lz", 1, 0.75, "", 0},
		"misses share what is left":   {"3Lz*5 3Lz=3Lz<*3 3Lz=2Lz", 5, 5.5 / 10, "3Lz< 0.00 0.3375, 2Lz 0.00 0.1125", 0},
		"a fall on what was called":   {"3Lz*4 3Lz=3Lz<!*4 3Lz=3Lz<", 4, 4.5 / 10, "3Lz<! -5.00 0.4400, 3Lz< 0.00 0.1100", 0},
		"grades are means":            {"3Lz@2*3 3Lz@1 3Lz=3Lz<@-2", 4, 4.5 / 6, "3Lz< -2.00 0.2500", 0},
		"a higher level is no miss":   {"CCoSp3=CCoSp4*2 CCoSp3 CCoSp3=CCoSp2", 3, 3.5 / 5, "CCoSp2 0.00 0.3000", 0},
		"a basic level is the lowest": {"CCoSp1=CCoSpB CCoSpB=CCoSp1 ", -1, 0, "", 0},
		"another spin is":             {"CCoSp3=CSp4", 0, 0.25, "CSp4 0.00 0.7500", 0},
		"an old one counts half":      {"3Lz 3Lz=2Lz~90", 1, 1.5 / 2.5, "2Lz 0.00 0.4000", 0},
		"twice as old a quarter":      {"3Lz 3Lz=2Lz~180", 1, 1.5 / 2.25, "2Lz 0.00 0.3333", 0},
		"the fifth as what is worth less": {"5A=4A*5 5A=3A*4 5A=2A*3 5A=1A!*2 5A=3A<", 0, 0.5 / 16,
			"4A 0.00 0.3229, 3A 0.00 0.3229, 2A 0.00 0.1938, 1A! -5.00 0.1292", 1},
		"or as the least": {"5A=4A*5 5A=3A*4 5A=2A*3 5A=2A<*2 5A=1A!", 0, 0.5 / 16,
			"4A 0.00 0.3229, 3A 0.00 0.2583, 2A 0.00 0.2583, 2A< 0.00 0.1292", 1},
	} {
		t.Run(name, func(t *testing.T) {
			list := Abilities(tries(c.attempts), nil, scale)
			if c.successes < 0 {
				if len(list) != 2 || list[0].Successes+list[1].Successes != 1 {
					t.Errorf("%+v", list)
				}
				return
			}
			a := list[0]
			var misses []string
			sum := a.Success
			for _, m := range a.Misses {
				misses = append(misses, fmt.Sprintf("%s%s %v %.4f", m.Code, map[bool]string{true: "!"}[m.Fall], m.Grade, m.Chance))
				sum += m.Chance
			}
			if a.Successes != c.successes || math.Abs(a.Success-c.success) > 1e-9 || strings.Join(misses, ", ") != c.misses || a.Folded != c.folded {
				t.Errorf("%d came, %.9f, %q, %d folded; want %d, %.9f, %q, %d", a.Successes, a.Success, misses, a.Folded, c.successes, c.success, c.misses, c.folded)
			}
			if len(a.Misses) > 0 && math.Abs(sum-1) > 1e-9 {
				t.Errorf("the chances are %v together", sum)
			}
			if !(a.Low < a.Success && a.Success < a.High) {
				t.Errorf("%v lies outside of %v to %v", a.Success, a.Low, a.High)
			}
		})
	}
}

// The ends of an interval are the quantiles 0.05 and 0.95 of Beta(x+1/2, n-x+1/2), as
// L. D. Brown, T. T. Cai and A. DasGupta, "Interval estimation for a binomial
// proportion", Statistical Science 16 (2001), define it: here by the density summed up.
func TestIntervals(t *testing.T) {
	for _, c := range []struct{ came, attempts int }{{0, 1}, {1, 1}, {11, 24}, {9, 13}, {20, 37}, {0, 40}, {40, 40}, {500, 1000}} {
		s := Share{Attempts: c.attempts, Successes: c.came}
		s.complete()
		yes, no := s.beta()
		for end, want := range map[float64]float64{s.Low: 0.05, s.High: 0.95} {
			if got := below(yes, no, end); math.Abs(got-want) > 2e-4 {
				t.Errorf("%d of %d: %.6f of the chance lie below %.6f, want %v", c.came, c.attempts, got, end, want)
			}
		}
	}
}

// below is how much of a Beta distribution lies below x, by the midpoint rule over
// x = sin² u, which takes the poles of the density away.
func below(yes, no, x float64) float64 {
	const steps = 2000
	density := func(u float64) float64 {
		return math.Exp((2*yes-1)*math.Log(math.Sin(u)) + (2*no-1)*math.Log(math.Cos(u)))
	}
	var part, all float64
	end := math.Asin(math.Sqrt(x))
	for i := range steps {
		u := (float64(i) + 0.5) / steps
		part += density(u*end) * end
		all += density(u*math.Pi/2) * math.Pi / 2
	}
	return part / all
}

// The chance that one is above another against a sum over a grid, and by symmetry.
func TestAbove(t *testing.T) {
	for _, c := range [][4]float64{{9.5, 4.5, 11.5, 13.5}, {0.5, 5.5, 0.5, 5.5}, {5.5, 0.5, 0.5, 5.5}, {100.5, 50.5, 90.5, 60.5}, {0.5, 0.5, 3.5, 1.5}} {
		got := above(c[0], c[1], c[2], c[3])
		if back := above(c[2], c[3], c[0], c[1]); math.Abs(got+back-1) > 2e-4 {
			t.Errorf("%v: %.6f above, %.6f below", c, got, back)
		}
		const steps = 60
		sum := 0.0
		for i := range steps {
			from, to := float64(i)/steps, float64(i+1)/steps
			sum += (below(c[0], c[1], to) - below(c[0], c[1], from)) * below(c[2], c[3], (from+to)/2)
		}
		if math.Abs(got-sum) > 5e-3 {
			t.Errorf("%v: %.5f, by a grid %.5f", c, got, sum)
		}
	}
}

// What is said of a change.
func TestVerdicts(t *testing.T) {
	for name, c := range map[string]struct {
		before, after [2]int // came, attempts
		ended         bool   // by a later change
		want          Verdict
		more          int
		words         string
	}{
		"too early": {[2]int{11, 24}, [2]int{9, 13}, false, TooEarly, 13, // figures of the page's design
			`Too early to tell. It is better with 91 chances in 100; "better" is said from 95. If it goes on like this, 13 more attempts will tell.`},
		"ended": {[2]int{11, 24}, [2]int{9, 13}, true, TooEarly, 0, `Too early to tell. It is better with 91 chances in 100; "better" is said from 95.`},
		"alike": {[2]int{10, 20}, [2]int{10, 20}, false, TooEarly, 0,
			`Too early to tell. It is better with 50 chances in 100; "better" is said from 95. If it goes on like this, 1000 more attempts would not tell.`},
		"better":     {[2]int{1, 10}, [2]int{9, 10}, false, Better, 0, "It is better, with 99 chances in 100."},
		"worse":      {[2]int{9, 10}, [2]int{1, 10}, false, Worse, 0, "It is worse, with 99 chances in 100."},
		"not enough": {[2]int{4, 4}, [2]int{9, 13}, false, NotEnough, 0, "Not enough yet: 4 attempts before it and 13 since; they are compared from 5 on either side."},
		"worse, too early": {[2]int{9, 13}, [2]int{11, 24}, false, TooEarly, 192,
			`Too early to tell. It is worse with 91 chances in 100; "worse" is said from 95. If it goes on like this, 192 more attempts will tell.`},
	} {
		e := Effect{Before: Share{Attempts: c.before[1], Successes: c.before[0]}, After: Share{Attempts: c.after[1], Successes: c.after[0]}, Open: !c.ended}
		e.decide()
		if e.Verdict != c.want || e.More != c.more || e.Words() != c.words {
			t.Errorf("%s: %d, %d more, %s", name, e.Verdict, e.More, e.Words())
		}
	}
}

// A change parts the attempts of its element, or of all, from the change before it to
// the next one.
func TestEffects(t *testing.T) {
	attempts := tries("3Lz~40*6 3Lz=2Lz~30*5 3Lz~20*7 3Lz~10*8 2A~40 2A~10*2")
	change := func(days int, code string) Change { return Change{newest.AddDate(0, 0, -days).Add(-time.Hour), code} }
	changes := []Change{change(20, "3Lz"), change(30, "3Lz"), change(15, ""), change(5, "2A")}
	got := map[string][]string{}
	for _, a := range Abilities(attempts, changes, scale) {
		for _, e := range a.Effects {
			got[a.Code] = append(got[a.Code], fmt.Sprintf("%d: %d/%d %d/%d %t", e.Change, e.Before.Successes, e.Before.Attempts, e.After.Successes, e.After.Attempts, e.Open))
		}
	}
	for code, want := range map[string][]string{
		"3Lz": {"0: 0/5 7/7 false", "1: 6/6 0/5 false", "2: 7/7 8/8 true"},
		"2A":  {"2: 1/1 2/2 false", "3: 2/2 0/0 true"},
	} {
		if !slices.Equal(got[code], want) {
			t.Errorf("%s: %q, want %q", code, got[code], want)
		}
	}
}

// Weeks begin on a Monday in UTC; causes are counted of misses only.
func TestWeeksAndCauses(t *testing.T) {
	attempts := tries("3Lz 3Lz=2Lz 3Lz=1Lz 3Lz!")
	for i, at := range []string{"2026-01-12T00:00:00Z", "2026-01-11T23:59:59Z", "2026-01-18T23:59:59Z", "1970-01-02T00:00:00Z"} {
		when, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		attempts[i].Time, attempts[i].Cause = when, []string{"luck", "timing", "", "timing"}[i]
	}
	a := Abilities(attempts, nil, scale)[0]
	var weeks, causes []string
	for _, w := range a.Weeks {
		weeks = append(weeks, fmt.Sprintf("%s %d/%d", w.Monday.Format(time.DateOnly), w.Successes, w.Attempts))
	}
	for _, c := range a.Causes {
		causes = append(causes, fmt.Sprintf("%s %d", c.Cause, c.Attempts))
	}
	if want := []string{"1969-12-29 0/1", "2026-01-05 0/1", "2026-01-12 1/2"}; !slices.Equal(weeks, want) {
		t.Errorf("%q", weeks)
	}
	if want := []string{"timing 2", " 1"}; !slices.Equal(causes, want) {
		t.Errorf("%q", causes)
	}
	if got := Abilities(nil, nil, scale); len(got) != 0 {
		t.Errorf("of nothing: %+v", got)
	}
}

func BenchmarkDecide(b *testing.B) {
	for b.Loop() {
		e := Effect{Before: Share{Attempts: 240, Successes: 110}, After: Share{Attempts: 130, Successes: 66}, Open: true}
		e.decide()
	}
}
