package table

import (
	"slices"
	"time"

	"github.com/rinktally/rinktally/rules"
)

var (
	signEffects  = []rules.SignEffect{rules.SignFull, rules.SignTable, rules.SignOneTurnLess, rules.SignPercent}
	halfSettings = []string{"none", "all", "last"}
)

// checkSeason reports every fault in the meaning of a season's parameters. parent
// is the season that it extends, or nil.
func checkSeason(c *check, p *rules.Params, parent *rules.Season) {
	if p.Title == "" {
		c.at(&p.Title, "is missing: say in words what this table is")
	}
	checkDates(c, p)
	for _, d := range rules.SortedKeys(p.Values) {
		oneOfAt(c, in(p.Values, d), rules.Discipline(d), rules.Disciplines)
	}
	valuesOneOf(c, p.Values, []rules.ValuesMode{rules.ValuesOwn, rules.ValuesExtend, rules.ValuesNone})
	for _, category := range rules.SortedKeys(p.Sheets) {
		for _, segment := range rules.SortedKeys(p.Sheets[category]) {
			at, n := in(p.Sheets[category], segment), p.Sheets[category][segment]
			if of := p.Categories[category]; of == nil || of.Segments[segment] == nil {
				c.at(at, "counts sheets of a segment that is not among the categories")
			}
			if n < 1 || n > 100_000 {
				c.at(at, "is %d; allowed is 1 to 100000", n)
			}
		}
	}
	within(c, &p.GOE.Min, -5, -1)
	within(c, &p.GOE.Max, 1, 5)
	within(c, &p.GOE.PercentPerGrade, 0, 100)
	keysOneOf(c, p.GOE.LevelOnePercent, rules.Disciplines)
	for _, d := range rules.SortedKeys(p.GOE.LevelOnePercent) {
		if n := p.GOE.LevelOnePercent[rules.Discipline(d)]; n < 0 || n > 100 {
			c.at(in(p.GOE.LevelOnePercent, d), "is %d; allowed is 0 to 100", n)
		}
	}
	within(c, &p.GOE.MissingMark, p.GOE.Min, p.GOE.Max)
	if step := p.ComponentMarks.Step; step <= 0 || step > rules.Point {
		c.at(&p.ComponentMarks.Step, "is %v; allowed is 0.01 to 1.00", step)
	}
	if p.ComponentMarks.Min >= p.ComponentMarks.Max {
		c.at(&p.ComponentMarks.Max, "must be above min")
	}
	checkPanel(c, &p.Panel, parent)
	checkBaseValue(c, p)
	for _, name := range rules.SortedKeys(p.ComponentSets) {
		set := p.ComponentSets[name]
		if len(set) == 0 {
			c.at(in(p.ComponentSets, name), "is empty")
		}
		oneOfEach(c, set, rules.ComponentKeys)
		for i, key := range set {
			if slices.Contains(set[:i], key) {
				c.at(&set[i], "%s stands in the set twice", key)
			}
		}
	}
	keysOneOf(c, p.Components, rules.ComponentKeys)
	checkDeductions(c, p.Deductions)
	keysOneOf(c, p.Standing.Segments, rules.SegmentKeys)
	valuesOneOf(c, p.Standing.Segments, []rules.TieBreak{rules.ByElementScore, rules.ByComponentScore})
	oneOfEach(c, p.Standing.Final.By, rules.SegmentKeys)
	if len(p.Categories) == 0 {
		c.at(&p.Categories, "is missing: a season needs at least one category")
	}
	for _, key := range rules.SortedKeys(p.Categories) {
		if !seasonKey().MatchString(key) {
			c.at(in(p.Categories, key), "is not a category key: want small letters, digits and hyphens")
		}
		if category := p.Categories[key]; category != nil {
			checkCategory(c, p, category)
		} else {
			c.at(in(p.Categories, key), "is empty")
		}
	}
}

// checkDates reports dates that no calendar has and a date without the other.
func checkDates(c *check, p *rules.Params) {
	const want = "want a day of the calendar as YYYY-MM-DD, such as 2025-07-01 (leave out both dates for a table that is never current)"
	wrong := false
	for _, d := range []struct {
		day, other *string
		otherKey   string
	}{{&p.ValidFrom, &p.ValidTo, "valid_to"}, {&p.ValidTo, &p.ValidFrom, "valid_from"}} {
		if *d.day == "" {
			continue
		}
		if _, err := time.Parse(time.DateOnly, *d.day); err != nil {
			c.at(d.day, "is %s; %s", rules.Quote(*d.day), want)
			wrong = true
		}
		if *d.other == "" {
			c.at(d.day, "stands without %s; %s", d.otherKey, want)
			wrong = true
		}
	}
	if !wrong && p.ValidFrom > p.ValidTo {
		c.at(&p.ValidTo, "is %s and lies before valid_from (%s)", p.ValidTo, p.ValidFrom)
	}
}

