// Package notation reads and prints what was skated in a spin or a step sequence as
// words, such as "camel upward 8 / sit forward 3, upright 3; exit". Help explains
// the words; capital and small letters are the same.
package notation

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

// MaxLength is the longest text that is read, in characters.
const MaxLength = 2000

// maxFaults is how many faults of a text are looked for: one of nothing but commas
// would otherwise have a thousand, each with a list of what is allowed.
const maxFaults = 100

// stepsWord begins a step sequence.
const stepsWord = "steps"

// Parse reads a spin or a step sequence. All faults, up to 100, come together; each
// says at which character of the text it is, from 1, what was found and what is allowed.
// Their Field is empty: only the caller knows where the text stands. How much a
// program may hold at all is for level.Check.
func Parse(text string) (level.Element, rules.FieldErrors) {
	p := parser{}
	if n := utf8.RuneCountInString(text); n > MaxLength {
		p.faults.Add("", rules.ReasonFieldInvalid, "has %d characters; allowed are %s", n, rules.Allow("1 to %d", MaxLength))
		return level.Element{}, p.faults
	}
	var e level.Element
	all := section{at: 1, words: tokens(text)}
	switch {
	case len(all.words) == 0:
		p.faults.Add("", rules.ReasonFieldRequired, "is empty: give a spin in words such as \"camel upward 8 / sit 3\", or \"steps: bracket 1+1\"")
	case all.words[0].text == stepsWord:
		e.Steps = p.steps(all)
	default:
		e.Spin = p.spin(all)
	}
	if len(p.faults) > 0 {
		return level.Element{}, p.faults
	}
	return e, nil
}

// token is a word in small letters, or a sign that parts words.
type token struct {
	text string
	at   int // its first character, from 1
}

// section is what stands between two signs, and where it begins.
type section struct {
	at    int
	words []token
}

const signs = ",/:;"

func tokens(text string) []token {
	var list []token
	word := -1 // where the word that is being read begins, in bytes
	begins, at := 0, 0
	end := func(to int) {
		if word >= 0 {
			list = append(list, token{strings.ToLower(text[word:to]), begins})
			word = -1
		}
	}
	for i, r := range text {
		at++
		switch {
		case unicode.IsSpace(r):
			end(i)
		case strings.ContainsRune(signs, r):
			end(i)
			list = append(list, token{string(r), at})
		case word < 0:
			word, begins = i, at
		}
	}
	end(len(text))
	return list
}

// split parts a section at a sign. Where the sign does not stand, the section is
// the only part.
func (s section) split(sign string) []section {
	parts := []section{{at: s.at}}
	for _, t := range s.words {
		if t.text == sign {
			parts = append(parts, section{at: t.at + 1})
			continue
		}
		last := &parts[len(parts)-1]
		if len(last.words) == 0 {
			last.at = t.at
		}
		last.words = append(last.words, t)
	}
	return parts
}

// parser collects the faults of a text.
type parser struct {
	faults rules.FieldErrors
	place  string // which part of the element is read, such as "foot 1, position 2"
}

func (p *parser) fault(at int, reason rules.Reason, format string, args ...any) {
	if len(p.faults) == maxFaults {
		return
	}
	place := ""
	if p.place != "" {
		place = " (" + p.place + ")"
	}
	p.faults.Add("", reason, "character %d%s: "+format, append([]any{at, place}, args...)...)
}

// choice is the words that may stand where another one does.
type choice struct {
	found   string
	allowed []string
}

// String says which of the words was meant, perhaps, and lists them all.
func (c choice) String() string { return rules.Meant(c.found, c.allowed) }

// Allowed lists the words.
func (c choice) Allowed() string { return strings.Join(c.allowed, ", ") }

// cutOnce parts a section at a sign that may stand once.
func (p *parser) cutOnce(s section, sign string) (before section, after *section) {
	parts := s.split(sign)
	if len(parts) == 1 {
		return parts[0], nil
	}
	if len(parts) > 2 {
		p.fault(parts[2].at, rules.ReasonFieldInvalid, "a second %q stands here; it may stand once", sign)
	}
	return parts[0], &parts[1]
}

// option is a word that sets something of what was skated.
type option[T any] struct {
	word  string
	help  string
	group string // of those with one group only one may stand
	set   func(*T)
	is    func(*T) bool // whether it is set, for printing; nil = what is left out means it
}

