package notation

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

var entries = []option[level.Spin]{
	{
		"flying", "by flying", "flying",
		func(s *level.Spin) { s.Flying = level.PlainFlying }, func(s *level.Spin) bool { return s.Flying == level.PlainFlying },
	},
	{
		"difficult-flying", "by a difficult variation of flying", "flying",
		func(s *level.Spin) { s.Flying = level.DifficultFlying }, func(s *level.Spin) bool { return s.Flying == level.DifficultFlying },
	},
	{
		"step-over", "by flying, stepped over without a clear jump", "flying",
		func(s *level.Spin) { s.Flying = level.StepOver }, func(s *level.Spin) bool { return s.Flying == level.StepOver },
	},
	{
		"entrance", "a difficult entrance", "",
		func(s *level.Spin) { s.DifficultEntrance = true }, func(s *level.Spin) bool { return s.DifficultEntrance },
	},
	{
		"backward", "a plain backward entrance, in the seasons that counted it", "",
		func(s *level.Spin) { s.BackwardEntry = true }, func(s *level.Spin) bool { return s.BackwardEntry },
	},
}

var exits = []option[level.Spin]{{
	"exit", "a difficult exit", "",
	func(s *level.Spin) { s.DifficultExit = true }, func(s *level.Spin) bool { return s.DifficultExit },
}}

var changes = []option[level.Foot]{
	{"step", "by a step", "change", func(f *level.Foot) { f.Change = level.ByStep }, nil},
	{
		"jump", "by a clear jump", "change",
		func(f *level.Foot) { f.Change = level.ByJump }, func(f *level.Foot) bool { return f.Change == level.ByJump },
	},
	{
		"curves", "by a curve out and a curve into the next part, which makes two spins", "change",
		func(f *level.Foot) { f.Change = level.ByCurves }, func(f *level.Foot) bool { return f.Change == level.ByCurves },
	},
	{
		"reverse", "into the other direction, at once", "",
		func(f *level.Foot) { f.DirectionReversed = true }, func(f *level.Foot) bool { return f.DirectionReversed },
	},
}

type variation struct {
	word      string
	variation level.Variation
}

// position is the word of a position with those of its difficult variations.
type position struct {
	word       string
	kind       level.PositionKind
	variations []variation
}

var positions = []position{
	{"camel", level.Camel, []variation{{"forward", level.CamelForward}, {"sideways", level.CamelSideways}, {"upward", level.CamelUpward}}},
	{"sit", level.Sit, []variation{{"forward", level.SitForward}, {"sideways", level.SitSideways}, {"behind", level.SitBehind}}},
	{"upright", level.Upright, []variation{
		{"forward", level.UprightForward}, {"straight", level.UprightStraight}, {"layback", level.LaybackVaried}, {"biellmann", level.Biellmann},
	}},
	{"layback", level.Layback, []variation{{"variation", level.LaybackVaried}, {"biellmann", level.Biellmann}}},
	{"other", level.NonBasic, []variation{{"variation", level.NonBasicVaried}}},
}

var leans = []option[level.Position]{
	{"backward", "", "lean", func(p *level.Position) { p.Lean = level.Backward }, nil},
	{
		"sideways", "", "lean",
		func(p *level.Position) { p.Lean = level.Sideways }, func(p *level.Position) bool { return p.Lean == level.Sideways },
	},
}

// features are the words for what else a panel reports in a position.
var features = level.PositionWords()

// edgeWords are the words of rules.EdgeChanges, in their order.
var edgeWords = func() []string {
	words := make([]string, len(rules.EdgeChanges))
	for i, e := range rules.EdgeChanges {
		words[i] = strings.ToLower(strings.ReplaceAll(e, "_", "-"))
	}
	return words
}()

func (p *parser) spin(s section) *level.Spin {
	spin := &level.Spin{}
	body, exit := p.cutOnce(s, ";")
	entry, rest := p.cutOnce(body, ":")
	if rest != nil {
		body = *rest
		p.place = "entry"
		takeAll(p, entries, entry, spin, "entry")
	}
	for i, part := range body.split("/") {
		spin.Feet = append(spin.Feet, p.foot(i, part))
	}
	if exit != nil {
		p.place = "exit"
		if len(exit.words) == 0 {
			p.fault(exit.at, rules.ReasonFieldInvalid, "nothing stands behind \";\"; %s", choice{"", wordsOf(exits)})
		}
		takeAll(p, exits, *exit, spin, "exit")
	}
	return spin
}

