package level

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// The features of ice dance that answers name.
const (
	keyPointFeature   = "KEY_POINT"
	rotationsFeature  = "TWIZZLE_ROTATIONS"
	entryEdgeFeature  = "DIFFERENT_ENTRY_EDGES"
	directionsFeature = "BOTH_DIRECTIONS"
	additionalFeature = "ADDITIONAL_FEATURES"
)

// callPattern calls a pattern dance by its key points.
func callPattern(r *rules.KeyPointRules, d *PatternDance, highest rules.Level, limit *rules.Clause) (Called, clauses) {
	var warn clauses
	warn.rest(&r.Clause)
	met := 0
	var code strings.Builder
	call := Called{Features: make([]Feature, len(d.KeyPoints))}
	var missed []Option
	for i, k := range d.KeyPoints {
		code.WriteString(string(k))
		f := &call.Features[i]
		*f = Feature{Feature: keyPointFeature, At: fmt.Sprintf("keyPoints[%d]", i), Rule: r.ID, Counted: k == KeyPointMet}
		switch k {
		case KeyPointMet:
			met++
			continue
		case KeyPointTiming:
			f.Reason, f.Message = KeyPointMistimed, "The timing of this key point is not correct, so it is not met."
		default:
			f.Reason, f.Message = KeyPointMissed, "This key point is not met."
		}
		missed = append(missed, Option{Feature: keyPointFeature, Message: fmt.Sprintf("Meet key point %d.", i+1)})
	}
	if d.Incomplete && r.Incomplete != nil && r.Incomplete.Effect == rules.FaultNoLevel {
		warn.rest(&r.Incomplete.Clause)
		for i := range call.Features {
			if f := &call.Features[i]; f.Counted {
				f.Counted, f.Reason, f.Rule, f.Message = false, Incomplete, r.Incomplete.ID, "Too few of the steps were completed."
			}
		}
		call.Code, call.NoValue = d.Code, true
		call.Notes = []string{"Too few of the steps were completed: there is no level and no value."}
		return call, warn
	}
	reached := r.Levels[met]
	level := min(reached, highest)
	if reached > highest {
		warn.rest(limit)
		call.Notes = append(call.Notes, capNote(highest))
	}
	call.Level, call.Code = level.String(), d.Code+level.String()+"+kp"+code.String()
	if level < highest && len(missed) > 0 {
		call.ToNextLevel = &Next{Level: (level + 1).String(), Options: missed}
	}
	return call, warn
}

// twizzleCall calls a set of twizzles, each partner alone.
type twizzleCall struct {
	rules   *rules.TwizzleRules
	code    string
	highest rules.Level
}

func (c *twizzleCall) call(d *DanceElement) (Called, clauses) {
	var warn clauses
	warn.rest(&c.rules.Clause)
	var call Called
	woman, womanNext := c.partner("woman", d.Woman, &call)
	man, manNext := c.partner("man", d.Man, &call)
	call.Code = d.Code + c.rules.Partners.Woman + woman.String() + "+" + d.Code + c.rules.Partners.Man + man.String()
	level := min(woman, man)
	call.Level = level.String()
	if level >= c.highest {
		return call, warn
	}
	call.ToNextLevel = &Next{Level: (level + 1).String()}
	if woman == level {
		call.ToNextLevel.Options = append(call.ToNextLevel.Options, womanNext...)
	}
	if man == level {
		call.ToNextLevel.Options = append(call.ToNextLevel.Options, manNext...)
	}
	return call, warn
}

// demand is one thing that a level asks of a partner.
type demand struct {
	feature string
	key     string // of the request
	enough  bool
	message string // what there is and what is needed
	advice  string
}

// partner finds a partner's level: the highest step of which everything is
// shown. It adds to the call what makes that level, and the rest measured by the
// step above.
func (c *twizzleCall) partner(who string, p *DancePart, call *Called) (rules.Level, []Option) {
	level, next := c.rules.Floor, 0
	for i := range c.rules.Steps {
		if !met(c.demands(p, i)) {
			break
		}
		level, next = c.rules.Steps[i].Level, i+1
	}
	var reached []demand
	if next > 0 {
		reached = c.demands(p, next-1)
	}
	list := c.demands(p, min(next, len(c.rules.Steps)-1))
	var options []Option
	for _, m := range list {
		counts := slices.ContainsFunc(reached, func(r demand) bool { return r.feature == m.feature })
		f := Feature{Feature: m.feature, At: who + "." + m.key, Rule: c.rules.ID, Counted: m.enough || counts}
		if !f.Counted {
			f.Reason, f.Message = Incomplete, m.message
		}
		if !m.enough {
			options = append(options, Option{Feature: m.feature, Message: "For the " + who + ": " + m.advice})
		}
		call.Features = append(call.Features, f)
	}
	if len(options) > 1 {
		for i := range options {
			options[i].Message += " All of what is named for one partner is needed."
		}
	}
	if note := capNote(c.highest); level > c.highest && !slices.Contains(call.Notes, note) {
		call.Notes = append(call.Notes, note)
	}
	return min(level, c.highest), options
}

func met(list []demand) bool {
	return !slices.ContainsFunc(list, func(m demand) bool { return !m.enough })
}

// demands compares what a partner shows with a step.
func (c *twizzleCall) demands(p *DancePart, i int) []demand {
	step := &c.rules.Steps[i]
	list := []demand{{
		feature: rotationsFeature, key: "rotations", enough: p.Rotations >= step.Rotations,
		message: fmt.Sprintf("%s rotations; level %s needs %s in each twizzle.", p.Rotations, step.Level, step.Rotations),
		advice:  fmt.Sprintf("at least %s rotations in each twizzle.", step.Rotations),
	}}
	if step.EntryEdges {
		list = append(list, demand{
			feature: entryEdgeFeature, key: "differentEntryEdges", enough: p.DifferentEntryEdges,
			message: fmt.Sprintf("Level %s needs different entry edges.", step.Level), advice: "different entry edges.",
		})
	}
	if slices.Contains(step.BothDirections, c.code) {
		list = append(list, demand{
			feature: directionsFeature, key: "bothDirections", enough: p.BothDirections,
			message: fmt.Sprintf("Level %s needs both directions of rotation.", step.Level), advice: "both directions of rotation.",
		})
	}
	if step.Features > 0 {
		list = append(list, demand{
			feature: additionalFeature, key: "additionalFeatures", enough: p.AdditionalFeatures >= step.Features,
			message: fmt.Sprintf("%d additional features; level %s needs %d of different groups.", p.AdditionalFeatures, step.Level, step.Features),
			advice:  fmt.Sprintf("%d additional features of different groups.", step.Features),
		})
	}
	return list
}
