package level

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// Bounds of what one request may describe, far above anything skated.
const (
	maxElements    = 20
	maxFeet        = 4
	maxPositions   = 20
	maxRevolutions = 200 * rules.Revolution
	maxTurns       = 50
)

// Check finds every fault of the input, with paths such as
// elements[0].spin.feet[1].positions[0].revolutions. Call needs input without faults.
func Check(r *rules.LevelRules, p Program) rules.FieldErrors {
	var faults rules.FieldErrors
	if len(p.Elements) == 0 {
		faults.Add("elements", rules.ReasonFieldRequired, "is empty: give the levelled elements of the program in the order skated")
	}
	if len(p.Elements) > maxElements {
		faults.Add("elements", rules.ReasonTooManyItems, "has %d elements; allowed are %d", len(p.Elements), maxElements)
		return faults
	}
	for i, e := range p.Elements {
		at := fmt.Sprintf("elements[%d]", i)
		switch {
		case (e.Spin == nil) == (e.Steps == nil):
			faults.Add(at, rules.ReasonFieldRequired, "want exactly one kind of element: spin or stepSequence")
		case e.Spin != nil && (r == nil || r.Spins == nil):
			faults.Add(at+".spin", rules.ReasonRulesNotAvailable, "the table of this season has no level rules for spins")
		case e.Steps != nil && (r == nil || r.Steps == nil):
			faults.Add(at+".stepSequence", rules.ReasonRulesNotAvailable, "the table of this season has no level rules for step sequences")
		case e.Spin != nil:
			c := checker{rules: r, faults: &faults}
			c.spin(at+".spin", e.Spin)
		default:
			c := checker{rules: r, faults: &faults}
			c.steps(at+".stepSequence", e.Steps)
		}
	}
	return faults
}

type checker struct {
	rules  *rules.LevelRules
	faults *rules.FieldErrors
}

func (c checker) add(at string, reason rules.Reason, format string, args ...any) {
	c.faults.Add(at, reason, format, args...)
}

// word reports a word that is not among the allowed ones.
func word[T ~string](c checker, at string, reason rules.Reason, got T, allowed ...T) bool {
	if slices.Contains(allowed, got) {
		return true
	}
	words := make([]string, len(allowed))
	for i, a := range allowed {
		words[i] = string(a)
	}
	c.add(at, reason, "is %s; allowed are: %s", rules.Quote(string(got)), strings.Join(words, ", "))
	return false
}

func (c checker) spin(at string, s *Spin) {
	if s.Flying != "" {
		word(c, at+".flying", rules.ReasonFieldInvalid, s.Flying, NotFlying, StepOver, PlainFlying, DifficultFlying)
	}
	if len(s.Feet) == 0 {
		c.add(at+".feet", rules.ReasonFieldRequired, "is empty: give the positions on each foot")
	}
	if len(s.Feet) > maxFeet {
		c.add(at+".feet", rules.ReasonTooManyItems, "has %d feet; allowed are %d", len(s.Feet), maxFeet)
		return
	}
	for i := range s.Feet {
		f, at := &s.Feet[i], fmt.Sprintf("%s.feet[%d]", at, i)
		switch {
		case i > 0 && f.Change != "":
			word(c, at+".change", rules.ReasonFieldInvalid, f.Change, ByStep, ByJump, ByCurves)
		case i == 0 && f.Change != "":
			c.add(at+".change", rules.ReasonFieldInvalid, "a spin does not begin with a change of foot; give change from feet[1] on")
		}
		if i == 0 && f.DirectionReversed {
			c.add(at+".directionReversed", rules.ReasonFieldInvalid, "the first foot has nothing to be reversed from; give it from feet[1] on")
		}
		if len(f.Positions) == 0 {
			c.add(at+".positions", rules.ReasonFieldRequired, "is empty: give at least one position")
		}
		if len(f.Positions) > maxPositions {
			c.add(at+".positions", rules.ReasonTooManyItems, "has %d positions; allowed are %d", len(f.Positions), maxPositions)
			continue
		}
		for j := range f.Positions {
			c.position(fmt.Sprintf("%s.positions[%d]", at, j), &f.Positions[j])
		}
	}
}

