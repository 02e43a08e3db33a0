package program

import (
	"fmt"
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

// seat is a spin that has found a slot.
type seat struct {
	spin
	slot string
}

// spins checks, in the order skated, that each spin fills one of the required
// slots and that none repeats another's code. A repeated spin still takes up a
// slot that it fits.
func (c *checker) spins() {
	rule := c.layout.Spins
	if rule == nil {
		return
	}
	codes := map[string]int{}
	var seated []spin
	for i := range c.items {
		it := &c.items[i]
		if it.kind != element.Spin || it.over {
			continue
		}
		name := it.Parts()[0].Name()
		s := readSpin(name)
		_, found := c.seat(append(seated, s))
		if found {
			seated = append(seated, s)
		}
		if earlier, twice := codes[name]; twice && rule.SameCode == rules.EffectElement {
			it.strike()
			c.find(Error, SpinSameCode, &rule.Clause, it.index, Whole, fmt.Sprintf("%s was done in element %d already: the same spin again has no value but fills its place.", name, earlier+1), "Change its entry, its foot or its position, so that the code differs.")
			continue
		}
		codes[name] = it.index
		if !found && len(rule.Slots) > 0 {
			it.strike()
			c.find(Error, SpinNotRequired, &rule.Clause, it.index, Whole, fmt.Sprintf("%s fits none of the spins that are left to do, so it has no value. Asked for are: %s.", name, c.slotTitles(nil)), "Take a spin that is still missing.")
		}
	}
	filled, _ := c.seat(seated)
	for _, key := range rules.SortedKeys(rule.Slots) {
		if slot := rule.Slots[key]; !filled[key] {
			c.find(Warning, SpinMissing, &slot.Clause, Whole, Whole, fmt.Sprintf("There is no %s.", slot.Title), "Put one in.")
		}
	}
}

func (c *checker) slotTitles(filled map[string]bool) string {
	var titles []string
	for _, key := range rules.SortedKeys(c.layout.Spins.Slots) {
		if !filled[key] {
			titles = append(titles, c.layout.Spins.Slots[key].Title)
		}
	}
	return list(titles)
}

// seat tries to give every spin a slot of its own and tells which slots are
// then filled.
func (c *checker) seat(spins []spin) (filled map[string]bool, ok bool) {
	rule := c.layout.Spins
	keys := rules.SortedKeys(rule.Slots)
	taken := make([]seat, 0, len(spins))
	var try func(i int) bool
	try = func(i int) bool {
		if i == len(spins) {
			return c.apart(taken)
		}
		for _, key := range keys {
			used := false
			for _, t := range taken {
				used = used || t.slot == key
			}
			if used || !fits(rule.Slots[key], spins[i]) {
				continue
			}
			taken = append(taken, seat{spins[i], key})
			if try(i + 1) {
				return true
			}
			taken = taken[:len(taken)-1]
		}
		return false
	}
	ok = try(0)
	filled = map[string]bool{}
	for _, t := range taken {
		filled[t.slot] = true
	}
	return filled, ok
}

// apart tells whether the two slots whose positions must differ do.
func (c *checker) apart(taken []seat) bool {
	if len(c.layout.Spins.Apart) != 2 {
		return true
	}
	var positions [2]string
	for _, t := range taken {
		for k, key := range c.layout.Spins.Apart {
			if t.slot == key {
				positions[k] = t.position
			}
		}
	}
	return positions[0] == "" || positions[0] != positions[1]
}
