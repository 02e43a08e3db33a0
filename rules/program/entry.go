package program

import (
	"slices"
	"strconv"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
)

const (
	maxTurns = 5
	jumpKeys = 7 * (maxTurns + 1) // of the sport's seven jumps by their turns
	unbound  = 1 << 16            // more executions than any program has
	// maxNames is how many names one Content tells apart: two for each code of the
	// longest list of abilities with their misses.
	maxNames = 640
)

// Content is what a segment's program must and may hold, ready to count elements
// by. It numbers names, so it serves one program or plan at a time.
type Content struct {
	value.Context
	layout    *rules.Layout
	limits    []*rules.BoxRule // of the boxes, in the order of their keys
	boxKeys   []string
	slotKeys  []string
	apart     [2]int        // slots whose spins must be in different positions; -1 = none
	most      [jumpKeys]int // executions that each jump may have
	axelAlone bool          // an Axel may be the solo jump of the short program
	names     map[string]uint16
}

// NewContent finds the content rules of a category's segment; scope as in Program.
func NewContent(season *rules.Season, category, segment, scope string) (*Content, rules.FieldErrors) {
	ctx, faults := value.NewContext(season, category, segment, scope)
	if len(faults) > 0 {
		return nil, faults
	}
	layout := season.Content.Layout(category, segment)
	if layout == nil {
		known := rules.Allowed("none")
		if r := season.Content; r != nil && len(r.Categories) > 0 {
			known = rules.AllowList(rules.SortedKeys(r.Categories))
		}
		faults.Add("category", rules.ReasonRulesNotAvailable, "season %s has no content rules for %s in %s; it has some for: %s",
			season.Params.Season, rules.Quote(category), rules.Quote(segment), known)
		return nil, faults
	}
	r := &Content{Context: ctx, layout: layout, boxKeys: rules.SortedKeys(layout.Boxes), apart: [2]int{-1, -1}, names: map[string]uint16{}}
	for _, key := range r.boxKeys {
		r.limits = append(r.limits, layout.Boxes[key])
	}
	if s := layout.Spins; s != nil {
		r.slotKeys = rules.SortedKeys(s.Slots)
		if len(s.Apart) == 2 {
			r.apart = [2]int{slices.Index(r.slotKeys, s.Apart[0]), slices.Index(r.slotKeys, s.Apart[1])}
		}
	}
	if s := layout.ShortJumps; s != nil {
		r.axelAlone = s.Solo != nil && slices.Contains(s.Solo.Names, "A")
	}
	for turns := range maxTurns + 1 {
		for i, name := range element.JumpNames() {
			r.most[turns*7+i] = unbound
			if rule := layout.Repeats; rule != nil {
				if most, limited := rule.Executions[strconv.Itoa(turns)]; limited {
					r.most[turns*7+i] = most
				}
				if most, limited := rule.Executions[strconv.Itoa(turns)+name]; limited {
					r.most[turns*7+i] = most
				}
			}
		}
	}
	return r, nil
}

// name returns a name its number.
func (r *Content) name(text string) uint16 {
	n, known := r.names[text]
	if !known {
		n = uint16(len(r.names))
		r.names[text] = n
	}
	return n
}

// Entry is an element with all that the rules say of it alone.
type Entry struct {
	item item

	all    Mask // every part
	void   Mask // parts without value, whatever stands beside it
	err    bool // one of them by the rules
	n      uint8
	count  uint8  // how many of its box it is
	box    int8   // -1 = none
	name   uint16 // among those of its box that must differ
	exempt bool   // the panel took it out of the number

	jump   bool
	jumps  [element.MaxParts]jump
	places [places]struct { // in each place of a short program
		void Mask
		err  bool
	}
	given    element.Marker // +REP of the panel
	combined bool           // counts as a combination or sequence
	sequence bool
	axel     bool // begins with one
	required bool // has the jump that the program needs

	spin     bool
	spinName uint16
	seat     seat
}

// jump is one jump of an element.
type jump struct {
	key   uint8 // number of name and turns, below jumpKeys; 0 without turns
	turns uint8
	euler bool
}

// entry reads an element that has its box. What the check finds of it alone is found
// in silence, in each place of a short program by itself.
func (r *Content) entry(it item) Entry {
	quiet := &checker{Content: r, in: &Program{}, items: []item{it}, out: &Result{}}
	quiet.join()
	e := r.joined(&quiet.items[0])
	e.err = quiet.out.hasError()
	if !e.jump || r.layout.ShortJumps == nil {
		return e
	}
	for p := range places {
		placed := &checker{Content: r, in: quiet.in, items: []item{quiet.items[0]}, out: &Result{}}
		placed.inPlace(&placed.items[0], p)
		e.places[p].void, e.places[p].err = placed.items[0].void(), placed.out.hasError()
	}
	return e
}

// hasError reports whether something has no value or less of it.
func (r *Result) hasError() bool {
	return slices.ContainsFunc(r.Findings, func(f Finding) bool { return f.Severity == Error })
}

// joined reads an element as it is after the check of its joins.
func (r *Content) joined(it *item) Entry {
	parts := it.Parts()
	e := Entry{
		item: *it, n: uint8(len(parts)), count: 1, box: int8(slices.Index(r.boxKeys, it.box)), void: it.void(), all: 1<<len(parts) - 1,
		exempt: it.Has(element.EXEL) && it.NoValue(), jump: it.jumps(), spin: it.kind == element.Spin,
	}
	if e.box >= 0 && r.limits[e.box].EachPart {
		e.count = e.n
	}
	if e.box >= 0 && r.limits[e.box].Different {
		e.name = r.name(it.box + " " + it.differs())
	}
	if e.spin && r.layout.Spins != nil {
		s := readSpin(parts[0].Name())
		e.spinName, e.seat = r.name("spin "+parts[0].Name()), r.seatOf(s)
	}
	if !e.jump {
		return e
	}
	e.combined, e.sequence, e.given = it.combined(), it.Has(element.SEQ), parts[0].After&element.REP
	e.axel = parts[0].Name() == "A"
	for j := range parts {
		p := &parts[j]
		e.jumps[j] = jump{key: keyOf(p), turns: p.Turns, euler: p.Name() == "Eu"}
		if rule := r.layout.RequiredJump; rule != nil && p.Name() == rule.Name {
			e.required = true
		}
	}
	return e
}

// keyOf numbers a jump by its name and turns; 0 without turns.
func keyOf(p *element.Part) uint8 {
	i := slices.Index(element.JumpNames(), p.Name())
	if i < 0 || p.Turns == 0 {
		return 0
	}
	return p.Turns*7 + uint8(i)
}

// void are the parts that have no value.
func (it *item) void() (m Mask) {
	for j := range it.Parts() {
		if it.Parts()[j].NoValue {
			m |= 1 << j
		}
	}
	return m
}

// differs is the name in which an element must differ from others of its box: of a
// throw with its turns.
func (it *item) differs() string {
	if it.kind == element.Throw {
		return it.Parts()[0].Bare()
	}
	return it.Parts()[0].Name()
}

// credit makes of an element what the tally credits it.
func (it *item) credit(c *Credit) {
	parts := it.Parts()
	for j := range parts {
		parts[j].NoValue = c.Void.has(j)
	}
	parts[len(parts)-1].After |= c.Mark
}
