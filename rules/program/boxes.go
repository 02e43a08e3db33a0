package program

import (
	"fmt"
	"path"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// findBoxes puts every element into its box. One that the program has no place for
// must at least be one that the season knows.
func (c *checker) findBoxes() rules.FieldErrors {
	var errs rules.FieldErrors
	for i := range c.items {
		it := &c.items[i]
		if it.box = c.boxOf(it); it.box != "" {
			continue
		}
		for j := range it.Parts() {
			if unknown := c.Missing(&it.Parts()[j]); unknown != nil {
				unknown.Field = fmt.Sprintf("elements[%d].code", i)
				errs = append(errs, *unknown)
			}
		}
	}
	return errs
}

// boxes says what is in no box or beyond its own, what is not different from
// another in its box, and where something is missing: the one that fills a box
// first stands, those beyond it have no value.
func (c *checker) boxes() {
	for i := range c.items {
		it := &c.items[i]
		if it.over {
			it.strike()
		}
		if it.box == "" {
			c.notAllowed(it)
			continue
		}
		b := c.layout.Boxes[it.box]
		for _, n := range it.notes {
			switch n.code {
			case TooManyElements:
				c.find(Error, TooManyElements, &b.Clause, it.index, Whole,
					fmt.Sprintf("It is number %d of the %s; %s. It has no value.", n.number, b.Title, atMost(b.Max)), fmt.Sprintf("Leave one of the %s out.", b.Title))
			case SameElement:
				it.strike()
				c.find(Error, SameElement, &b.Clause, it.index, Whole,
					fmt.Sprintf("%s came before as %s; the %s must differ. It has no value.", it.differs(), c.sameBefore(it), b.Title), "Choose another one.")
			}
		}
	}
	for i, b := range c.limits {
		if n := int(c.tally.boxes[i]); n < b.Min && !c.slotted(b) {
			c.find(Warning, ElementMissing, &b.Clause, Whole, Whole,
				fmt.Sprintf("Too few %s: %d of %d.", b.Title, n, b.Min), fmt.Sprintf("There is room for %d more.", b.Min-n))
		}
	}
}

// sameBefore returns the last element of a box that has the same name.
func (c *checker) sameBefore(it *item) string {
	for _, o := range slices.Backward(c.items[:it.index]) {
		if o.box == it.box && !o.over && o.differs() == it.differs() {
			return o.Parts()[0].Text
		}
	}
	return ""
}

// notAllowed says of an element that no box takes which ones of its kind the
// program asks for, if any.
func (c *checker) notAllowed(it *item) {
	rule, asked, advice := &c.layout.Clause, "", "Leave it out."
	for _, key := range rules.SortedKeys(c.layout.Boxes) {
		if b := c.layout.Boxes[key]; b.Kind == it.kind.String() && b.Max > 0 {
			rule, asked, advice = &b.Clause, fmt.Sprintf(", which asks for: %s", b.Title), "Take what is asked for."
		}
	}
	c.find(Error, ElementNotAllowed, rule, it.index, Whole,
		fmt.Sprintf("%s is not an element of this program (%s)%s. It has no value.", it.Parts()[0].Text, c.layout.Title, asked), advice)
}

// slotted is whether other rules report what is missing of a box, one by one.
func (c *checker) slotted(b *rules.BoxRule) bool {
	switch b.Kind {
	case element.Spin.String():
		return c.layout.Spins != nil && len(c.layout.Spins.Slots) == b.Min
	case element.Jump.String():
		return c.layout.ShortJumps != nil
	}
	return false
}

func atMost(n int) string {
	if n == 0 {
		return "none is allowed"
	}
	return fmt.Sprintf("at most %d count", n)
}

// boxOf finds an element's box: one that names it, else one of its kind.
func (c *checker) boxOf(e *item) string {
	ofKind := ""
	name := e.Parts()[0].Name()
	for _, key := range rules.SortedKeys(c.layout.Boxes) {
		b := c.layout.Boxes[key]
		switch {
		case len(b.Names) > 0:
			if slices.ContainsFunc(b.Names, func(glob string) bool { ok, _ := path.Match(glob, name); return ok }) {
				return key
			}
		case b.Kind == e.kind.String():
			ofKind = key
		}
	}
	return ofKind
}

// capLevels lowers levels that the category does not have.
func (c *checker) capLevels() {
	most := c.Category.MaxLevel
	if most == 0 {
		return
	}
	for i := range c.items {
		it := &c.items[i]
		for j := range it.Parts() {
			p := &it.Parts()[j]
			if p.Level == 'B' || p.Level == 0 || int(p.Level-'0') <= most {
				continue
			}
			called := p.Text
			setLevel(p, byte('0'+most))
			c.find(Warning, LevelCapped, &c.Category.Cap, it.index, Whole,
				fmt.Sprintf("The highest level of %s is %d: %s counts as %s.", c.Category.Title, most, called, p.Text), "")
		}
	}
}

// setLevel changes a part's level.
func setLevel(p *element.Part, level byte) {
	bare := p.Bare()
	p.Text = bare[:len(bare)-1] + string(level) + p.Signs()
	p.Level = level
}

// valued reports whether the season values a part just as it is written, such as a
// club's own spin that has no levels.
func (c *checker) valued(p *element.Part) bool {
	row, _ := c.Season.Table(c.Category.Discipline).Find(p.Text, c.Scope, c.in.Segment)
	return row != nil && row.Base != 0
}

// attempts finds elements that are worth nothing because they were not called with
// a level or a number of turns.
func (c *checker) attempts() {
	for i := range c.items {
		it := &c.items[i]
		for j := range it.Parts() {
			p := &it.Parts()[j]
			switch {
			case p.NoValue:
			case p.Kind == element.Jump && p.Turns == 0:
				c.find(Info, NoTurns, nil, it.index, j, fmt.Sprintf("%s without a number is an attempt: it has no value but fills its place.", p.Text), "Write the number of turns, such as 2"+p.Name()+".")
			case p.Kind == element.Spin && p.Level == 0 && !c.valued(p):
				c.find(Info, NoLevel, nil, it.index, Whole, fmt.Sprintf("%s has no level: it has no value but fills its place.", p.Text), "Write the level, such as "+p.Text+"2.")
			}
		}
	}
}

// takenOff says of each element whose no-value marks or +REP were taken off what
// the rules made of it.
func (c *checker) takenOff() {
	for i := range c.items {
		it := &c.items[i]
		switch now := it.String(); {
		case it.given == "":
		case now == it.given:
			c.find(Info, CallsTakenOff, nil, it.index, Whole, fmt.Sprintf("The %s of %s was taken off, and the rules put it there again.", it.taken, it.given), "")
		default:
			c.find(Warning, CallsTakenOff, nil, it.index, Whole, fmt.Sprintf("The %s of %s was taken off; by the rules alone the element is %s.", it.taken, it.given, now),
				"Where it is the panel's call in a program that was skated, have the calls kept (keepPanelCalls).")
		}
	}
}

// duration compares the program's time with the rule.
func (c *checker) duration() {
	d := c.layout.Duration
	if d == nil || c.in.Duration == 0 {
		return
	}
	longest := d.Seconds + d.Tolerance
	shortest := d.Seconds - d.Tolerance
	rule := fmt.Sprintf("The time is %s, give or take %d seconds", clock(d.Seconds), d.Tolerance)
	if d.AtMost {
		longest, shortest = d.Seconds, 0
		rule = fmt.Sprintf("The time is at most %s", clock(d.Seconds))
	}
	switch {
	case c.in.Duration > longest:
		c.find(Error, TooLong, &d.Clause, Whole, Whole, fmt.Sprintf("%s; this program takes %s. Time over it is deducted, and elements begun after it are not called.", rule, clock(c.in.Duration)), fmt.Sprintf("Cut %d seconds.", c.in.Duration-longest))
	case c.in.Duration < shortest:
		c.find(Error, TooShort, &d.Clause, Whole, Whole, fmt.Sprintf("%s; this program takes %s. Missing time is deducted.", rule, clock(c.in.Duration)), fmt.Sprintf("Add %d seconds.", shortest-c.in.Duration))
	}
}

func clock(seconds int) string { return fmt.Sprintf("%d:%02d", seconds/60, seconds%60) }
