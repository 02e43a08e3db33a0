// Package program checks a program against a season's content rules: which
// element will count, which will be reduced or struck, what is missing, and
// what the whole is worth. One engine reads the season's table; it holds no
// rule of any season itself.
//
// An answer is unofficial: the technical panel calls what was skated, and only
// it knows what the codes do not carry, such as whether a skater meant a
// combination or stepped out of one.
package program

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
)

// Program is a planned or executed program in the order skated.
type Program struct {
	Category string
	Segment  string
	Scope    string // condition of the value rows, such as a pattern dance's name
	Elements []Planned
	// Components are the expected average marks in hundredths, by component
	// key; empty = no total is predicted.
	Components map[string]rules.Points
	Duration   int // seconds; 0 = not known
	// KeepPanelCalls says that the program was skated: no-value marks and +REP in
	// its codes are the panel's decisions and stand, each on the jump that it
	// follows. Else they are taken off, and the rules say where they belong. +SEQ
	// and +COMBO stand in any case.
	KeepPanelCalls bool
}

// Planned is one element of a program.
type Planned struct {
	Code       string
	SecondHalf bool // executed in the second half
	// Grade is the expected grade of execution as the panel's average, in
	// hundredths of a grade: 250 lies between +2 and +3. nil = not known.
	Grade *rules.Points
	// At is where the element stands in the request, such as text.line[1]; "" = not
	// known.
	At string
}

// Result is the answer to a program.
type Result struct {
	Elements []Credited
	Findings []Finding
	Kinds    []KindTotal
	Base     rules.Points // sum of the base values as credited
	// Predicted is nil when no grade is expected of any element.
	Predicted *Prediction
	// Caution stands where something harder is suggested; else it is empty.
	Caution  string
	Warnings rules.Warnings
}

// Credited is an element as the rules credit it.
type Credited struct {
	Code   string // as it would be printed, with *, +REP, +SEQ, +COMBO
	Kind   element.Kind
	Base   rules.Points // with all factors
	Valued value.Valued
	// GOE and Score are set when a grade is expected of the element.
	GOE   *rules.Points
	Score rules.Points // base value plus GOE where one is expected
	// Worth says what one level or one call more would change.
	Worth []Change
}

// KindTotal is what the elements of one kind are worth together.
type KindTotal struct {
	Kind  element.Kind
	Count int // elements of the kind, also those without value
	Base  rules.Points
	Score rules.Points
}

// Prediction is what the program would score with the expected grades and
// component marks, without deductions.
type Prediction struct {
	ElementScore rules.Points
	// ComponentScore and Total are nil when no component marks are expected.
	ComponentScore *rules.Points
	Total          *rules.Points
}

// Caution stands beside every suggestion of something harder.
const Caution = "Whether harder content is right for this skater is for the coach to decide, with medical advice where growth or an injury is in question, and within the rules of the federation."

// checker is the work on one program.
type checker struct {
	*Content
	in    *Program
	items []item
	tally Tally // after all elements
	out   *Result
}

// item is one element on its way to its credit.
type item struct {
	element.Element
	kind  element.Kind
	index int
	box   string // key of the box that it is in; "" = none
	over  bool   // beyond its box: without value, and no further rule looks at it
	got   Credit // what the tally credits it
	notes notes  // and why
	given string // the code of the request, where marks were taken off
	taken string // those marks
}

// Check finds how a season credits a program. It returns the result or every
// fault of the input with its path.
func Check(season *rules.Season, in *Program) (*Result, rules.FieldErrors) {
	content, faults := NewContent(season, in.Category, in.Segment, in.Scope)
	if len(faults) > 0 {
		return nil, faults
	}
	c := &checker{Content: content, in: in, out: &Result{}}
	c.warnOfLayout()
	if faults := c.parse(); len(faults) > 0 {
		return nil, faults
	}
	c.capLevels()
	if faults := c.findBoxes(); len(faults) > 0 {
		return nil, faults
	}
	c.count()
	c.boxes()
	c.join()
	if c.layout.ShortJumps != nil {
		c.shortJumps()
	} else {
		c.freeJumps()
	}
	c.spins()
	c.duration()
	c.attempts()
	c.markVoid()
	c.takenOff()
	if faults := c.values(); len(faults) > 0 {
		return nil, faults
	}
	c.worth()
	c.sortFindings()
	return c.out, nil
}

