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
	Category string
	Segment  string
	MaxLevel int // the category's highest level; 0 = no limit
	Elements []Element
}

// Element is one levelled element; exactly one member is set.
type Element struct {
	Spin  *Spin
	Steps *StepSequence
}

// Result is the call of a program: one Called for each element, in order.
type Result struct {
	Elements []Called
	Warnings rules.Warnings // what of the rules used is not fully sure, each rule once
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
	LevelCap         Reason = "LEVEL_CAP"
	NoVariety        Reason = "NO_VARIETY"
	Incomplete       Reason = "INCOMPLETE"
)

// Call finds the levels of a program. The input must have passed Check.
func Call(r *rules.LevelRules, p Program) Result {
	result := Result{Elements: make([]Called, len(p.Elements))}
	used := newUsage()
	for i, e := range p.Elements {
		var warn clauses
		switch {
		case e.Spin != nil:
			c := spinCall{rules: r.Spins, segment: p.Segment, max: maxLevel(p)}
			result.Elements[i], warn = c.explain(e.Spin, used)
		case e.Steps != nil:
			result.Elements[i], warn = callSteps(r.Steps, e.Steps, maxLevel(p))
		}
		for _, clause := range warn {
			result.Warnings.Add(clause.Warn.Code, clause.ID, clause.Warn.Message)
		}
	}
	return result
}

func maxLevel(p Program) rules.Level {
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

const coachDecides = "What would bring the next level is what the rules allow, not advice: what a skater trains is for the coach to decide."

func capNote(highest rules.Level) string {
	return fmt.Sprintf("Level %s is the highest level of this category.", highest)
}
