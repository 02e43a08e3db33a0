// Package score turns a panel's marks into the score of a segment, in the
// order and with the roundings of the published calculation.
package score

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/value"
)

// MaxJudges is the largest panel that is computed.
const MaxJudges = 20

// Element is an element as called, with the panel's marks.
type Element struct {
	Code       string
	SecondHalf bool
	Marks      []int32 // whole grades, one a present judge
	Missing    []int32 // numbers (from 1) of judges who gave no mark; their marks may be left out of Marks
}

// Component is a program component with the panel's marks in hundredths.
type Component struct {
	Key   string
	Marks []rules.Points
}

// Deduction is something to take off: so many of a kind, or OTHER with its own
// (negative) value.
type Deduction struct {
	Kind  string
	Count int
	Value rules.Points
	Note  string
}

// Segment is what a panel called and marked.
type Segment struct {
	Category   string
	Segment    string
	Scope      string // condition of the value rows, such as a compulsory dance's name
	Elements   []Element
	Components []Component
	Counted    []int32 // numbers of the drawn judges; empty = all
	Absent     []int32 // numbers of judges absent for the whole segment
	Deductions []Deduction
	Explain    bool
}

// ElementScore is an element's share of the score.
type ElementScore struct {
	*value.Valued
	GOE   rules.Points
	Score rules.Points
}

// ComponentScore is a component's share of the score.
type ComponentScore struct {
	rules.Component
	Panel rules.Points // trimmed mean, rounded to 0.01
	Score rules.Points // times the factor, rounded to 0.01
}

// DeductionScore is what a deduction takes off, as negative points.
type DeductionScore struct {
	Kind  string
	Count int
	Value rules.Points
	Note  string
}

// Result is the score of a segment.
type Result struct {
	Elements        []ElementScore
	ElementScore    rules.Points // sum of the elements' scores
	Components      []ComponentScore
	ComponentScore  rules.Points // sum of the components' scores
	Deductions      []DeductionScore
	TotalDeductions rules.Points // negative or 0
	SegmentScore    rules.Points
	Steps           []string // every arithmetic step, when asked for
	Warnings        rules.Warnings
}

// other is the deduction whose value the caller states.
const other = "OTHER"

// Compute scores a segment under a season's rules. It returns either the result
// or every fault of the input with its path.
//
// The order is that of the published calculation: base values, each mark's
// points, trimmed mean rounded to 0.01, element scores; components' trimmed
// means rounded to 0.01, each times its factor rounded to 0.01; deductions.
func Compute(season *rules.Season, in *Segment) (*Result, rules.FieldErrors) {
	return new(Work).Compute(season, in)
}

// Work is memory that computations use one after another, for a caller who has
// many. Its zero value is ready. A result holds until the next computation of
// its Work.
type Work struct {
	c        computation
	skated   []value.Skated
	valued   []value.Valued
	elements []ElementScore
}

// Forget lets go of the last input, so that keeping the memory does not keep it.
func (w *Work) Forget() {
	w.c = computation{}
	clear(w.skated)
	clear(w.valued)
}

// Compute is the package's Compute in the memory of w.
func (w *Work) Compute(season *rules.Season, in *Segment) (*Result, rules.FieldErrors) {
	ctx, faults := value.NewContext(season, in.Category, in.Segment, in.Scope)
	if len(faults) > 0 {
		return nil, faults
	}
	c := &w.c
	*c = computation{Context: ctx, in: in, out: &Result{}, work: w}
	if in.Explain {
		c.explain = &explainer{}
	}
	c.whole(ctx.Segment.Warn)
	c.whole(season.GOE.Warn)
	c.whole(season.Panel.Warn)
	c.elements()
	c.panel()
	c.grades()
	if rule := &season.Panel; c.nCount < rule.TrimFrom && rule.Trim > 0 {
		c.whole(rule.Small.Warn)
	}
	c.components()
	c.deductions()
	if len(c.errs) > 0 {
		return nil, c.errs
	}
	r := c.out
	r.SegmentScore = r.ElementScore + r.ComponentScore + r.TotalDeductions
	if c.explain != nil {
		c.explain.total(r)
		r.Steps = c.explain.steps
	}
	return r, nil
}

type computation struct {
	value.Context
	work    *Work
	in      *Segment
	out     *Result
	errs    rules.FieldErrors
	explain *explainer

	present      int              // judges whose marks are in the request
	panelInvalid bool             // the panel's size is out of range: the checks of mark counts are skipped
	counted      [MaxJudges]uint8 // columns of the marks that count
	nCount       int
	column       [MaxJudges + 1]int8 // column of each judge's number, -1 = absent
}

// whole passes on the warning of a rule that the whole result rests on, if it has
// one.
func (c *computation) whole(w *rules.Warning) {
	if w != nil {
		c.out.Warnings.Add(w, "")
	}
}

