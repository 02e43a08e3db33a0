package rules

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var (
	jumpNames     = []string{"T", "S", "Lo", "F", "Lz", "A", "Eu"}
	jumpOrTurns   = regexp.MustCompile(`^[1-5](T|S|Lo|F|Lz|A)?$`)
	boxName       = regexp.MustCompile(`^[a-z][a-z_]*$`)
	soloMarks     = []string{"SEQ", "COMBO", "REP"}
	brokenMarks   = []string{"SEQ", "COMBO"}
	spinPositions = []string{"U", "L", "C", "S"}
)

// check reports every semantic fault of the content rules.
func (r *ContentRules) check(tell func(path, message string)) {
	bad := func(path, format string, args ...any) { tell(path, fmt.Sprintf(format, args...)) }
	oneOf(bad, "marks.broken", r.Marks.Broken, brokenMarks)
	for _, key := range r.statedFirst() {
		if l := r.Layouts[key]; l != nil {
			l.check(bad, "layouts."+key)
		} else {
			bad("layouts."+key, "is empty")
		}
	}
	r.checkLikes(bad)
	r.eachClause(func(path, _ string, c *Clause) {
		if c.Confidence != "" {
			oneOf(bad, path+".confidence", c.Confidence, confidences)
		}
	})
	for _, category := range SortedKeys(r.Categories) {
		for _, segment := range SortedKeys(r.Categories[category]) {
			at := "categories." + category + "." + segment
			oneOf(bad, at, segment, SegmentKeys)
			r.named(bad, at, r.Categories[category][segment])
		}
	}
}