func (p *parser) foot(i int, s section) level.Foot {
	foot := level.Foot{}
	if i > 0 {
		foot.Change = level.ByStep
		p.place = fmt.Sprintf("foot %d", i+1)
		seen := map[string]string{}
		for len(s.words) > 0 && take(p, changes, s.words[0], &foot, seen) {
			s.words = s.words[1:]
		}
	}
	for j, part := range s.split(",") {
		p.place = fmt.Sprintf("foot %d, position %d", i+1, j+1)
		if read, ok := p.position(part, i > 0 && j == 0); ok {
			foot.Positions = append(foot.Positions, read)
		}
	}
	return foot
}

// position reads a position with what belongs to it. Behind a change of foot the
// words of changes are allowed too.
func (p *parser) position(s section, changed bool) (level.Position, bool) {
	allowed := make([]string, len(positions))
	for i, k := range positions {
		allowed[i] = k.word
	}
	if changed {
		allowed = append(allowed, wordsOf(changes)...)
	}
	if len(s.words) == 0 {
		p.fault(s.at, rules.ReasonFieldRequired, "a position is missing; %s", choice{"", allowed})
		return level.Position{}, false
	}
	first := s.words[0]
	i := slices.IndexFunc(positions, func(k position) bool { return k.word == first.text })
	if i < 0 {
		where, may := elsewhere(first.text, allowed)
		p.fault(first.at, rules.ReasonPositionInvalid, "%s is no position%s; %s", rules.Quote(first.text), where, may)
		return level.Position{}, false
	}
	r := positionReader{parser: p, of: positions[i], read: level.Position{Position: positions[i].kind}, seen: map[string]string{}}
	if r.read.Position == level.Layback {
		r.read.Lean = level.Backward
	}
	for _, t := range s.words[1:] {
		r.word(t)
	}
	if r.seen[turned] == "" {
		p.fault(first.at, rules.ReasonFieldRequired, "%s has no number of revolutions, such as %s 8", first.text, first.text)
	}
	return r.read, true
}

// turned is what a number says of a position.
const turned = "number of revolutions"

// positionReader reads the words behind a position's name.
type positionReader struct {
	*parser
	of   position
	read level.Position
	seen map[string]string // what stands there already, by what it says
}

func (r *positionReader) word(t token) {
	switch {
	case looksNumeric(t.text):
		n, ok := revolutions(t.text)
		if !ok {
			r.fault(t.at, rules.ReasonRevolutionsWrong, "the revolutions are %s; allowed are %s", rules.Quote(t.text), rules.Allow("0 to %s in steps of 0.5", level.MaxRevolutions))
		}
		if r.once(turned, t) {
			r.read.Revolutions = n
		}
	case r.isVariation(t):
	case r.of.kind == level.Layback && take(r.parser, leans, t, &r.read, r.seen):
	case r.isFeature(t):
	default:
		reason := rules.ReasonFieldInvalid
		for _, k := range positions {
			if slices.ContainsFunc(k.variations, func(v variation) bool { return v.word == t.text }) {
				reason = rules.ReasonVariationInvalid
			}
		}
		where, may := elsewhere(t.text, r.allowed())
		r.fault(t.at, reason, "%s is not known with %s%s; beside the number of revolutions %s", rules.Quote(t.text), r.of.word, where, may)
	}
}

