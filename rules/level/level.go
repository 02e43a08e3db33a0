// Package level finds the levels of difficulty of a program's elements from
// what was skated. One engine reads the season's table of level rules; it holds
// no rule of any season itself.
//
// A call is unofficial: the technical panel decides what was done and whether
// a variation, entrance or change is difficult. The input is what the panel
// accepts; the engine applies the limits and counts.
package level

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
)

// Program is the levelled elements of one program in the order skated. Many
// features count once in a program, so the order matters.
type Program struct {
	Discipline    rules.Discipline // "" = single skating
	Category      string           // key, such as advanced-novice-girls
	CategoryLevel string           // senior, junior and so on
	Segment       string
	MaxLevel      int           // the category's highest level; 0 = no limit
	Cap           *rules.Clause // the rule that sets MaxLevel; nil = none
	Elements      []Element
}

// Element is one levelled element; exactly one member is set. In pair skating
// a spin and a step sequence are what both partners do.
type Element struct {
	Spin        *Spin
	Steps       *StepSequence
	PairLift    *PairLift
	TwistLift   *TwistLift
	DeathSpiral *DeathSpiral
	PairSpin    *PairSpin
	Pattern     *PatternDance
	Dance       *DanceElement
}

// Result is the call of a program: one Called for each element, in order.
type Result struct {
	Elements []Called
	Caution  string         // belongs beside what would bring the next level; "" where no element says that
	Warnings rules.Warnings // what of the rules used is not fully sure, each rule once, with the elements
}

// Called is the call of one element.
type Called struct {
	Code        string // with level and signs, such as CCoSp3V; empty when no element is called
	Level       string // "B", "1" to "4", or "" for none
	NoValue     bool
	Reduced     bool // the value is reduced (sign V)
	Features    []Feature
	ToNextLevel *Next // nil at the highest level and when the element has no level
	Notes       []string
}

// Feature is one feature that was tried or found in an element.
type Feature struct {
	Feature string
	At      string // path in the element, such as feet[0].positions[1]; "" = the whole element
	Counted bool
	Reason  Reason // why it does not count
	Message string // the same for a coach
	Rule    string // key of the table's rule that decided
}

// Next is what would bring the next level.
type Next struct {
	Level   string
	Options []Option // any one of them would do, the easiest first
}

// Option is one way to the next level.
type Option struct {
	Feature string
	Message string
}

// Reason says in one public word why a feature does not count.
type Reason string

// The reasons.
const (
	LimitPerFoot     Reason = "LIMIT_PER_FOOT"
	AlreadyUsed      Reason = "ALREADY_USED"
	TooFew           Reason = "TOO_FEW_REVOLUTIONS"
	WrongPosition    Reason = "WRONG_POSITION"
	LimitPerSpin     Reason = "LIMIT_PER_SPIN"
	MandatoryMissing Reason = "MANDATORY_FEATURE_MISSING"
	NotThisSeason    Reason = "NOT_A_FEATURE_THIS_SEASON"
	NotThisSegment   Reason = "NOT_IN_THIS_SEGMENT"
	UsedVariation    Reason = "USED_VARIATION"
	Surplus          Reason = "SURPLUS"
	MissingPosition  Reason = "MISSING_POSITION"
	SharedFeature    Reason = "SHARED_FEATURE"
	LevelCap         Reason = "LEVEL_CAP"     // the category's
	ElementFault     Reason = "ELEMENT_FAULT" // takes or limits the level
	NotCalled        Reason = "NOT_CALLED"    // done in a part that is not called
	NoVariety        Reason = "NO_VARIETY"
	Incomplete       Reason = "INCOMPLETE"
	LimitPerElement  Reason = "LIMIT_PER_ELEMENT"
	SimilarToEarlier Reason = "SIMILAR_TO_EARLIER"
	Interrupted      Reason = "INTERRUPTED"
	TooSimple        Reason = "TOO_SIMPLE"
	KeyPointMissed   Reason = "KEY_POINT_NOT_MET"
	KeyPointMistimed Reason = "KEY_POINT_TIMING"
)

// Call finds the levels of a program. The input must have passed Check.
func Call(r *rules.LevelRules, p Program) Result { return new(Work).Call(r, p) }

