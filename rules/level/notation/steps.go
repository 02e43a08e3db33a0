package notation

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

var patterns = func() []option[level.StepSequence] {
	words := []string{"straight", "circular", "serpentine"} // as rules.StepPatterns lists them
	list := make([]option[level.StepSequence], len(words))
	for i, name := range rules.StepPatterns {
		list[i] = option[level.StepSequence]{
			word: words[i], group: "pattern",
			set: func(s *level.StepSequence) { s.Pattern = name }, is: func(s *level.StepSequence) bool { return s.Pattern == name },
		}
	}
	return list
}()

// shown are what a panel accepts beside the turns, and the faults that it reports.
var shown = func() []option[level.StepSequence] {
	var list []option[level.StepSequence]
	for _, f := range []struct {
		word, help string
		of         func(*level.StepSequence) *bool
	}{
		{"rotations", "full-body rotations in both directions", func(s *level.StepSequence) *bool { return &s.RotationsBothDirections }},
		{"body", "body movements", func(s *level.StepSequence) *bool { return &s.BodyMovement }},
		{"combination-left", "a combination of difficult turns on the left foot", func(s *level.StepSequence) *bool { return &s.TurnCombinationLeft }},
		{"combination-right", "another one on the right foot", func(s *level.StepSequence) *bool { return &s.TurnCombinationRight }},
		{"quick-combinations", "quick combinations in both directions, in older seasons", func(s *level.StepSequence) *bool { return &s.QuickTurnCombinations }},
		{"one-foot", "a part on one foot, in older seasons", func(s *level.StepSequence) *bool { return &s.OneFootSection }},
		{"upper-body", "use of the upper body, in older seasons", func(s *level.StepSequence) *bool { return &s.UpperBody }},
		{"position-changes", "pairs: the partners change places", func(s *level.StepSequence) *bool { return &s.PositionChanges }},
		{"not-separating", "pairs: the partners stay together", func(s *level.StepSequence) *bool { return &s.NotSeparating }},
		{"badly-spread", "fault: the turns stand together", func(s *level.StepSequence) *bool { return &s.BadlySpread }},
		{"not-recognisable", "fault: not the full ice, or no pattern to see", func(s *level.StepSequence) *bool { return &s.NotRecognisable }},
	} {
		list = append(list, option[level.StepSequence]{
			word: f.word, help: f.help,
			set: func(s *level.StepSequence) { *f.of(s) = true }, is: func(s *level.StepSequence) bool { return *f.of(s) },
		})
	}
	return list
}()

// turnWords are the words of rules.TurnTypes, in their order.
var turnWords = func() []string {
	words := make([]string, len(rules.TurnTypes))
	for i, t := range rules.TurnTypes {
		words[i] = strings.ToLower(string(t))
	}
	return words
}()

// partnerWord stands before a turn of the other partner.
const partnerWord = "partner"

func (p *parser) steps(s section) *level.StepSequence {
	steps := &level.StepSequence{}
	body, tail := p.cutOnce(s, ";")
	head, turns := p.cutOnce(body, ":")
	p.place = "pattern"
	takeAll(p, patterns, section{words: head.words[1:]}, steps, "pattern (the turns stand behind a \":\")")
	if turns != nil && len(turns.words) > 0 {
		for i, part := range turns.split(",") {
			p.place = fmt.Sprintf("turn %d", i+1)
			p.turn(part, steps)
		}
	}
	if tail != nil {
		p.place = "shown"
		if len(tail.words) == 0 {
			p.fault(tail.at, rules.ReasonFieldInvalid, "nothing stands behind \";\"; %s", choice{"", wordsOf(shown)})
		}
		takeAll(p, shown, *tail, steps, "word for what was shown")
	}
	return steps
}

// turn reads one type of turn with how many turned clockwise and counterclockwise.
func (p *parser) turn(s section, steps *level.StepSequence) {
	into := &steps.Turns
	if len(s.words) > 0 && s.words[0].text == partnerWord {
		into, s.words = &steps.PartnerTurns, s.words[1:]
	}
	const form = "a turn is its name and two numbers, clockwise and counterclockwise, such as bracket 1+1"
	if len(s.words) == 0 {
		p.fault(s.at, rules.ReasonFieldRequired, "a turn is missing; %s", choice{"", turnWords})
		return
	}
	name := s.words[0]
	kind := slices.Index(turnWords, name.text)
	switch {
	case kind < 0:
		p.fault(name.at, rules.ReasonFieldInvalid, "%s is no turn; %s", rules.Quote(name.text), choice{name.text, turnWords})
		return
	case len(s.words) == 1:
		p.fault(name.at, rules.ReasonFieldRequired, "%s has no numbers; %s", name.text, rules.Allowed(form))
		return
	case len(s.words) > 2:
		p.fault(s.words[2].at, rules.ReasonFieldInvalid, "%s is one word too many; turns have a comma between them", rules.Quote(s.words[2].text))
		return
	}
	numbers := s.words[1]
	one, other, plus := strings.Cut(numbers.text, "+")
	clockwise, wrong := strconv.ParseUint(one, 10, 16)
	counterclockwise, wrongToo := strconv.ParseUint(other, 10, 16)
	if !plus || wrong != nil || wrongToo != nil {
		p.fault(numbers.at, rules.ReasonFieldInvalid, "%s is not understood; %s", rules.Quote(numbers.text), rules.Allowed(form))
		return
	}
	*into = append(*into, level.Turns{Type: rules.TurnTypes[kind], Clockwise: int(clockwise), Counterclockwise: int(counterclockwise)})
}

func printSteps(s *level.StepSequence) string {
	head := strings.Join(append([]string{stepsWord}, printed(patterns, s)...), " ")
	var turns []string
	for _, list := range []struct {
		before string
		turns  []level.Turns
	}{{"", s.Turns}, {partnerWord + " ", s.PartnerTurns}} {
		for _, t := range list.turns {
			turns = append(turns, fmt.Sprintf("%s%s %d+%d", list.before, strings.ToLower(string(t.Type)), t.Clockwise, t.Counterclockwise))
		}
	}
	text := head + ":"
	if len(turns) > 0 {
		text += " " + strings.Join(turns, ", ")
	}
	if words := printed(shown, s); len(words) > 0 {
		text += "; " + strings.Join(words, " ")
	}
	return text
}
