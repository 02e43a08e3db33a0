package notation_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/rules/level/notation"
)

const rev = rules.Revolution

func spin(s level.Spin) level.Element { return level.Element{Spin: &s} }

func TestParse(t *testing.T) {
	tests := []struct {
		text string
		want level.Element
		same string // how it is printed; "" = as it stands
	}{
		{"sit 8", spin(level.Spin{Feet: []level.Foot{{Positions: []level.Position{{Position: level.Sit, Revolutions: 8 * rev}}}}}), ""},
		{
			"Layback 8, LAYBACK sideways 3, layback 2.5 variation, layback Backward biellmann 3",
			spin(level.Spin{Feet: []level.Foot{{Positions: []level.Position{
				{Position: level.Layback, Lean: level.Backward, Revolutions: 8 * rev},
				{Position: level.Layback, Lean: level.Sideways, Revolutions: 3 * rev},
				{Position: level.Layback, Lean: level.Backward, Variation: level.LaybackVaried, Revolutions: 2*rev + rev/2},
				{Position: level.Layback, Lean: level.Backward, Variation: level.Biellmann, Revolutions: 3 * rev},
			}}}}),
			"layback 8, layback sideways 3, layback variation 2.5, layback biellmann 3",
		},
		{
			"difficult-flying entrance backward: camel sideways edge 4 speed /jump reverse sit forward 3,upright biellmann 3 change; exit",
			spin(level.Spin{
				Flying: level.DifficultFlying, DifficultEntrance: true, BackwardEntry: true, DifficultExit: true,
				Feet: []level.Foot{
					{Positions: []level.Position{{
						Position: level.Camel, Variation: level.CamelSideways, Revolutions: 4 * rev,
						Features: []level.PositionFeature{level.HasEdgeChange, level.HasSpeed},
					}}},
					{Change: level.ByJump, DirectionReversed: true, Positions: []level.Position{
						{Position: level.Sit, Variation: level.SitForward, Revolutions: 3 * rev},
						{Position: level.Upright, Variation: level.Biellmann, Revolutions: 3 * rev, Features: []level.PositionFeature{level.HasHardChange}},
					}},
				},
			}),
			"difficult-flying entrance backward: camel sideways 4 edge speed / jump reverse sit forward 3, upright biellmann 3 change; exit",
		},
		{
			"step-over: other variation 3 / curves sit 3 jump-within blade windmill\n/ step upright layback 0 bi-fo edge",
			spin(level.Spin{Flying: level.StepOver, Feet: []level.Foot{
				{Positions: []level.Position{{Position: level.NonBasic, Variation: level.NonBasicVaried, Revolutions: 3 * rev}}},
				{Change: level.ByCurves, Positions: []level.Position{{
					Position: level.Sit, Revolutions: 3 * rev, Features: []level.PositionFeature{level.HasJump, level.HasBlade, level.HasWindmill},
				}}},
				{Change: level.ByStep, Positions: []level.Position{{
					Position: level.Upright, Variation: level.LaybackVaried, Features: []level.PositionFeature{level.HasEdgeChange}, Edges: "BI_FO",
				}}},
			}}),
			"step-over: other variation 3 / curves sit 3 jump-within blade windmill / upright layback 0 bi-fo",
		},
		{
			"Steps circular: bracket 1+1, Twizzle 2+0, partner rocker 0+1; rotations, body combination-left",
			level.Element{Steps: &level.StepSequence{
				Pattern:                 "CIRCULAR",
				Turns:                   []level.Turns{{Type: rules.Bracket, Clockwise: 1, Counterclockwise: 1}, {Type: rules.Twizzle, Clockwise: 2}},
				PartnerTurns:            []level.Turns{{Type: rules.Rocker, Counterclockwise: 1}},
				RotationsBothDirections: true, BodyMovement: true, TurnCombinationLeft: true,
			}},
			"steps circular: bracket 1+1, twizzle 2+0, partner rocker 0+1; rotations body combination-left",
		},
		{"steps", level.Element{Steps: &level.StepSequence{}}, "steps:"},
	}
	for _, test := range tests {
		got, faults := notation.Parse(test.text)
		if len(faults) > 0 || !reflect.DeepEqual(got, test.want) {
			t.Errorf("%q: %+v, %v; want %+v", test.text, got, faults, test.want)
			continue
		}
		want := test.same
		if want == "" {
			want = test.text
		}
		if text, ok := notation.Print(&got); !ok || text != want {
			t.Errorf("%q is printed %q, want %q", test.text, text, want)
		}
	}
}

