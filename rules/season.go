package rules

import (
	"fmt"
	"iter"
	"slices"
	"strings"
)

// Discipline names a value table.
type Discipline string

// The disciplines that a season can hold values for.
const (
	Singles Discipline = "singles"
	Pairs   Discipline = "pairs"
	Dance   Discipline = "dance"
)

// Disciplines lists all disciplines in the order they are shown.
var Disciplines = []Discipline{Singles, Pairs, Dance}

// Confidence says how surely a rule or number is known.
type Confidence string

// How surely something is known; everything but High makes a warning.
const (
	High     Confidence = "high"     // read in a published text or counted in published sheets
	Medium   Confidence = "medium"   // a secondary source, or sources that nearly agree
	Low      Confidence = "low"      // thin or contradicting sources
	Memory   Confidence = "memory"   // from memory, no text at hand
	Inferred Confidence = "inferred" // derived from neighbouring values
)

// Cite is the provenance that any mapping of a table may carry. It holds for
// everything below the mapping until a deeper one says otherwise.
type Cite struct {
	Source     string     `yaml:"source"`
	Confidence Confidence `yaml:"confidence"`
	Note       string     `yaml:"note"`
}

// Doubt ranks how little is known: 0 for what makes no warning (High, and what a
// club states of its own rules), the most for Memory.
func (c Confidence) Doubt() int {
	return max(0, slices.Index([]Confidence{High, Medium, Inferred, Low, Memory}, c))
}

// unsure says in words what each confidence but High means.
var unsure = map[Confidence]string{
	Medium:   "taken from a secondary text, or from texts that only nearly agree",
	Low:      "taken from thin or contradicting sources",
	Memory:   "written from memory, not from a published text",
	Inferred: "inferred from other rules or values, not read in a published text",
}

// Unsure returns the warning for using the rule at a path, whose subject is what in
// words, or nil when it is sure.
func (c Cite) Unsure(path, what string) *Warning {
	if c.Confidence.Doubt() == 0 {
		return nil
	}
	text := what + ": " + unsure[c.Confidence]
	if !strings.EqualFold(c.Source, "from memory") { // the words say that already
		text += " (source: " + c.Source + ")"
	}
	if c.Note != "" {
		text += ". " + c.Note
	}
	return &Warning{Code: WarnLowConfidence, Rule: path, Message: text, Confidence: c.Confidence}
}

// Clause is what every rule of a table carries: its provenance, which is that of
// the least sure of its values, its key and the warning that resting on it makes.
// The loader fills it in; of the YAML it takes source, confidence and note.
type Clause struct {
	Cite `yaml:",inline"`

	ID   string   `yaml:"-"` // path in the season's tables, such as levels.spins.per_foot
	Warn *Warning `yaml:"-"` // nil when the rule is sure
}

// Params is the content of season.yaml.
type Params struct {
	Cite      `yaml:",inline"`
	Season    string `yaml:"season"`
	Title     string `yaml:"title"`
	Extends   string `yaml:"extends"`
	ValidFrom string `yaml:"valid_from"` // inclusive, YYYY-MM-DD
	ValidTo   string `yaml:"valid_to"`   // inclusive
	// Sheets counts the published score sheets that the season's tables reproduce,
	// by category and segment. A season does not inherit it.
	Sheets         map[string]map[string]int `yaml:"sheets"`
	Values         map[Discipline]ValuesMode `yaml:"values"`
	GOE            GOEScale                  `yaml:"goe" about:"the scale of the grade of execution"`
	ComponentMarks Grid                      `yaml:"component_marks"`
	Panel          Panel                     `yaml:"panel" about:"how the marks of a panel count"`
	BaseValue      BaseValue                 `yaml:"base_value"`
	Signs          map[string]*SignRule      `yaml:"signs" about:"what the sign {key} does to the value"`
	Components     map[string]ComponentName  `yaml:"components"`
	ComponentSets  map[string][]string       `yaml:"component_sets"`
	Deductions     map[string]*DeductionRule `yaml:"deductions" about:"the points of the deduction {key}"`
	Categories     map[string]*Category      `yaml:"categories" about:"this category"`
	Standing       Standing                  `yaml:"standing"`
	// Missing says, by key of a category that the season does not have, which
	// published numbers it would need.
	Missing map[string]string `yaml:"missing"`
}

// Standing says how places are made when scores are equal.
type Standing struct {
	Cite `yaml:",inline"`
	// Segments names per segment what breaks a tie: element_score or component_score.
	Segments  map[string]TieBreak `yaml:"segments"`
	InSegment Clause              `whole:"segments" about:"how ties are broken"`
	// Final names, in order, what breaks a tie of totals: each a segment whose
	// score decides.
	Final FinalTies `yaml:"final" about:"how ties are broken"`
}

