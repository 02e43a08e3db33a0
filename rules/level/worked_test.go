package level_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/goccy/go-yaml"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// worked is testdata/spins.yaml.
type worked struct {
	Eras     map[string][]string `yaml:"eras"`
	Variants map[string]string   `yaml:"variants"`
	One      []struct {
		Row, Code, Segment, Spin, Source, Note string
		Want                                   map[string]string
		NoValue                                bool `yaml:"no_value"`
	} `yaml:"one"`
	Programs []struct {
		Row, Segment, Source, Note string
		Spins                      []string
		Want                       map[string][]string
		Features                   map[string]string
	} `yaml:"programs"`
}

func readYAML(t testing.TB, name string, into any) {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := yaml.Unmarshal(data, into); err != nil {
		t.Fatal(err)
	}
}

// tables loads the embedded seasons and, above them, variants of 2025-26 that
// state only what differs.
func tables(t testing.TB, variants map[string]string) *table.Catalog {
	t.Helper()
	files := fstest.MapFS{}
	for name, levels := range variants {
		files[name+"/season.yaml"] = &fstest.MapFile{Data: []byte("season: " + name + "\ntitle: Variant\nextends: 2025-26\nsource: test\n")}
		files[name+"/levels.yaml"] = &fstest.MapFile{Data: []byte(levels + "\nsource: test\n")}
	}
	c, err := table.Load(table.Layer{FS: seasons.FS}, table.Layer{Name: "variants", FS: files})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func levelRules(t testing.TB, c *table.Catalog, season string) *rules.LevelRules {
	t.Helper()
	s, err := c.Season(season)
	if err != nil {
		t.Fatal(err)
	}
	if s.Levels == nil {
		t.Fatalf("season %s has no level rules", season)
	}
	return s.Levels
}

func call(t testing.TB, r *rules.LevelRules, segment string, spins ...string) level.Result {
	t.Helper()
	p := level.Program{Segment: segment}
	if segment == "" {
		p.Segment = "free-skating"
	}
	for _, text := range spins {
		p.Elements = append(p.Elements, level.Element{Spin: skated(t, text)})
	}
	if faults := level.Check(r, p); len(faults) > 0 {
		t.Fatalf("the input has faults: %v", faults)
	}
	return level.Call(r, p)
}

// TestWorkedExamples calls every worked example of one spin in every season of
// the eras that it names. Each case names its source.
func TestWorkedExamples(t *testing.T) {
	var w worked
	readYAML(t, "spins.yaml", &w)
	c := tables(t, w.Variants)
	for _, tc := range w.One {
		for era, want := range tc.Want {
			for _, season := range w.Eras[era] {
				t.Run("row "+tc.Row+" "+season, func(t *testing.T) {
					got := call(t, levelRules(t, c, season), tc.Segment, tc.Spin).Elements[0]
					if !matches(got, want) {
						t.Errorf("%s\nis %s, want %s (%s)\n%s", tc.Spin, got.Code, want, tc.Source, shown(got))
					}
					if base, _, _ := strings.Cut(got.Code, "Sp"); base != strings.TrimSuffix(tc.Code, "Sp") {
						t.Errorf("code is %s, want %s", got.Code, tc.Code)
					}
					if got.NoValue != tc.NoValue {
						t.Errorf("no value is %v, want %v", got.NoValue, tc.NoValue)
					}
				})
			}
		}
	}
	if len(w.One) < 58 {
		t.Errorf("only %d rows were read", len(w.One))
	}
}

// TestWorkedPrograms calls the examples in which an earlier spin decides about
// a later one.
func TestWorkedPrograms(t *testing.T) {
	var w worked
	readYAML(t, "spins.yaml", &w)
	c := tables(t, w.Variants)
	for _, tc := range w.Programs {
		for era, want := range tc.Want {
			for _, season := range w.Eras[era] {
				t.Run("row "+tc.Row+" "+season, func(t *testing.T) {
					got := call(t, levelRules(t, c, season), tc.Segment, tc.Spins...)
					for i := range want {
						if got.Elements[i].Code != want[i] {
							t.Errorf("%s\nis %s, want %s (%s)\n%s", tc.Spins[i], got.Elements[i].Code, want[i], tc.Source, shown(got.Elements[i]))
						}
						if noValue := strings.HasSuffix(want[i], "*"); got.Elements[i].NoValue != noValue {
							t.Errorf("%s: no value is %v, want %v", want[i], got.Elements[i].NoValue, noValue)
						}
					}
					for key, want := range tc.Features {
						if got := outcome(t, got, key); got != want {
							t.Errorf("%s is %s, want %s (%s)", key, got, want, tc.Source)
						}
					}
				})
			}
		}
	}
}

// matches compares with a whole code, or with a level alone.
func matches(got level.Called, want string) bool {
	if strings.Contains(want, "Sp") || want == "" {
		return got.Code == want
	}
	return got.Level == want
}

func shown(c level.Called) string {
	var b strings.Builder
	for _, f := range c.Features {
		fmt.Fprintf(&b, "  %-28s %-24s counted=%v %s\n", f.Feature, f.At, f.Counted, f.Reason)
	}
	return b.String()
}

// outcome finds what became of a feature: "element FEATURE [path]".
func outcome(t *testing.T, r level.Result, key string) string {
	t.Helper()
	words := strings.Fields(key)
	var element int
	if _, err := fmt.Sscan(words[0], &element); err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Elements[element].Features {
		if f.Feature != words[1] || len(words) > 2 && f.At != words[2] {
			continue
		}
		if f.Counted {
			return "COUNTED"
		}
		return string(f.Reason)
	}
	return "not named"
}

// TestStepCards calls the published drill cards.
func TestStepCards(t *testing.T) {
	var cards struct {
		Source  string
		Seasons []string
		Cards   [][]string
	}
	readYAML(t, "steps.yaml", &cards)
	c := tables(t, nil)
	for _, season := range cards.Seasons {
		r := levelRules(t, c, season)
		for _, card := range cards.Cards {
			var turns int
			if _, err := fmt.Sscan(card[0], &turns); err != nil {
				t.Fatal(err)
			}
			s := &level.StepSequence{
				Turns: spread(turns), RotationsBothDirections: card[1] == "Y", BodyMovement: card[2] == "Y",
				TurnCombinationLeft: card[3] == "Y", TurnCombinationRight: card[3] == "Y",
			}
			got := level.Call(r, level.Program{Elements: []level.Element{{Steps: s}}}).Elements[0]
			if got.Level != card[4] || got.Code != "StSq"+card[4] {
				t.Errorf("%s %v: is %s, want level %s (%s)", season, card, got.Code, card[4], cards.Source)
			}
		}
	}
}

// spread makes so many turns, as many types as possible in both directions.
func spread(turns int) []level.Turns {
	var list []level.Turns
	for _, kind := range rules.TurnTypes {
		n := min(turns, 2)
		if n == 0 {
			break
		}
		turns -= n
		list = append(list, level.Turns{Type: kind, Clockwise: 1, Counterclockwise: n - 1})
	}
	return list
}

var positionOf = map[level.Variation]level.PositionKind{
	level.CamelForward: level.Camel, level.CamelSideways: level.Camel, level.CamelUpward: level.Camel,
	level.SitForward: level.Sit, level.SitSideways: level.Sit, level.SitBehind: level.Sit,
	level.UprightForward: level.Upright, level.UprightStraight: level.Upright, level.Biellmann: level.Upright,
}

// skated reads the notation of testdata/spins.yaml.
func skated(t testing.TB, text string) *level.Spin {
	t.Helper()
	s := &level.Spin{}
	for i, part := range strings.Split(text, "//") {
		part = strings.TrimSpace(part)
		foot := level.Foot{}
		if strings.HasPrefix(part, "[") {
			words, rest, _ := strings.Cut(part[1:], "]")
			part = rest
			for _, word := range strings.Fields(words) {
				switch {
				case word == "DIFFICULT_ENTRANCE" && i == 0:
					s.DifficultEntrance = true
				case word == "BACKWARD_ENTRY" && i == 0:
					s.BackwardEntry = true
				case word == "DIFFICULT_EXIT" && i == 0:
					s.DifficultExit = true
				case strings.HasPrefix(word, "FLYING=") && i == 0:
					s.Flying = level.Flying(word[len("FLYING="):])
				case word == "REVERSED" && i > 0:
					foot.DirectionReversed = true
				case i > 0:
					foot.Change = level.Change(word)
				default:
					t.Fatalf("%q: unknown word %s", text, word)
				}
			}
		}
		for _, item := range strings.Split(part, ",") {
			foot.Positions = append(foot.Positions, position(t, strings.Fields(item)))
		}
		s.Feet = append(s.Feet, foot)
	}
	return s
}

func position(t testing.TB, words []string) level.Position {
	t.Helper()
	if len(words) < 2 {
		t.Fatalf("position %v: want a name and revolutions", words)
	}
	var p level.Position
	name := words[0]
	switch basic, is := positionOf[level.Variation(name)]; {
	case is:
		p.Position, p.Variation = basic, level.Variation(name)
	case name == "UL":
		p.Position, p.Variation = level.Upright, level.LaybackVaried
	case name == "LAYBACK:VARIED":
		p.Position, p.Lean, p.Variation = level.Layback, level.Backward, level.LaybackVaried
	case strings.HasPrefix(name, "LAYBACK:"):
		p.Position, p.Lean = level.Layback, level.Lean(name[len("LAYBACK:"):])
	case name == "NON_BASIC_VARIED":
		p.Position, p.Variation = level.NonBasic, level.NonBasicVaried
	default:
		p.Position = level.PositionKind(name)
	}
	if err := p.Revolutions.UnmarshalText([]byte(words[1])); err != nil {
		t.Fatal(err)
	}
	for _, word := range words[2:] {
		feature, edges, _ := strings.Cut(word, ":")
		p.Features, p.Edges = append(p.Features, level.PositionFeature(feature)), edges
	}
	return p
}

// TestEverySeasonHasLevels makes sure that no season is without rules.
func TestEverySeasonHasLevels(t *testing.T) {
	c := tables(t, nil)
	var keys []string
	for _, s := range c.Seasons() {
		keys = append(keys, s.Params.Season)
		if s.Levels == nil || s.Levels.Spins == nil || s.Levels.Steps == nil {
			t.Errorf("season %s lacks level rules", s.Params.Season)
		}
	}
	if !slices.Contains(keys, "2005-06") || !slices.Contains(keys, "2025-26") {
		t.Errorf("seasons are %v", keys)
	}
}
