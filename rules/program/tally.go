package program

import (
	"math/bits"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// Tally counts the elements of one program in the order skated and says what each
// is credited by the rules that look at several elements: how many there may be,
// which repeat each other, which place of a short program each takes. All that
// concerns one element alone is in its Entry. Tallies can be copied and compared:
// equal ones credit all that follows alike.
type Tally struct {
	of *Content

	boxes        [rules.MaxBoxes]uint8 // elements in each box
	names        [maxNames / 64]uint64 // seen of what must differ
	times        [jumpKeys]uint8       // executions of each jump
	executed     uint64                // jumps with executions
	alone        uint64                // jumps whose first execution was a jump alone
	repeated     uint64                // jumps executed twice that count as repeated
	perTurns     [maxTurns + 1]uint8
	quads        uint8 // repeated jumps of four turns or more
	combinations uint8
	long         uint8
	solo         uint8 // jumps alone

	earlier  uint64 // jumps that an element of the short program had
	filled   [places]bool
	combined bool // a combination or sequence came
	comes    bool // one comes somewhere in the program

	seated [rules.MaxSpinSlots]seat
	seats  uint8

	required bool  // the required jump came
	jumps    uint8 // jump elements in their box
	lastBox  int8  // box of the last one
}

// place is a place for a jump element in a short program.
type place uint8

const (
	axelPlace place = iota
	soloPlace
	combinationPlace
	places
	secondCombination place = places + iota // no place: beside the one combination
	noPlace                                 // nothing is left
)

// Mask is a set of the parts of one element, one bit each from the first on.
type Mask uint8

// has reports whether part j is in the set.
func (m Mask) has(j int) bool { return m&(1<<j) != 0 }

// Credit is what an element is credited in its program.
type Credit struct {
	// Void are the parts without value.
	Void Mask
	// Mark is added behind the last part; 0 = nothing.
	Mark element.Marker
	// Error says that the check finds an ERROR here.
	Error bool

	over  bool // beyond its box
	place place
}

// note is what a tally has to say of an element it counts; the check puts it in words.
type note struct {
	code     Code
	part     int
	number   int    // how many it is, or of a jump which execution
	repeated uint64 // the jumps that count as repeated
	perTurns bool   // they are too many of one number of turns
}

// notes collects what a tally says, or nothing when it is nil.
type notes []note

func (n *notes) add(x note) {
	if n != nil {
		*n = append(*n, x)
	}
}

// Begin starts a program. In a short program, whether a combination comes later
// decides what a jump alone is: comes says so.
func (r *Content) Begin(comes bool) Tally {
	t := Tally{of: r, comes: comes}
	if s := r.layout.ShortJumps; s != nil {
		t.filled = [places]bool{s.Axel == nil, s.Solo == nil, s.Combination == nil}
	}
	return t
}

// Comes reports whether a program has a combination or sequence of jumps that is not
// beyond its box.
func (r *Content) Comes(program []Entry) bool {
	if r.layout.ShortJumps == nil {
		return false // nothing there depends on it
	}
	t := r.Begin(false)
	for i := range program {
		t.Add(&program[i])
	}
	return t.combined
}

// Add counts the next element.
func (t *Tally) Add(e *Entry) Credit { return t.add(e, nil) }

// Combined reports whether a combination or sequence of jumps came that is not beyond
// its box.
func (t *Tally) Combined() bool { return t.combined }

// Comes returns what Begin was called with.
func (t *Tally) Comes() bool { return t.comes }

func (t *Tally) add(e *Entry, say *notes) Credit {
	c := Credit{Void: e.void, Error: e.err}
	if !t.box(e, &c, say) {
		c.over, c.Void = true, e.all
		return c
	}
	if e.jump {
		t.combined = t.combined || e.combined
		if t.of.layout.ShortJumps != nil {
			t.shortJump(e, &c, say)
		} else {
			t.freeJump(e, &c, say)
		}
		t.required = t.required || e.required
		t.jumps++
		t.lastBox = e.box
	}
	if e.spin && t.of.layout.Spins != nil {
		t.spin(e, &c, say)
	}
	return c
}

// box counts an element in its box. It returns false for one beyond it.
func (t *Tally) box(e *Entry, c *Credit, say *notes) bool {
	if e.box < 0 {
		c.Error = true
		return false
	}
	if e.exempt {
		return false
	}
	b := t.of.limits[e.box]
	t.boxes[e.box] += e.count
	if n := int(t.boxes[e.box]); n > b.Max {
		c.Error = true
		say.add(note{code: TooManyElements, number: n})
		return false
	}
	if b.Different && t.seen(e.name) {
		c.Void, c.Error = e.all, true
		say.add(note{code: SameElement})
	}
	return true
}

// seen reports whether a name came before, and keeps it.
func (t *Tally) seen(name uint16) bool {
	word, bit := name/64, uint64(1)<<(name%64)
	before := t.names[word]&bit != 0
	t.names[word] |= bit
	return before
}

// freeJump applies the limits of combinations and of repeated jumps.
func (t *Tally) freeJump(e *Entry, c *Credit, say *notes) {
	layout := t.of.layout
	mark := t.soloRepeat(e, c, say)
	if rule := layout.Alone; rule != nil && !e.combined && mark == 0 {
		if t.solo++; int(t.solo) > rule.Max {
			c.Mark |= markers[rule.Mark]
			say.add(note{code: CombinationMissing, number: int(t.solo)})
		}
	}
	combined := e.combined || c.Mark&(element.SEQ|element.COMBO) != 0
	if rule := layout.Combinations; rule != nil {
		if combined && (mark == 0 || layout.Repeats == nil || layout.Repeats.TakesCombination) {
			t.combinations++
			t.limitCombinations(rule, e, c, say)
		}
		t.limitLong(rule, e, c, say)
	}
	t.limitRepeats(e, c, combined, say)
}

// soloRepeat marks the second of two equal jumps that are both alone. It returns the
// mark, which may be the panel's own.
func (t *Tally) soloRepeat(e *Entry, c *Credit, say *notes) element.Marker {
	rule := t.of.layout.Repeats
	if rule == nil || e.combined {
		return 0
	}
	key, turns := e.jumps[0].key, int(e.jumps[0].turns)
	if rule.SoloMark == "" || turns == 0 || turns < rule.From || t.times[key] != 1 || t.alone&(1<<key) == 0 || c.Void.has(0) {
		return e.given
	}
	c.Mark |= markers[rule.SoloMark]
	say.add(note{code: RepeatedAlone})
	return c.Mark
}

// limitCombinations takes the value of a combination beyond the number allowed, as
// far as the season says what becomes of it.
func (t *Tally) limitCombinations(rule *rules.CombinationRule, e *Entry, c *Credit, say *notes) {
	if int(t.combinations) <= rule.Max {
		return
	}
	say.add(note{code: TooManyCombinations, number: int(t.combinations)})
	if rule.Extra == rules.EffectNone {
		return
	}
	c.Error = true
	if rule.Extra == rules.EffectAsSolo && e.n > 1 {
		c.Void |= e.all &^ 1
		c.Mark |= element.REP
	} else {
		c.Void = e.all
	}
}

// limitLong strikes the jumps of an element beyond the most that one may have, and
// of elements with that many those beyond the number allowed. A sequence counts
// like a combination where the season limits sequences.
func (t *Tally) limitLong(rule *rules.CombinationRule, e *Entry, c *Credit, say *notes) {
	if e.sequence && t.of.layout.Sequences == nil || c.Void == e.all {
		return
	}
	if int(e.n) > rule.Jumps {
		c.Void |= e.all &^ (1<<rule.Jumps - 1)
		if rule.LongOver == rules.EffectElement {
			c.Void = e.all
		}
		c.Error = true
		say.add(note{code: CombinationTooLong, part: rule.Jumps})
	}
	counting := 0
	for j := range int(e.n) {
		if !c.Void.has(j) {
			counting++
		}
	}
	if rule.Jumps <= 2 || counting < rule.Jumps {
		return
	}
	if t.long++; int(t.long) <= rule.Long {
		return
	}
	if rule.LongOver == rules.EffectElement {
		c.Void = e.all
	} else {
		c.Void |= 1 << (rule.Jumps - 1)
	}
	c.Error = true
	say.add(note{code: TooManyLongCombinations, part: rule.Jumps - 1, number: int(t.long)})
}

// limitRepeats counts an element's jumps and strikes those that were executed too
// often.
func (t *Tally) limitRepeats(e *Entry, c *Credit, combined bool, say *notes) {
	rule := t.of.layout.Repeats
	if rule == nil {
		return
	}
	var before Tally
	if rule.Over == rules.EffectElement {
		before = *t
	}
	struck := false
	for j := range int(e.n) {
		p := &e.jumps[j]
		if p.turns == 0 || p.euler {
			continue
		}
		t.executed |= 1 << p.key
		if c.Void.has(j) { // it was executed all the same
			t.times[p.key]++
		} else if code, perTurns := t.repeat(p, rule); code != "" {
			struck = true
			c.Void |= 1 << j
			say.add(note{code: code, part: j, number: int(t.times[p.key]) + 1, repeated: t.repeated, perTurns: perTurns})
			continue
		}
		if t.times[p.key] == 1 && !combined {
			t.alone |= 1 << p.key
		}
	}
	c.Error = c.Error || struck
	if struck && rule.Over == rules.EffectElement {
		*t = before
		c.Void = e.all
	}
}

// repeat counts one execution, or says why it is one too many, and whether for the
// number of turns.
func (t *Tally) repeat(p *jump, rule *rules.RepeatRule) (code Code, perTurns bool) {
	if int(t.times[p.key]) >= t.of.most[p.key] {
		return JumpTooOften, false
	}
	if int(p.turns) >= rule.From && t.times[p.key] == 1 {
		switch {
		case bits.OnesCount64(t.repeated) >= rule.Different:
			return TooManyRepeated, false
		case rule.PerTurns > 0 && int(t.perTurns[p.turns]) >= rule.PerTurns:
			return TooManyRepeated, true
		case p.turns >= 4 && rule.Quads > 0 && int(t.quads) >= rule.Quads:
			return TooManyRepeatedQuads, false
		}
		t.repeated |= 1 << p.key
		t.perTurns[p.turns]++
		if p.turns >= 4 {
			t.quads++
		}
	}
	t.times[p.key]++
	return "", false
}

// RequiredMissing reports, at the end of a program, whether the required jump is
// missing, and whether the last jump element has no value for that: it has none
// where all jump elements are used.
func (t *Tally) RequiredMissing() (missing, struck bool) {
	rule := t.of.layout.RequiredJump
	if rule == nil || t.of.layout.ShortJumps != nil || t.required {
		return false, false
	}
	return true, t.jumps > 0 && int(t.jumps) >= t.of.limits[t.lastBox].Max && rule.Effect != rules.EffectNone
}

// shortJump returns a jump element its place in a short program. A combination takes
// its own place, an Axel alone the Axel's; where the place is taken, the element
// goes into what is left.
func (t *Tally) shortJump(e *Entry, c *Credit, say *notes) {
	rule := t.of.layout.ShortJumps
	switch {
	case e.combined && !t.filled[combinationPlace]:
		c.place = combinationPlace
	case e.combined:
		c.place = secondCombination
		t.filled[soloPlace] = true
	case e.axel && !t.filled[axelPlace]:
		c.place = axelPlace
	case !t.filled[soloPlace] && (!e.axel || rule.Axel == nil || t.of.axelAlone):
		c.place = soloPlace
	case !t.filled[combinationPlace] && !t.comes:
		c.place = combinationPlace
		c.Mark |= element.COMBO
	case !t.filled[axelPlace]:
		c.place = axelPlace
	default:
		c.place = noPlace
	}
	if c.place < places {
		t.filled[c.place] = true
		c.Void |= e.places[c.place].void
		c.Error = c.Error || e.places[c.place].err
	} else {
		c.Void, c.Error = e.all, true
	}
	t.jumpTwice(e, c, say)
}

// jumpTwice strikes a jump that another element of the short program had.
func (t *Tally) jumpTwice(e *Entry, c *Credit, say *notes) {
	rule := t.of.layout.ShortJumps.Repeated
	if rule == nil {
		return
	}
	earlier, twice := t.earlier, false
	for j := range int(e.n) {
		p := &e.jumps[j]
		if p.turns == 0 {
			continue
		}
		t.earlier |= 1 << p.key // a jump without value was executed all the same
		if c.Void.has(j) || earlier&(1<<p.key) == 0 {
			continue
		}
		twice = true
		c.Void |= 1 << j
		say.add(note{code: JumpTwice, part: j})
	}
	if twice {
		c.Error = true
		if rule.Over == rules.EffectElement {
			c.Void = e.all
		}
	}
}

// spin seats a spin. A repeated spin still takes up a slot that it fits.
func (t *Tally) spin(e *Entry, c *Credit, say *notes) {
	rule := t.of.layout.Spins
	found := t.sit(e.seat)
	if t.seen(e.spinName) && rule.SameCode == rules.EffectElement {
		c.Void, c.Error = e.all, true
		say.add(note{code: SpinSameCode})
		return
	}
	if !found && len(rule.Slots) > 0 {
		c.Void, c.Error = e.all, true
		say.add(note{code: SpinNotRequired})
	}
}