// elements values the elements.
func (c *computation) elements() {
	w := c.work
	w.skated = slices.Grow(w.skated[:0], len(c.in.Elements))
	for i := range c.in.Elements {
		e := &c.in.Elements[i]
		w.skated = append(w.skated, value.Skated{Code: e.Code, SecondHalf: e.SecondHalf})
	}
	var faults rules.FieldErrors
	w.valued = slices.Grow(w.valued[:0], min(len(w.skated), value.MaxElements))
	w.valued, faults = c.Elements(w.valued, w.skated, &c.out.Warnings)
	if len(faults) > 0 {
		c.errs = append(c.errs, faults...)
		return
	}
	w.elements = slices.Grow(w.elements[:0], len(w.valued))
	for i := range w.valued {
		w.elements = append(w.elements, ElementScore{Valued: &w.valued[i]})
	}
	c.out.Elements = w.elements
}

// panel settles how many judges there are and which of their marks count. The
// components set the number of present judges, since each of them has a mark
// of every present judge.
func (c *computation) panel() {
	rule := &c.Season.Panel
	c.present = c.marked()
	total := c.present + len(c.in.Absent)
	if c.present < rule.MinJudges || total > rule.MaxJudges || total > MaxJudges {
		field := "components"
		if len(c.in.Components) > 0 {
			field = "components[0].marks"
		}
		c.errs.Add(field, rules.ReasonPanelSize, "there are marks of %d judges (%d absent); season %s has panels of %s", c.present, len(c.in.Absent), c.Season.Params.Season, rules.Allow("%d to %d", rule.MinJudges, rule.MaxJudges))
		c.present, c.panelInvalid = 0, true
		return
	}
	for i, judge := range c.in.Absent {
		if !c.judge("absentJudges", c.in.Absent, i, total) {
			continue
		}
		c.column[judge] = -1
	}
	next := int8(0)
	for judge := 1; judge <= total; judge++ {
		if c.column[judge] >= 0 {
			c.column[judge] = next
			next++
		}
	}
	if len(c.in.Counted) == 0 {
		for i := range c.present {
			c.counted[i] = uint8(i)
		}
		c.nCount = c.present
		if rule.Draw {
			c.whole(&rules.Warning{Code: rules.WarnPanelNotDrawn, Rule: rule.ID + ".draw", Message: fmt.Sprintf(
				"in season %s only the marks of a drawn part of the panel counted; countedJudges is empty, so all marks are counted and the result can differ from the published one", c.Season.Params.Season)})
		}
		return
	}
	for i, judge := range c.in.Counted {
		if !c.judge("countedJudges", c.in.Counted, i, total) {
			continue
		}
		if c.column[judge] < 0 {
			c.errs.Add(fmt.Sprintf("countedJudges[%d]", i), rules.ReasonJudgeUnknown, "judge %d is absent, so no mark of this judge can count", judge)
			continue
		}
		c.counted[c.nCount] = uint8(c.column[judge])
		c.nCount++
	}
}

// marked returns how many judges marked. When the components disagree, the number
// that most lists of marks have is the panel's, so that the odd ones out are reported
// and not all the others.
func (c *computation) marked() int {
	var lists [MaxJudges + 2]int // lists by how many marks they hold; the last for more
	count := func(marks int) { lists[min(marks, MaxJudges+1)]++ }
	for i := range c.in.Components {
		count(len(c.in.Components[i].Marks))
	}
	if n := len(c.in.Components); n > 0 && lists[min(len(c.in.Components[0].Marks), MaxJudges+1)] == n {
		return len(c.in.Components[0].Marks)
	}
	for i := range c.in.Elements {
		if e := &c.in.Elements[i]; len(e.Missing) == 0 {
			count(len(e.Marks))
		}
	}
	marked, most := 0, 0
	for n := len(lists) - 1; n > 0; n-- {
		if lists[n] > most {
			marked, most = n, lists[n]
		}
	}
	return marked
}

// judge checks one number of a list of judges: within the panel and only once.
func (c *computation) judge(list string, judges []int32, i, total int) bool {
	judge := judges[i]
	switch {
	case judge < 1 || int(judge) > total:
		c.errs.Add(fmt.Sprintf("%s[%d]", list, i), rules.ReasonJudgeUnknown, "there is no judge %d; the panel has judges %s", judge, rules.Allow("1 to %d", total))
	case slices.Contains(judges[:i], judge):
		c.errs.Add(fmt.Sprintf("%s[%d]", list, i), rules.ReasonJudgeUnknown, "judge %d is named twice", judge)
	default:
		return true
	}
	return false
}

