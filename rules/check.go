package rules

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// ComponentKeys are the program components that any season may mark.
var ComponentKeys = []string{"SKATING_SKILLS", "TRANSITIONS", "PERFORMANCE", "COMPOSITION", "INTERPRETATION", "TIMING", "PRESENTATION"}

// DeductionKinds are the deductions that a season may price.
var DeductionKinds = []string{
	"FALL", "TIME_VIOLATION", "INTERRUPTION", "COSTUME", "COSTUME_FAILURE", "ILLEGAL_ELEMENT",
	"MUSIC", "MUSIC_TEMPO", "EXTENDED_LIFT", "EXTRA_ELEMENT", "LATE_START",
}

// SegmentKeys are the segments that a category may have, in the order skated.
var SegmentKeys = []string{
	"short-program", "free-skating", "compulsory-dance", "original-dance", "short-dance", "rhythm-dance", "free-dance",
}

// ElementKinds are the kinds of element that a table can speak of.
var ElementKinds = []string{
	"jump", "spin", "step", "spiral", "choreo", "throw", "twist", "lift", "death_spiral", "pattern", "twizzle",
}

var (
	dateText     = regexp.MustCompile(`^(\d{4})-(\d{2})-(\d{2})$`)
	confidences  = []Confidence{High, Medium, Low, Memory, Inferred}
	signEffects  = []SignEffect{SignFull, SignTable, SignOneTurnLess, SignPercent}
	halfSettings = []string{"none", "all", "last"}
)

// report takes a fault of the merged parameters: the path and what is wrong.
type report func(path, format string, args ...any)

func oneOf[T ~string](bad report, path string, got T, allowed []T) {
	if !slices.Contains(allowed, got) {
		words := make([]string, len(allowed))
		for i, a := range allowed {
			words[i] = string(a)
		}
		bad(path, "is %s; allowed are: %s", Quote(string(got)), strings.Join(words, ", "))
	}
}

func within[T int | int64 | Points](bad report, path string, got, low, high T) {
	if got < low || got > high {
		bad(path, "is %v; allowed is %v to %v", got, low, high)
	}
}

// check reports every semantic fault of the parameters.
func (s *Season) check(bad report) {
	p := &s.Params
	if p.Title == "" {
		bad("title", "is missing: say in words what this table is")
	}
	p.checkDates(bad)
	for path, c := range s.cites {
		if c.Confidence != "" && !strings.HasPrefix(path, "levels") {
			oneOf(bad, join(path, "confidence"), c.Confidence, confidences)
		}
	}
	if s.cites[""].Source == "" {
		bad("source", "is missing: name the published text (or say that it is your own rule)")
	}
	for d, mode := range p.Values {
		oneOf(bad, "values", d, Disciplines)
		oneOf(bad, "values."+string(d), mode, []ValuesMode{ValuesOwn, ValuesExtend, ValuesNone})
	}
	for _, category := range SortedKeys(p.Sheets) {
		for _, segment := range SortedKeys(p.Sheets[category]) {
			path := "sheets." + category + "." + segment
			if c := p.Categories[category]; c == nil || c.Segments[segment] == nil {
				bad(path, "counts sheets of a segment that is not among the categories")
			}
			within(bad, path, p.Sheets[category][segment], 1, 100_000)
		}
	}
	within(bad, "goe.min", p.GOE.Min, -5, -1)
	within(bad, "goe.max", p.GOE.Max, 1, 5)
	within(bad, "goe.percent_per_grade", p.GOE.PercentPerGrade, 0, 100)
	for _, d := range SortedKeys(p.GOE.LevelOnePercent) {
		oneOf(bad, "goe.level_one_percent", Discipline(d), Disciplines)
		within(bad, "goe.level_one_percent."+d, p.GOE.LevelOnePercent[Discipline(d)], 0, 100)
	}
	within(bad, "goe.missing_mark", p.GOE.MissingMark, p.GOE.Min, p.GOE.Max)
	if p.ComponentMarks.Step <= 0 || p.ComponentMarks.Step > Point {
		bad("component_marks.step", "is %v; allowed is 0.01 to 1.00", p.ComponentMarks.Step)
	}
	if p.ComponentMarks.Min >= p.ComponentMarks.Max {
		bad("component_marks.max", "must be above min")
	}
	s.checkPanel(bad)
	s.checkBaseValue(bad)
	for _, set := range SortedKeys(p.ComponentSets) {
		if len(p.ComponentSets[set]) == 0 {
			bad("component_sets."+set, "is empty")
		}
		for i, key := range p.ComponentSets[set] {
			path := fmt.Sprintf("component_sets.%s[%d]", set, i)
			oneOf(bad, path, key, ComponentKeys)
			if slices.Contains(p.ComponentSets[set][:i], key) {
				bad(path, "%s stands in the set twice", key)
			}
		}
	}
	for _, key := range SortedKeys(p.Components) {
		oneOf(bad, "components."+key, key, ComponentKeys)
	}
	checkDeductions(bad, "deductions", p.Deductions)
	for _, key := range SortedKeys(p.Standing.Segments) {
		oneOf(bad, "standing.segments."+key, key, SegmentKeys)
		oneOf(bad, "standing.segments."+key, p.Standing.Segments[key], []TieBreak{ByElementScore, ByComponentScore})
	}
	for i, key := range p.Standing.Final.By {
		oneOf(bad, fmt.Sprintf("standing.final.by[%d]", i), key, SegmentKeys)
	}
	if len(p.Categories) == 0 {
		bad("categories", "is missing: a season needs at least one category")
	}
	for _, key := range SortedKeys(p.Categories) {
		s.checkCategory(bad, "categories."+key, key, p.Categories[key])
	}
}

