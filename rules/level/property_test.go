package level_test

import (
	"math/rand/v2"
	"reflect"
	"regexp"
	"slices"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

// source returns numbers below n; 0 for ever when it has run dry.
type source func(n int) int

func bytesSource(data []byte) source {
	return func(n int) int {
		if len(data) == 0 {
			return 0
		}
		b := data[0]
		data = data[1:]
		return int(b) % n
	}
}

var (
	kinds      = []level.PositionKind{level.Camel, level.Sit, level.Upright, level.Layback, level.NonBasic}
	variations = map[level.PositionKind][]level.Variation{
		level.Camel:    {"", level.CamelForward, level.CamelSideways, level.CamelUpward},
		level.Sit:      {"", level.SitForward, level.SitSideways, level.SitBehind},
		level.Upright:  {"", level.UprightForward, level.UprightStraight, level.Biellmann, level.LaybackVaried},
		level.Layback:  {"", level.LaybackVaried, level.Biellmann},
		level.NonBasic: {"", level.NonBasicVaried},
	}
	shownFeatures = []level.PositionFeature{level.HasJump, level.HasHardChange, level.HasEdgeChange, level.HasSpeed, level.HasBlade, level.HasWindmill}
)

// anySpin makes a spin without faults out of numbers.
func anySpin(pick source) *level.Spin {
	s := &level.Spin{
		Flying:            []level.Flying{"", level.NotFlying, level.StepOver, level.PlainFlying, level.DifficultFlying}[pick(5)],
		DifficultEntrance: pick(3) == 1, BackwardEntry: pick(5) == 1, DifficultExit: pick(3) == 1,
	}
	for f := range 1 + pick(5)%3 {
		foot := level.Foot{}
		if f > 0 {
			foot.Change = []level.Change{"", level.ByStep, level.ByJump, level.ByCurves}[pick(9)%4]
			foot.DirectionReversed = pick(4) == 1
		}
		for range 1 + pick(4) {
			p := level.Position{Position: kinds[pick(len(kinds))], Revolutions: rules.Revolutions(pick(20))}
			fit := variations[p.Position]
			p.Variation = fit[pick(len(fit))]
			if p.Position == level.Layback {
				p.Lean = []level.Lean{"", level.Backward, level.Sideways}[pick(3)]
			}
			for _, shown := range shownFeatures {
				if pick(6) == 1 {
					p.Features = append(p.Features, shown)
					if shown == level.HasEdgeChange {
						p.Edges = rules.EdgeChanges[pick(len(rules.EdgeChanges))]
					}
				}
			}
			foot.Positions = append(foot.Positions, p)
		}
		s.Feet = append(s.Feet, foot)
	}
	return s
}

// sane checks what holds for every call of every season.
func sane(t *testing.T, season string, p level.Program, r level.Result) {
	t.Helper()
	for i, e := range r.Elements {
		counted, lacks := 0, false
		for _, f := range e.Features {
			lacks = lacks || f.Reason == level.MandatoryMissing
			if f.Counted {
				counted++
			}
			if f.Counted != (f.Reason == "") {
				t.Errorf("%s: %+v", season, f)
			}
		}
		number := map[string]int{"": 0, "B": 0, "1": 1, "2": 2, "3": 3, "4": 4}
		most, known := number[e.Level]
		sound := known && counted <= max(most, 0) && counted <= 4
		switch {
		case lacks: // enough features for level 4, none of the mandatory set
			sound = e.Level == "3" && counted >= 4
		case e.Level != "" && e.Level != "1":
			sound = sound && counted == most
		}
		if !sound {
			t.Errorf("%s: level %q with %d features counted in %+v\n%s", season, e.Level, counted, p.Elements[i].Spin, shown(e))
		}
		if e.Level == "" && !e.NoValue {
			t.Errorf("%s: no level but a value: %+v", season, e)
		}
		for _, text := range texts(e) {
			if name := internalName.FindString(text); name != "" {
				t.Errorf("%s: %q is no word for a coach in %q", season, name, text)
			}
		}
		if (e.Level == "4" || e.Level == "") && e.ToNextLevel != nil {
			t.Errorf("%s: level %q has a next level", season, e.Level)
		}
		if e.ToNextLevel != nil && len(e.ToNextLevel.Options) == 0 {
			t.Errorf("%s: nothing is told to bring the next level of %+v", season, p.Elements[i].Spin)
		}
	}
}

// internalName is a name of the contract or of a table, such as BI_FO, backwardEntry
// or feet[0].
var internalName = regexp.MustCompile(`[A-Z]+_[A-Z_]+|\b[a-z]{3,}[A-Z]\w*|\w+\[\d+\]`)

// texts are all sentences of a called element.
func texts(e level.Called) []string {
	list := slices.Clone(e.Notes)
	for _, f := range e.Features {
		list = append(list, f.Message)
	}
	if e.ToNextLevel != nil {
		for _, o := range e.ToNextLevel.Options {
			list = append(list, o.Message)
		}
	}
	return list
}

// TestAnyProgram calls many programs without meaning in every season: the call
// never fails, never counts more than makes the level, and answers the same in memory
// that was used before, also when that is used again.
func TestAnyProgram(t *testing.T) {
	c := tables(t, nil)
	random := rand.New(rand.NewPCG(1, 2))
	var work level.Work
	var before, kept level.Result // the last one, in memory of its own and in that of work
	for _, s := range c.Seasons() {
		season := s.Params.Season
		for range 150 {
			p := level.Program{Segment: []string{"short-program", "free-skating"}[random.IntN(2)]}
			for range 1 + random.IntN(3) {
				p.Elements = append(p.Elements, level.Element{Spin: anySpin(random.IntN)})
			}
			if faults := level.Check(s.Levels, p); len(faults) > 0 {
				t.Fatalf("%s: faults %v", season, faults)
			}
			got := level.Call(s.Levels, p)
			sane(t, season, p, got)
			again := work.Call(s.Levels, p)
			if !reflect.DeepEqual(got, again) {
				t.Fatalf("%s: two calls of one program differ:\n%+v\n%+v", season, got, again)
			}
			if !reflect.DeepEqual(before, kept) {
				t.Fatalf("%s: the next call changed an answer:\n%+v\n%+v", season, before, kept)
			}
			if before, kept = got, again; random.IntN(2) == 1 {
				work.Forget()
			}
		}
	}
}

// TestMoreIsNeverLess adds a feature that shares nothing with another to spins
// in the seasons without a limit of variations: the level does not fall.
func TestMoreIsNeverLess(t *testing.T) {
	c := tables(t, nil)
	random := rand.New(rand.NewPCG(3, 4))
	rank := map[string]int{"": -1, "B": 0, "1": 1, "2": 2, "3": 3, "4": 4}
	add := map[string]func(*level.Spin){
		"speed": func(s *level.Spin) {
			p := &s.Feet[0].Positions[0]
			for _, foot := range s.Feet {
				for _, other := range foot.Positions {
					for _, f := range other.Features {
						if f == level.HasSpeed {
							return // a second try adds nothing, and the first decides
						}
					}
				}
			}
			p.Features = append(append([]level.PositionFeature{}, p.Features...), level.HasSpeed)
		},
		"jump to the second foot": func(s *level.Spin) {
			if len(s.Feet) == 2 && s.Feet[1].Change != level.ByCurves {
				s.Feet[1].Change = level.ByJump
			}
		},
		"difficult fly": func(s *level.Spin) {
			if s.Flying == level.PlainFlying && !s.DifficultEntrance {
				s.Flying = level.DifficultFlying
			}
		},
	}
	for _, season := range []string{"2014-15", "2015-16", "2016-17", "2017-18", "2018-19", "2021-22", "2022-23"} {
		r := levelRules(t, c, season)
		for range 400 {
			before := anySpin(random.IntN)
			for what, change := range add {
				after := *before
				after.Feet = append([]level.Foot{}, before.Feet...)
				for i := range after.Feet {
					after.Feet[i].Positions = append([]level.Position{}, before.Feet[i].Positions...)
				}
				change(&after)
				a := level.Call(r, level.Program{Segment: "free-skating", Elements: []level.Element{{Spin: before}}}).Elements[0]
				b := level.Call(r, level.Program{Segment: "free-skating", Elements: []level.Element{{Spin: &after}}}).Elements[0]
				if rank[b.Level] < rank[a.Level] {
					t.Errorf("%s: %s lowers the level from %s to %s in %+v\nbefore\n%safter\n%s", season, what, a.Code, b.Code, before, shown(a), shown(b))
				}
			}
		}
	}
}

// FuzzCall makes programs out of any bytes; no input may break the call.
func FuzzCall(f *testing.F) {
	f.Add([]byte{0})
	f.Add([]byte("a spin that changes foot and edge, with a jump and eight revolutions in the camel"))
	f.Add([]byte{4, 1, 1, 1, 2, 0, 3, 16, 1, 1, 1, 1, 1, 1, 2, 1, 2, 3, 4, 5, 6, 7, 8, 9})
	c := tables(f, nil)
	all := c.Seasons()
	f.Fuzz(func(t *testing.T, data []byte) {
		pick := bytesSource(data)
		s := all[pick(len(all))]
		p := level.Program{Segment: []string{"short-program", "free-skating", "no-segment"}[pick(3)], MaxLevel: pick(6)}
		for range 1 + pick(3) {
			e := level.Element{Spin: anySpin(pick)}
			if pick(4) == 1 {
				e = level.Element{Steps: &level.StepSequence{
					Turns: spread(pick(13)), RotationsBothDirections: pick(2) == 1, BodyMovement: pick(2) == 1,
					UpperBody: pick(2) == 1, OneFootSection: pick(2) == 1, TurnCombinationLeft: pick(2) == 1,
				}}
			}
			p.Elements = append(p.Elements, e)
		}
		if faults := level.Check(s.Levels, p); len(faults) > 0 {
			t.Fatalf("faults %v", faults)
		}
		got := level.Call(s.Levels, p)
		if len(got.Elements) != len(p.Elements) {
			t.Fatalf("%d calls for %d elements", len(got.Elements), len(p.Elements))
		}
	})
}

// BenchmarkCall measures one spin of four features, and one that also looks for
// what would bring the next level, with its memory used again from one to the next, as
// the server does it.
func BenchmarkCall(b *testing.B) {
	r := levelRules(b, tables(b, nil), "2016-17")
	for name, text := range map[string]string{
		"level 4":              "CAMEL_UPWARD 8 // SIT_FORWARD 3, UPRIGHT_STRAIGHT_OR_SIDEWAYS 3",
		"level 3 and the next": "CAMEL_UPWARD 8 // SIT_FORWARD 3, UPRIGHT 3",
	} {
		p := level.Program{Segment: "free-skating", Elements: []level.Element{{Spin: skated(b, text)}}}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			var work level.Work
			for b.Loop() {
				work.Call(r, p)
			}
		})
	}
}