// TieBreak names the score that decides between equal segment scores.
type TieBreak string

// The scores that can decide.
const (
	ByElementScore   TieBreak = "element_score"
	ByComponentScore TieBreak = "component_score"
)

// FinalTies says what breaks a tie of totals: the scores of these segments, in order.
type FinalTies struct {
	Clause `yaml:",inline"`
	By     []string `yaml:"by"`
}

// ValuesMode says how a season's value rows relate to those of the season it extends.
type ValuesMode string

// A season's rows replace the parent's (own, the default) or lie over them
// (extend); or the season knows no values at all (none).
const (
	ValuesOwn    ValuesMode = "own"
	ValuesExtend ValuesMode = "extend"
	ValuesNone   ValuesMode = "none"
)

// GOEScale is the scale of the grade of execution.
type GOEScale struct {
	Clause          `yaml:",inline"`
	Min             int `yaml:"min"`
	Max             int `yaml:"max"`
	PercentPerGrade int `yaml:"percent_per_grade"` // 0 = only the points that the table states
	MissingMark     int `yaml:"missing_mark"`      // what one missing mark of a present judge counts as
	// LevelOnePercent is the share of the disciplines for which PercentPerGrade
	// does not hold (ice dance): one grade is worth so many percent of the base
	// value of the element's level 1, whatever its level; of its own base value
	// where it has level B or none.
	LevelOnePercent map[Discipline]int `yaml:"level_one_percent"`
}

// Share is what one grade is worth in a discipline, in percent of the base value
// or, with levelOne, of that of level 1; 0 = only the points that the table states.
func (g *GOEScale) Share(d Discipline) (percent int64, levelOne bool) {
	if p, ok := g.LevelOnePercent[d]; ok {
		return int64(p), true
	}
	return int64(g.PercentPerGrade), false
}

// SameGrades reports whether rows made under one scale hold under the other in a
// discipline.
func (g *GOEScale) SameGrades(other *GOEScale, d Discipline) bool {
	percent, levelOne := g.Share(d)
	otherPercent, otherLevelOne := other.Share(d)
	return g.Min == other.Min && g.Max == other.Max && percent == otherPercent && levelOne == otherLevelOne
}

// Grid is the scale of component marks.
type Grid struct {
	Cite `yaml:",inline"`
	Min  Points `yaml:"min"`
	Max  Points `yaml:"max"`
	Step Points `yaml:"step"`
}

// Panel says which marks of a panel count.
type Panel struct {
	Clause    `yaml:",inline"`
	MinJudges int  `yaml:"min_judges"`
	MaxJudges int  `yaml:"max_judges"`
	TrimFrom  int  `yaml:"trim_from"` // from so many counted marks on, Trim are dropped at each end
	Trim      int  `yaml:"trim"`
	Draw      bool `yaml:"draw"` // only a drawn subset of the judges counted
	// Small says how surely it is known that fewer than TrimFrom marks all count.
	Small SmallPanel `yaml:"small" about:"that all marks count in a panel that is too small for dropping any"`
}

// SmallPanel is the provenance of the rule for panels that are not trimmed.
type SmallPanel struct {
	Clause `yaml:",inline"`
}

// BaseValue says how a base value is put together.
type BaseValue struct {
	Cite       `yaml:",inline"`
	RoundTo    Points        `yaml:"round_to"` // after each share
	Sequence   SequenceShare `yaml:"sequence" about:"the value of a jump sequence"`
	Repeat     Share         `yaml:"repeat" about:"the value of a repeated jump"`
	Combo      Share         `yaml:"combo" about:"the value of a jump called +COMBO"`
	SecondHalf Share         `yaml:"second_half" about:"the second-half bonus"`
	// SecondHalfFirst says that the bonus comes before the other shares; else it
	// comes last. The order matters because each step is rounded.
	SecondHalfFirst bool     `yaml:"second_half_first"`
	TwoParts        TwoParts `yaml:"two_parts"`
}

// TwoParts says how an element of two parts is valued, such as a combination
// lift of ice dance or the parts of both partners. A row of the whole element
// always wins.
type TwoParts string

// The parts' values and GOE points are added (sum, the default), or only a row
// of the whole element gives a value (stated).
const (
	TwoPartsSum    TwoParts = "sum"
	TwoPartsStated TwoParts = "stated"
)

// Share is a percentage of a base value; 0 percent means the season does not know it.
type Share struct {
	Clause  `yaml:",inline"`
	Percent int64 `yaml:"percent"`
}

