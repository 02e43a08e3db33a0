// Package plan finds the program that a skater does best with: of everything that a
// season's rules allow, the elements and halves with the highest expected score.
//
// It has no rule of its own. What a program may hold, and what an outcome is credited
// beside the others, it asks of package program, the check itself.
package plan

import (
	"math/big"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

// What a request may hold at most.
const (
	MaxAbilities = 60
	MaxMisses    = 4
	MaxPlans     = 10
)

// Request is what a skater can do and what is asked of a program.
type Request struct {
	Category string
	Segment  string
	Scope    string // condition of the value rows, such as a pattern dance's name

	Abilities []Ability
	Keep      []Keep
	Limits    []Limit
	// SecondHalf is what tiredness takes from jumps and throws there.
	SecondHalf SecondHalf
	// Components are the expected average marks in hundredths, by component key;
	// empty = only element scores are expected.
	Components map[string]rules.Points

	Aim    Aim
	Target *rules.Points // of the segment score; nil = none
	Plans  int           // how many, best first; 0 = 1
	Scores bool          // whether each plan lists every segment score that can come
}

// Ability is an element as it is meant, and how it comes.
type Ability struct {
	Code     string
	Success  Chance       // that it comes so
	Grade    rules.Points // mean grade then, in hundredths of a grade
	Attempts int          // that the chance was counted in; 0 = not known
	AtMost   *int         // how often in one program; nil = twice for a jump alone, else once
	Misses   []Miss       // what comes instead; empty = what is assumed
}

// Miss is one way in which an ability does not come as meant.
type Miss struct {
	Code   string
	Chance Chance
	Grade  rules.Points
	Fall   bool
}

// Keep names an ability that the program must have.
type Keep struct {
	Code       string
	SecondHalf *bool // nil = in either half
}

// Limit bounds jumps over the whole program: one jump, or all of one number of turns.
type Limit struct {
	Jump   string // such as 3Lz; empty = Turns counts
	Turns  int
	AtMost int
}

// SecondHalf changes jumps and throws of the second half.
type SecondHalf struct {
	Success Chance       // chances of success are multiplied by it
	Grade   rules.Points // is added to each grade, inside of the scale
	AtMost  *int         // jump elements there; nil = half of the places, rounded up
}

// Aim is what the best program has most of.
type Aim uint8

// The aims.
const (
	ExpectedScore Aim = iota
	ChanceOfTarget
)

// Result is the answer to a request.
type Result struct {
	Plans []Plan
	// Optimal says that no legal program is better than the first plan.
	Optimal bool
	// Bound is what no program's expected net score exceeds; nil where the aim is
	// another one.
	Bound       *big.Rat
	Practice    []Practice
	Assumed     []Assumed
	Unusable    []Unusable
	Assumptions []Assumption
	Warnings    rules.Warnings
}

// Plan is one program. Means are in hundredths of points, exact.
type Plan struct {
	Elements []Element // in skating order
	// ElementScore is the joint mean: every pattern of outcomes credited by the rules.
	ElementScore *big.Rat
	// AsPlanned is the sum of what each element scores while all others come as meant.
	AsPlanned *big.Rat
	Falls     *big.Rat // expected number of falls
	// Net is the joint mean less the expected deduction for falls: what plans are
	// compared by.
	Net *big.Rat
	// Segment is the expected segment score; nil without component marks, as are
	// Spread, Scores and Chance.
	Segment *big.Rat
	Spread  *Spread
	Scores  []Reached // all that can come, the lowest first; nil when not asked for
	Chance  *Chance   // of the target; nil without one
	// Error is the standard error of Net that comes of counting attempts; nil when no
	// ability says how many.
	Error   *rules.Points
	Differs *big.Rat // Net below that of the first plan
	Message string   // the swap against the first plan in words
	Empty   []Empty
	Program *program.Result // as the check credits it when all comes as meant
	Checked *program.Program
}

// Element is one element of a plan.
type Element struct {
	Ability    int
	Code       string
	SecondHalf bool
	Grade      rules.Points
	Chance     *big.Rat // that it comes as meant
	Expected   *big.Rat // its mean while all others come as meant
}

// Empty are places of a box that no element fills.
type Empty struct {
	Place string // key of the box
	Title string
	Count int
}

// Spread is how segment scores spread: one time in ten not above P10, and so on.
type Spread struct{ P10, P50, P90 rules.Points }

// Reached is a segment score with the chance of at least that.
type Reached struct {
	Score  rules.Points
	Chance Chance
}

// Assumed is what was taken for an ability without misses.
type Assumed struct {
	Ability int
	Misses  []Miss
}

// Unusable is an ability that loses value even alone.
type Unusable struct {
	Ability int
	Finding program.Finding
}
