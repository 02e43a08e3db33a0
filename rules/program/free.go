package program

import (
	"fmt"
	"strconv"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// executed counts how a program's jumps were executed so far.
type executed struct {
	times    map[string]int
	alone    map[string]bool // the first execution was a jump alone
	repeated []string        // jumps executed twice that count as repeated
	quads    int             // of them with four turns or more
	perTurns [6]int          // of them by number of turns
}

// freeJumps applies the limits of combinations and of repeated jumps to a free
// program, element by element in the order skated.
func (c *checker) freeJumps() {
	done := executed{times: map[string]int{}, alone: map[string]bool{}}
	combinations, long, alone := 0, 0, 0
	for i := range c.items {
		it := &c.items[i]
		if !it.jumps() || it.over {
			continue
		}
		mark := c.soloRepeat(it, &done)
		if !it.combined() && mark == 0 {
			alone++
			c.limitAlone(it, alone)
		}
		if it.combined() && (mark == 0 || c.layout.Repeats == nil || c.layout.Repeats.TakesCombination) {
			combinations++
			c.limitCombinations(it, combinations)
		}
		c.limitLength(it)
		if !it.NoValue() && c.isLong(it) {
			long++
			c.limitLong(it, long)
		}
		c.limitRepeats(it, &done)
	}
	c.requiredJump()
}

var markers = map[string]element.Marker{"SEQ": element.SEQ, "COMBO": element.COMBO, "REP": element.REP}

// limitAlone marks a jump alone that stands where a combination should be.
func (c *checker) limitAlone(it *item, number int) {
	rule := c.layout.Alone
	if rule == nil || number <= rule.Max {
		return
	}
	mark := markers[rule.Mark]
	it.Parts()[0].After |= mark
	c.find(Warning, CombinationMissing, &rule.Clause, it.index, Whole,
		fmt.Sprintf("It is jump alone number %d and %d is allowed: %s stands in the place of the combination or sequence (+%s)%s.", number, rule.Max, it.Parts()[0].Text, rule.Mark, c.shareOf(mark)), "Add a further jump.")
}

// soloRepeat marks the second of two equal jumps that are both alone. It gives the
// mark, which may be the panel's own.
func (c *checker) soloRepeat(it *item, done *executed) element.Marker {
	rule := c.layout.Repeats
	if rule == nil || it.combined() {
		return 0
	}
	p := &it.Parts()[0]
	key := jumpKey(p)
	if rule.SoloMark == "" || int(p.Turns) < rule.From || done.times[key] != 1 || !done.alone[key] || p.NoValue {
		return p.After & element.REP
	}
	mark := markers[rule.SoloMark]
	p.After |= mark
	what := "counts as a jump sequence"
	switch mark {
	case element.REP:
		what = "counts as repeated (+REP)"
	case element.COMBO:
		what = "counts as a combination (+COMBO)"
	}
	c.find(Warning, RepeatedAlone, &rule.Clause, it.index, 0,
		fmt.Sprintf("%s is executed twice and never in a combination: the second one %s%s.", key, what, c.shareOf(mark)),
		"Put one of the two into a combination or sequence, or take another jump.")
	return mark
}

// shareOf tells what part of the value a marker leaves.
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

// limitCombinations takes the value of a combination beyond the number allowed, as
// far as the season says what becomes of it.
func (c *checker) limitCombinations(it *item, number int) {
	rule := c.layout.Combinations
	if rule == nil || number <= rule.Max {
		return
	}
	const advice = "Make it a jump alone, or take a combination apart that comes before it."
	which := fmt.Sprintf("It is combination or sequence number %d", number)
	if rule.Extra == rules.EffectNone {
		c.find(Warning, TooManyCombinations, &rule.Clause, it.index, Whole,
			fmt.Sprintf("%s of %d allowed; what the panel credits of it is not known, so it counts in full here.", which, rule.Max), advice)
		return
	}
	what := "it has no value"
	if rule.Extra == rules.EffectAsSolo && len(it.Parts()) > 1 {
		what = "only its first jump counts, as a repeated one"
		for j := range it.Parts() {
			p := &it.Parts()[j]
			p.NoValue = p.NoValue || j > 0
		}
		it.Parts()[len(it.Parts())-1].After |= element.REP
	} else {
		it.strike()
	}
	c.find(Error, TooManyCombinations, &rule.Clause, it.index, Whole,
		fmt.Sprintf("%s; at most %d count, so %s.", which, rule.Max, what), advice)
}

// isLong tells whether an element has as many jumps as only few may have. A
// sequence counts like a combination.
func (c *checker) isLong(it *item) bool {
	rule := c.layout.Combinations
	if rule == nil {
		return false
	}
	counting := 0
	for j := range it.Parts() {
		if !it.Parts()[j].NoValue {
			counting++
		}
	}
	return counting >= rule.Jumps && rule.Jumps > 2 && !(it.Has(element.SEQ) && c.layout.Sequences == nil)
}

// limitLength strikes the jumps of an element beyond the most that one may have.
func (c *checker) limitLength(it *item) {
	rule := c.layout.Combinations
	parts := it.Parts()
	if rule == nil || it.NoValue() || len(parts) <= rule.Jumps || it.Has(element.SEQ) && c.layout.Sequences == nil {
		return
	}
	for j := rule.Jumps; j < len(parts); j++ {
		parts[j].NoValue = true
	}
	if rule.LongOver == rules.EffectElement {
		it.strike()
	}
	c.find(Error, CombinationTooLong, &rule.Clause, it.index, rule.Jumps,
		fmt.Sprintf("It has %d jumps; a combination has at most %d.", len(parts), rule.Jumps), "Leave the last jump out.")
}

// limitLong applies the limit of combinations and sequences with the most jumps.
func (c *checker) limitLong(it *item, number int) {
	rule := c.layout.Combinations
	parts := it.Parts()
	if number <= rule.Long {
		return
	}
	what := "it has no value"
	if rule.LongOver == rules.EffectElement {
		it.strike()
	} else {
		what = fmt.Sprintf("%s has no value", parts[rule.Jumps-1].Text)
		parts[rule.Jumps-1].NoValue = true
	}
	c.find(Error, TooManyLongCombinations, &rule.Clause, it.index, Whole,
		fmt.Sprintf("Only %d combination of %d jumps is allowed and this is number %d, so %s.", rule.Long, rule.Jumps, number, what), "Leave its last jump out.")
}

// limitRepeats counts an element's jumps and strikes those that were executed
// too often.
func (c *checker) limitRepeats(it *item, done *executed) {
	rule := c.layout.Repeats
	if rule == nil {
		return
	}
	before := done.copy()
	struck := false
	for j := range it.Parts() {
		p := &it.Parts()[j]
		if p.Turns == 0 || p.Name() == "Eu" {
			continue
		}
		var code Code
		var message string
		if p.NoValue { // it was executed all the same
			done.times[jumpKey(p)]++
		} else {
			code, message = done.add(p, rule)
		}
		if code == "" {
			if key := jumpKey(p); done.times[key] == 1 {
				done.alone[key] = !it.combined()
			}
			continue
		}
		struck = true
		p.NoValue = true
		what := "This jump has no value."
		if rule.Over == rules.EffectElement && it.combined() {
			what = "The whole element has no value."
		}
		c.find(Error, code, &rule.Clause, it.index, j, message+" "+what, "Take another jump here or before.")
	}
	if struck && rule.Over == rules.EffectElement {
		*done = before
		it.strike()
	}
}

func (d *executed) copy() executed {
	n := executed{times: map[string]int{}, alone: map[string]bool{}, repeated: append([]string(nil), d.repeated...), quads: d.quads, perTurns: d.perTurns}
	for k, v := range d.times {
		n.times[k] = v
	}
	for k, v := range d.alone {
		n.alone[k] = v
	}
	return n
}

// add counts one execution, or says why it is one too many.
func (d *executed) add(p *element.Part, rule *rules.RepeatRule) (Code, string) {
	key := jumpKey(p)
	most, limited := rule.Executions[key]
	if !limited {
		most, limited = rule.Executions[strconv.Itoa(int(p.Turns))]
	}
	if limited && d.times[key] >= most {
		return JumpTooOften, fmt.Sprintf("%s is executed for the %s time; it counts at most %s.", key, ordinal(d.times[key]+1), times(most))
	}
	if int(p.Turns) >= rule.From && d.times[key] == 1 {
		switch {
		case len(d.repeated) >= rule.Different:
			return TooManyRepeated, fmt.Sprintf("Only %d jumps of %d or more turns may be executed twice; here it is %s, and %s is one more.", rule.Different, rule.From, list(d.repeated), key)
		case rule.PerTurns > 0 && d.perTurns[p.Turns] >= rule.PerTurns:
			return TooManyRepeated, fmt.Sprintf("Only %d %s jump may be executed twice, and %s is one more.", rule.PerTurns, turnWords[p.Turns], key)
		case p.Turns >= 4 && rule.Quads > 0 && d.quads >= rule.Quads:
			return TooManyRepeatedQuads, fmt.Sprintf("Only %d quadruple jump may be executed twice, and %s is one more.", rule.Quads, key)
		}
		d.repeated = append(d.repeated, key)
		d.perTurns[p.Turns]++
		if p.Turns >= 4 {
			d.quads++
		}
	}
	d.times[key]++
	return "", ""
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

// requiredJump tells of a missing required jump. When all jump elements are
// used, the last of them has no value.
func (c *checker) requiredJump() {
	rule := c.layout.RequiredJump
	if rule == nil {
		return
	}
	var last *item
	count, most := 0, 0
	for i := range c.items {
		it := &c.items[i]
		if !it.jumps() || it.over {
			continue
		}
		count++
		most = c.layout.Boxes[it.box].Max
		last = it
		for j := range it.Parts() {
			if it.Parts()[j].Name() == rule.Name {
				return
			}
		}
	}
	what := "a jump of the kind " + rule.Name
	if rule.Name == "A" {
		what = "an Axel"
	}
	const advice = "Put one in."
	if last == nil || count < most || rule.Effect == rules.EffectNone {
		c.find(Warning, RequiredJumpMissing, &rule.Clause, Whole, Whole, fmt.Sprintf("The program needs %s and has none.", what), advice)
		return
	}
	last.strike()
	c.find(Error, RequiredJumpMissing, &rule.Clause, last.index, Whole,
		fmt.Sprintf("The program needs %s and has none; all jump elements are used, so the last one has no value.", what), advice)
}