// SequenceShare is the share of a jump sequence's highest jumps.
type SequenceShare struct {
	Share `yaml:",inline"`
	Jumps int `yaml:"jumps"` // so many of the highest jumps count; 0 = all
}

// SignEffect is what a sign does to a base value.
type SignEffect string

// The effects a sign can have.
const (
	SignFull        SignEffect = "full"          // none: the value of what remains without the sign
	SignTable       SignEffect = "table"         // its own row, or the value is unknown
	SignOneTurnLess SignEffect = "one_turn_less" // value and GOE row of the jump with one turn less
	SignPercent     SignEffect = "percent"       // a percentage of the unsigned value, rounded half-up
)

// SignRule says what a sign, or a combination of signs, does.
type SignRule struct {
	Clause  `yaml:",inline"`
	Value   SignEffect `yaml:"value"`
	Percent int64      `yaml:"percent"`
	// Throws is the share that holds for throw jumps instead; 0 percent means
	// that theirs is Percent too.
	Throws Share `yaml:"throws" about:"what the sign {key} does to the value of a throw"`
}

// ComponentName is the printed name of a program component.
type ComponentName struct {
	Cite `yaml:",inline"`
	Name string `yaml:"name"`
}

// DeductionRule says what a deduction takes off, as positive points.
type DeductionRule struct {
	Clause `yaml:",inline"`
	Each   Points   `yaml:"each"`
	Steps  []Points `yaml:"steps"` // nth occurrence costs Steps[n-1]; the last repeats
}

// Total is what so many occurrences take off together.
func (d *DeductionRule) Total(count int) Points {
	if len(d.Steps) == 0 {
		return d.Each * Points(count)
	}
	var sum Points
	for i := range count {
		sum += d.Steps[min(i, len(d.Steps)-1)]
	}
	return sum
}

// After is what so many occurrences take off that come behind others.
func (d *DeductionRule) After(others, count int) Points {
	return d.Total(others+count) - d.Total(others)
}

// Category is one kind of competitor, such as senior-women.
type Category struct {
	Clause     `yaml:",inline"`
	Title      string                    `yaml:"title"`
	Discipline Discipline                `yaml:"discipline"`
	Level      string                    `yaml:"level"` // senior, junior, advanced-novice ...
	MaxLevel   int                       `yaml:"max_level"`
	Cap        Clause                    `whole:"max_level" about:"the highest level of this category"`
	Deductions map[string]*DeductionRule `yaml:"deductions" about:"the points of the deduction {key}"`
	Segments   map[string]*Segment       `yaml:"segments" about:"the components, factors or second-half rule of this segment"`
}

// Segment is one part of a competition for a category.
type Segment struct {
	Clause     `yaml:",inline"`
	Title      string            `yaml:"title"`
	Components string            `yaml:"components"` // name of a component set
	Factor     Points            `yaml:"factor"`     // for every component ...
	Factors    map[string]Points `yaml:"factors"`    // ... or one each
	Names      map[string]string `yaml:"names"`      // printed names of components, where they differ from the season's
	SecondHalf SecondHalf        `yaml:"second_half"`
	Combo      *Share            `yaml:"combo" about:"the value of a jump called +COMBO"` // what +COMBO leaves, where it differs from the season's

	// Panel lists what is marked, in printed order, with factors resolved.
	Panel []Component `yaml:"-"`
}

// ComponentKeys lists the keys of what the segment marks, in printed order.
func (g *Segment) ComponentKeys() []string {
	keys := make([]string, len(g.Panel))
	for i, p := range g.Panel {
		keys[i] = p.Key
	}
	return keys
}

// SecondHalf says which elements of the second half earn the bonus.
type SecondHalf struct {
	Cite  `yaml:",inline"`
	Which string   `yaml:"which"` // none, all or last
	Last  int      `yaml:"last"`
	Kinds []string `yaml:"kinds"` // kinds of element; empty = jump
}

// Component is a program component as a segment marks it.
type Component struct {
	Key    string
	Name   string
	Factor Points // hundredths: 1.67 is 167
}

// Season holds one season's rules. It does not change after loading.
type Season struct {
	Params
	Revision string // "sha256:..." over all that the season's answers rest on
	Levels   *LevelRules
	Content  *ContentRules
	Rules    []Rule // every rule and every value of the YAML files with its source
	Tables   map[Discipline]*ValueTable
	// Files are the texts of all files that the season rests on, its own and those
	// of the seasons that it extends, by path (2025-26/season.yaml). Loading them
	// again makes a season of the same revision.
	Files map[string][]byte
}