// statedFirst lists the layouts with those last that are like others, so that a
// fault is told of the layout that states it.
func (r *ContentRules) statedFirst() []string {
	keys := SortedKeys(r.Layouts)
	like := func(key string) int {
		if l := r.Layouts[key]; l != nil && l.Like != "" {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(keys, func(a, b string) int { return like(a) - like(b) })
	return keys
}

func (r *ContentRules) named(bad report, at, layout string) {
	if r.Layouts[layout] == nil {
		bad(at, "is %s; the layouts are: %s", Quote(layout), strings.Join(SortedKeys(r.Layouts), ", "))
	}
}

// checkLikes reports layouts that build on a missing one or in a circle.
func (r *ContentRules) checkLikes(bad report) {
	for _, key := range SortedKeys(r.Layouts) {
		at := "layouts." + key + ".like"
		seen := []string{key}
		for l := r.Layouts[key]; l != nil && l.Like != ""; l = r.Layouts[l.Like] {
			if slices.Contains(seen, l.Like) {
				bad(at, "%s builds on itself in a circle", key)
				break
			}
			r.named(bad, at, l.Like)
			seen = append(seen, l.Like)
		}
	}
}

func (l *Layout) check(bad report, at string) {
	if l.Title == "" {
		bad(at+".title", "is missing")
	}
	for _, name := range SortedKeys(l.Boxes) {
		p, b := at+".boxes."+name, l.Boxes[name]
		if b == nil || !boxName.MatchString(name) {
			bad(p, "want a name in small letters and {title, kind, max}")
			continue
		}
		oneOf(bad, p+".kind", b.Kind, ElementKinds)
		within(bad, p+".max", b.Max, 0, 20)
		within(bad, p+".min", b.Min, 0, b.Max)
		if b.Title == "" {
			bad(p+".title", "is missing: name the elements in the plural")
		}
		for i, glob := range b.Names {
			if _, err := path.Match(glob, ""); err != nil || glob == "" {
				bad(fmt.Sprintf("%s.names[%d]", p, i), "is %s; want an element's name, * for any letters", Quote(glob))
			}
		}
	}
	if c := l.Combinations; c != nil {
		p := at + ".combinations"
		within(bad, p+".max", c.Max, 0, 10)
		within(bad, p+".jumps", c.Jumps, 2, 5)
		within(bad, p+".long", c.Long, 0, 10)
		oneOf(bad, p+".extra", c.Extra, []Effect{EffectElement, EffectAsSolo})
		oneOf(bad, p+".long_over", c.LongOver, []Effect{EffectElement, EffectJump})
	}
	if s := l.Sequences; s != nil {
		within(bad, at+".sequences.jumps", s.Jumps, 0, 5)
	}
	l.checkRepeats(bad, at+".repeats")
	if a := l.Alone; a != nil {
		within(bad, at+".alone.max", a.Max, 0, 10)
		oneOf(bad, at+".alone.mark", a.Mark, soloMarks)
	}
	if j := l.RequiredJump; j != nil {
		oneOf(bad, at+".required_jump.name", j.Name, jumpNames)
		oneOf(bad, at+".required_jump.effect", j.Effect, []Effect{EffectElement, EffectNone})
	}
	if j := l.JumpLimits; j != nil {
		within(bad, at+".jump_limits.turns", j.Turns, 0, 5)
		for i, jump := range j.Barred {
			if !jumpOrTurns.MatchString(jump) {
				bad(fmt.Sprintf("%s.jump_limits.barred[%d]", at, i), "is %s; want a jump such as 2A", Quote(jump))
			}
		}
	}
	l.ShortJumps.check(bad, at+".short_jumps")
	l.checkSpins(bad, at+".spins")
	if d := l.Duration; d != nil {
		within(bad, at+".duration.seconds", d.Seconds, 30, 600)
		within(bad, at+".duration.tolerance", d.Tolerance, 0, 60)
	}
}

func (l *Layout) checkRepeats(bad report, at string) {
	r := l.Repeats
	if r == nil {
		return
	}
	within(bad, at+".from", r.From, 1, 5)
	within(bad, at+".different", r.Different, 0, 20)
	within(bad, at+".quads", r.Quads, 0, 20)
	within(bad, at+".per_turns", r.PerTurns, 0, 20)
	oneOf(bad, at+".over", r.Over, []Effect{EffectElement, EffectJump})
	if r.SoloMark != "" {
		oneOf(bad, at+".solo_mark", r.SoloMark, soloMarks)
	}
	for _, key := range SortedKeys(r.Executions) {
		if !jumpOrTurns.MatchString(key) {
			bad(at+".executions", "has %s; want turns such as 2 or a jump such as 2A", Quote(key))
		}
		within(bad, at+".executions."+key, r.Executions[key], 0, 20)
	}
}

func (s *ShortJumps) check(bad report, at string) {
	if s == nil {
		return
	}
	for _, slot := range []struct {
		key string
		*JumpSlot
	}{{"axel", s.Axel}, {"solo", s.Solo}} {
		if slot.JumpSlot == nil {
			continue
		}
		for i, name := range slot.Names {
			oneOf(bad, fmt.Sprintf("%s.%s.names[%d]", at, slot.key, i), name, jumpNames)
		}
		checkTurns(bad, at+"."+slot.key+".turns", slot.Turns)
		oneOf(bad, at+"."+slot.key+".wrong", slot.Wrong, []Effect{EffectElement, EffectNone})
	}
	if c := s.Combination; c != nil {
		checkTurns(bad, at+".combination.turns", c.Turns)
		within(bad, at+".combination.doubles", c.Doubles, 0, 5)
		for i, name := range c.Second {
			oneOf(bad, fmt.Sprintf("%s.combination.second[%d]", at, i), name, jumpNames)
		}
		oneOf(bad, at+".combination.wrong", c.Wrong, []Effect{EffectJump, EffectNone})
		oneOf(bad, at+".combination.lower_by", c.LowerBy, []string{LowerByOriginal, LowerByCalled})
	}
	if r := s.Repeated; r != nil {
		oneOf(bad, at+".repeated.over", r.Over, []Effect{EffectElement, EffectJump})
	}
}

func checkTurns(bad report, at string, turns []int) {
	if len(turns) == 0 {
		bad(at, "is missing: list the numbers of turns")
	}
	for i, n := range turns {
		within(bad, at+"["+strconv.Itoa(i)+"]", n, 1, 5)
	}
}

func (l *Layout) checkSpins(bad report, at string) {
	s := l.Spins
	if s == nil {
		return
	}
	if s.SameCode != "" {
		oneOf(bad, at+".same_code", s.SameCode, []Effect{EffectElement, EffectNone})
	}
	for _, key := range SortedKeys(s.Slots) {
		p, slot := at+".slots."+key, s.Slots[key]
		if slot == nil || slot.Title == "" {
			bad(p+".title", "is missing")
			continue
		}
		for i, position := range slot.Positions {
			oneOf(bad, fmt.Sprintf("%s.positions[%d]", p, i), position, spinPositions)
		}
	}
	if n := len(s.Apart); n != 0 && n != 2 {
		bad(at+".apart", "want two names of slots")
	}
}

// eachClause visits every stated rule with its path below the file and what it
// is about.
func (r *ContentRules) eachClause(visit func(path, about string, c *Clause)) {
	visit("joining", "which jumps can follow each other directly", &r.Joining.Clause)
	if r.Euler != nil {
		visit("euler", "where an Euler counts", &r.Euler.Clause)
	}
	visit("marks", "how a credit is printed", &r.Marks.Clause)
	for _, key := range SortedKeys(r.Layouts) {
		if l := r.Layouts[key]; l != nil {
			l.eachClause(func(path, about string, c *Clause) {
				visit("layouts."+key+path, about, c)
			})
		}
	}
}

func (l *Layout) eachClause(visit func(path, about string, c *Clause)) {
	visit("", fmt.Sprintf("the content of the program (%s)", l.Title), &l.Clause)
	for _, name := range SortedKeys(l.Boxes) {
		if b := l.Boxes[name]; b != nil {
			visit(".boxes."+name, "the number of "+b.Title, &b.Clause)
		}
	}
	if c := l.Combinations; c != nil {
		visit(".combinations", "the limit of jump combinations", &c.Clause)
	}
	if c := l.Sequences; c != nil {
		visit(".sequences", "which jump sequences are allowed", &c.Clause)
	}
	if c := l.Repeats; c != nil {
		visit(".repeats", "the repetition of jumps", &c.Clause)
	}
	if c := l.Alone; c != nil {
		visit(".alone", "the number of jumps alone", &c.Clause)
	}
	if c := l.RequiredJump; c != nil {
		visit(".required_jump", "the required jump", &c.Clause)
	}
	if c := l.JumpLimits; c != nil {
		visit(".jump_limits", "the jumps that are allowed", &c.Clause)
	}
	if s := l.ShortJumps; s != nil {
		if s.Axel != nil {
			visit(".short_jumps.axel", "the Axel of the short program", &s.Axel.Clause)
		}
		if s.Solo != nil {
			visit(".short_jumps.solo", "the solo jump of the short program", &s.Solo.Clause)
		}
		if s.Combination != nil {
			visit(".short_jumps.combination", "the combination of the short program", &s.Combination.Clause)
		}
		if s.Repeated != nil {
			visit(".short_jumps.repeated", "a jump repeated in the short program", &s.Repeated.Clause)
		}
	}
	if s := l.Spins; s != nil {
		visit(".spins", "which spins are required", &s.Clause)
		for _, key := range SortedKeys(s.Slots) {
			if slot := s.Slots[key]; slot != nil {
				visit(".spins.slots."+key, "the "+slot.Title, &slot.Clause)
			}
		}
	}
	if c := l.Duration; c != nil {
		visit(".duration", "the time of the program", &c.Clause)
	}
}

// resolve names every rule and prepares the warning that resting on it gives.
// unsure tells how well the rule at a path is known.
func (r *ContentRules) resolve(unsure func(path, about string) *Warning) {
	if r == nil {
		return
	}
	r.eachClause(func(path, about string, c *Clause) {
		c.ID = "program." + path
		c.Warn = unsure(c.ID, about)
	})
}