// checkDates reports dates that no calendar has and a date without the other.
func (p *Params) checkDates(bad report) {
	const want = "want a day of the calendar as YYYY-MM-DD, such as 2025-07-01 (leave out both dates for a table that is never current)"
	wrong := false
	for _, d := range []struct{ key, value, other, otherValue string }{
		{"valid_from", p.ValidFrom, "valid_to", p.ValidTo}, {"valid_to", p.ValidTo, "valid_from", p.ValidFrom},
	} {
		switch {
		case d.value == "":
			continue
		case !isDate(d.value):
			bad(d.key, "is %s; %s", Quote(d.value), want)
			wrong = true
		}
		if d.otherValue == "" {
			bad(d.key, "stands without %s; %s", d.other, want)
			wrong = true
		}
	}
	if !wrong && p.ValidFrom > p.ValidTo {
		bad("valid_to", "is %s and lies before valid_from (%s)", p.ValidTo, p.ValidFrom)
	}
}

// isDate tells whether a text is a day of the calendar, YYYY-MM-DD.
func isDate(text string) bool {
	m := dateText.FindStringSubmatch(text)
	if m == nil {
		return false
	}
	year, _ := strconv.Atoi(m[1])
	month, _ := strconv.Atoi(m[2])
	day, _ := strconv.Atoi(m[3])
	if month < 1 || month > 12 {
		return false
	}
	days := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]
	if month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0) {
		days = 29
	}
	return day >= 1 && day <= days
}

// checkPanel reports what is wrong with the panel. Two keys that contradict each
// other are told once, at the one that this table states itself.
func (s *Season) checkPanel(bad report) {
	p := &s.Panel
	var from Panel
	if s.parent != nil {
		from = s.parent.Panel
	}
	within(bad, "panel.min_judges", p.MinJudges, 1, 20)
	within(bad, "panel.max_judges", p.MaxJudges, 1, 20)
	within(bad, "panel.trim", p.Trim, 0, 4)
	within(bad, "panel.trim_from", p.TrimFrom, 1, 21)
	if p.MinJudges > p.MaxJudges && p.MaxJudges > 0 {
		at := "panel.min_judges"
		if p.MinJudges == from.MinJudges {
			at = "panel.max_judges"
		}
		bad(at, "a panel has at least min_judges (%d) and at most max_judges (%d), and %d is more than %d; lower min_judges or raise max_judges",
			p.MinJudges, p.MaxJudges, p.MinJudges, p.MaxJudges)
	}
	if need := 2*p.Trim + 1; p.Trim <= 4 && p.TrimFrom > 0 && p.TrimFrom < need {
		at := "panel.trim"
		if p.Trim == from.Trim {
			at = "panel.trim_from"
		}
		bad(at, "dropping %s at each end (trim) needs a panel of %d or more, but it begins with %d (trim_from); allowed here are trim 0 to %d or trim_from %d to 21",
			Count(p.Trim, "mark"), need, p.TrimFrom, (p.TrimFrom-1)/2, need)
	}
}