// Heading is what a list of seasons shows of one.
type Heading struct {
	Season, Title, Revision string
	ValidFrom, ValidTo      string       // inclusive, YYYY-MM-DD
	Disciplines             []Discipline // that have a table of values
}

// Heading returns the season's heading.
func (s *Season) Heading() Heading {
	h := Heading{Season: s.Params.Season, Title: s.Title, Revision: s.Revision, ValidFrom: s.ValidFrom, ValidTo: s.ValidTo}
	for _, d := range Disciplines {
		if s.Tables[d] != nil {
			h.Disciplines = append(h.Disciplines, d)
		}
	}
	return h
}

// Rule is one stated fact of a table, or a rule that holds several of them.
type Rule struct {
	Key   string // path in the table, such as base_value.sequence.percent
	Title string // what a rule of several values is about, in words; else empty
	Value string // empty for a rule of several values
	File  string // where it is stated
	Line  int
	Cite
}

// Table returns the value table of a discipline, or nil when the season has none.
func (s *Season) Table(d Discipline) *ValueTable { return s.Tables[d] }

// EachRule lists everything that the tables state, the values of elements last:
// those have the key values.<discipline>.<code> and their base value as value.
func (s *Season) EachRule() iter.Seq[Rule] {
	return func(yield func(Rule) bool) {
		for _, r := range s.Rules {
			if !yield(r) {
				return
			}
		}
		for _, d := range Disciplines {
			t := s.Tables[d]
			if t == nil {
				continue
			}
			if s.Values[d] == "" { // else season.yaml states a rule of this key
				whole := Rule{Key: t.Key(), Title: "the scale of values", File: t.File, Line: 1, Cite: Cite{Source: t.Source, Confidence: t.Confidence}}
				if !yield(whole) {
					return
				}
			}
			if !t.eachRule(yield) {
				return
			}
		}
	}
}

// Category finds a category or says which exist.
func (s *Season) Category(key string) (*Category, FieldErrors) {
	if c := s.Categories[key]; c != nil {
		return c, nil
	}
	why := s.Missing[key]
	if why != "" {
		why = ": " + why
	}
	return nil, FieldErrors{Fault("category", ReasonCategoryUnknown, "season %s has no category %s%s; it has: %s", s.Params.Season, Quote(key), why, AllowList(SortedKeys(s.Categories)))}
}

// Segment finds a segment of a category or says which exist.
func (c *Category) Segment(key string) (*Segment, FieldErrors) {
	if g := c.Segments[key]; g != nil {
		return g, nil
	}
	return nil, FieldErrors{Fault("segment", ReasonSegmentUnknown, "%s has no segment %s; it has: %s", c.Title, Quote(key), AllowList(SortedKeys(c.Segments)))}
}

// Deduction finds what a kind of deduction takes off in a category, or nil.
func (s *Season) Deduction(c *Category, kind string) *DeductionRule {
	if d := c.Deductions[kind]; d != nil {
		return d
	}
	return s.Deductions[kind]
}

// DeductionsOf returns the kinds that a category has, its own and the season's, in
// the order of DeductionKinds.
func (s *Season) DeductionsOf(c *Category) []string {
	return slices.DeleteFunc(slices.Clone(DeductionKinds), func(kind string) bool { return s.Deduction(c, kind) == nil })
}

// ComponentKeys are the program components that any season may mark.
var ComponentKeys = []string{"SKATING_SKILLS", "TRANSITIONS", "PERFORMANCE", "COMPOSITION", "INTERPRETATION", "TIMING", "PRESENTATION"}

// DeductionKinds are the deductions that a season may price.
var DeductionKinds = []string{
	"FALL", "TIME_VIOLATION", "INTERRUPTION", "COSTUME", "COSTUME_FAILURE", "ILLEGAL_ELEMENT",
	"MUSIC", "MUSIC_TEMPO", "EXTENDED_LIFT", "EXTRA_ELEMENT", "LATE_START",
}

// SegmentKeys are the segments that a category may have, in the order skated.
var SegmentKeys = []string{
	"short-program", "free-skating", "compulsory-dance", "original-dance", "short-dance", "rhythm-dance", "free-dance",
}

// SortedKeys returns the keys of a map in order.
func SortedKeys[K ~string, V any](m map[K]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, string(k))
	}
	slices.Sort(keys)
	return keys
}

// Count says how many of a thing there are: 1 field, 3 fields.
func Count(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return fmt.Sprintf("%d %s", n, thing)
}

// Quote shows a caller's text in a message, cut to a readable length.
func Quote(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return fmt.Sprintf("%q", s)
}
