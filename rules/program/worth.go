package program

import (
	"fmt"
	"strconv"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
)

// Call names a change of the panel's call.
type Call string

// The calls whose worth is shown.
const (
	NextLevel    Call = "NEXT_LEVEL"
	OnQuarter    Call = "q"
	UnderRotated Call = "<"
	Downgraded   Call = "<<"
	UnclearEdge  Call = "!"
	WrongEdge    Call = "e"
	Fall         Call = "FALL"
)

// Change is what one element would gain or lose by another call, the grade of
// execution staying as expected (or 0).
type Change struct {
	Call Call
	Jump int    // index of the jump in the element, or Whole
	Code string // of the element with that call; for a fall as before
	// Difference is what the score changes by, second-half bonus and points of
	// the grade included.
	Difference rules.Points
	Message    string
}

// worth says of each element with value what one level more and each call of
// a jump would change.
func (c *checker) worth() {
	skated := c.credited()
	w := worther{checker: c, skated: skated, buf: make([]value.Valued, 0, len(skated))}
	for i := range c.out.Elements {
		x := &c.out.Elements[i]
		if x.Valued.Element.NoValue() {
			continue
		}
		w.levels(i, x)
		if x.Kind == element.Jump {
			w.calls(i, x)
		}
		if x.Kind == element.Jump || x.Kind == element.Throw {
			w.fall(x)
		}
	}
}

// worther values a program again with one element changed.
type worther struct {
	*checker
	skated []value.Skated
	buf    []value.Valued
}

// score returns an element's score with another code, or false when the season
// does not know its value. What the other code rests on that is not fully sure is
// no warning of the program, which does not have that code: hedge says it.
func (w *worther) score(i int, code string) (score rules.Points, hedge string, ok bool) {
	was := w.skated[i].Code
	w.skated[i].Code = code
	defer func() { w.skated[i].Code = was }()
	var unheard rules.Warnings
	valued, err := w.Context.Elements(w.buf[:0], w.skated, &unheard)
	if err != nil {
		return 0, "", false
	}
	w.buf = valued
	score = valued[i].Base
	var doubts rules.Warnings
	for _, part := range valued[i].Parts() {
		if part.Row != nil && (part.Row.Warn != nil || part.Row.SignWarn != nil) {
			hedge = unsure
		}
	}
	if g := w.in.Elements[i].Grade; g != nil {
		points, ok := goe(&valued[i], *g, &doubts, "")
		if !ok {
			return 0, "", false
		}
		score += points
	}
	if len(doubts) > 0 {
		hedge = unsure
	}
	return score, hedge, true
}

// unsure stands behind a change that rests on what is not fully sure.
const unsure = " What this rests on is not fully sure."

// levels says what the next level of each levelled part would add.
func (w *worther) levels(i int, x *Credited) {
	most := w.Category.MaxLevel
	if most == 0 {
		most = int(rules.MaxLevel)
	}
	for j := range x.Valued.Element.Parts() {
		e := x.Valued.Element
		p := &e.Parts()[j]
		next := byte('1')
		switch {
		case p.Level == 'B':
		case p.Level >= '1' && int(p.Level-'0') < most:
			next = p.Level + 1
		default:
			continue
		}
		setLevel(p, next)
		score, hedge, ok := w.score(i, e.String())
		if !ok || score == x.Score {
			continue
		}
		w.out.Caution = Caution
		x.Worth = append(x.Worth, Change{
			Call: NextLevel, Jump: Whole, Code: e.String(), Difference: score - x.Score,
			Message: fmt.Sprintf("Level %c would add %v.%s", next, score-x.Score, hedge),
		})
	}
}

// calls says what each call of each jump without a sign would cost.
func (w *worther) calls(i int, x *Credited) {
	parts := x.Valued.Element.Parts()
	for j := range parts {
		if p := &parts[j]; p.NoValue || p.Turns == 0 || p.Signs() != "" {
			continue
		}
		for _, call := range []Call{OnQuarter, UnderRotated, Downgraded, UnclearEdge, WrongEdge} {
			edge := call == UnclearEdge || call == WrongEdge
			name := parts[j].Name()
			if w.Season.Signs[string(call)] == nil || edge && name != "F" && name != "Lz" {
				continue
			}
			e := x.Valued.Element
			e.Parts()[j].Text += string(call)
			score, hedge, ok := w.score(i, e.String())
			if !ok {
				continue
			}
			x.Worth = append(x.Worth, Change{
				Call: call, Jump: j, Code: e.String(), Difference: score - x.Score,
				Message: fmt.Sprintf("The call %s on %s would %s; the judges' grades would fall too.%s", call, parts[j].Text, cost(x.Score-score), hedge),
			})
		}
	}
}

func cost(p rules.Points) string {
	if p == 0 {
		return "leave the base value as it is"
	}
	return "cost " + p.String()
}

// fall says what a fall would cost: the lowest grade and the deduction for a
// first fall.
func (w *worther) fall(x *Credited) {
	lowest := w.Season.GOE.Min
	var doubts rules.Warnings
	goe, ok := goe(&x.Valued, rules.Points(lowest)*rules.Point, &doubts, "")
	rule := w.Season.Deduction(w.Category, "FALL")
	if !ok || rule == nil {
		return
	}
	hedge := ""
	if len(doubts) > 0 || rule.Warn != nil {
		hedge = unsure
	}
	lost := x.Score - x.Base - goe + rule.Total(1)
	x.Worth = append(x.Worth, Change{
		Call: Fall, Jump: Whole, Code: x.Code, Difference: -lost,
		Message: fmt.Sprintf("A fall would cost %v: the lowest grade (%s) and %v for a first fall.%s", lost, strconv.Itoa(lowest), rule.Total(1), hedge),
	})
}
