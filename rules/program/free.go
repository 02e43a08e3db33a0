package program

import (
	"fmt"
	"strconv"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

var markers = map[string]element.Marker{"SEQ": element.SEQ, "COMBO": element.COMBO, "REP": element.REP}

// freeJumps credits the jump elements of a free program as the tally counted them
// and says what they lose by the limits of combinations and of repeated jumps.
func (c *checker) freeJumps() {
	for i := range c.items {
		it := &c.items[i]
		if !it.jumps() || it.over {
			continue
		}
		it.credit(&it.got)
		for _, n := range it.notes {
			c.freeJump(it, &n)
		}
	}
	c.requiredJump()
}

// freeJump says what the tally noted of one element.
func (c *checker) freeJump(it *item, n *note) {
	first := it.Parts()[0].Text
	switch n.code {
	case RepeatedAlone:
		c.repeatedAlone(it)
	case CombinationMissing:
		rule := c.layout.Alone
		c.find(Warning, n.code, &rule.Clause, it.index, Whole,
			fmt.Sprintf("It is jump alone number %d and %d is allowed: %s stands in the place of the combination or sequence (+%s)%s.", n.number, rule.Max, first, rule.Mark, c.shareOf(markers[rule.Mark])), "Add a further jump.")
	case TooManyCombinations:
		c.tooManyCombinations(it, n)
	case CombinationTooLong:
		rule := c.layout.Combinations
		c.find(Error, n.code, &rule.Clause, it.index, n.part,
			fmt.Sprintf("It has %d jumps; a combination has at most %d.", len(it.Parts()), rule.Jumps), "Leave the last jump out.")
	case TooManyLongCombinations:
		rule := c.layout.Combinations
		what := "it has no value"
		if rule.LongOver != rules.EffectElement {
			what = fmt.Sprintf("%s has no value", it.Parts()[n.part].Text)
		}
		c.find(Error, n.code, &rule.Clause, it.index, Whole,
			fmt.Sprintf("Only %d combination of %d jumps is allowed and this is number %d, so %s.", rule.Long, rule.Jumps, n.number, what), "Leave its last jump out.")
	case JumpTooOften, TooManyRepeated, TooManyRepeatedQuads:
		c.repeatedTooOften(it, n)
	}
}

// repeatedAlone says what the second of two equal jumps that are both alone becomes.
func (c *checker) repeatedAlone(it *item) {
	rule := c.layout.Repeats
	mark := markers[rule.SoloMark]
	what := "counts as a jump sequence"
	switch mark {
	case element.REP:
		what = "counts as repeated (+REP)"
	case element.COMBO:
		what = "counts as a combination (+COMBO)"
	}
	c.find(Warning, RepeatedAlone, &rule.Clause, it.index, 0,
		fmt.Sprintf("%s is executed twice and never in a combination: the second one %s%s.", jumpKey(&it.Parts()[0]), what, c.shareOf(mark)),
		"Put one of the two into a combination or sequence, or take another jump.")
}

// shareOf says what part of the value a marker leaves.
func (c *checker) shareOf(mark element.Marker) string {
	share := c.Season.BaseValue.Repeat.Percent
	if mark == element.SEQ {
		share = c.Season.BaseValue.Sequence.Percent
	}
	if mark == element.COMBO || share == 0 || share == 100 {
		return ""
	}
	return fmt.Sprintf(" with %d%% of its value", share)
}

func jumpKey(p *element.Part) string { return strconv.Itoa(int(p.Turns)) + p.Name() }

// tooManyCombinations says what becomes of a combination beyond the number allowed.
func (c *checker) tooManyCombinations(it *item, n *note) {
	rule := c.layout.Combinations
	const advice = "Make it a jump alone, or take a combination apart that comes before it."
	which := fmt.Sprintf("It is combination or sequence number %d", n.number)
	if rule.Extra == rules.EffectNone {
		c.find(Warning, n.code, &rule.Clause, it.index, Whole,
			fmt.Sprintf("%s of %d allowed; what the panel credits of it is not known, so it counts in full here.", which, rule.Max), advice)
		return
	}
	what := "it has no value"
	if rule.Extra == rules.EffectAsSolo && len(it.Parts()) > 1 {
		what = "only its first jump counts, as a repeated one"
	}
	c.find(Error, n.code, &rule.Clause, it.index, Whole,
		fmt.Sprintf("%s; at most %d count, so %s.", which, rule.Max, what), advice)
}

// repeatedTooOften says why one execution of a jump is one too many.
func (c *checker) repeatedTooOften(it *item, n *note) {
	rule := c.layout.Repeats
	p := &it.Parts()[n.part]
	key := jumpKey(p)
	var message string
	switch {
	case n.code == JumpTooOften:
		message = fmt.Sprintf("%s is executed for the %s time; it counts at most %s.", key, ordinal(n.number), times(c.most[keyOf(p)]))
	case n.code == TooManyRepeatedQuads:
		message = fmt.Sprintf("Only %d quadruple jump may be executed twice, and %s is one more.", rule.Quads, key)
	case n.perTurns:
		message = fmt.Sprintf("Only %d %s jump may be executed twice, and %s is one more.", rule.PerTurns, turnWords[p.Turns], key)
	default:
		message = fmt.Sprintf("Only %d jumps of %d or more turns may be executed twice; here it is %s, and %s is one more.", rule.Different, rule.From, list(c.repeatedUpTo(it, n)), key)
	}
	what := "This jump has no value."
	if rule.Over == rules.EffectElement && it.combined() {
		what = "The whole element has no value."
	}
	c.find(Error, n.code, &rule.Clause, it.index, n.part, message+" "+what, "Take another jump here or before.")
}

// repeatedUpTo lists the jumps that counted as repeated when an element's note was
// made, in the order in which they became so.
func (c *checker) repeatedUpTo(it *item, n *note) []string {
	var names []string
	seen := map[uint8]int{}
	for i := range c.items[:it.index+1] {
		o := &c.items[i]
		for j := range o.Parts() {
			p := &o.Parts()[j]
			key := keyOf(p)
			if !o.jumps() || o.over || n.repeated&(1<<key) == 0 {
				continue
			}
			if seen[key]++; seen[key] == 2 {
				names = append(names, jumpKey(p))
			}
		}
	}
	return names
}

func ordinal(n int) string {
	switch n {
	case 1:
		return "first"
	case 2:
		return "second"
	case 3:
		return "third"
	}
	return strconv.Itoa(n) + "th"
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return strconv.Itoa(n) + " times"
}

// requiredJump reports a missing required jump. When all jump elements are
// used, the last of them has no value.
func (c *checker) requiredJump() {
	missing, struck := c.tally.RequiredMissing()
	if !missing {
		return
	}
	rule := c.layout.RequiredJump
	what := "a jump of the kind " + rule.Name
	if rule.Name == "A" {
		what = "an Axel"
	}
	const advice = "Put one in."
	if !struck {
		c.find(Warning, RequiredJumpMissing, &rule.Clause, Whole, Whole, fmt.Sprintf("The program needs %s and has none.", what), advice)
		return
	}
	var last *item
	for i := range c.items {
		if it := &c.items[i]; it.jumps() && !it.over {
			last = it
		}
	}
	last.strike()
	c.find(Error, RequiredJumpMissing, &rule.Clause, last.index, Whole,
		fmt.Sprintf("The program needs %s and has none; all jump elements are used, so the last one has no value.", what), advice)
}