// Each fault says where it is, what was found and what is allowed.
func TestParseSaysWhatIsWrong(t *testing.T) {
	tests := []struct {
		text string
		want []string // reason and the beginning of the message, or a part of it
	}{
		{"", []string{"FIELD_REQUIRED is empty"}},
		{"  ", []string{"FIELD_REQUIRED is empty"}},
		{"sit", []string{"FIELD_REQUIRED character 1 (foot 1, position 1): sit has no number of revolutions"}},
		{"stand 8", []string{`POSITION_INVALID character 1 (foot 1, position 1): "stand" is no position; allowed are: camel, sit`}},
		{"cammel 8", []string{`did you mean camel?`}},
		{"sit upward 8", []string{`VARIATION_INVALID character 5 (foot 1, position 1): "upward" is not known with sit; it is a variation of camel; beside`}},
		{"camel upwrd 8", []string{`FIELD_INVALID character 7 (foot 1, position 1): "upwrd" is not known with camel; beside the number of revolutions did you mean upward?`}},
		{"camel upward forward 8", []string{`"forward" stands beside "upward"; one position has one variation`}},
		{"camel edge 8 edge", []string{`"edge" stands twice`}},
		{"camel 8 bi-fo fo-bi", []string{`one position has one edge`}},
		{"sit 8 9", []string{`character 7 (foot 1, position 1): "9" stands beside "8"`}},
		{"sit 8.3, camel -1, upright 201", []string{
			`REVOLUTIONS_INVALID character 5 (foot 1, position 1): the revolutions are "8.3"; allowed are 0 to 200 in steps of 0.5`,
			`REVOLUTIONS_INVALID character 16 (foot 1, position 2)`, `REVOLUTIONS_INVALID character 28 (foot 1, position 3)`,
		}},
		{"jumping: sit 8", []string{`character 1 (entry): "jumping" is no entry`}},
		{"flying flying step-over: sit 8", []string{`character 8 (entry): "flying" stands twice`, `character 15 (entry): "step-over" stands beside "flying"`}},
		{"a: b: sit 8", []string{`a second ":"`, `"a" is no entry`, `"b" is no position`}},
		{"sit 8; quick", []string{`character 8 (exit): "quick" is no exit`}},
		{"sit 8;", []string{`character 7 (exit): nothing stands behind ";"`}},
		{"sit 3 / hop camel 3", []string{`character 9 (foot 2, position 1): "hop" is no position; allowed are: camel, sit, upright, layback, other, step, jump, curves, reverse`}},
		{"sit 3 / jump curves camel 3", []string{`"curves" stands beside "jump"`}},
		{"jump sit 8", []string{`"jump" is no position; it is a change of foot, which stands behind a "/", such as "sit 3 / jump sit 3"; allowed are: camel`}},
		{"flying sit 8", []string{`"flying" is no position but an entry, which stands before a ":", such as "flying: sit 8"; allowed are: camel`}},
		{"exit; sit 8", []string{
			`"exit" is no position; it stands at the end behind a ";", such as "sit 8; exit"; allowed are: camel`, `"sit" is no exit`, `"8" is no exit`,
		}},
		{"layback 8, biellmann 3", []string{`"biellmann" is no position; it is a variation of upright or layback; allowed are: camel`}},
		{"edge camel 8", []string{`"edge" is no position; it stands behind a position, such as camel 8 edge; allowed are: camel`}},
		{"camel 8 sit 3", []string{
			`"sit" is not known with camel; another position begins behind a ",", or on the other foot behind a "/"; beside the number of revolutions allowed are: forward`,
			`"3" stands beside "8"; one position has one number of revolutions`,
		}},
		{"sit 3,, camel 3 /", []string{`character 7 (foot 1, position 2): a position is missing`, `character 18 (foot 2, position 1): a position is missing`}},
		{"steps round: bracket 1+1", []string{`character 7 (pattern): "round" is no pattern`}},
		{"steps bracket 1+1", []string{`"bracket" is no pattern (the turns stand behind a ":")`, `"1+1" is no pattern`}},
		{"steps: braket 1+1, loop, rocker 2, counter 1+x, choctaw 1+1 2+2,", []string{
			`character 8 (turn 1): "braket" is no turn; did you mean bracket?`, `character 20 (turn 2): loop has no numbers`,
			`character 33 (turn 3): "2" is not understood`, `character 44 (turn 4): "1+x"`, `(turn 5): "2+2" is one word too many`, `(turn 6): a turn is missing`,
		}},
		{"steps: loop 1+1; arms", []string{`(shown): "arms" is no word for what was shown; allowed are: rotations, body`}},
		{"ÄÖÜ sıt 8", []string{`character 1 (foot 1, position 1): "äöü" is no position`}},
		{strings.Repeat("sit 8, ", 300), []string{"has 2100 characters; allowed are 1 to 2000"}},
	}
	for _, test := range tests {
		_, faults := notation.Parse(test.text)
		if len(faults) != len(test.want) {
			t.Errorf("%q: %v; want %d faults", test.text, faults, len(test.want))
			continue
		}
		for i, want := range test.want {
			if got := string(faults[i].Reason) + " " + faults[i].Message; !strings.Contains(got, want) {
				t.Errorf("%q: %s; want %s", test.text, got, want)
			}
		}
	}
}

