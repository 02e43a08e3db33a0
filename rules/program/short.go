package program

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// shortJumps credits the jump elements of a short program, each in the place that
// the tally gave it.
func (c *checker) shortJumps() {
	rule := c.layout.ShortJumps
	for i := range c.items {
		it := &c.items[i]
		if !it.jumps() || it.over {
			continue
		}
		if it.got.Mark != 0 {
			c.find(Warning, CombinationMissing, &rule.Combination.Clause, it.index, Whole,
				fmt.Sprintf("There is no combination: %s stands in its place (+COMBO).", it.Parts()[0].Text), "Add a second jump.")
		}
		c.inPlace(it, it.got.place)
		it.credit(&it.got)
		for _, n := range it.notes {
			if n.code == JumpTwice {
				c.jumpTwice(it, n.part)
			}
		}
	}
	missing := func(clause *rules.Clause, what string) {
		c.find(Warning, ElementMissing, clause, Whole, Whole, "The short program has no "+what+".", "Put one in.")
	}
	if !c.tally.filled[axelPlace] {
		missing(&rule.Axel.Clause, "Axel of its own")
	}
	if !c.tally.filled[soloPlace] {
		missing(&rule.Solo.Clause, "jump alone beside the Axel")
	}
	if !c.tally.filled[combinationPlace] {
		missing(&rule.Combination.Clause, "jump combination")
	}
}

// inPlace checks an element in its place of the short program. One without a place
// has no value.
func (c *checker) inPlace(it *item, p place) {
	rule := c.layout.ShortJumps
	switch p {
	case axelPlace:
		c.checkSlot(it, rule.Axel, WrongAxel, "Axel")
	case soloPlace:
		c.checkSlot(it, rule.Solo, WrongSoloJump, "jump alone")
	case combinationPlace:
		c.checkCombination(it)
	case secondCombination:
		it.strike()
		clause, message := &c.layout.Clause, "The short program has no jump combination; this one has no value."
		if rule.Combination != nil {
			clause, message = &rule.Combination.Clause, "The short program has one jump combination; this is another and has no value."
		}
		c.find(Error, TooManyCombinations, clause, it.index, Whole, message, "Make it a jump alone.")
	default:
		it.strike()
		c.find(Error, WrongSoloJump, &c.layout.Clause, it.index, Whole, "There is no place left for another jump alone; it has no value.", "Leave it out.")
	}
}

// checkSlot strikes a jump that the slot does not take.
func (c *checker) checkSlot(it *item, slot *rules.JumpSlot, code Code, what string) {
	if slot == nil {
		return
	}
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
	if rule == nil {
		return
	}
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

// jumpTwice says of a jump that an earlier element had it.
func (c *checker) jumpTwice(it *item, part int) {
	rule := c.layout.ShortJumps.Repeated
	key := jumpKey(&it.Parts()[part])
	earlier := slices.IndexFunc(c.items, func(o item) bool {
		return o.jumps() && !o.over && slices.ContainsFunc(o.Parts(), func(p element.Part) bool { return p.Turns > 0 && jumpKey(&p) == key })
	})
	what := "This jump has no value."
	if rule.Over == rules.EffectElement && len(it.Parts()) > 1 {
		what = "The whole element has no value."
	}
	c.find(Error, JumpTwice, &rule.Clause, it.index, part, fmt.Sprintf("%s was executed in element %d already. %s", key, earlier+1, what), "Take another jump.")
}
