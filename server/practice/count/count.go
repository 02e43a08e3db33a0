// Package count makes of attempts what they speak for: the chance that an element
// comes, how sure that is, what comes instead, and whether a change has made a
// difference. It is pure: no clock, no I/O; the same attempts give the same answer.
//
// A chance is the mean of the Beta distribution that the attempts leave of Jeffreys'
// prior, which adds half an attempt on either side (H. Jeffreys, "An invariant form for
// the prior probability in estimation problems", 1946); its interval is between that
// distribution's quantiles. L. D. Brown, T. T. Cai and A. DasGupta, "Interval estimation
// for a binomial proportion" (2001), recommend it for few attempts.
package count

import (
	"cmp"
	"math"
	"slices"
	"time"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// The choices of the counting, which every answer states.
const (
	// Prior is added to what came and to what did not.
	Prior = 0.5
	// HalfLifeDays is how much older than the newest attempt one is that counts half.
	HalfLifeDays = 90
	// Interval is how much of the chance lies between the ends of an interval.
	Interval = 0.9
	// Sure is from which chance on a change is called better or worse.
	Sure = 0.95
	// Fewest is how many attempts on either side of a change are compared at least.
	Fewest = 5
	// MostMisses is how many ways not to come an ability has.
	MostMisses = 4
	// mostMore is how many more attempts are looked at.
	mostMore = 1000
)

// Attempt is one attempt. Its codes are canonical.
type Attempt struct {
	Time          time.Time
	Planned, Came string
	Fall          bool
	Grade         rules.Points // hundredths
	Graded        bool
	Cause         string
}

// Change is something that was changed at a time. An empty code concerns every element.
type Change struct {
	Time time.Time
	Code string
}

// Scale is what the season says of outcomes.
type Scale struct {
	Lowest, Highest rules.Points // grades of execution
	// Worth returns what an outcome scores, less what a fall costs.
	Worth func(code string, fall bool, grade rules.Points) rules.Points
}

// Way is one way in which an element comes.
type Way struct {
	Code     string
	Fall     bool
	Attempts int
	Grade    rules.Points // mean, on the season's scale
	Chance   float64      // of an ability's misses; their sum and the ability's success are 1

	weight, graded, grades float64
}

// Ability is what the attempts of one element speak for.
type Ability struct {
	Code                string
	Attempts, Successes int
	Graded              int
	Success, Low, High  float64
	Grade               rules.Points
	Misses              []Way // at most MostMisses, the likeliest first
	Folded              int   // attempts that came in other ways, counted among Misses
	Came                []Way // all that are no success, the most frequent first
	Causes              []Cause
	Weeks               []Week
	Effects             []Effect // in the order of the changes that concern it
}

// Cause is how many misses have a cause.
type Cause struct {
	Cause    string
	Attempts int
}

// Week is the attempts of the week that begins on a Monday in UTC.
type Week struct {
	Monday time.Time
	Share
}

// Abilities counts attempts, in any order, for the changes that were noted, in any
// order. The element with the most attempts comes first.
func Abilities(attempts []Attempt, changes []Change, scale *Scale) []Ability {
	var newest time.Time
	for i := range attempts {
		if attempts[i].Time.After(newest) {
			newest = attempts[i].Time
		}
	}
	tallies := map[string]*tally{}
	for i := range attempts {
		a := &attempts[i]
		t := tallies[a.Planned]
		if t == nil {
			t = &tally{code: a.Planned, ways: map[way]*Way{}, causes: map[string]int{}, weeks: map[int64]*Share{}}
			tallies[a.Planned] = t
		}
		t.add(a, newest)
	}
	list := make([]Ability, 0, len(tallies))
	for _, t := range tallies {
		list = append(list, t.ability(changes, scale))
	}
	slices.SortFunc(list, func(a, b Ability) int {
		return cmp.Or(b.Attempts-a.Attempts, cmp.Compare(a.Code, b.Code))
	})
	return list
}

// way is the key of a Way.
type way struct {
	came string
	fall bool
}

// tally is what is counted of one element.
type tally struct {
	code                string
	attempts, successes int
	graded              int
	weight              float64 // of all
	success             Way     // those that came as meant
	ways                map[way]*Way
	meant               map[string]bool // whether a code that came is as meant
	causes              map[string]int
	weeks               map[int64]*Share
	past                []past
}

// past is when an attempt was, and whether it came.
type past struct {
	at   int64 // microseconds
	came bool
}

const day = 24 * time.Hour

func (t *tally) add(a *Attempt, newest time.Time) {
	weight := math.Exp2(-float64(newest.Sub(a.Time)) / float64(HalfLifeDays*day))
	came := !a.Fall && t.asMeant(a.Came)
	to := &t.success
	if !came {
		key := way{a.Came, a.Fall}
		if to = t.ways[key]; to == nil {
			to = &Way{Code: a.Came, Fall: a.Fall}
			t.ways[key] = to
		}
		t.causes[a.Cause]++
	}
	to.Attempts++
	to.weight += weight
	if a.Graded {
		t.graded++
		to.graded += weight
		to.grades += weight * float64(a.Grade)
	}
	t.attempts++
	t.weight += weight
	week := t.weeks[monday(a.Time)]
	if week == nil {
		week = &Share{}
		t.weeks[monday(a.Time)] = week
	}
	week.Attempts++
	if came {
		t.successes++
		week.Successes++
	}
	t.past = append(t.past, past{a.Time.UnixMicro(), came})
}

// asMeant reports whether a code is the element as it was meant, or the same with a
// higher level.
func (t *tally) asMeant(came string) bool {
	if came == t.code {
		return true
	}
	known, seen := t.meant[came]
	if !seen {
		if t.meant == nil {
			t.meant = map[string]bool{}
		}
		known = higher(came, t.code)
		t.meant[came] = known
	}
	return known
}

// levels in their order.
const levels = "B1234"

// higher reports whether a code is another one with a higher level.
func higher(code, than string) bool {
	a, err := element.Parse(code)
	if err != nil {
		return false
	}
	b, err := element.Parse(than)
	if err != nil || len(a.Parts()) != len(b.Parts()) || a.Markers() != b.Markers() {
		return false
	}
	above := false
	for i := range a.Parts() {
		p, q := &a.Parts()[i], &b.Parts()[i]
		if p.Name() != q.Name() || p.Signs() != q.Signs() || p.NoValue || rank(p) < rank(q) {
			return false
		}
		above = above || rank(p) > rank(q)
	}
	return above
}

// rank returns the place of a part's level among the levels, -1 without one.
func rank(p *element.Part) int {
	for i := range levels {
		if levels[i] == p.Level {
			return i
		}
	}
	return -1
}

// monday returns the day, counted from 1970-01-01, on which a time's week began in UTC.
func monday(t time.Time) int64 {
	days := int64(math.Floor(float64(t.Unix()) / day.Seconds()))
	return days - (days+3)%7 // 1970-01-01 was a Thursday
}

func (t *tally) ability(changes []Change, scale *Scale) Ability {
	yes, no := t.success.weight+Prior, t.weight-t.success.weight+Prior
	a := Ability{
		Code: t.code, Attempts: t.attempts, Successes: t.successes, Graded: t.graded,
		Success: yes / (yes + no), Grade: scale.mean(&t.success),
	}
	a.Low, a.High = quantiles(yes, no)
	for _, w := range t.ways {
		w.Grade = scale.mean(w)
		a.Came = append(a.Came, *w)
	}
	slices.SortFunc(a.Came, func(v, w Way) int {
		return cmp.Or(w.Attempts-v.Attempts, cmp.Compare(v.Code, w.Code), compare(v.Fall, w.Fall))
	})
	a.Misses, a.Folded = misses(a.Came, 1-a.Success, scale)
	for cause, n := range t.causes {
		a.Causes = append(a.Causes, Cause{cause, n})
	}
	slices.SortFunc(a.Causes, func(v, w Cause) int {
		// Where none was noted it comes last.
		return cmp.Or(compare(v.Cause == "", w.Cause == ""), w.Attempts-v.Attempts, cmp.Compare(v.Cause, w.Cause))
	})
	for days, share := range t.weeks {
		share.complete()
		a.Weeks = append(a.Weeks, Week{time.Unix(days*int64(day.Seconds()), 0).UTC(), *share})
	}
	slices.SortFunc(a.Weeks, func(v, w Week) int { return v.Monday.Compare(w.Monday) })
	a.Effects = t.effects(changes)
	return a
}

func compare(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// mean returns the mean grade of a way, on the scale; where nobody gave one, 0, and the
// lowest of a fall.
func (s *Scale) mean(w *Way) rules.Points {
	if w.graded == 0 {
		if w.Fall {
			return s.Lowest
		}
		return max(s.Lowest, min(0, s.Highest))
	}
	return max(s.Lowest, min(rules.Points(math.Round(w.grades/w.graded)), s.Highest))
}

// misses returns the likeliest ways not to come, with their part of what is left, and
// how many attempts that came in other ways are counted among them.
func misses(came []Way, left float64, scale *Scale) ([]Way, int) {
	if len(came) == 0 {
		return nil, 0
	}
	ways := slices.Clone(came)
	slices.SortStableFunc(ways, func(v, w Way) int { return cmp.Compare(w.weight, v.weight) })
	kept := ways[:min(MostMisses, len(ways))]
	weights, all, folded := make([]float64, len(kept)), 0.0, 0
	for i := range ways {
		to := i
		if i >= len(kept) {
			to = nearest(kept, &ways[i], scale)
			folded += ways[i].Attempts
		}
		weights[to] += ways[i].weight
		all += ways[i].weight
	}
	for i := range kept {
		kept[i].Chance = left * weights[i] / all
	}
	slices.SortStableFunc(kept, func(v, w Way) int { return cmp.Compare(w.Chance, v.Chance) })
	return kept, folded
}

// nearest returns which of the ways is worth most without being worth more than another
// one; where all are worth more, which is worth least.
func nearest(kept []Way, w *Way, scale *Scale) int {
	most := scale.Worth(w.Code, w.Fall, w.Grade)
	best, least := -1, 0
	worth := make([]rules.Points, len(kept))
	for i := range kept {
		worth[i] = scale.Worth(kept[i].Code, kept[i].Fall, kept[i].Grade)
		if worth[i] <= most && (best < 0 || worth[i] > worth[best]) {
			best = i
		}
		if worth[i] < worth[least] {
			least = i
		}
	}
	if best < 0 {
		return least
	}
	return best
}