func (c checker) position(at string, p *Position) {
	if p.Revolutions < 0 || p.Revolutions > maxRevolutions {
		c.add(at+".revolutions", rules.ReasonRevolutionsWrong, "is %s; allowed are 0 to %s in steps of 0.5", p.Revolutions, maxRevolutions)
	}
	known := word(c, at+".position", rules.ReasonPositionInvalid, p.Position, Camel, Sit, Upright, Layback, NonBasic)
	if known && p.Variation != "" && !slices.Contains(variationsOf[p.Position], p.Variation) {
		fit := make([]string, len(variationsOf[p.Position]))
		for i, v := range variationsOf[p.Position] {
			fit[i] = string(v)
		}
		c.add(at+".variation", rules.ReasonVariationInvalid, "%s does not fit the position %s; allowed are: %s, or none",
			rules.Quote(string(p.Variation)), p.Position, strings.Join(fit, ", "))
	}
	if p.Lean != "" && word(c, at+".lean", rules.ReasonFieldInvalid, p.Lean, Backward, Sideways) && p.Position != Layback {
		c.add(at+".lean", rules.ReasonFieldInvalid, "only a LAYBACK has a lean")
	}
	if len(p.Features) > 2*len(positionFeatures) {
		c.add(at+".features", rules.ReasonTooManyItems, "has %d features; there are %d", len(p.Features), len(positionFeatures))
		return
	}
	for i, f := range p.Features {
		at := fmt.Sprintf("%s.features[%d]", at, i)
		if word(c, at, rules.ReasonFieldInvalid, f, positionFeatures...) && slices.Contains(p.Features[:i], f) {
			c.add(at, rules.ReasonFieldInvalid, "%s stands there twice", f)
		}
	}
	c.edges(at, p)
}

// edges checks the change of edge, which must be told where the season asks
// for a certain one.
func (c checker) edges(at string, p *Position) {
	if p.Edges != "" {
		if word(c, at+".edges", rules.ReasonFieldInvalid, p.Edges, rules.EdgeChanges...) && !p.has(HasEdgeChange) {
			c.add(at+".edges", rules.ReasonFieldInvalid, "has a meaning only with the feature CHANGE_OF_EDGE")
		}
		return
	}
	rule := c.rules.Spins.Features[rules.ChangeOfEdge]
	if rule == nil || !p.has(HasEdgeChange) {
		return
	}
	if want := rule.Edges[basicPlace(p.Position)]; want != "" {
		c.add(at+".edges", rules.ReasonFieldRequired, "is missing: in a %s position only the change %s counts; allowed are: %s",
			p.Position, want, strings.Join(rules.EdgeChanges, ", "))
	}
}

func (c checker) steps(at string, s *StepSequence) {
	if s.Pattern != "" {
		word(c, at+".pattern", rules.ReasonFieldInvalid, s.Pattern, rules.StepPatterns...)
	}
	if len(s.Turns) > len(rules.TurnTypes) {
		c.add(at+".turns", rules.ReasonTooManyItems, "has %d rows; there are %d types of turn", len(s.Turns), len(rules.TurnTypes))
		return
	}
	for i, t := range s.Turns {
		at := fmt.Sprintf("%s.turns[%d]", at, i)
		word(c, at+".type", rules.ReasonFieldInvalid, t.Type, rules.TurnTypes...)
		for _, before := range s.Turns[:i] {
			if before.Type == t.Type {
				c.add(at+".type", rules.ReasonFieldInvalid, "%s stands there twice; count both directions in one row", rules.Quote(string(t.Type)))
				break
			}
		}
		for _, n := range []struct {
			key   string
			count int
		}{{"clockwise", t.Clockwise}, {"counterclockwise", t.Counterclockwise}} {
			if n.count < 0 || n.count > maxTurns {
				c.add(at+"."+n.key, rules.ReasonFieldInvalid, "is %d; allowed are 0 to %d", n.count, maxTurns)
			}
		}
	}
}