// checkPanel reports what is wrong with the panel. Two keys that contradict each
// other are reported once, at the one that this table states itself.
func checkPanel(c *check, p *rules.Panel, parent *rules.Season) {
	var from rules.Panel
	if parent != nil {
		from = parent.Panel
	}
	within(c, &p.MinJudges, 1, 20)
	within(c, &p.MaxJudges, 1, 20)
	within(c, &p.Trim, 0, 4)
	within(c, &p.TrimFrom, 1, 21)
	if p.MinJudges > p.MaxJudges && p.MaxJudges > 0 {
		at := &p.MinJudges
		if p.MinJudges == from.MinJudges {
			at = &p.MaxJudges
		}
		c.at(at, "a panel has at least min_judges (%d) and at most max_judges (%d), and %d is more than %d; lower min_judges or raise max_judges",
			p.MinJudges, p.MaxJudges, p.MinJudges, p.MaxJudges)
	}
	if need := 2*p.Trim + 1; p.Trim <= 4 && p.TrimFrom > 0 && p.TrimFrom < need {
		at := &p.Trim
		if p.Trim == from.Trim {
			at = &p.TrimFrom
		}
		c.at(at, "dropping %s at each end (trim) needs a panel of %d or more, but it begins with %d (trim_from); allowed here are trim 0 to %d or trim_from %d to 21",
			rules.Count(p.Trim, "mark"), need, p.TrimFrom, (p.TrimFrom-1)/2, need)
	}
}

func checkBaseValue(c *check, p *rules.Params) {
	b := &p.BaseValue
	if b.RoundTo != 1 && b.RoundTo != 10 {
		c.at(&b.RoundTo, "is %v; allowed are 0.01 and 0.10", b.RoundTo)
	}
	for _, percent := range []*int64{&b.Sequence.Percent, &b.Repeat.Percent, &b.Combo.Percent, &b.SecondHalf.Percent} {
		within(c, percent, 0, 200)
	}
	within(c, &b.Sequence.Jumps, 0, 5)
	oneOfSet(c, &b.TwoParts, []rules.TwoParts{rules.TwoPartsSum, rules.TwoPartsStated})
	for _, sign := range rules.SortedKeys(p.Signs) {
		rule := p.Signs[sign]
		if rule == nil {
			c.at(in(p.Signs, sign), "is empty: say what the sign does")
			continue
		}
		oneOf(c, &rule.Value, signEffects)
		if rule.Value == rules.SignPercent {
			within(c, &rule.Percent, 1, 100)
			within(c, &rule.Throws.Percent, 0, 100)
		}
	}
}

func checkDeductions(c *check, deductions map[string]*rules.DeductionRule) {
	keysOneOf(c, deductions, rules.DeductionKinds)
	for _, kind := range rules.SortedKeys(deductions) {
		d := deductions[kind]
		if d != nil && d.Each < 0 {
			c.at(&d.Each, "is %v; want the points that are taken off, as a positive number", d.Each)
			continue
		}
		const want = "want either each: points or steps: a list of points, as positive numbers"
		switch {
		case d == nil:
			c.at(in(deductions, kind), want)
			continue
		case d.Each == 0 && len(d.Steps) == 0:
			c.at(&d.Each, want)
			continue
		case d.Each != 0 && len(d.Steps) != 0:
			c.at(in(deductions, kind), want+"; here are both, so write null for the one that does not hold")
			continue
		}
		for i := range d.Steps {
			within(c, &d.Steps[i], 1, 100*rules.Point)
		}
	}
}

func checkCategory(c *check, p *rules.Params, category *rules.Category) {
	if category.Title == "" {
		c.at(&category.Title, "is missing")
	}
	oneOf(c, &category.Discipline, rules.Disciplines)
	within(c, &category.MaxLevel, 0, 4)
	checkDeductions(c, category.Deductions)
	if len(category.Segments) == 0 {
		c.at(&category.Segments, "is missing: a category needs at least one segment")
	}
	keysOneOf(c, category.Segments, rules.SegmentKeys)
	for _, name := range rules.SortedKeys(category.Segments) {
		if g := category.Segments[name]; g != nil {
			checkSegment(c, p, g)
		} else {
			c.at(in(category.Segments, name), "is empty")
		}
	}
}

func checkSegment(c *check, p *rules.Params, g *rules.Segment) {
	c.named(&g.Components, g.Components, "component sets", rules.SortedKeys(p.ComponentSets))
	set := p.ComponentSets[g.Components]
	keysOneOf(c, g.Factors, set)
	for _, key := range rules.SortedKeys(g.Factors) {
		if f := g.Factors[key]; f < 1 || f > 10*rules.Point {
			c.at(in(g.Factors, key), "is %v; allowed is 0.01 to 10.00", f)
		}
	}
	keysOneOf(c, g.Names, set)
	for _, component := range set {
		if g.Factor == 0 && g.Factors[component] == 0 {
			c.at(&g.Factor, "%s has no factor: give factor for all or factors one by one", component)
		}
	}
	within(c, &g.Factor, 0, 10*rules.Point)
	oneOfSet(c, &g.SecondHalf.Which, halfSettings)
	if g.SecondHalf.Which == "last" {
		within(c, &g.SecondHalf.Last, 1, 20)
	}
	oneOfEach(c, g.SecondHalf.Kinds, elementKinds)
}
