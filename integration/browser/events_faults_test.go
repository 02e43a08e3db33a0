package browser_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/integration/rounds"
)

// faultsName is the variable that says how many faults come at random.
const faultsName = "RINKTALLY_FAULT_ROUNDS"

// walk is a program during which faults come at random, and what its desks show.
type walk struct {
	*rink
	random           *rand.Rand
	technical, judge *browser.Page
	elements, falls  int
	marks            map[int]int // of the judge, by element from 1
	grades           [3]string
	faults           map[string]int // that came, by what was done and how it was disturbed
}

// next is something that is done at one of the desks, and its name.
func (w *walk) next() (string, deed) {
	const most, mostFalls = 12, 40 // of a program
	switch w.random.IntN(4) {
	case 0:
		if w.elements < most {
			w.elements++
			return "call", callDeed(w.technical, "2a", "2A")
		}
		fallthrough
	case 1:
		if w.falls < mostFalls {
			w.falls++
			return "fall", fallDeed(w.technical, counted, w.falls)
		}
		fallthrough
	case 2:
		n := 1 + w.random.IntN(w.elements)
		was, marked := w.marks[n]
		mark := w.random.IntN(6)
		if marked && mark == was {
			mark = (mark + 1) % 6
		}
		w.marks[n] = mark
		d := markDeed(w.judge, n, strconv.Itoa(mark), signed(mark))
		key := d.do
		d.do = func() {
			one := fmt.Sprintf(tile, n-1)
			w.judge.Wait(one + ` !== undefined`)
			w.judge.Do(chromedp.Evaluate[chromedp.Void](one + `.click()`))
			w.judge.Wait(one + `.ariaCurrent === "true"`)
			key()
		}
		return "mark", d
	default:
		n := w.random.IntN(len(w.grades))
		grade := fmt.Sprintf("%d.25", 1+w.random.IntN(9))
		if grade == w.grades[n] {
			grade = "9.75"
		}
		w.grades[n] = grade
		return "component", gradeDeed(w.judge, n, grade)
	}
}

// one lets one fault come.
func (w *walk) one() {
	what, d := w.next()
	half := []browser.Half{browser.Going, browser.Coming}[w.random.IntN(2)]
	switch w.random.IntN(2) {
	case 0:
		w.faults[fmt.Sprintf("%s, killed while %s", what, half)]++
		w.kill(d.on(half))
	default:
		w.faults[fmt.Sprintf("%s, loaded again while %s", what, half)]++
		w.loadAgain(d.on(half))
	}
}

// faultsAtRandom lets faults come while a program is skated, of which nobody has called or
// marked anything.
func (r *rink) faultsAtRandom(technical, judge *browser.Page) {
	r.t.Helper()
	seed := rand.Uint64()
	w := &walk{
		rink: r, random: rand.New(rand.NewPCG(seed, 0)), technical: technical, judge: judge,
		elements: 1, marks: map[int]int{}, faults: map[string]int{},
	}
	first := callDeed(technical, "2a", "2A")
	first.do()
	calls(technical, "2A")
	seesElements(judge, 1)
	for n := range rounds.Of(r.t, faultsName, 3) {
		w.one()
		if r.t.Failed() {
			r.t.Fatalf("fault %d of seed %d", n+1, seed)
		}
	}
	calls(technical, slices.Repeat([]string{"2A"}, w.elements)...)
	r.t.Logf("seed %d: %v", seed, w.faults)
}
