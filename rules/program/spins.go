package program

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// spin is what a spin's code says of it.
type spin struct {
	flying, change, combination, pair bool
	position                          string // U, L, C or S; "" in a combination
}

// readSpin reads the letters of a spin's name: [P][F][C]position Sp.
func readSpin(name string) spin {
	letters := strings.TrimSuffix(name, "Sp")
	var s spin
	letters, s.pair = strings.CutPrefix(letters, "P")
	letters, s.flying = strings.CutPrefix(letters, "F")
	if rest, ok := strings.CutPrefix(letters, "C"); ok && rest != "" && rest != "o" {
		letters, s.change = rest, true
	}
	if letters == "Co" {
		s.combination = true
	} else {
		s.position = letters
	}
	return s
}

func fits(slot *rules.SpinSlot, s spin) bool {
	is := func(want *bool, got bool) bool { return want == nil || *want == got }
	if !is(slot.Flying, s.flying) || !is(slot.Change, s.change) || !is(slot.Combination, s.combination) || !is(slot.Pair, s.pair) {
		return false
	}
	return len(slot.Positions) == 0 || strings.Contains(strings.Join(slot.Positions, " "), s.position) && s.position != ""
}

// seat is what decides which slots a spin can fill.
type seat struct {
	fits     uint8 // one bit each slot, in the order of their keys
	position byte  // letter of the code; 0 in a combination
}

func (r *Content) seatOf(s spin) seat {
	var t seat
	if s.position != "" {
		t.position = s.position[0]
	}
	for i, key := range r.slotKeys {
		if fits(r.layout.Spins.Slots[key], s) {
			t.fits |= 1 << i
		}
	}
	return t
}

// sit returns a spin a slot, together with those that have one. It returns false when
// there is none.
func (t *Tally) sit(s seat) bool {
	if int(t.seats) == len(t.of.slotKeys) {
		return false
	}
	t.seated[t.seats] = s
	t.seats++
	if _, ok := t.match(0, 0, [2]byte{}); !ok {
		t.seats--
		t.seated[t.seats] = seat{}
		return false
	}
	return true
}

// match returns the spins from i on slots of their own, beside those taken, and returns
// the slots that are then filled. The two slots whose positions must differ have the
// positions apart.
func (t *Tally) match(i int, taken uint8, apart [2]byte) (filled uint8, ok bool) {
	if i == int(t.seats) {
		return taken, apart[0] == 0 || apart[0] != apart[1]
	}
	for slot := range t.of.slotKeys {
		bit := uint8(1) << slot
		if taken&bit != 0 || t.seated[i].fits&bit == 0 {
			continue
		}
		held := apart
		for k, other := range t.of.apart {
			if other == slot {
				held[k] = t.seated[i].position
			}
		}
		if filled, ok := t.match(i+1, taken|bit, held); ok {
			return filled, true
		}
	}
	return 0, false
}

// spins says of each spin that repeats another's code or fills none of the required
// slots what becomes of it, and which slots stay empty.
func (c *checker) spins() {
	rule := c.layout.Spins
	if rule == nil {
		return
	}
	for i := range c.items {
		it := &c.items[i]
		for _, n := range it.notes {
			name := it.Parts()[0].Name()
			switch n.code {
			case SpinSameCode:
				it.strike()
				earlier := slices.IndexFunc(c.items, func(o item) bool { return o.kind == element.Spin && !o.over && o.Parts()[0].Name() == name })
				c.find(Error, SpinSameCode, &rule.Clause, it.index, Whole, fmt.Sprintf("%s was done in element %d already: the same spin again has no value but fills its place.", name, earlier+1), "Change its entry, its foot or its position, so that the code differs.")
			case SpinNotRequired:
				it.strike()
				c.find(Error, SpinNotRequired, &rule.Clause, it.index, Whole, fmt.Sprintf("%s fits none of the spins that are left to do, so it has no value. Asked for are: %s.", name, c.slotTitles()), "Take a spin that is still missing.")
			}
		}
	}
	filled, _ := c.tally.match(0, 0, [2]byte{})
	for i, key := range c.slotKeys {
		if slot := rule.Slots[key]; filled&(1<<i) == 0 {
			c.find(Warning, SpinMissing, &slot.Clause, Whole, Whole, fmt.Sprintf("There is no %s.", slot.Title), "Put one in.")
		}
	}
}

func (c *checker) slotTitles() string {
	var titles []string
	for _, key := range c.slotKeys {
		titles = append(titles, c.layout.Spins.Slots[key].Title)
	}
	return list(titles)
}
