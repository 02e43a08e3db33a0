package count

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"
)

// Share is how many of some attempts came, each counting alike, and what that speaks
// for.
type Share struct {
	Attempts, Successes int
	Success, Low, High  float64
}

// beta returns the parameters of the chance's distribution.
func (s *Share) beta() (yes, no float64) {
	return float64(s.Successes) + Prior, float64(s.Attempts-s.Successes) + Prior
}

func (s *Share) complete() {
	yes, no := s.beta()
	s.Success = yes / (yes + no)
	s.Low, s.High = quantiles(yes, no)
}

// quantiles returns the ends of the interval in the middle of a Beta distribution.
func quantiles(yes, no float64) (low, high float64) {
	const outside = (1 - Interval) / 2
	return mathext.InvRegIncBeta(yes, no, outside), mathext.InvRegIncBeta(yes, no, 1-outside)
}

// above returns the chance that the first of two chances is greater than the second,
// each with its Beta distribution: the mean of the second's distribution function over
// the first. It is taken over the first's quantiles, which have no poles.
func above(yes, no, thanYes, thanNo float64) float64 {
	const points = 64
	return quad.Fixed(func(u float64) float64 {
		return mathext.RegIncBeta(thanYes, thanNo, mathext.InvRegIncBeta(yes, no, u))
	}, 0, 1, points, nil, 0)
}

// Verdict is what can be said of a change.
type Verdict int

// The verdicts.
const (
	NotEnough Verdict = iota + 1
	TooEarly
	Better
	Worse
)

// Effect compares the attempts before a change with those since.
type Effect struct {
	Change        int // which of the changes
	Before, After Share
	Verdict       Verdict
	Better        float64 // the chance of it; 0 with NotEnough
	More          int     // how many more attempts will show; 0 where that is not known
	Open          bool    // no later change has ended the attempts since
}

// effects compares what lies before and after each change that concerns the element.
func (t *tally) effects(changes []Change) []Effect {
	var list []Effect
	var times []int64 // of the changes that concern it
	for i, c := range changes {
		if c.Code == "" || c.Code == t.code {
			list = append(list, Effect{Change: i})
			times = append(times, c.Time.UnixMicro())
		}
	}
	if len(list) == 0 {
		return nil
	}
	slices.SortFunc(t.past, func(a, b past) int { return cmp.Compare(a.at, b.at) })
	slices.Sort(times)
	for i := range list {
		e := &list[i]
		at := changes[e.Change].Time.UnixMicro()
		first, _ := slices.BinarySearch(times, at)
		from, to := int64(math.MinInt64), int64(math.MaxInt64)
		if first > 0 {
			from = times[first-1]
		}
		next, _ := slices.BinarySearch(times, at+1)
		if e.Open = next == len(times); !e.Open {
			to = times[next]
		}
		e.Before, e.After = t.share(from, at), t.share(at, to)
		e.decide()
	}
	return list
}

// share counts the attempts from one time on and before another.
func (t *tally) share(from, to int64) Share {
	var s Share
	first, _ := slices.BinarySearchFunc(t.past, from, func(p past, at int64) int { return cmp.Compare(p.at, at) })
	for _, p := range t.past[first:] {
		if p.at >= to {
			break
		}
		s.Attempts++
		if p.came {
			s.Successes++
		}
	}
	s.complete()
	return s
}

func (e *Effect) decide() {
	if e.Before.Attempts < Fewest || e.After.Attempts < Fewest {
		e.Verdict = NotEnough
		return
	}
	e.Better = e.after(0, 0)
	switch {
	case e.Better >= Sure:
		e.Verdict = Better
	case e.Better <= 1-Sure:
		e.Verdict = Worse
	default:
		e.Verdict = TooEarly
		if e.Open {
			e.More = e.more()
		}
	}
}

// after returns the chance of better if more attempts come, so many of them as meant.
func (e *Effect) after(more, came float64) float64 {
	yes, no := e.After.beta()
	before, beforeNot := e.Before.beta()
	return above(yes+came, no+more-came, before, beforeNot)
}

// more returns with how many more attempts it can be told if they come as those since
// have; 0 where mostMore would not do.
func (e *Effect) more() int {
	rate := float64(e.After.Successes) / float64(e.After.Attempts)
	told := func(more int, came float64) bool {
		better := e.after(float64(more), came)
		return better >= Sure || better <= 1-Sure
	}
	if !told(mostMore, mostMore*rate) {
		return 0
	}
	few, enough := 0, mostMore
	for enough-few > 1 {
		if half := (few + enough) / 2; told(half, float64(half)*rate) {
			enough = half
		} else {
			few = half
		}
	}
	// Attempts come whole: the one that is not whole yet does not count for what is to
	// be told.
	whole := math.Floor
	if e.Better < 0.5 {
		whole = math.Ceil
	}
	for ; enough < mostMore && !told(enough, whole(float64(enough)*rate)); enough++ {
	}
	return enough
}

// Words says what the comparison has found, for a coach.
func (e *Effect) Words() string {
	// Never more sure than it is: 94.9 is not 95.
	chances := func(p float64) int { return min(int(p*100), 99) }
	likely, p := "better", e.Better
	if e.Better < 0.5 {
		likely, p = "worse", 1-e.Better
	}
	switch e.Verdict {
	case NotEnough:
		return fmt.Sprintf("Not enough yet: %d attempts before it and %d since; they are compared from %d on either side.", e.Before.Attempts, e.After.Attempts, Fewest)
	case Better, Worse:
		return fmt.Sprintf("It is %s, with %d chances in 100.", likely, chances(p))
	}
	words := fmt.Sprintf("Too early to tell. It is %s with %d chances in 100; %q is said from %.0f.", likely, chances(p), likely, Sure*100)
	switch {
	case !e.Open:
	case e.More > 0:
		words += fmt.Sprintf(" If it goes on like this, %d more attempts will tell.", e.More)
	default:
		words += fmt.Sprintf(" If it goes on like this, %d more attempts would not tell.", mostMore)
	}
	return words
}
