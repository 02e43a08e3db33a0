// Package element reads and writes the sport's element codes, such as
// 3Lz+3T, 3F!<, 2A+1Eu+3S, 3Lz+2A+SEQ, 3T+REP, CCoSp4V, StSq3 or SqTwW4+SqTwM3.
package element

import (
	"slices"
	"strings"
)

// Kind is the kind of an element or of one part of it.
type Kind uint8

// The kinds of element.
const (
	Other Kind = iota
	Jump
	Spin
	Step
	Spiral
	Choreo
	Throw
	Twist
	Lift
	DeathSpiral
	Pattern
	Twizzle
)

var kindNames = [...]string{"other", "jump", "spin", "step", "spiral", "choreo", "throw", "twist", "lift", "death_spiral", "pattern", "twizzle"}

// String returns the kind's name as season tables write it.
func (k Kind) String() string { return kindNames[k] }

// KindOf returns the kind with a name, in small or capital letters.
func KindOf(name string) (Kind, bool) {
	for k, n := range kindNames {
		if strings.EqualFold(n, name) {
			return Kind(k), true
		}
	}
	return Other, false
}

// KindNames lists the names of all kinds.
func KindNames() []string { return slices.Clone(kindNames[:]) }

// Marker is what the panel adds behind a part with a plus sign.
type Marker uint8

// The markers. Several may follow one part.
const (
	SEQ   Marker = 1 << iota // jump sequence, or (to 2017-18) a repeated solo jump
	COMBO                    // the combination lacks its further jump
	REP                      // repeated jump
	TRANS                    // transitional element (dance, to 2011-12)
	EXEL                     // above the number of elements allowed; the value is as printed
)

// ofJumps are the markers that only jumps can have.
const ofJumps = SEQ | COMBO | REP

var markers = [...]struct {
	Marker
	text string
}{{SEQ, "SEQ"}, {COMBO, "COMBO"}, {REP, "REP"}, {TRANS, "TRANS"}, {EXEL, "EXEL"}}

// Texts lists the markers as codes print them, without the plus.
func (m Marker) Texts() []string {
	var list []string
	for _, known := range markers {
		if m&known.Marker != 0 {
			list = append(list, known.text)
		}
	}
	return list
}

// MaxParts is the largest number of jumps or parts that one code may have.
// The longest seen on a published sheet has four.
const MaxParts = 5

// Rotation is a jump's rotation sign.
type Rotation uint8

// The rotation signs.
const (
	Full         Rotation = iota // none
	OnQuarter                    // q: landed on the quarter
	UnderRotated                 // <
	Downgraded                   // <<
)

var rotationTexts = [...]string{"", "q", "<", "<<"}

// String returns the sign itself.
func (r Rotation) String() string { return rotationTexts[r] }

// Reduction is a spin's sign of a reduced value.
type Reduction uint8

// The reductions of spins.
const (
	Unreduced Reduction = iota // none
	V
	V1
	V2
)

var reductionTexts = [...]string{"", "V", "V1", "V2"}

// String returns the sign itself.
func (r Reduction) String() string { return reductionTexts[r] }

// Part is one jump of a combination, one partner's part, or a whole element.
type Part struct {
	// Text is the part in canonical form without the no-value mark: the key of
	// its row in a value table, such as 3F!< or CCoSp4V.
	Text     string
	Kind     Kind
	Turns    uint8 // jumps, throws, twists: 1 to 5; 0 = an attempt without value
	Level    byte  // 'B', '1' to '4', or 0 for none
	Edge     byte  // 'e', '!' or 0
	Rotation Rotation
	Reduced  Reduction
	NoValue  bool   // * : no value by rule
	After    Marker // markers that follow the part
	// NoValueAfter says that the marker carries the no-value mark (COMBO*).
	NoValueAfter bool

	bare uint8 // length of Text without its signs
	name uint8 // length of Text without signs and level
}

// Bare is the part's text without signs, such as 3Lz of 3Lz!<.
func (p *Part) Bare() string { return p.Text[:p.bare] }

// Name is the part's name without turns, level and signs: Lz, Eu, CCoSp, StSq.
func (p *Part) Name() string {
	name := p.Text[:p.name]
	if p.Kind == Jump || p.Kind == Throw {
		name = strings.TrimLeft(name, "12345")
	}
	return name
}

// EdgeSign is the part's edge sign as text, or "".
func (p *Part) EdgeSign() string {
	if p.Edge == 0 {
		return ""
	}
	return string(p.Edge)
}

// Signs are the part's signs in canonical form, such as !< of 3Lz!<, or V.
func (p *Part) Signs() string { return p.Text[p.bare:] }

// Element is a parsed code.
type Element struct {
	// KeyPoints are a pattern dance's Y, N, T for each key point. Behind them a
	// sheet of 2019-20 prints <; the value is that of the printed level all the same.
	KeyPoints string

	parts [MaxParts]Part
	n     int
}

// Parts returns the element's parts in order. The slice shares the element's memory.
func (e *Element) Parts() []Part { return e.parts[:e.n] }

// Markers returns the markers that stand anywhere in the code, one bit each.
func (e *Element) Markers() (all Marker) {
	for i := range e.n {
		all |= e.parts[i].After
	}
	return all
}

// Has reports whether a marker stands anywhere in the code.
func (e *Element) Has(m Marker) bool { return e.Markers()&m != 0 }

// Called reports whether a code has a call of the panel: a sign, a no-value mark, +REP,
// +COMBO or +EXEL.
func (e *Element) Called() bool {
	for i := range e.Parts() {
		if p := &e.Parts()[i]; p.Signs() != "" || p.NoValue || p.NoValueAfter {
			return true
		}
	}
	return e.Has(REP | COMBO | EXEL)
}

// Kind is the kind of the first part.
func (e *Element) Kind() Kind { return e.parts[0].Kind }

// NoValue reports whether every part is without value.
func (e *Element) NoValue() bool {
	for i := range e.n {
		if !e.parts[i].NoValue {
			return false
		}
	}
	return true
}

// String prints the code in canonical form: signs in the order edge, rotation,
// reduction, no value; markers in the order SEQ, COMBO, REP, TRANS, EXEL, key points.
func (e *Element) String() string {
	if first := &e.parts[0]; e.n == 1 && first.After == 0 && !first.NoValue && e.KeyPoints == "" {
		return first.Text // most elements: nothing to put together
	}
	var b strings.Builder
	b.Grow(24)
	for i := range e.n {
		p := &e.parts[i]
		if i > 0 {
			b.WriteByte('+')
		}
		b.WriteString(p.Text)
		if p.NoValue {
			b.WriteByte('*')
		}
		for _, m := range markers {
			if p.After&m.Marker != 0 {
				b.WriteByte('+')
				b.WriteString(m.text)
			}
		}
		if p.NoValueAfter {
			b.WriteByte('*')
		}
	}
	if e.KeyPoints != "" {
		b.WriteString("+kp")
		b.WriteString(e.KeyPoints)
	}
	return b.String()
}
