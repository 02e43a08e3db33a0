package program

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// slots tells which of the short program's jump elements are there.
type slots struct{ axel, solo, combination bool }

// shortJumps fills the slots of the short program in the order skated.
func (c *checker) shortJumps() {
	rule := c.layout.ShortJumps
	filled := slots{axel: rule.Axel == nil, solo: rule.Solo == nil, combination: rule.Combination == nil}
	combinationComes := slices.ContainsFunc(c.items, func(it item) bool { return it.jumps() && !it.over && it.combined() })
	done := map[string]int{} // jump: index of the element that executed it
	for i := range c.items {
		it := &c.items[i]
		if !it.jumps() || it.over {
			continue
		}
		c.fillSlot(it, &filled, combinationComes)
		c.jumpTwice(it, done)
	}
	missing := func(clause *rules.Clause, what string) {
		c.find(Warning, ElementMissing, clause, Whole, Whole, "The short program has no "+what+".", "Put one in.")
	}
	if !filled.axel {
		missing(&rule.Axel.Clause, "Axel of its own")
	}
	if !filled.solo {
		missing(&rule.Solo.Clause, "jump alone beside the Axel")
	}
	if !filled.combination {
		missing(&rule.Combination.Clause, "jump combination")
	}
}

// fillSlot finds what an element is in the short program. A combination takes
// its own slot, an Axel alone the Axel's; where the slot is taken, the element
// goes into what is left.
func (c *checker) fillSlot(it *item, filled *slots, combinationComes bool) {
	rule := c.layout.ShortJumps
	axel := it.Parts()[0].Name() == "A"
	switch {
	case it.combined() && !filled.combination:
		filled.combination = true
		c.checkCombination(it)
	case it.combined():
		it.strike()
		clause, message := &c.layout.Clause, "The short program has no jump combination; this one has no value."
		if rule.Combination != nil {
			clause, message = &rule.Combination.Clause, "The short program has one jump combination; this is another and has no value."
		}
		c.find(Error, TooManyCombinations, clause, it.index, Whole, message, "Make it a jump alone.")
		filled.solo = true
	case axel && !filled.axel:
		filled.axel = true
		c.checkSlot(it, rule.Axel, WrongAxel, "Axel")
	case !filled.solo && (!axel || rule.Axel == nil || slices.Contains(rule.Solo.Names, "A")):
		filled.solo = true
		c.checkSlot(it, rule.Solo, WrongSoloJump, "jump alone")
	case !filled.combination && !combinationComes:
		filled.combination = true
		it.Parts()[0].After |= element.COMBO
		c.find(Warning, CombinationMissing, &rule.Combination.Clause, it.index, Whole,
			fmt.Sprintf("There is no combination: %s stands in its place (+COMBO).", it.Parts()[0].Text), "Add a second jump.")
		c.checkCombination(it)
	case !filled.axel:
		filled.axel = true
		c.checkSlot(it, rule.Axel, WrongAxel, "Axel")
	default:
		it.strike()
		c.find(Error, WrongSoloJump, &c.layout.Clause, it.index, Whole, "There is no place left for another jump alone; it has no value.", "Leave it out.")
	}
}

// checkSlot strikes a jump that the slot does not take.
func (c *checker) checkSlot(it *item, slot *rules.JumpSlot, code Code, what string) {
	p := &it.Parts()[0]
	if slices.Contains(slot.Names, p.Name()) && slices.Contains(slot.Turns, int(p.Turns)) {
		return
	}
	allowed := describe(slot)
	if slot.Wrong == rules.EffectNone {
		if p.Turns > 0 {
			c.find(Warning, code, &slot.Clause, it.index, 0, fmt.Sprintf("%s is not the %s asked for (%s); it counts all the same.", p.Text, what, allowed), "Take one of these.")
		}
		return
	}
	it.strike()
	c.find(Error, code, &slot.Clause, it.index, 0, fmt.Sprintf("%s is not allowed as the %s and has no value; allowed are: %s.", p.Text, what, allowed), "Take one of these.")
}

var turnWords = [...]string{"", "single", "double", "triple", "quadruple", "quintuple"}