// take sets an option by its word. found is false where no option has the word.
func take[T any](p *parser, options []option[T], t token, into *T, seen map[string]string) (found bool) {
	for _, o := range options {
		if o.word != t.text {
			continue
		}
		group := o.group
		if group == "" {
			group = o.word
		}
		switch before := seen[group]; before {
		case "":
			o.set(into)
		case o.word:
			p.fault(t.at, rules.ReasonFieldInvalid, "%q stands twice", o.word)
		default:
			p.fault(t.at, rules.ReasonFieldInvalid, "%q stands beside %q; only one of them may", o.word, before)
		}
		seen[group] = o.word
		return true
	}
	return false
}

// takeAll reads a section that holds options and nothing else, what is their name.
func takeAll[T any](p *parser, options []option[T], s section, into *T, what string) {
	seen := map[string]string{}
	for _, t := range s.words {
		if t.text == "," {
			continue // between words it may stand or not
		}
		if !take(p, options, t, into, seen) {
			p.fault(t.at, rules.ReasonFieldInvalid, "%s is no %s; %s", rules.Quote(t.text), what, choice{t.text, wordsOf(options)})
		}
	}
}

func wordsOf[T any](options []option[T]) []string {
	words := make([]string, len(options))
	for i, o := range options {
		words[i] = o.word
	}
	return words
}

// printed lists the words of what is set.
func printed[T any](options []option[T], of *T) []string {
	var words []string
	for _, o := range options {
		if o.is != nil && o.is(of) {
			words = append(words, o.word)
		}
	}
	return words
}

// Print returns a spin or step sequence without faults (level.Check) in the words
// that Parse reads. ok is false for other kinds of element.
func Print(e *level.Element) (text string, ok bool) {
	switch {
	case e.Spin != nil:
		return printSpin(e.Spin), true
	case e.Steps != nil:
		return printSteps(e.Steps), true
	}
	return "", false
}

// looksNumeric reports whether a word is meant as a number.
func looksNumeric(word string) bool {
	return strings.Trim(word, "0123456789+-.") == "" && strings.ContainsAny(word, "0123456789")
}

// revolutions reads whole or half revolutions: 8, 2.5.
func revolutions(word string) (rules.Revolutions, bool) {
	var r rules.Revolutions
	err := r.UnmarshalText([]byte(word))
	return r, err == nil && r <= level.MaxRevolutions
}

// Help explains the words of a spin and of a step sequence in about forty lines.
func Help() string {
	var b strings.Builder
	b.WriteString(`A spin in words:

  [ENTRY ...:] POSITION [, POSITION]... [/ [CHANGE ...] POSITION ...] [; exit]

  ENTRY
` + lines(entries) + `  /         the change of foot, by a step unless CHANGE says otherwise
  CHANGE
` + lines(changes) + `  POSITION  camel, sit, upright, layback or other, then in any order
    the revolutions: 8 or 2.5
    a difficult variation that the panel accepts:
`)
	for _, k := range positions {
		words := make([]string, len(k.variations))
		for i, v := range k.variations {
			words[i] = v.word
		}
		fmt.Fprintf(&b, "      %-8s %s\n", k.word, strings.Join(words, ", "))
	}
	b.WriteString("    where a layback leans: backward (left out means that) or sideways\n    what else the panel accepts:\n")
	for _, f := range features {
		fmt.Fprintf(&b, "      %-12s %s\n", f.Word, strings.ToLower(f.Title))
	}
	fmt.Fprintf(&b, "    which edges, where it matters: %s\n", strings.Join(edgeWords, ", "))
	b.WriteString(`  exit      a difficult exit

A step sequence in words:

  steps [PATTERN]: [TURN C+CC] [, TURN C+CC]... [; SHOWN ...]

  PATTERN   ` + strings.Join(wordsOf(patterns), ", ") + `; in the seasons that named one
  TURN      ` + strings.Join(turnWords, ", ") + `;
            C clockwise and CC counterclockwise, such as bracket 1+1;
            in pair skating "partner bracket 1+0" is the other partner's
  SHOWN
` + lines(shown))
	return b.String()
}

func lines[T any](options []option[T]) string {
	var b strings.Builder
	for _, o := range options {
		fmt.Fprintf(&b, "      %-19s %s\n", o.word, o.help)
	}
	return b.String()
}
