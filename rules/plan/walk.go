package plan

import (
	"cmp"
	"slices"

	"github.com/rinktally/rinktally/rules/program"
)

// placed is an option in its place of a program.
type placed struct {
	*option
	mode mode
}

// arranged puts a group's elements in skating order: the second half last, in it those
// with the bonus last, and inside of these the order of the abilities.
func arranged(layout []placed) []placed {
	slices.SortStableFunc(layout, func(a, b placed) int {
		return cmp.Or(cmp.Compare(a.mode, b.mode), cmp.Compare(a.ability, b.ability))
	})
	return layout
}

// walk credits the outcomes of a layout step by step, by the rules.
type walk struct {
	*planner
	layout []placed
	last   int             // index of the last jump element, or -1
	roots  []program.Tally // of the patterns without and with a combination
}

// walk starts the patterns of a layout. In a short program a pattern counts by whether
// a combination comes in it, which only its end shows: it starts both ways, and those
// that end otherwise are left out.
func (p *planner) walk(layout []placed) walk {
	w := walk{planner: p, layout: layout, last: -1, roots: p.roots}
	for i, x := range layout {
		if x.jump() {
			w.last = i
		}
	}
	return w
}

// add credits an outcome of step i.
func (w *walk) add(t *program.Tally, i int, x *outcome) program.Credit {
	c := t.Add(x.code.entry)
	if i == w.last {
		if _, struck := t.RequiredMissing(); struck {
			return x.code.entry.Void()
		}
	}
	return c
}

// lost reports whether a pattern has become one that started otherwise.
func (w *walk) lost(t *program.Tally, i int) bool {
	if len(w.roots) == 1 {
		return false
	}
	return t.Combined() && !t.Comes() || i == len(w.layout)-1 && t.Comes() && !t.Combined()
}

// pattern credits one pattern of outcomes, one for each element. It returns false where
// the check finds an ERROR.
func (w *walk) pattern(come func(i int) *outcome) (credits []program.Credit, legal bool) {
	for _, t := range w.roots {
		credits, legal = credits[:0], true
		for i := range w.layout {
			c := w.add(&t, i, come(i))
			legal = legal && !c.Error
			credits = append(credits, c)
		}
		if len(w.roots) == 1 || t.Comes() == t.Combined() {
			break
		}
	}
	return credits, legal
}

// legal reports whether the check finds no ERROR when all comes as meant.
func (w *walk) legal() bool {
	_, legal := w.pattern(func(i int) *outcome { return w.layout[i].outcomes[0] })
	return legal
}
