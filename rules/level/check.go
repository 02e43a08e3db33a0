package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// MaxElements is the largest number of levelled elements of one program.
const MaxElements = 20

// Bounds of what one element may hold, far above anything skated.
const (
	maxFeet      = 4
	maxPositions = 20
	maxTurns     = 50
)

// MaxRevolutions is the largest number of revolutions that one position may have.
const MaxRevolutions = 200 * rules.Revolution

// Check finds every fault of the input, with paths such as
// elements[0].spin.feet[1].positions[0].revolutions. Call needs input without faults.
func Check(r *rules.LevelRules, p Program) rules.FieldErrors {
	var faults rules.FieldErrors
	if len(p.Elements) == 0 {
		faults.Add("elements", rules.ReasonFieldRequired, "is empty: give the levelled elements of the program in the order skated")
	}
	if len(p.Elements) > MaxElements {
		faults.Add("elements", rules.ReasonTooManyItems, "has %d elements; allowed are %s", len(p.Elements), rules.Allow("at most %d", MaxElements))
		return faults
	}
	t := tablesOf(r, p.discipline())
	for i := range p.Elements {
		e, at := &p.Elements[i], fmt.Sprintf("elements[%d]", i)
		set := e.set()
		switch {
		case len(set) != 1:
			faults.Add(at, rules.ReasonFieldRequired, "want exactly one kind of element: %s", membersOf(p.discipline()))
		case !slices.Contains(set[0].disciplines, p.discipline()):
			faults.Add(at+"."+set[0].key, rules.ReasonFieldInvalid, "%s has no %s of this kind; want %s",
				disciplineWords[p.discipline()], set[0].words, membersOf(p.discipline()))
		default:
			t.check(at+"."+set[0].key, e, &faults)
		}
	}
	return faults
}

// check finds the faults of one element, or that its rules are not known.
func (t *tables) check(at string, e *Element, faults *rules.FieldErrors) {
	c := checker{spins: t.spins, faults: faults}
	unknown := func(m *member, kind rules.LevelledKind) {
		c.add(at, rules.ReasonRulesNotAvailable, "%s", t.unknown(m.words, kind))
	}
	switch {
	case e.Spin != nil && t.spins == nil:
		unknown(spinMember, rules.KindSoloSpin)
	case e.Spin != nil:
		c.spin(at, e.Spin)
	case e.Steps != nil && t.steps == nil:
		unknown(stepsMember, rules.KindPairStepSequence)
	case e.Steps != nil:
		c.steps(at, e.Steps)
		if t.discipline != rules.Pairs {
			c.onlyPairs(at, e.Steps)
		}
	case e.PairLift != nil && t.pairs.Lifts == nil:
		unknown(liftMember, rules.KindPairLift)
	case e.PairLift != nil:
		c.lift(at, e.PairLift, t.pairs.Lifts)
	case e.TwistLift != nil && t.pairs.TwistLifts == nil:
		unknown(twistMember, rules.KindTwistLift)
	case e.TwistLift != nil:
		c.twist(at, e.TwistLift, t.pairs.TwistLifts)
	case e.DeathSpiral != nil && t.pairs.DeathSpirals == nil:
		unknown(spiralMember, rules.KindDeathSpiral)
	case e.DeathSpiral != nil:
		c.spiral(at, e.DeathSpiral, t.pairs.DeathSpirals)
	case e.PairSpin != nil && t.pairs.PairSpins == nil:
		unknown(pairMember, rules.KindPairSpin)
	case e.PairSpin != nil:
		c.pairSpin(at, e.PairSpin)
	case e.Pattern != nil && t.dance.KeyPoints == nil:
		unknown(patternMember, rules.KindPatternDance)
	case e.Pattern != nil:
		c.pattern(at, e.Pattern, t.dance.KeyPoints)
	case e.Dance != nil:
		c.dance(at, e.Dance, t)
	}
}

