package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// countedCall calls an element of pair skating whose level is the number of
// its features.
type countedCall struct {
	rules   *rules.PairElementRules
	program *Program
	used    *usage
	all     []rules.PairFeature // features of this kind of element
	warn    clauses
}

// shown is one feature that was reported or found.
type shown struct {
	feature     rules.PairFeature
	at          string
	simple      bool
	similar     bool
	interrupted bool
	reason      Reason // found not to count before any limit is looked at
	message     string
}

// call applies the limits to the features in the order given and finds the level.
func (c *countedCall) call(list []shown) (Called, rules.Level) {
	c.warn.rest(&c.rules.Levels.Clause)
	call := Called{Features: make([]Feature, len(list))}
	done := map[rules.PairFeature]int{}
	groups := map[string]rules.PairFeature{}
	features := 0
	for i := range list {
		f := &call.Features[i]
		*f = Feature{Feature: string(list[i].feature), At: list[i].at}
		rule := c.rules.Features[list[i].feature]
		if rule == nil {
			f.Rule = c.rules.List.ID
			f.Reason, f.Message = NotThisSeason, sentence(pairWords[list[i].feature]+": not a feature in this season")
			continue
		}
		f.Rule = rule.ID
		c.warn.rest(&rule.Clause)
		f.Reason, f.Message = c.refuse(&list[i], rule, done, groups)
		f.Message = sentence(f.Message)
		if f.Counted = f.Reason == ""; !f.Counted {
			continue
		}
		features++
		done[list[i].feature]++
		c.used.pair = append(c.used.pair, list[i].feature)
		if rule.Group != "" {
			groups[rule.Group] = list[i].feature
		}
	}
	highest := maxLevel(c.program)
	reached := c.rules.Levels.Of(features)
	level := min(reached, highest)
	c.trim(&call, level, highest)
	call.Level = level.String()
	switch {
	case level < highest:
		call.ToNextLevel = c.next(list, done, groups, features, level)
	case reached > highest:
		c.warn.rest(c.program.Cap)
		call.Notes = append(call.Notes, capNote(highest))
	}
	return call, level
}

// refuse says why a feature does not count, or nothing.
func (c *countedCall) refuse(s *shown, rule *rules.PairFeatureRule, done map[rules.PairFeature]int, groups map[string]rules.PairFeature) (Reason, string) {
	words := pairWords[s.feature]
	switch {
	case s.reason != "":
		return s.reason, s.message
	case slices.Contains(rule.NotIn, c.program.Segment):
		return NotThisSegment, words + " is not a feature in this segment"
	case s.simple && !slices.Contains(rule.SimpleFor, c.program.CategoryLevel):
		return TooSimple, words + " counts only in a difficult form in this category"
	case s.similar && rule.MustDiffer:
		return SimilarToEarlier, words + " must clearly differ from those of the other lifts; of similar ones the first attempt counts"
	case s.interrupted && rule.BrokenByCarry:
		return Interrupted, words + " does not count when a carry interrupts it"
	case done[s.feature] >= rule.Often():
		return LimitPerElement, fmt.Sprintf("%s counts %s in one element", words, times(rule.Often()))
	case rule.PerProgram > 0 && often(c.used.pair, s.feature) >= rule.PerProgram:
		return AlreadyUsed, fmt.Sprintf("%s counts %s in a program", words, times(rule.PerProgram))
	case rule.Group != "" && groups[rule.Group] != "" && groups[rule.Group] != s.feature:
		return SharedFeature, fmt.Sprintf("%s and %s count as one feature", words, pairWords[groups[rule.Group]])
	}
	return "", ""
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// trim marks the features beyond the highest level.
func (c *countedCall) trim(call *Called, level, highest rules.Level) {
	if level != highest || level < 1 {
		return
	}
	counted, most := 0, max(1, c.rules.Levels.Needs[level-1])
	for i := range call.Features {
		f := &call.Features[i]
		if !f.Counted {
			continue
		}
		if counted++; counted <= most {
			continue
		}
		f.Counted = false
		if highest < rules.MaxLevel {
			f.Reason, f.Rule, f.Message = LevelCap, c.program.Cap.ID, capNote(highest)
			continue
		}
		f.Reason, f.Rule = Surplus, c.rules.Levels.ID
		f.Message = sentence(fmt.Sprintf("%d features already make the highest level", most))
	}
}

// next names the features of the season that would bring the next level.
func (c *countedCall) next(list []shown, done map[rules.PairFeature]int, groups map[string]rules.PairFeature, features int, now rules.Level) *Next {
	next := &Next{Level: (now + 1).String()}
	for _, name := range c.all {
		rule := c.rules.Features[name]
		if rule == nil || c.needsFirst(name, done) {
			continue
		}
		if reason, _ := c.refuse(&shown{feature: name}, rule, done, groups); reason != "" {
			continue
		}
		option := Option{Feature: string(name), Message: sentence(rule.Words)}
		if slices.ContainsFunc(list, func(s shown) bool { return s.feature == name && s.reason == Incomplete }) {
			option.Message += " A part of it was shown."
		}
		if c.rules.Levels.Of(features+1) == now {
			option.Message += " One feature more is not yet enough for the next level."
		}
		next.Options = append(next.Options, option)
	}
	return next
}

// needsFirst says that a feature only builds on another that is not there yet.
func (c *countedCall) needsFirst(f rules.PairFeature, done map[rules.PairFeature]int) bool {
	switch f {
	case rules.FurtherOneHandHold:
		return done[rules.OneHandHold] == 0
	case rules.FurtherVariation:
		return done[rules.VariationsOfBoth] == 0
	}
	return false
}
