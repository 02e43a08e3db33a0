package program

import (
	"math/bits"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
)

// Entry reads an element for a tally, as the check does: with the highest level that
// the category has, in its box, its joins found. The panel's calls in its code stand.
// A code that the season cannot value is a fault at the field "code".
func (r *Content) Entry(code string) (*Entry, rules.FieldErrors) {
	var unheard rules.Warnings
	if _, faults := r.Elements(nil, []value.Skated{{Code: code}}, &unheard); len(faults) > 0 {
		for i := range faults {
			faults[i].Field = "code"
		}
		return nil, faults
	}
	e, err := element.Parse(code)
	if err != nil {
		return nil, rules.FieldErrors{rules.Fault("code", rules.ReasonCodeInvalid, "%v", err)}
	}
	quiet := &checker{Content: r, in: &Program{}, items: []item{{Element: e, kind: r.Kind(&e)}}, out: &Result{}}
	quiet.capLevels()
	it := quiet.items[0]
	it.box = quiet.boxOf(&it)
	entry := r.entry(it)
	return &entry, nil
}

// Kind is the element's kind.
func (e *Entry) Kind() element.Kind { return e.item.kind }

// Jump reports whether the element is made of jumps.
func (e *Entry) Jump() bool { return e.jump }

// Combined reports whether the element is a combination or sequence of jumps.
func (e *Entry) Combined() bool { return e.combined }

// Box is the number of the element's box among Boxes, or -1.
func (e *Entry) Box() int { return int(e.box) }

// Weight is how many of its box the element is.
func (e *Entry) Weight() int { return int(e.count) }

// Parts returns the parts of the element.
func (e *Entry) Parts() []element.Part { return e.item.Parts() }

// Boxes returns the keys and the limits of the layout's boxes, in the order of their keys.
func (r *Content) Boxes() ([]string, []*rules.BoxRule) { return r.boxKeys, r.limits }

// Layout returns the content rules themselves.
func (r *Content) Layout() *rules.Layout { return r.layout }

// Places is how many places for jump elements a short program has at most; one of
// them is that of the combination, which a jump alone may take.
const (
	Places           = int(places)
	CombinationPlace = int(combinationPlace)
)

// Fits reports whether a jump element can be in a place of a short program, from 0 to
// Places, without losing value there.
func (r *Content) Fits(e *Entry, p int) bool {
	rule := r.layout.ShortJumps
	if rule == nil || !e.jump || e.err || e.places[p].err {
		return false
	}
	switch place(p) {
	case axelPlace:
		return rule.Axel != nil && !e.combined
	case soloPlace:
		return rule.Solo != nil && !e.combined && (!e.axel || rule.Axel == nil || r.axelAlone)
	default:
		return rule.Combination != nil
	}
}

// Open reports whether a place of a short program is still to be filled.
func (t *Tally) Open(p int) bool { return !t.filled[p] }

// InBox is how many elements a box has.
func (t *Tally) InBox(box int) int { return int(t.boxes[box]) }

// Void is the credit of an element that has lost all its value.
func (e *Entry) Void() Credit { return Credit{Void: e.all, Error: true} }

// Score returns what an element scores as the check credits it: its base value, with or
// without the bonus of the second half, and the points of a grade in hundredths. It
// returns false, and the base value alone, where the season does not state the points.
// Warnings are at the field "code".
func (r *Content) Score(e *Entry, c Credit, bonus bool, grade rules.Points, warnings *rules.Warnings) (rules.Points, bool) {
	it := e.item
	it.credit(&c)
	quiet := checker{Content: r, items: []item{it}}
	quiet.markVoid()
	var found rules.Warnings
	valued, faults := r.Elements(nil, []value.Skated{{Code: quiet.items[0].String(), SecondHalf: bonus}}, &found)
	if len(faults) > 0 {
		return 0, false // the code was valued when it was read
	}
	points, known := goe(&valued[0], grade, &found, "code")
	for i := range found {
		warnings.Add(&found[i], "code")
	}
	return valued[0].Base + points, known
}

