// Package value computes base values: the sum of an element's jumps or parts
// with every reduction and factor of the season, rounded where the season
// rounds.
package value

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// MaxElements is the largest number of elements that one program may have.
const MaxElements = 40

// Context is where elements are valued: a season's category and segment.
type Context struct {
	Season   *rules.Season
	Category *rules.Category
	Segment  *rules.Segment
	// Scope chooses among rows that hold under a condition only, such as the
	// name of a compulsory dance. Usually empty.
	Scope string

	table    *rules.ValueTable
	category string // its key
	segment  string // key of the segment: some rows hold in one segment only
}

// NewContext finds category and segment in a season and reports both when both
// are wrong.
func NewContext(season *rules.Season, category, segment, scope string) (Context, rules.FieldErrors) {
	c := Context{Season: season, Scope: scope, category: category, segment: segment}
	var faults rules.FieldErrors
	if c.Category, faults = season.Category(category); len(faults) > 0 {
		return c, faults
	}
	if c.Segment, faults = c.Category.Segment(segment); len(faults) > 0 {
		return c, faults
	}
	if c.table = season.Table(c.Category.Discipline); c.table == nil {
		faults.Add("season", rules.ReasonRulesNotAvailable, "season %s has no values for %s", season.Params.Season, c.Category.Discipline)
		return c, faults
	}
	return c, nil
}

// Skated is an element as the technical panel called it.
type Skated struct {
	Code       string
	SecondHalf bool // executed in the second half
}

// FactorKind names what a base value was multiplied by.
type FactorKind uint8

// The factors.
const (
	Sequence FactorKind = iota
	Repeat
	Combo
	SecondHalf
)

var factorNames = [...]string{"SEQUENCE", "REPEAT", "COMBINATION_INCOMPLETE", "SECOND_HALF"}

// String returns the factor's public name, such as SECOND_HALF.
func (k FactorKind) String() string { return factorNames[k] }

// Factor is one thing that a base value was multiplied by.
type Factor struct {
	Kind FactorKind
	By   rules.Points // hundredths: 1.10 is 110
}

// Part is one jump or part of an element with its value.
type Part struct {
	Row *rules.Value // nil for a part without value
}

// Base is the part's base value.
func (p Part) Base() rules.Points {
	if p.Row == nil {
		return 0
	}
	return p.Row.Base
}

// Valued is an element with its base value.
type Valued struct {
	Element element.Element
	Base    rules.Points // after all factors, rounded

	parts   [element.MaxParts]Part
	factors [4]Factor
	// goeRows are the rows whose GOE points count: for jumps the one of the
	// highest base value, for two-part dance elements each part's.
	goeRows         [2]*rules.Value
	nFactors, nRows uint8
}

// Kind is the element's kind: that of its first part which has one by its code or,
// being named, by the table.
func (v *Valued) Kind() element.Kind {
	return kindOf(&v.Element, func(i int) *rules.Value { return v.parts[i].Row })
}

// Kind is the kind that the table knows an element by.
func (c *Context) Kind(e *element.Element) element.Kind {
	return kindOf(e, func(i int) *rules.Value {
		row, _ := c.table.Find(e.Parts()[i].Text, c.Scope, c.segment)
		return row
	})
}

func kindOf(e *element.Element, row func(part int) *rules.Value) element.Kind {
	for i := range e.Parts() {
		if kind := KindOf(e.Parts()[i].Kind, row(i)); kind != element.Other {
			return kind
		}
	}
	return element.Other
}

// KindOf is the kind of an element of one part: the one its code tells, or, where
// that is element.Other, the one its row states. The row may be nil.
func KindOf(code element.Kind, row *rules.Value) element.Kind {
	if code == element.Other && row != nil {
		code, _ = element.KindOf(row.Kind) // "" is other
	}
	return code
}

// Parts returns the value of each of the element's parts, in order.
func (v *Valued) Parts() []Part { return v.parts[:len(v.Element.Parts())] }

// Factors returns what the sum of the parts was multiplied by.
func (v *Valued) Factors() []Factor { return v.factors[:v.nFactors] }

// GOERows returns the rows whose GOE points are added, mark by mark.
func (v *Valued) GOERows() []*rules.Value { return v.goeRows[:v.nRows] }

// Elements values the elements of one program in the order skated. It appends
// to dst, and returns every fault with its path.
func (c *Context) Elements(dst []Valued, skated []Skated, warnings *rules.Warnings) ([]Valued, rules.FieldErrors) {
	var errs rules.FieldErrors
	if len(skated) > MaxElements {
		errs.Add("elements", rules.ReasonTooManyItems, "has %d elements; %s are taken", len(skated), rules.Allow("at most %d", MaxElements))
		return dst, errs
	}
	first := len(dst)
	for i := range skated {
		dst = slices.Grow(dst, 1)[:len(dst)+1]
		v := &dst[len(dst)-1]
		v.nFactors, v.nRows = 0, 0
		if parseErr := v.Element.Read(skated[i].Code); parseErr != nil {
			errs.Add(at(i)+".code", rules.ReasonCodeInvalid, "%v", parseErr)
			continue
		}
		err := c.lookUp(v)
		if err == nil {
			err = c.checkMarkers(v)
		}
		if err != nil {
			err.Field = at(i) + ".code"
			errs = append(errs, *err)
		}
	}
	if len(errs) > 0 {
		return dst, errs
	}
	program := dst[first:]
	c.checkLevels(program, warnings)
	bonusFrom := c.bonusFrom(program)
	for i := range program {
		c.compute(i, &program[i], skated[i].SecondHalf && i >= bonusFrom && c.earnsBonus(&program[i]), warnings)
	}
	return dst, nil
}

