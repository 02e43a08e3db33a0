package program

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// join finds how the jumps of each element follow each other: directly
// (combination), or with a step or hop between (sequence). A code that can only
// be a sequence gets its +SEQ; what follows a marked break has no value.
func (c *checker) join() {
	for i := range c.items {
		it := &c.items[i]
		if !it.jumps() || it.over {
			continue
		}
		c.limitJumps(it)
		c.euler(it)
		parts := it.Parts()
		if at := it.marked(); at >= 0 && at < len(parts)-1 {
			c.breakAfter(it, at)
			continue
		}
		c.sequence(it)
	}
}

// breakAfter takes the value from the jumps behind a break.
func (c *checker) breakAfter(it *item, at int) {
	parts := it.Parts()
	for j := at + 1; j < len(parts); j++ {
		if parts[j].NoValue {
			continue
		}
		parts[j].NoValue = true
		c.find(Error, AfterBreak, &c.rules().Marks.Clause, it.index, j,
			fmt.Sprintf("%s follows a break of the combination and has no value.", parts[j].Text), "Only jumps that follow directly count.")
	}
}

func (c *checker) rules() *rules.ContentRules { return c.Season.Content }

// sequence marks an element whose jumps cannot all follow directly, and ends one
// that is no sequence by the rules. Where the code alone does not say behind which
// jump the step was, it is taken to be behind the first.
func (c *checker) sequence(it *item) {
	parts := it.Parts()
	broken := it.firstIndirect(&c.rules().Joining)
	given := it.Has(element.SEQ) && len(parts) > 1
	if broken < 0 && !given {
		return
	}
	rule := c.layout.Sequences
	if c.layout.ShortJumps != nil {
		c.endBefore(it, max(broken, 1), nil, "A short program has no jump sequence")
		return
	}
	if rule != nil {
		end, why := len(parts), ""
		if rule.Jumps > 0 && end > rule.Jumps {
			end, why = rule.Jumps, fmt.Sprintf("A sequence has at most %d jumps", rule.Jumps)
		}
		if bad := it.firstNotAxel(&c.rules().Joining, end); rule.OnlyAxels && bad >= 0 {
			end, why = bad, "In a sequence only an Axel can follow another jump with a step between"
		} else if rule.OnlyAxels && broken < 0 && !slices.ContainsFunc(parts[1:end], func(p element.Part) bool { return p.Name() == "A" }) {
			end, why = 1, "A sequence has an Axel as its second or third jump"
		}
		if end < len(parts) {
			c.endBefore(it, end, &rule.Clause, why)
			return
		}
	}
	if !given && it.marked() < 0 {
		it.Parts()[len(it.Parts())-1].After |= element.SEQ
		c.find(Info, ReadAsSequence, &c.rules().Joining.Clause, it.index, broken,
			fmt.Sprintf("%s cannot follow %s directly, so this is a jump sequence.", parts[broken].Text, parts[broken-1].Text), "Write +SEQ behind a sequence.")
	}
}

// endBefore ends a combination before one of its jumps: the jumps from there on
// have no value.
func (c *checker) endBefore(it *item, at int, rule *rules.Clause, why string) {
	parts := it.Parts()
	if at == 0 {
		return
	}
	mark := element.COMBO
	if c.layout.ShortJumps == nil && (it.Has(element.SEQ) || c.rules().Marks.Broken == "SEQ") {
		mark = element.SEQ
	}
	for j := range parts {
		parts[j].After &^= element.SEQ | element.COMBO
	}
	parts[at-1].After |= mark
	for j := at; j < len(parts); j++ {
		parts[j].NoValue = true
	}
	if rule == nil {
		rule = &c.rules().Joining.Clause
	}
	c.find(Error, SequenceNotAllowed, rule, it.index, at,
		fmt.Sprintf("%s: %s behind %s has no value, and the element counts as %s.", why, parts[at].Text, parts[at-1].Text, it.String()), "Change or leave out this jump.")
}

// euler strikes an Euler that has no jump on each side.
func (c *checker) euler(it *item) {
	rule := c.rules().Euler
	if rule == nil {
		return
	}
	parts := it.Parts()
	for j := range parts {
		p := &parts[j]
		if p.Name() != "Eu" || p.NoValue || j > 0 && j < len(parts)-1 {
			continue
		}
		p.NoValue = true
		c.find(Error, EulerMisplaced, &rule.Clause, it.index, j,
			fmt.Sprintf("%s counts only between two other jumps of a combination; here it has no value.", p.Text), "Put it between two jumps, or leave it out.")
	}
}

// firstIndirect returns the index of the first jump that cannot follow the one
// before it without a step between, or -1.
func (it *item) firstIndirect(rule *rules.JoiningRule) int {
	parts := it.Parts()
	for j := 1; j < len(parts); j++ {
		if !joins(rule, &parts[j-1], &parts[j]) {
			return j
		}
	}
	return -1
}

// firstNotAxel returns the first of n jumps that needs a step before it and is
// not an Axel, or -1.
func (it *item) firstNotAxel(rule *rules.JoiningRule, n int) int {
	parts := it.Parts()
	for j := 1; j < n; j++ {
		if !joins(rule, &parts[j-1], &parts[j]) && parts[j].Name() != "A" {
			return j
		}
	}
	return -1
}

func joins(rule *rules.JoiningRule, before, jump *element.Part) bool {
	if jump.Kind != element.Jump || before.Kind != element.Jump {
		return true // a jump of a club's own table: not known
	}
	if slices.Contains(rule.Next, jump.Name()) {
		return true
	}
	return slices.Contains(rule.HalfLoops, before.Bare()) && slices.Contains(rule.AfterHalfLoop, jump.Name())
}

// limitJumps strikes jumps that the category may not do.
func (c *checker) limitJumps(it *item) {
	rule := c.layout.JumpLimits
	if rule == nil {
		return
	}
	for j := range it.Parts() {
		p := &it.Parts()[j]
		turns := int(p.Turns)
		switch {
		case rule.Turns > 0 && turns > rule.Turns:
			c.find(Error, JumpNotAllowed, &rule.Clause, it.index, j,
				fmt.Sprintf("%s has %d turns; this category jumps at most %d. It has no value.", p.Text, turns, rule.Turns), "Take a jump with fewer turns.")
		case slices.Contains(rule.Barred, p.Bare()):
			c.find(Error, JumpNotAllowed, &rule.Clause, it.index, j,
				fmt.Sprintf("%s is not allowed in this category and has no value.", p.Text), "Take another jump.")
		default:
			continue
		}
		p.NoValue = true
	}
}
