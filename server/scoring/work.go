package scoring

import (
	"sync"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/rules/score"
)

// work is the memory of one calculation: its input and what it needs on the
// way. The answer shares nothing with it but texts, which do not change.
type work struct {
	in score.Segment
	score.Work
}

// works keeps the memory of calculations that have ended for those that come.
var works = sync.Pool{New: func() any { return new(work) }}

func newWork() *work { return works.Get().(*work) } //nolint:forcetypeassert // only works are put in

// done puts the memory back, without what a caller sent.
func (w *work) done() {
	w.Forget()
	clear(w.in.Elements)
	clear(w.in.Components)
	w.in = score.Segment{Elements: w.in.Elements[:0], Components: w.in.Components[:0]}
	works.Put(w)
}

// calls keeps the memory of calls of levels that have ended for those that come.
var calls = sync.Pool{New: func() any { return new(level.Work) }}

// callLevels finds the levels of a program. The answer shares nothing with the memory.
func callLevels(r *rules.LevelRules, p level.Program) level.Result {
	w := calls.Get().(*level.Work) //nolint:forcetypeassert // only these are put in
	defer calls.Put(w)
	defer w.Forget()
	return w.Call(r, p)
}