func describe(slot *rules.JumpSlot) string {
	turns := make([]string, len(slot.Turns))
	for i, n := range slot.Turns {
		turns[i] = turnWords[n]
	}
	return fmt.Sprintf("%s %s", list(turns), list(slot.Names))
}

// checkCombination strikes jumps that the combination of the short program
// does not take.
func (c *checker) checkCombination(it *item) {
	rule := c.layout.ShortJumps.Combination
	parts := it.Parts()
	strike := func(j int, code Code, message, advice string) {
		if rule.Wrong == rules.EffectNone {
			c.find(Warning, code, &rule.Clause, it.index, j, message+" It counts all the same.", advice)
			return
		}
		parts[j].NoValue = true
		c.find(Error, code, &rule.Clause, it.index, j, message+" It has no value.", advice)
	}
	jumps, second := 0, -1
	eulerAt := func(j int) bool { return rule.Euler && parts[j].Name() == "Eu" }
	for j := range parts {
		p := &parts[j]
		if eulerAt(j) {
			continue
		}
		if jumps++; jumps == 2 {
			second = j
		}
		if !p.NoValue && jumps > 2 {
			p.NoValue = true
			c.find(Error, CombinationTooLong, &rule.Clause, it.index, j, fmt.Sprintf("The combination has two jumps; %s is one more and has no value.", p.Text), "Leave it out.")
		}
	}
	if len(rule.Second) > 0 && second >= 0 && !parts[second].NoValue && !slices.Contains(rule.Second, parts[second].Name()) {
		strike(second, WrongCombinationJump, fmt.Sprintf("%s is not a second jump for this combination, which ends with %s.", parts[second].Text, list(rule.Second)), "Take another second jump.")
	}
	for j := range parts {
		p := &parts[j]
		if !p.NoValue && p.Turns > 0 && !eulerAt(j) && !slices.Contains(rule.Turns, int(p.Turns)) {
			strike(j, WrongCombinationJump, fmt.Sprintf("%s is not a jump for this combination.", p.Text), "Take a jump with another number of turns.")
		}
	}
	for {
		doubles, lesser := 0, -1
		for j := range parts {
			if p := &parts[j]; !p.NoValue && p.Turns <= 2 && !eulerAt(j) {
				doubles++
				if lesser < 0 || c.worthOf(p, rule.LowerBy) <= c.worthOf(&parts[lesser], rule.LowerBy) {
					lesser = j
				}
			}
		}
		if doubles <= rule.Doubles {
			return
		}
		strike(lesser, TooManyDoubles, fmt.Sprintf("Only %d of the combination's jumps may be a double; %s is the lesser one.", rule.Doubles, parts[lesser].Text), "Make one of the two a triple, or take another combination.")
		if rule.Wrong == rules.EffectNone {
			return
		}
	}
}

// worthOf is a jump's base value with or without its signs; 0 when unknown.
func (c *checker) worthOf(p *element.Part, by string) rules.Points {
	code := p.Text
	if by == rules.LowerByOriginal {
		code = p.Bare()
	}
	if row, _ := c.Season.Table(c.Category.Discipline).Find(code, c.Scope); row != nil {
		return row.Base
	}
	return 0
}

// jumpTwice strikes a jump that another element of the short program had.
func (c *checker) jumpTwice(it *item, done map[string]int) {
	rule := c.layout.ShortJumps.Repeated
	if rule == nil {
		return
	}
	parts := it.Parts()
	twice := false
	for j := range parts {
		p := &parts[j]
		earlier, seen := done[jumpKey(p)]
		if p.NoValue || p.Turns == 0 || !seen || earlier == it.index {
			continue
		}
		twice = true
		p.NoValue = true
		what := "This jump has no value."
		if rule.Over == rules.EffectElement && len(parts) > 1 {
			what = "The whole element has no value."
		}
		c.find(Error, JumpTwice, &rule.Clause, it.index, j, fmt.Sprintf("%s was executed in element %d already. %s", jumpKey(p), earlier+1, what), "Take another jump.")
	}
	if twice && rule.Over == rules.EffectElement {
		it.strike()
	}
	for j := range parts { // a jump without value was executed all the same
		if p := &parts[j]; p.Turns > 0 {
			if _, seen := done[jumpKey(p)]; !seen {
				done[jumpKey(p)] = it.index
			}
		}
	}
}
