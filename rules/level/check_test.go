package level_test

import (
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

// TestCheckNamesEveryFault sends faulty input and wants each fault with its
// path, reason and what is allowed, all together.
func TestCheckNamesEveryFault(t *testing.T) {
	r := levelRules(t, tables(t, nil), "2016-17")
	good := level.Position{Position: level.Camel, Revolutions: 4}
	p := level.Program{Elements: []level.Element{
		{Spin: &level.Spin{
			Flying: "HIGH",
			Feet: []level.Foot{
				{Change: level.ByJump, DirectionReversed: true, Positions: []level.Position{
					{Position: level.Camel, Variation: level.SitForward, Revolutions: -1},
					{Position: "HEADSTAND", Revolutions: 2},
					{Position: level.Sit, Lean: level.Sideways, Revolutions: 500},
					{Position: level.Sit, Revolutions: 4, Features: []level.PositionFeature{level.HasEdgeChange, "SMILE", level.HasEdgeChange}},
				}},
				{Change: "HOP", Positions: []level.Position{{Position: level.Camel, Revolutions: 4, Edges: "BI_FO"}}},
				{},
			},
		}},
		{},
		{Spin: &level.Spin{}, Steps: &level.StepSequence{}},
		{Steps: &level.StepSequence{Pattern: "ZIGZAG", Turns: []level.Turns{
			{Type: "HOP"}, {Type: rules.Rocker, Clockwise: -1}, {Type: rules.Rocker, Counterclockwise: 99},
		}}},
		{Spin: &level.Spin{Feet: []level.Foot{{Positions: []level.Position{good}}, {}, {}, {}, {}}}},
	}}
	want := map[string]struct {
		reason rules.Reason
		says   string
	}{
		"elements[0].spin.flying":                            {rules.ReasonFieldInvalid, "STEP_OVER"},
		"elements[0].spin.feet[0].change":                    {rules.ReasonFieldInvalid, "feet[1]"},
		"elements[0].spin.feet[0].directionReversed":         {rules.ReasonFieldInvalid, "feet[1]"},
		"elements[0].spin.feet[0].positions[0].revolutions":  {rules.ReasonRevolutionsWrong, "steps of 0.5"},
		"elements[0].spin.feet[0].positions[0].variation":    {rules.ReasonVariationInvalid, "CAMEL_UPWARD"},
		"elements[0].spin.feet[0].positions[1].position":     {rules.ReasonPositionInvalid, "NON_BASIC"},
		"elements[0].spin.feet[0].positions[2].revolutions":  {rules.ReasonRevolutionsWrong, "200"},
		"elements[0].spin.feet[0].positions[2].lean":         {rules.ReasonFieldInvalid, "LAYBACK"},
		"elements[0].spin.feet[0].positions[3].features[1]":  {rules.ReasonFieldInvalid, "WINDMILL"},
		"elements[0].spin.feet[0].positions[3].features[2]":  {rules.ReasonFieldInvalid, "twice"},
		"elements[0].spin.feet[1].change":                    {rules.ReasonFieldInvalid, "JUMP"},
		"elements[0].spin.feet[1].positions[0].edges":        {rules.ReasonFieldInvalid, "CHANGE_OF_EDGE"},
		"elements[0].spin.feet[2].positions":                 {rules.ReasonFieldRequired, "at least one"},
		"elements[1]":                                        {rules.ReasonFieldRequired, "spin or stepSequence"},
		"elements[2]":                                        {rules.ReasonFieldRequired, "exactly one"},
		"elements[3].stepSequence.pattern":                   {rules.ReasonFieldInvalid, "SERPENTINE"},
		"elements[3].stepSequence.turns[0].type":             {rules.ReasonFieldInvalid, "CHOCTAW"},
		"elements[3].stepSequence.turns[1].clockwise":        {rules.ReasonFieldInvalid, "0 to 50"},
		"elements[3].stepSequence.turns[2].type":             {rules.ReasonFieldInvalid, "twice"},
		"elements[3].stepSequence.turns[2].counterclockwise": {rules.ReasonFieldInvalid, "0 to 50"},
		"elements[4].spin.feet":                              {rules.ReasonTooManyItems, "allowed are 1 to 4"},
	}
	for _, got := range level.Check(r, p) {
		w, ok := want[got.Field]
		if !ok {
			t.Errorf("unexpected fault %v", got)
			continue
		}
		if got.Reason != w.reason || !strings.Contains(got.Message, w.says) {
			t.Errorf("%s: is %s %q, want %s with %q", got.Field, got.Reason, got.Message, w.reason, w.says)
		}
		delete(want, got.Field)
	}
	for field := range want {
		t.Errorf("%s: no fault was told", field)
	}
}

func TestCheckWithoutRules(t *testing.T) {
	p := level.Program{Elements: []level.Element{{Spin: skated(t, "CAMEL 3")}, {Steps: &level.StepSequence{}}}}
	faults := level.Check(nil, p)
	if len(faults) != 2 || faults[0].Reason != rules.ReasonRulesNotAvailable || faults[1].Reason != rules.ReasonRulesNotAvailable {
		t.Errorf("faults are %v", faults)
	}
	if faults := level.Check(nil, level.Program{}); len(faults) != 1 || faults[0].Field != "elements" {
		t.Errorf("faults of an empty program are %v", faults)
	}
}
