package notation_test

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/rules/level/notation"
)

// Every spin and step sequence that the structure can hold comes back as it was from
// its own words.
func TestWhatIsPrintedIsRead(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 5000 {
		want := level.Element{Spin: anySpin(r)}
		if r.IntN(4) == 0 {
			want = level.Element{Steps: anySteps(r)}
		}
		text, ok := notation.Print(&want)
		got, faults := notation.Parse(text)
		if !ok || len(faults) > 0 || !reflect.DeepEqual(got, want) {
			t.Fatalf("%q: %v\n%+v, want\n%+v", text, faults, got, want)
		}
	}
	if text, ok := notation.Print(&level.Element{Dance: &level.DanceElement{}}); ok {
		t.Errorf("an element of ice dance is printed %q", text)
	}
}

func one[T any](r *rand.Rand, list ...T) T { return list[r.IntN(len(list))] }

func maybe(r *rand.Rand) bool { return r.IntN(2) == 0 }

// variationsOf repeats level's own list, which tests of that package hold to the contract.
var variationsOf = map[level.PositionKind][]level.Variation{
	level.Camel:    {"", level.CamelForward, level.CamelSideways, level.CamelUpward},
	level.Sit:      {"", level.SitForward, level.SitSideways, level.SitBehind},
	level.Upright:  {"", level.UprightStraight, level.UprightForward, level.LaybackVaried, level.Biellmann},
	level.Layback:  {"", level.LaybackVaried, level.Biellmann},
	level.NonBasic: {"", level.NonBasicVaried},
}

func anySpin(r *rand.Rand) *level.Spin {
	spin := &level.Spin{
		Flying:        one(r, "", level.StepOver, level.PlainFlying, level.DifficultFlying),
		BackwardEntry: maybe(r), DifficultEntrance: maybe(r), DifficultExit: maybe(r),
	}
	for i := range 1 + r.IntN(3) {
		foot := level.Foot{}
		if i > 0 {
			foot.Change, foot.DirectionReversed = one(r, level.ByStep, level.ByJump, level.ByCurves), maybe(r)
		}
		for range 1 + r.IntN(4) {
			kind := one(r, level.Camel, level.Sit, level.Upright, level.Layback, level.NonBasic)
			p := level.Position{Position: kind, Variation: one(r, variationsOf[kind]...), Revolutions: rules.Revolutions(r.IntN(1 + int(level.MaxRevolutions)))}
			if kind == level.Layback {
				p.Lean = one(r, level.Backward, level.Sideways)
			}
			words := level.PositionWords()
			for _, j := range r.Perm(len(words))[:r.IntN(len(words)+1)] {
				p.Features = append(p.Features, words[j].Report)
				if words[j].Report == level.HasEdgeChange && maybe(r) {
					p.Edges = one(r, rules.EdgeChanges...)
				}
			}
			foot.Positions = append(foot.Positions, p)
		}
		spin.Feet = append(spin.Feet, foot)
	}
	return spin
}

func anySteps(r *rand.Rand) *level.StepSequence {
	s := &level.StepSequence{Pattern: one(r, append([]string{""}, rules.StepPatterns...)...), Turns: anyTurns(r), PartnerTurns: anyTurns(r)}
	for _, f := range []*bool{
		&s.RotationsBothDirections, &s.BodyMovement, &s.TurnCombinationLeft, &s.TurnCombinationRight, &s.QuickTurnCombinations,
		&s.OneFootSection, &s.UpperBody, &s.PositionChanges, &s.NotSeparating, &s.BadlySpread, &s.NotRecognisable,
	} {
		*f = maybe(r)
	}
	return s
}

func anyTurns(r *rand.Rand) []level.Turns {
	var turns []level.Turns
	for _, i := range r.Perm(len(rules.TurnTypes))[:r.IntN(len(rules.TurnTypes)+1)] {
		turns = append(turns, level.Turns{Type: rules.TurnTypes[i], Clockwise: r.IntN(50), Counterclockwise: r.IntN(50)})
	}
	return turns
}

// The property test must know every field that the structure has.
func TestEveryFieldIsTried(t *testing.T) {
	for of, fields := range map[reflect.Type]int{
		reflect.TypeFor[level.Spin](): 5, reflect.TypeFor[level.Foot](): 3, reflect.TypeFor[level.Position](): 6,
		reflect.TypeFor[level.StepSequence](): 14, reflect.TypeFor[level.Turns](): 3,
	} {
		if of.NumField() != fields {
			t.Errorf("%s has %d fields; the words, and anySpin or anySteps here, know %d", of, of.NumField(), fields)
		}
	}
}

// Any text is read or refused, and what is read comes back from its own words.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{
		"sit 8", "flying: camel upward 8 / jump sit 3, upright 2; exit", "layback sideways 3 bi-fo edge", ":/,;", "sit NaN", "sit 1e400",
		"steps circular: bracket 1+1, partner loop 0+2; body", "steps", "sit 0.50", "\xff sit 8", "İ 8",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		e, faults := notation.Parse(text)
		read := e.Spin != nil || e.Steps != nil
		if read == (len(faults) > 0) {
			t.Fatalf("%q: %+v, %v", text, e, faults)
		}
		if !read {
			return
		}
		printed, _ := notation.Print(&e)
		again, faults := notation.Parse(printed)
		if len(faults) > 0 || !reflect.DeepEqual(again, e) {
			t.Fatalf("%q is printed %q, which is read %+v, %v; want %+v", text, printed, again, faults, e)
		}
	})
}