// components checks and scores the program components in the segment's order.
func (c *computation) components() {
	grid := &c.Season.ComponentMarks
	for i, given := range c.in.Components {
		path := func() string { return fmt.Sprintf("components[%d]", i) }
		known := slices.ContainsFunc(c.Segment.Panel, func(want rules.Component) bool { return want.Key == given.Key })
		twice := slices.ContainsFunc(c.in.Components[:i], func(before Component) bool { return before.Key == given.Key })
		switch {
		case !known:
			c.errs.Add(path()+".component", rules.ReasonComponentUnknown, "%s is not marked in this segment; it has: %s", rules.Quote(given.Key), rules.AllowList(c.Segment.ComponentKeys()))
		case twice:
			c.errs.Add(path()+".component", rules.ReasonComponentTwice, "%s is given twice", given.Key)
		}
		if len(given.Marks) != c.present && !c.panelInvalid {
			c.errs.Add(path()+".marks", rules.ReasonPanelSize, "has %d marks, but the panel has %s present judges; every present judge marks every component", len(given.Marks), rules.Allow("%d", c.present))
		}
		for j, mark := range given.Marks {
			at := func() string { return fmt.Sprintf("%s.marks[%d]", path(), j) }
			switch {
			case mark < grid.Min || mark > grid.Max:
				c.errs.Add(at(), rules.ReasonMarkOutOfRange, "is %v; allowed is %s", mark, rules.Allow("%v to %v", grid.Min, grid.Max))
			case mark%grid.Step != 0:
				c.errs.Add(at(), rules.ReasonMarkOffGrid, "is %v; allowed are %s", mark, rules.Allow("steps of %v", grid.Step))
			}
		}
	}
	c.out.Components = make([]ComponentScore, 0, len(c.Segment.Panel))
	for _, want := range c.Segment.Panel {
		i := slices.IndexFunc(c.in.Components, func(given Component) bool { return given.Key == want.Key })
		if i < 0 {
			c.errs.Add("components", rules.ReasonComponentMissing, "%s is missing; this segment marks: %s", want.Key, rules.AllowList(c.Segment.ComponentKeys()))
			continue
		}
		if len(c.errs) > 0 {
			continue
		}
		c.component(want, c.in.Components[i].Marks)
	}
}

func (c *computation) component(want rules.Component, marks []rules.Points) {
	var points [MaxJudges]rules.Points
	for k := range c.nCount {
		points[k] = marks[c.counted[k]]
	}
	mean := c.trimmedMean(points[:c.nCount])      // rounded to 0.01
	score := mean.MulDiv(int64(want.Factor), 100) // rounded to 0.01, each component by itself
	c.out.Components = append(c.out.Components, ComponentScore{Component: want, Panel: mean, Score: score})
	c.out.ComponentScore += score
	if c.explain != nil {
		c.explain.component(want, points[:c.nCount], c.trim(), mean, score)
	}
}

// trim returns how many of the counted marks are dropped at each end.
func (c *computation) trim() int {
	if c.nCount >= c.Season.Panel.TrimFrom {
		return c.Season.Panel.Trim
	}
	return 0
}

// trimmedMean drops the highest and lowest marks as the season says and returns
// the mean of the rest, rounded half-up to 0.01. It sorts points.
func (c *computation) trimmedMean(points []rules.Points) rules.Points {
	slices.Sort(points)
	trim := c.trim()
	rest := points[trim : len(points)-trim]
	var sum rules.Points
	for _, p := range rest {
		sum += p
	}
	return rules.Points(rules.RoundDiv(int64(sum), int64(len(rest))))
}

// countBefore counts the occurrences of a deduction's kind that are listed before
// it: two entries of two falls cost what four falls cost.
func (c *computation) countBefore(i int) int {
	n := 0
	for _, d := range c.in.Deductions[:i] {
		if d.Kind == c.in.Deductions[i].Kind && d.Count >= 1 && d.Count <= maxCount {
			n += d.Count
		}
	}
	return n
}

// maxCount is how often a deduction can be taken.
const maxCount = 50

// deductions takes off what the season's table says.
func (c *computation) deductions() {
	for i, d := range c.in.Deductions {
		path := func(field string) string { return fmt.Sprintf("deductions[%d].%s", i, field) }
		rule := c.Season.Deduction(c.Category, d.Kind)
		var points rules.Points
		switch {
		case d.Kind != other && rule == nil:
			c.errs.Add(path("kind"), rules.ReasonDeductionUnknown, "%s is no deduction of this category; it has: %s", rules.Quote(d.Kind), rules.AllowList(append(c.Season.DeductionsOf(c.Category), other)))
			continue
		case d.Kind == other && (d.Value >= 0 || d.Value < -100*rules.Point):
			c.errs.Add(path("value"), rules.ReasonDeductionValue, "is %v; OTHER needs its points, from %s", d.Value, rules.Allowed("-100.00 to -0.01"))
		case d.Kind != other && d.Value != 0:
			c.errs.Add(path("value"), rules.ReasonDeductionValue, "only OTHER takes a value; the points of %s are in the season's table", d.Kind)
		case d.Count < 1 || d.Count > maxCount:
			c.errs.Add(path("count"), rules.ReasonDeductionValue, "is %d; allowed is %s", d.Count, rules.Allow("1 to %d", maxCount))
		case d.Kind == other: // its value is that of all of them together
			points = -d.Value
		default:
			points = rule.After(c.countBefore(i), d.Count)
			if rule.Warn != nil {
				c.out.Warnings.Add(rule.Warn, fmt.Sprintf("deductions[%d]", i))
			}
		}
		c.out.Deductions = append(c.out.Deductions, DeductionScore{Kind: d.Kind, Count: d.Count, Value: -points, Note: d.Note})
		c.out.TotalDeductions -= points
	}
	if c.explain != nil {
		c.explain.deductions(c.out)
	}
}
