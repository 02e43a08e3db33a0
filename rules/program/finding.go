package program

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// Severity says what a finding means for the score.
type Severity uint8

// The severities.
const (
	Info    Severity = iota // nothing is lost
	Warning                 // points may be lost or are left unused
	Error                   // something has no value or less of it
)

var severityNames = [...]string{"INFO", "WARNING", "ERROR"}

// String returns the severity's public name.
func (s Severity) String() string { return severityNames[s] }

// Code is the public word for a kind of finding.
type Code string

// The kinds of finding.
const (
	TooManyElements         Code = "TOO_MANY_ELEMENTS"
	ElementMissing          Code = "ELEMENT_MISSING"
	ElementNotAllowed       Code = "ELEMENT_NOT_ALLOWED"
	SameElement             Code = "SAME_ELEMENT"
	TooManyCombinations     Code = "TOO_MANY_COMBINATIONS"
	TooManyLongCombinations Code = "TOO_MANY_LONG_COMBINATIONS"
	CombinationTooLong      Code = "COMBINATION_TOO_LONG"
	CombinationMissing      Code = "COMBINATION_MISSING"
	ReadAsSequence          Code = "READ_AS_SEQUENCE"
	SequenceNotAllowed      Code = "SEQUENCE_NOT_ALLOWED"
	AfterBreak              Code = "AFTER_BREAK"
	JumpTooOften            Code = "JUMP_TOO_OFTEN"
	TooManyRepeated         Code = "TOO_MANY_REPEATED_JUMPS"
	TooManyRepeatedQuads    Code = "TOO_MANY_REPEATED_QUADS"
	RepeatedAlone           Code = "REPEATED_ALONE"
	RequiredJumpMissing     Code = "REQUIRED_JUMP_MISSING"
	JumpNotAllowed          Code = "JUMP_NOT_ALLOWED"
	WrongAxel               Code = "WRONG_AXEL"
	WrongSoloJump           Code = "WRONG_SOLO_JUMP"
	WrongCombinationJump    Code = "WRONG_COMBINATION_JUMP"
	TooManyDoubles          Code = "TOO_MANY_DOUBLES"
	JumpTwice               Code = "JUMP_TWICE"
	SpinSameCode            Code = "SPIN_SAME_CODE"
	SpinNotRequired         Code = "SPIN_NOT_REQUIRED"
	SpinMissing             Code = "SPIN_MISSING"
	LevelCapped             Code = "LEVEL_CAPPED"
	NoLevel                 Code = "NO_LEVEL"
	NoTurns                 Code = "NO_TURNS"
	TooLong                 Code = "TOO_LONG"
	TooShort                Code = "TOO_SHORT"
	EulerMisplaced          Code = "EULER_MISPLACED"
	CallsTakenOff           Code = "CALLS_TAKEN_OFF"
)

// Whole is the element of findings about the program as a whole.
const Whole = -1

// Finding is one thing that the rules say about a program.
type Finding struct {
	Severity   Severity
	Code       Code
	Element    int // index in the program, or Whole
	Jump       int // index of the jump in its element, or Whole
	Rule       string
	Source     string
	Confidence rules.Confidence
	Message    string // what is the matter, in plain words
	Advice     string // what to change; may be empty
}

// At returns the finding's place as a path, such as elements[3].
func (f *Finding) At() string {
	switch {
	case f.Element == Whole:
		return "elements"
	case f.Jump == Whole:
		return fmt.Sprintf("elements[%d]", f.Element)
	}
	return fmt.Sprintf("elements[%d].jumps[%d]", f.Element, f.Jump)
}

// harder lists the findings whose advice may make the program harder.
var harder = []Code{
	ElementMissing, SpinMissing, RequiredJumpMissing, CombinationMissing, TooManyDoubles,
	WrongAxel, WrongSoloJump, WrongCombinationJump,
}

// find adds a finding with the source of its rule.
func (c *checker) find(severity Severity, code Code, rule *rules.Clause, element, jump int, message, advice string) {
	f := Finding{Severity: severity, Code: code, Element: element, Jump: jump, Message: message, Advice: advice}
	if rule != nil {
		f.Rule, f.Source, f.Confidence = rule.ID, rule.Source, rule.Confidence
		if rule.Warn != nil && rule.Cite != c.layout.Cite { // the layout's own warning stands already
			c.out.Warnings.Add(rule.Warn, field(element))
		}
	}
	if slices.Contains(harder, code) {
		c.out.Caution = Caution
	}
	c.out.Findings = append(c.out.Findings, f)
}

// field is the path of an element, or "" for the whole program.
func field(element int) string {
	if element == Whole {
		return ""
	}
	return fmt.Sprintf("elements[%d]", element)
}

// sortFindings puts findings in the order of the elements, those about the
// whole program last, the gravest first.
func (c *checker) sortFindings() {
	place := func(f Finding) int {
		if f.Element == Whole {
			return len(c.in.Elements)
		}
		return f.Element
	}
	slices.SortStableFunc(c.out.Findings, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(b.Severity, a.Severity), cmp.Compare(a.Jump, b.Jump))
	})
}

// list joins words for a sentence.
func list(words []string) string { return strings.Join(words, ", ") }