// What is allowed comes apart too, for programs.
func TestFaultsSayWhatIsAllowed(t *testing.T) {
	_, faults := notation.Parse("stand 8")
	if want := "camel, sit, upright, layback, other"; len(faults) != 1 || faults[0].Allowed != want {
		t.Errorf("%+v; want %q", faults, want)
	}
}

// What a text of nothing but faults costs is bounded.
func TestFaultsAreBounded(t *testing.T) {
	for _, text := range []string{strings.Repeat(",", notation.MaxLength), "sit 8" + strings.Repeat(" x", 900), "steps: " + strings.Repeat("x,", 900)} {
		if _, faults := notation.Parse(text); len(faults) != 100 {
			t.Errorf("%.10s has %d faults", text, len(faults))
		}
	}
}

// Help names every word that is read.
func TestHelp(t *testing.T) {
	words := strings.FieldsFunc(notation.Help(), func(r rune) bool { return strings.ContainsRune(" ,;:\n()\"", r) })
	for _, text := range []string{
		"flying difficult-flying step-over entrance backward exit step jump curves reverse camel sit upright layback other",
		"forward sideways upward behind straight biellmann variation bi-fo fo-bi bo-fi fi-bo steps straight circular serpentine",
		"twizzle bracket loop counter rocker choctaw partner rotations body combination-left combination-right quick-combinations",
		"one-foot upper-body position-changes not-separating badly-spread not-recognisable",
	} {
		for word := range strings.FieldsSeq(text) {
			if !slices.Contains(words, word) {
				t.Errorf("the help has no word %s", word)
			}
		}
	}
	for _, w := range level.PositionWords() {
		if !slices.Contains(words, w.Word) {
			t.Errorf("the help has no word %s", w.Word)
		}
	}
	if line := longest(notation.Help()); len(line) > 100 {
		t.Errorf("%d characters: %s", len(line), line)
	}
}

func longest(text string) (longest string) {
	for line := range strings.Lines(text) {
		if len(line) > len(longest) {
			longest = line
		}
	}
	return longest
}