type checker struct {
	spins  *rules.SpinRules // nil where the discipline has none
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
	c.add(at, reason, "is %s; allowed are: %s", rules.Quote(string(got)), rules.AllowList(allowed))
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
		c.add(at+".feet", rules.ReasonTooManyItems, "has %d feet; allowed are %s", len(s.Feet), rules.Allow("1 to %d", maxFeet))
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
			c.add(at+".positions", rules.ReasonTooManyItems, "has %d positions; allowed are %s", len(f.Positions), rules.Allow("1 to %d", maxPositions))
			continue
		}
		for j := range f.Positions {
			c.position(fmt.Sprintf("%s.positions[%d]", at, j), &f.Positions[j])
		}
	}
}

func (c checker) position(at string, p *Position) {
	c.revolutions(at+".revolutions", p.Revolutions)
	c.shape(at, p.Position, p.Variation)
	if p.Lean != "" && word(c, at+".lean", rules.ReasonFieldInvalid, p.Lean, Backward, Sideways) && p.Position != Layback {
		c.add(at+".lean", rules.ReasonFieldInvalid, "only a LAYBACK has a lean")
	}
	if len(p.Features) > 2*len(positionFeatures) {
		c.add(at+".features", rules.ReasonTooManyItems, "has %d features; allowed are %s", len(p.Features), rules.Allow("at most %d", len(positionFeatures)))
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

// shape checks a position and that its difficult variation fits it.
func (c checker) shape(at string, position PositionKind, variation Variation) {
	known := word(c, at+".position", rules.ReasonPositionInvalid, position, Camel, Sit, Upright, Layback, NonBasic)
	fitting := variationsOf[position]
	if !known || variation == "" || slices.Contains(fitting, variation) {
		return
	}
	c.add(at+".variation", rules.ReasonVariationInvalid, "%s does not fit the position %s; allowed are: %s, or none",
		rules.Quote(string(variation)), position, rules.AllowList(fitting))
}

// edges checks the named change of edge. Where none is named, the panel's
// acceptance stands for the one that counts.
func (c checker) edges(at string, p *Position) {
	if p.Edges != "" && word(c, at+".edges", rules.ReasonFieldInvalid, p.Edges, rules.EdgeChanges...) && !p.has(HasEdgeChange) {
		c.add(at+".edges", rules.ReasonFieldInvalid, "has a meaning only with the feature CHANGE_OF_EDGE")
	}
}

func (c checker) steps(at string, s *StepSequence) {
	if s.Pattern != "" {
		word(c, at+".pattern", rules.ReasonFieldInvalid, s.Pattern, rules.StepPatterns...)
	}
	c.turns(at+".turns", s.Turns)
	c.turns(at+".partnerTurns", s.PartnerTurns)
}

// onlyPairs reports what only two partners can show.
func (c checker) onlyPairs(at string, s *StepSequence) {
	for _, f := range []struct {
		key string
		set bool
	}{{"partnerTurns", len(s.PartnerTurns) > 0}, {"positionChanges", s.PositionChanges}, {"notSeparating", s.NotSeparating}} {
		if f.set {
			c.add(at+"."+f.key, rules.ReasonFieldInvalid, "has a meaning in pair skating only")
		}
	}
}

func (c checker) turns(at string, turns []Turns) {
	if len(turns) > len(rules.TurnTypes) {
		c.add(at, rules.ReasonTooManyItems, "has %d rows; allowed is one for each type of turn, %s", len(turns), rules.Allow("at most %d", len(rules.TurnTypes)))
		return
	}
	for i, t := range turns {
		at := fmt.Sprintf("%s[%d]", at, i)
		word(c, at+".type", rules.ReasonFieldInvalid, t.Type, rules.TurnTypes...)
		for _, before := range turns[:i] {
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
				c.add(at+"."+n.key, rules.ReasonFieldInvalid, "is %d; allowed are %s", n.count, rules.Allow("0 to %d", maxTurns))
			}
		}
	}
}