func (s *Season) checkBaseValue(bad report) {
	b := &s.BaseValue
	if b.RoundTo != 1 && b.RoundTo != 10 {
		bad("base_value.round_to", "is %v; allowed are 0.01 and 0.10", b.RoundTo)
	}
	for _, share := range []struct {
		key     string
		percent int64
	}{
		{"sequence", b.Sequence.Percent}, {"repeat", b.Repeat.Percent},
		{"combo", b.Combo.Percent}, {"second_half", b.SecondHalf.Percent},
	} {
		within(bad, "base_value."+share.key+".percent", share.percent, 0, 200)
	}
	within(bad, "base_value.sequence.jumps", b.Sequence.Jumps, 0, 5)
	if b.TwoParts != "" {
		oneOf(bad, "base_value.two_parts", b.TwoParts, []TwoParts{TwoPartsSum, TwoPartsStated})
	}
	for _, sign := range SortedKeys(s.Signs) {
		rule, path := s.Signs[sign], "signs."+sign
		if rule == nil {
			bad(path, "is empty: say what the sign does")
			continue
		}
		oneOf(bad, path+".value", rule.Value, signEffects)
		if rule.Value == SignPercent {
			within(bad, path+".percent", rule.Percent, 1, 100)
			within(bad, path+".throws.percent", rule.Throws.Percent, 0, 100)
		}
	}
}

func checkDeductions(bad report, path string, rules map[string]*DeductionRule) {
	for _, kind := range SortedKeys(rules) {
		at := path + "." + kind
		oneOf(bad, at, kind, DeductionKinds)
		d := rules[kind]
		if d != nil && d.Each < 0 {
			bad(at+".each", "is %v; want the points that are taken off, as a positive number", d.Each)
			continue
		}
		if d == nil || (d.Each == 0) == (len(d.Steps) == 0) {
			bad(at, "want either each: points or steps: a list of points, as positive numbers")
			continue
		}
		for i, step := range d.Steps {
			within(bad, fmt.Sprintf("%s.steps[%d]", at, i), step, 1, 100*Point)
		}
	}
}

