package table

import (
	"path"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

var (
	boxName       = pattern(`^[a-z][a-z_]*$`)
	soloMarks     = []string{"SEQ", "COMBO", "REP"}
	brokenMarks   = []string{"SEQ", "COMBO"}
	spinPositions = []string{"U", "L", "C", "S"}
)

// checkContent reports every fault in the meaning of the content rules.
func checkContent(c *check, r *rules.ContentRules) {
	if !c.folder.kept {
		checkNames(c, r)
	}
	oneOf(c, &r.Marks.Broken, brokenMarks)
	for _, key := range statedFirst(r) {
		if l := r.Layouts[key]; l != nil {
			checkLayout(c, l)
		} else {
			c.at(in(r.Layouts, key), "is empty")
		}
	}
	checkLikes(c, r)
	for _, category := range rules.SortedKeys(r.Categories) {
		segments := r.Categories[category]
		keysOneOf(c, segments, rules.SegmentKeys)
		for _, segment := range rules.SortedKeys(segments) {
			checkNamed(c, r, in(segments, segment), segments[segment])
		}
	}
}

// checkNames reports names that no jump, slot or category has, which earlier versions
// passed over.
func checkNames(c *check, r *rules.ContentRules) {
	oneOfEach(c, r.Joining.Next, element.JumpNames())
	oneOfEach(c, r.Joining.AfterHalfLoop, element.JumpNames())
	for i, jump := range r.Joining.HalfLoops {
		if !element.IsJump(jump) {
			oneOfAt(c, &r.Joining.HalfLoops[i], jump, element.JumpNames())
		}
	}
	for _, key := range statedFirst(r) {
		if l := r.Layouts[key]; l != nil && l.Spins != nil {
			for i, slot := range l.Spins.Apart {
				c.named(&l.Spins.Apart[i], slot, "slots", rules.SortedKeys(l.Spins.Slots))
			}
		}
	}
	for _, category := range rules.SortedKeys(r.Categories) {
		if c.states("categories", category) { // one that is inherited may be of a category that the season has no longer
			c.named(in(r.Categories, category), category, "categories of the season", rules.SortedKeys(c.season.Categories))
		}
	}
}

// statedFirst lists the layouts with those last that are like others, so that a
// fault is reported of the layout that states it.
func statedFirst(r *rules.ContentRules) []string {
	keys := rules.SortedKeys(r.Layouts)
	like := func(key string) int {
		if l := r.Layouts[key]; l != nil && l.Like != "" {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(keys, func(a, b string) int { return like(a) - like(b) })
	return keys
}

func checkNamed(c *check, r *rules.ContentRules, at any, layout string) {
	c.named(at, layout, "layouts", rules.SortedKeys(r.Layouts))
}

// checkLikes reports layouts that build on a missing one or in a circle.
func checkLikes(c *check, r *rules.ContentRules) {
	for _, key := range rules.SortedKeys(r.Layouts) {
		own := r.Layouts[key]
		seen := []string{key}
		for l := own; l != nil && l.Like != ""; l = r.Layouts[l.Like] {
			if slices.Contains(seen, l.Like) {
				c.at(&own.Like, "%s builds on itself in a circle", key)
				break
			}
			checkNamed(c, r, &own.Like, l.Like)
			seen = append(seen, l.Like)
		}
	}
}

func checkLayout(c *check, l *rules.Layout) {
	if l.Title == "" {
		c.at(&l.Title, "is missing")
	}
	if n := len(l.Boxes); n > rules.MaxBoxes {
		c.at(&l.Boxes, "has %d boxes; at most %d are taken", n, rules.MaxBoxes)
	}
	for _, name := range rules.SortedKeys(l.Boxes) {
		b := l.Boxes[name]
		if b == nil || !boxName().MatchString(name) {
			c.at(in(l.Boxes, name), "want a name in small letters and {title, kind, max}")
			continue
		}
		oneOf(c, &b.Kind, elementKinds)
		within(c, &b.Max, 0, 20)
		within(c, &b.Min, 0, b.Max)
		if b.Title == "" {
			c.at(&b.Title, "is missing: name the elements in the plural")
		}
		for i, glob := range b.Names {
			if _, err := path.Match(glob, ""); err != nil || glob == "" {
				c.at(&b.Names[i], "is %s; want an element's name, * for any letters", rules.Quote(glob))
			}
		}
	}
	if o := l.Combinations; o != nil {
		within(c, &o.Max, 0, 10)
		within(c, &o.Jumps, 2, 5)
		within(c, &o.Long, 0, 10)
		oneOf(c, &o.Extra, []rules.Effect{rules.EffectElement, rules.EffectAsSolo, rules.EffectNone})
		oneOf(c, &o.LongOver, []rules.Effect{rules.EffectElement, rules.EffectJump})
	}
	if s := l.Sequences; s != nil {
		within(c, &s.Jumps, 0, 5)
	}
	checkRepeats(c, l.Repeats)
	if a := l.Alone; a != nil {
		within(c, &a.Max, 0, 10)
		oneOf(c, &a.Mark, soloMarks)
	}
	if j := l.RequiredJump; j != nil {
		oneOf(c, &j.Name, element.JumpNames())
		oneOf(c, &j.Effect, []rules.Effect{rules.EffectElement, rules.EffectNone})
	}
	if j := l.JumpLimits; j != nil {
		within(c, &j.Turns, 0, 5)
		for i, jump := range j.Barred {
			if !isJumpOrTurns(jump) {
				c.at(&j.Barred[i], "is %s; want a jump such as 2A", rules.Quote(jump))
			}
		}
	}
	checkShortJumps(c, l.ShortJumps)
	checkSpinContent(c, l.Spins)
	if d := l.Duration; d != nil {
		within(c, &d.Seconds, 30, 600)
		within(c, &d.Tolerance, 0, 60)
	}
}

func isJumpOrTurns(text string) bool { return element.IsTurns(text) || element.IsJump(text) }

func checkRepeats(c *check, r *rules.RepeatRule) {
	if r == nil {
		return
	}
	within(c, &r.From, 1, 5)
	within(c, &r.Different, 0, 20)
	within(c, &r.Quads, 0, 20)
	within(c, &r.PerTurns, 0, 20)
	oneOf(c, &r.Over, []rules.Effect{rules.EffectElement, rules.EffectJump})
	oneOfSet(c, &r.SoloMark, soloMarks)
	for _, key := range rules.SortedKeys(r.Executions) {
		at := in(r.Executions, key)
		if !isJumpOrTurns(key) {
			c.at(at, "has %s; want turns such as 2 or a jump such as 2A", rules.Quote(key))
		}
		if n := r.Executions[key]; n < 0 || n > 20 {
			c.at(at, "is %d; allowed is 0 to 20", n)
		}
	}
}

func checkShortJumps(c *check, s *rules.ShortJumps) {
	if s == nil {
		return
	}
	for _, slot := range []*rules.JumpSlot{s.Axel, s.Solo} {
		if slot == nil {
			continue
		}
		oneOfEach(c, slot.Names, element.JumpNames())
		checkTurns(c, &slot.Turns)
		oneOf(c, &slot.Wrong, []rules.Effect{rules.EffectElement, rules.EffectNone})
	}
	if o := s.Combination; o != nil {
		checkTurns(c, &o.Turns)
		within(c, &o.Doubles, 0, 5)
		oneOfEach(c, o.Second, element.JumpNames())
		oneOf(c, &o.Wrong, []rules.Effect{rules.EffectJump, rules.EffectNone})
		oneOf(c, &o.LowerBy, []string{rules.LowerByOriginal, rules.LowerByCalled})
	}
	if r := s.Repeated; r != nil {
		oneOf(c, &r.Over, []rules.Effect{rules.EffectElement, rules.EffectJump})
	}
}

func checkTurns(c *check, turns *[]int) {
	if len(*turns) == 0 {
		c.at(turns, "is missing: list the numbers of turns")
	}
	for i := range *turns {
		within(c, &(*turns)[i], 1, 5)
	}
}

func checkSpinContent(c *check, s *rules.SpinContent) {
	if s == nil {
		return
	}
	oneOfSet(c, &s.SameCode, []rules.Effect{rules.EffectElement, rules.EffectNone})
	if n := len(s.Slots); n > rules.MaxSpinSlots {
		c.at(&s.Slots, "has %d slots; at most %d are taken", n, rules.MaxSpinSlots)
	}
	for _, key := range rules.SortedKeys(s.Slots) {
		slot := s.Slots[key]
		if slot == nil || slot.Title == "" {
			c.at(in(s.Slots, key), "title is missing")
			continue
		}
		oneOfEach(c, slot.Positions, spinPositions)
	}
	if n := len(s.Apart); n != 0 && n != 2 {
		c.at(&s.Apart, "want two names of slots")
	}
}