// elsewhere says where in a spin a word stands that may not stand here, and what may; the
// word is compared with that only where it stands nowhere.
func elsewhere(word string, allowed []string) (where string, may choice) {
	may = choice{"", allowed}
	if slices.Contains(wordsOf(entries), word) {
		return fmt.Sprintf(" but an entry, which stands before a \":\", such as \"%s: sit 8\"", word), may
	}
	if slices.Contains(wordsOf(exits), word) {
		return fmt.Sprintf("; it stands at the end behind a \";\", such as \"sit 8; %s\"", word), may
	}
	if slices.Contains(wordsOf(changes), word) {
		return fmt.Sprintf("; it is a change of foot, which stands behind a \"/\", such as \"sit 3 / %s sit 3\"", word), may
	}
	var of []string
	for _, k := range positions {
		if k.word == word {
			return "; another position begins behind a \",\", or on the other foot behind a \"/\"", may
		}
		if slices.ContainsFunc(k.variations, func(v variation) bool { return v.word == word }) {
			of = append(of, k.word)
		}
	}
	switch {
	case len(of) > 0:
		return "; it is a variation of " + strings.Join(of, " or "), may
	case slices.ContainsFunc(features, func(f level.Word) bool { return f.Word == word }), slices.Contains(edgeWords, word):
		return "; it stands behind a position, such as camel 8 " + word, may
	}
	return "", choice{word, allowed}
}

// once reports whether nothing of the same meaning stands there already.
func (r *positionReader) once(what string, t token) bool {
	before := r.seen[what]
	r.seen[what] = t.text
	switch before {
	case "":
		return true
	case t.text:
		r.fault(t.at, rules.ReasonFieldInvalid, "%q stands twice", t.text)
	default:
		r.fault(t.at, rules.ReasonFieldInvalid, "%q stands beside %q; one position has one %s", t.text, before, what)
	}
	return false
}

func (r *positionReader) isVariation(t token) bool {
	for _, v := range r.of.variations {
		if v.word == t.text {
			if r.once("variation", t) {
				r.read.Variation = v.variation
			}
			return true
		}
	}
	return false
}

// isFeature reads what else was accepted. The edges of a change of edge name the
// change itself too.
func (r *positionReader) isFeature(t token) bool {
	add := func(f level.PositionFeature) {
		if !slices.Contains(r.read.Features, f) {
			r.read.Features = append(r.read.Features, f)
		}
	}
	for _, f := range features {
		if f.Word == t.text {
			if r.once(f.Word, t) {
				add(f.Report)
			}
			return true
		}
	}
	i := slices.Index(edgeWords, t.text)
	if i < 0 {
		return false
	}
	if r.once("edge change", t) {
		add(level.HasEdgeChange)
		r.read.Edges = rules.EdgeChanges[i]
	}
	return true
}

// allowed lists the words that may stand behind the position's name.
func (r *positionReader) allowed() []string {
	var words []string
	for _, v := range r.of.variations {
		words = append(words, v.word)
	}
	if r.of.kind == level.Layback {
		words = append(words, wordsOf(leans)...)
	}
	for _, f := range features {
		words = append(words, f.Word)
	}
	return append(words, edgeWords...)
}

func printSpin(s *level.Spin) string {
	var b strings.Builder
	if words := printed(entries, s); len(words) > 0 {
		b.WriteString(strings.Join(words, " ") + ": ")
	}
	for i := range s.Feet {
		if i > 0 {
			b.WriteString(" / ")
			for _, word := range printed(changes, &s.Feet[i]) {
				b.WriteString(word + " ")
			}
		}
		for j := range s.Feet[i].Positions {
			if j > 0 {
				b.WriteString(", ")
			}
			b.WriteString(strings.Join(positionText(&s.Feet[i].Positions[j]), " "))
		}
	}
	if words := printed(exits, s); len(words) > 0 {
		b.WriteString("; " + strings.Join(words, " "))
	}
	return b.String()
}

func positionText(p *level.Position) []string {
	var words []string
	for _, k := range positions {
		if k.kind != p.Position {
			continue
		}
		words = append(words, k.word)
		words = append(words, printed(leans, p)...)
		for _, v := range k.variations {
			if v.variation == p.Variation {
				words = append(words, v.word)
			}
		}
	}
	words = append(words, p.Revolutions.String())
	for _, report := range p.Features {
		for _, f := range features {
			switch {
			case f.Report != report:
			case report == level.HasEdgeChange && p.Edges != "":
				words = append(words, edgeWords[slices.Index(rules.EdgeChanges, p.Edges)])
			default:
				words = append(words, f.Word)
			}
		}
	}
	return words
}