func (s *Season) checkCategory(bad report, path, key string, c *Category) {
	if !seasonKey.MatchString(key) {
		bad(path, "is not a category key: want small letters, digits and hyphens")
	}
	if c == nil {
		bad(path, "is empty")
		return
	}
	if c.Title == "" {
		bad(path+".title", "is missing")
	}
	oneOf(bad, path+".discipline", c.Discipline, Disciplines)
	within(bad, path+".max_level", c.MaxLevel, 0, 4)
	checkDeductions(bad, path+".deductions", c.Deductions)
	if len(c.Segments) == 0 {
		bad(path+".segments", "is missing: a category needs at least one segment")
	}
	for _, name := range SortedKeys(c.Segments) {
		at, g := path+".segments."+name, c.Segments[name]
		oneOf(bad, at, name, SegmentKeys)
		if g == nil {
			bad(at, "is empty")
			continue
		}
		set, ok := s.ComponentSets[g.Components]
		if !ok {
			bad(at+".components", "is %s; the component sets are: %s", Quote(g.Components), strings.Join(SortedKeys(s.ComponentSets), ", "))
		}
		for _, f := range SortedKeys(g.Factors) {
			oneOf(bad, at+".factors."+f, f, set)
			within(bad, at+".factors."+f, g.Factors[f], 1, 10*Point)
		}
		for _, name := range SortedKeys(g.Names) {
			oneOf(bad, at+".names."+name, name, set)
		}
		for _, component := range set {
			if g.Factor == 0 && g.Factors[component] == 0 {
				bad(at+".factor", "%s has no factor: give factor for all or factors one by one", component)
			}
		}
		within(bad, at+".factor", g.Factor, 0, 10*Point)
		if g.SecondHalf.Which != "" {
			oneOf(bad, at+".second_half.which", g.SecondHalf.Which, halfSettings)
		}
		if g.SecondHalf.Which == "last" {
			within(bad, at+".second_half.last", g.SecondHalf.Last, 1, 20)
		}
		for i, kind := range g.SecondHalf.Kinds {
			oneOf(bad, fmt.Sprintf("%s.second_half.kinds[%d]", at, i), kind, ElementKinds)
		}
	}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// resolve prepares what answers need: each segment's panel of components and
// the warnings that using a not fully sure parameter gives.
func (s *Season) resolve() {
	if s.Levels != nil {
		s.Levels.resolve(s.Unsure)
	}
	for sign, rule := range s.Signs {
		rule.Warn = s.Unsure("signs."+sign, fmt.Sprintf("what the sign %s does to the value", sign))
		rule.Throws.Warn = s.Unsure("signs."+sign+".throws", fmt.Sprintf("what the sign %s does to the value of a throw", sign))
	}
	s.GOE.Warn = s.Unsure("goe", "the scale of the grade of execution")
	s.Panel.Warn = s.Unsure("panel", "how the marks of a panel count")
	s.Panel.Small.Warn = s.Unsure("panel.small", fmt.Sprintf("that all marks count where there are fewer than %d", s.Panel.TrimFrom))
	b := &s.BaseValue
	b.Sequence.Warn = s.Unsure("base_value.sequence", "the value of a jump sequence")
	b.Repeat.Warn = s.Unsure("base_value.repeat", "the value of a repeated jump")
	b.Combo.Warn = s.Unsure("base_value.combo", "the value of a jump called +COMBO")
	b.SecondHalf.Warn = s.Unsure("base_value.second_half", "the second-half bonus")
	resolveDeductions(s, "deductions", s.Deductions)
	for key, c := range s.Categories {
		path := "categories." + key
		resolveDeductions(s, path+".deductions", c.Deductions)
		for name, g := range c.Segments {
			at := path + ".segments." + name
			if g.Combo != nil {
				g.Combo.Warn = s.Unsure(at+".combo", "the value of a jump called +COMBO")
			}
			if w := s.Unsure(at, "the components, factors or second-half rule of this segment"); w != nil {
				g.Warn = append(g.Warn, *w)
			}
			g.Panel = make([]Component, 0, len(s.ComponentSets[g.Components]))
			for _, component := range s.ComponentSets[g.Components] {
				factor := g.Factors[component]
				if factor == 0 {
					factor = g.Factor
				}
				name := cmp.Or(g.Names[component], s.Components[component].Name, component)
				g.Panel = append(g.Panel, Component{Key: component, Name: name, Factor: factor})
			}
		}
	}
}

func resolveDeductions(s *Season, path string, rules map[string]*DeductionRule) {
	for kind, rule := range rules {
		rule.Warn = s.Unsure(path+"."+kind, "the points of the deduction "+kind)
	}
}

// unsure says in words what each confidence but High means.
var unsure = map[Confidence]string{
	Medium:   "taken from a secondary text, or from texts that only nearly agree",
	Low:      "taken from thin or contradicting sources",
	Memory:   "written from memory, not from a published text",
	Inferred: "inferred from other rules or values, not read in a published text",
}

// Unsure gives the warning for using the rule at a path, or nil when it is sure.
func (s *Season) Unsure(path, what string) *Warning {
	c := s.CiteOf(path)
	if c.Confidence == High || c.Confidence == "" {
		return nil
	}
	text := what + ": " + unsure[c.Confidence]
	if !strings.EqualFold(c.Source, "from memory") { // that is said already
		text += " (source: " + c.Source + ")"
	}
	if c.Note != "" {
		text += ". " + c.Note
	}
	return &Warning{Code: WarnLowConfidence, Rule: path, Message: text}
}