// EarnsBonus reports whether an element can earn the bonus of the second half.
func (r *Content) EarnsBonus(e *Entry) bool {
	half := &r.Segment.SecondHalf
	if half.Which == "none" || half.Which == "" {
		return false
	}
	if len(half.Kinds) == 0 {
		return e.jump
	}
	return slices.Contains(half.Kinds, e.item.kind.String())
}

// ComponentScore returns the component score of expected average marks, by component;
// nil without marks. Faults are at components.KEY.
func (r *Content) ComponentScore(marks map[string]rules.Points) (*rules.Points, rules.FieldErrors) {
	c := checker{Content: r, in: &Program{Components: marks}}
	return c.components()
}

// GradeFault says that a grade is not one of the season's scale; nil when it is.
func (r *Content) GradeFault(field string, g rules.Points) *rules.FieldError {
	scale := &r.Season.GOE
	if low, high := rules.Points(scale.Min)*rules.Point, rules.Points(scale.Max)*rules.Point; g >= low && g <= high {
		return nil
	}
	f := rules.Fault(field, rules.ReasonMarkOutOfRange, "is %v; season %s has grades from %s", g, r.Season.Params.Season, rules.Allow("%d to +%d", scale.Min, scale.Max))
	return &f
}

// Lower returns the element's code with every level one lower, level 1 as level B. It is
// empty where no part has a level above B.
func (e *Entry) Lower() string {
	it := e.item
	lowered := false
	for i := range it.Parts() {
		switch p := &it.Parts()[i]; p.Level {
		case 0, 'B':
			continue
		case '1':
			setLevel(p, 'B')
		default:
			setLevel(p, p.Level-1)
		}
		lowered = true
	}
	if !lowered {
		return ""
	}
	return it.String()
}

// Code is the element's code in canonical form, with the level that the category has.
func (e *Entry) Code() string { return e.item.String() }

// Alone is the credit of an element by what concerns it alone.
func (e *Entry) Alone() Credit { return Credit{Void: e.void} }

// Credits lists the credits that further jumps without value make of an element.
func (e *Entry) Credits() []Credit {
	var all []Credit
	for m := e.void + 1; m <= e.all && e.n > 1; m++ {
		if m&e.void == e.void {
			all = append(all, Credit{Void: m})
		}
	}
	return all
}

// Steady reports whether more elements in a program never make what others are credited
// more, so that a part of a program is credited by itself at least what it is credited
// in the whole. It is so where a jump too many only loses its own value, as long as each
// jump that can be marked as repeated counts twice at most (Twice): then a further
// execution takes from the later ones at least what the mark did.
func (r *Content) Steady() bool {
	rule := r.layout.Repeats
	switch {
	case r.layout.ShortJumps != nil:
		return false
	case rule == nil:
		return true
	case rule.Over != rules.EffectJump, rule.SoloMark != "" && rule.SoloMark != "REP":
		return false
	}
	return rule.SoloMark == "" || r.Season.BaseValue.Repeat.Percent <= 100
}

// Twice reports whether each jump of an element that can be marked as repeated counts
// twice at most.
func (r *Content) Twice(e *Entry) bool {
	for keys := r.Repeatable(e); keys != 0; keys &= keys - 1 {
		if r.most[bits.TrailingZeros64(keys)] > 2 {
			return false
		}
	}
	return true
}

// Repeatable is the set of the element's jumps whose repetition is looked at, by number.
func (r *Content) Repeatable(e *Entry) (keys uint64) {
	rule := r.layout.Repeats
	for _, j := range e.jumps[:e.n] {
		if rule != nil && j.turns > 0 && !j.euler && int(j.turns) >= rule.From {
			keys |= 1 << j.key
		}
	}
	return keys
}