// checkLevels warns of a level that the category does not have: the panel calls
// none, so the code is most likely wrong. It is valued as it stands.
func (c *Context) checkLevels(program []Valued, warnings *rules.Warnings) {
	most := c.Category.MaxLevel
	if most == 0 {
		return
	}
	for i := range program {
		for _, p := range program[i].Element.Parts() {
			if p.Level != 'B' && int(p.Level)-'0' > most {
				warnings.Add(&rules.Warning{
					Code: rules.WarnLevelAboveCap, Rule: c.Category.Cap.ID,
					Message: fmt.Sprintf("the highest level of %s is %d; an element with a higher one is valued as it stands", c.Category.Title, most),
				}, at(i))
			}
		}
	}
}

// bonusFrom returns the index of the first element that can earn the second-half
// bonus. Where only the last few count, they are counted in the order skated,
// those without value too.
func (c *Context) bonusFrom(program []Valued) int {
	half := &c.Segment.SecondHalf
	switch half.Which {
	case "all":
		return 0
	case "last":
		left := half.Last
		for i := len(program) - 1; i >= 0; i-- {
			if c.earnsBonus(&program[i]) {
				if left--; left == 0 {
					return i
				}
			}
		}
		return 0
	default:
		return len(program)
	}
}

func (c *Context) earnsBonus(v *Valued) bool {
	kind := v.Kind()
	if kind == element.Other { // a named one whose row was not looked up, being without value
		kind = c.Kind(&v.Element)
	}
	kinds := c.Segment.SecondHalf.Kinds
	if len(kinds) == 0 {
		return kind == element.Jump
	}
	for _, k := range kinds {
		if k == kind.String() {
			return true
		}
	}
	return false
}

// at is the path of an element of the program.
func at(i int) string { return fmt.Sprintf("elements[%d]", i) }

// compute puts the base value of element i together: the sum of the parts, of a
// sequence only the highest ones, times each factor, rounded after each.
func (c *Context) compute(i int, v *Valued, bonus bool, warnings *rules.Warnings) {
	rule := &c.Season.BaseValue
	parts := v.Parts()
	v.Base = v.sumOfParts(c.seqJumps(v))
	apply := func(kind FactorKind, share *rules.Share) {
		if share.Warn != nil {
			warnings.Add(share.Warn, at(i))
		}
		if share.Percent == 100 || share.Percent == 0 { // 0: no bonus; markers without a share were refused
			return
		}
		v.factors[v.nFactors] = Factor{kind, rules.Points(share.Percent)}
		v.nFactors++
		v.Base = rules.Points(rules.RoundDiv(int64(v.Base)*share.Percent, 100*int64(rule.RoundTo))) * rule.RoundTo
	}
	if bonus && rule.SecondHalfFirst {
		apply(SecondHalf, &rule.SecondHalf)
	}
	markers := v.Element.Markers()
	if markers&element.SEQ != 0 {
		apply(Sequence, &rule.Sequence.Share)
	}
	if markers&element.COMBO != 0 {
		apply(Combo, c.combo())
	}
	if markers&element.REP != 0 {
		apply(Repeat, &rule.Repeat)
	}
	if bonus && !rule.SecondHalfFirst {
		apply(SecondHalf, &rule.SecondHalf)
	}
	v.chooseGOERows()
	for _, part := range parts {
		if part.Row == nil {
			continue
		}
		for _, w := range [...]*rules.Warning{part.Row.Warn, part.Row.SignWarn} {
			if w != nil {
				warnings.Add(w, at(i))
			}
		}
	}
}

// seqJumps returns how many of the highest jumps count; 0 = all.
func (c *Context) seqJumps(v *Valued) int {
	if v.Element.Has(element.SEQ) {
		return c.Season.BaseValue.Sequence.Jumps
	}
	return 0
}

func (v *Valued) sumOfParts(highest int) rules.Points {
	var sum rules.Points
	parts := v.Parts()
	if highest == 0 || highest >= len(parts) {
		for i := range parts {
			sum += parts[i].Base()
		}
		return sum
	}
	var taken [element.MaxParts]bool
	for range highest {
		best := -1
		for i := range parts {
			if !taken[i] && (best < 0 || parts[i].Base() > parts[best].Base()) {
				best = i
			}
		}
		taken[best] = true
		sum += parts[best].Base()
	}
	return sum
}

// chooseGOERows picks the rows for the grade of execution: of jumps the one
// with the highest base value after reductions, of dance elements every part.
func (v *Valued) chooseGOERows() {
	parts := v.Parts()
	v.nRows = 0
	if kind := v.Element.Kind(); kind != element.Jump && kind != element.Other {
		for i := range parts {
			if parts[i].Row != nil {
				v.goeRows[v.nRows] = parts[i].Row
				v.nRows++
			}
		}
		return
	}
	for i := range parts {
		if row := parts[i].Row; row != nil && (v.nRows == 0 || row.Base > v.goeRows[0].Base) {
			v.goeRows[0], v.nRows = row, 1
		}
	}
}