// Work is memory that calls use one after another, for a caller who has many. Its zero
// value is ready. A result shares nothing with it.
type Work struct {
	program Program
	used    usage // by the program so far
	spin    spinCall
}

// Forget lets go of the last input, so that keeping the memory does not keep it.
func (w *Work) Forget() {
	w.program = Program{}
	w.spin.forget()
}

// Call is the package's Call in the memory of w.
func (w *Work) Call(r *rules.LevelRules, p Program) Result {
	result := Result{Elements: make([]Called, len(p.Elements))}
	t := tablesOf(r, p.discipline())
	if p.Cap == nil {
		p.Cap = &noCap
	}
	w.program = p
	w.used.set(&usage{})
	if t.spins != nil {
		w.spin.begin(t.spins, &w.program)
	}
	for i := range p.Elements {
		e := &p.Elements[i]
		called, warn := w.call(&t, e)
		result.Elements[i] = called
		for _, clause := range warn {
			result.Warnings.Add(clause.Warn, fmt.Sprintf("elements[%d]", i))
		}
		switch next := called.ToNextLevel; {
		case next == nil || len(next.Options) == 0:
		case e.PairLift != nil || e.TwistLift != nil || e.DeathSpiral != nil:
			result.Caution = coupleDecides
		case result.Caution == "":
			result.Caution = coachDecides
		}
	}
	return result
}

// call calls one element. The rules that it returns hold until the next one.
func (w *Work) call(t *tables, e *Element) (Called, clauses) {
	p := &w.program
	counted := func(r *rules.PairElementRules, all []rules.PairFeature) *countedCall {
		return &countedCall{rules: r, program: p, used: &w.used, all: all}
	}
	switch {
	case e.Spin != nil:
		return w.spin.explain(e.Spin, &w.used)
	case e.Steps != nil:
		return callSteps(t.steps, e.Steps, maxLevel(p), p.Cap)
	case e.PairLift != nil:
		c := counted(t.pairs.Lifts, rules.LiftFeatures)
		called := c.callLift(e.PairLift)
		return called, c.warn
	case e.TwistLift != nil:
		c := counted(t.pairs.TwistLifts, rules.TwistFeatures)
		called := c.callTwist(e.TwistLift)
		return called, c.warn
	case e.DeathSpiral != nil:
		c := counted(t.pairs.DeathSpirals, rules.DeathSpiralFeatures)
		called := c.callSpiral(e.DeathSpiral)
		return called, c.warn
	case e.PairSpin != nil:
		c := counted(t.pairs.PairSpins, rules.PairSpinFeatures)
		called := c.callPairSpin(e.PairSpin)
		return called, c.warn
	case e.Pattern != nil:
		return callPattern(t.dance.KeyPoints, e.Pattern, maxLevel(p), p.Cap)
	default:
		c := twizzleCall{rules: t.dance.Twizzles, code: e.Dance.Code, highest: maxLevel(p)}
		return c.call(e.Dance)
	}
}

// noCap is the rule of a program whose category has no highest level.
var noCap rules.Clause

func maxLevel(p *Program) rules.Level {
	if p.MaxLevel <= 0 || p.MaxLevel > int(rules.MaxLevel) {
		return rules.MaxLevel
	}
	return rules.Level(p.MaxLevel)
}

// clauses collects the rules that an answer rests on and that are not sure.
type clauses []*rules.Clause

func (c *clauses) rest(on *rules.Clause) {
	if on.Warn == nil {
		return
	}
	for _, have := range *c {
		if have == on {
			return
		}
	}
	*c = append(*c, on)
}

// coachDecides belongs beside what would bring the next level.
const coachDecides = "What would bring the next level is what the rules allow, not advice: what a skater trains is for the coach to decide, with medical advice and within the federation's rules."

// coupleDecides is the same where one partner carries or holds up the other.
const coupleDecides = coachDecides + " A harder lift, twist lift or death spiral is only for couples whom coach, medical advice and the federation's rules allow it."

func capNote(highest rules.Level) string {
	return fmt.Sprintf("Level %s is the highest level of this category.", highest)
}