// warnOfLayout warns of what the layout as a whole rests on and of what is not
// known of it.
func (c *checker) warnOfLayout() {
	if w := c.layout.Warn; w != nil {
		c.out.Warnings.Add(w, "")
	}
	for _, key := range rules.SortedKeys(c.layout.Unknown) {
		c.out.Warnings.Add(&rules.Warning{
			Code: rules.WarnLowConfidence, Rule: c.layout.ID + ".unknown." + key, Confidence: rules.Low, Message: c.layout.Unknown[key],
		}, "")
	}
}

// count returns every element its credit from the tally, in the order skated.
func (c *checker) count() {
	entries := make([]Entry, len(c.items))
	for i := range c.items {
		entries[i] = c.entry(c.items[i])
	}
	c.tally = c.Begin(c.Comes(entries))
	for i := range c.items {
		it := &c.items[i]
		it.got = c.tally.add(&entries[i], &it.notes)
		it.over = it.got.over
	}
}

func (c *checker) parse() rules.FieldErrors {
	var errs rules.FieldErrors
	if len(c.in.Elements) > value.MaxElements {
		errs.Add("elements", rules.ReasonTooManyItems, "has %d elements; %s are taken", len(c.in.Elements), rules.Allow("at most %d", value.MaxElements))
		return errs
	}
	c.items = make([]item, 0, len(c.in.Elements))
	for i, planned := range c.in.Elements {
		e, err := element.Parse(planned.Code)
		if err != nil {
			errs.Add(fmt.Sprintf("elements[%d].code", i), rules.ReasonCodeInvalid, "%v", err)
			continue
		}
		it := item{Element: e, index: i}
		if !c.in.KeepPanelCalls {
			it.takeOffCalls()
		}
		it.kind = c.Kind(&it.Element)
		if g := planned.Grade; g != nil {
			if fault := c.GradeFault(fmt.Sprintf("elements[%d].grade", i), *g); fault != nil {
				errs = append(errs, *fault)
			}
		}
		c.items = append(c.items, it)
	}
	if c.in.Duration < 0 {
		errs.Add("duration", rules.ReasonFieldInvalid, "is %d seconds; allowed are %s", c.in.Duration, rules.Allowed("0 (not known) or more"))
	}
	return errs
}

// takeOffCalls takes off what the rules find by themselves: no-value marks and +REP.
func (it *item) takeOffCalls() {
	given := it.String()
	void, repeated := false, it.Has(element.REP)
	for j := range it.Parts() {
		p := &it.Parts()[j]
		void = void || p.NoValue || p.NoValueAfter
		p.NoValue, p.NoValueAfter = false, false
		p.After &^= element.REP
	}
	switch {
	case void && repeated:
		it.given, it.taken = given, "* and +REP"
	case void:
		it.given, it.taken = given, "*"
	case repeated:
		it.given, it.taken = given, "+REP"
	}
}

// strike takes the value from a whole element.
func (it *item) strike() {
	for i := range it.Parts() {
		it.Parts()[i].NoValue = true
	}
}

// jumps reports whether the element is made of jumps.
func (it *item) jumps() bool { return it.kind == element.Jump }

// marked returns the index of the first part that a +SEQ or +COMBO follows, or -1.
func (it *item) marked() int {
	for i := range it.Parts() {
		if it.Parts()[i].After&(element.SEQ|element.COMBO) != 0 {
			return i
		}
	}
	return -1
}

// combined reports whether the element counts as a combination or sequence.
func (it *item) combined() bool { return len(it.Parts()) > 1 || it.marked() >= 0 }
