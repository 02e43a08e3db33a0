package rules

// ContentRules is the content of program.yaml: what a program must and may
// hold, and what becomes of an element that breaks a rule.
type ContentRules struct {
	Cite       `yaml:",inline"`
	Joining    JoiningRule                  `yaml:"joining" about:"which jumps can follow each other directly"`
	Euler      *EulerRule                   `yaml:"euler" about:"where an Euler counts"` // nil where a half-loop is a loop (1Lo)
	Marks      CreditMarks                  `yaml:"marks" about:"how a credit is printed"`
	Layouts    map[string]*Layout           `yaml:"layouts" about:"the content of the program ({title})"`
	Categories map[string]map[string]string `yaml:"categories"` // category, segment: name of a layout
}

// JoiningRule says which jump can follow another without a step between. It
// makes a code that can only be a sequence recognisable, such as 3S+2A.
type JoiningRule struct {
	Clause        `yaml:",inline"`
	Next          []string `yaml:"next"`            // names of jumps that can follow any jump directly
	HalfLoops     []string `yaml:"half_loops"`      // jumps (Eu, 1Lo) behind which others can follow
	AfterHalfLoop []string `yaml:"after_half_loop"` // names of those others
}

// EulerRule says that an Euler counts only between two other jumps.
type EulerRule struct {
	Clause `yaml:",inline"`
}

// CreditMarks says how the panel's computer prints a credit.
type CreditMarks struct {
	Clause `yaml:",inline"`
	// Broken follows the last jump before a fall or step-out that ends a
	// combination: SEQ or COMBO. What follows it has no value.
	Broken string `yaml:"broken"`
	// NoValueAfter says that the no-value mark stands behind COMBO too.
	NoValueAfter bool `yaml:"no_value_after"`
}

// What a layout may have at most.
const (
	MaxBoxes     = 32
	MaxSpinSlots = 8
)

// Layout is what one segment's program must and may hold.
type Layout struct {
	Clause       `yaml:",inline"`
	Title        string              `yaml:"title"`
	Like         string              `yaml:"like"` // another layout: what this one leaves out is as there
	Boxes        map[string]*BoxRule `yaml:"boxes" about:"the number of {title}"`
	Combinations *CombinationRule    `yaml:"combinations" about:"the limit of jump combinations"`
	Sequences    *SequenceRule       `yaml:"sequences" about:"which jump sequences are allowed"`
	Repeats      *RepeatRule         `yaml:"repeats" about:"the repetition of jumps"`
	Alone        *AloneRule          `yaml:"alone" about:"the number of jumps alone"`
	RequiredJump *RequiredJump       `yaml:"required_jump" about:"the required jump"`
	JumpLimits   *JumpLimits         `yaml:"jump_limits" about:"the jumps that are allowed"`
	ShortJumps   *ShortJumps         `yaml:"short_jumps"`
	Spins        *SpinContent        `yaml:"spins" about:"which spins are required"`
	Duration     *DurationRule       `yaml:"duration" about:"the time of the program"`
	Unknown      map[string]string   `yaml:"unknown"` // what no source states: a name and a sentence for the reader
}

// Effect is what becomes of an element or jump that breaks a rule.
type Effect string

// The effects.
const (
	EffectElement Effect = "ELEMENT" // the whole element has no value
	EffectJump    Effect = "JUMP"    // only that jump has no value
	EffectAsSolo  Effect = "AS_SOLO" // the first jump counts as repeated (+REP), the others have no value
	EffectNone    Effect = "NONE"    // it counts; the checker only reports it
)

// BoxRule limits the elements of one kind. Elements beyond Max have no value.
type BoxRule struct {
	Clause `yaml:",inline"`
	Title  string   `yaml:"title"` // plural, for people: "jump elements"
	Kind   string   `yaml:"kind"`  // one of ElementKinds
	Names  []string `yaml:"names"` // element names with * for any letters; empty = every element of the kind
	// EachPart says that each part of an element counts: a combination lift is two
	// short lifts.
	EachPart bool `yaml:"each_part"`
	Min      int  `yaml:"min"`
	Max      int  `yaml:"max"`
	// Different says that no two of them may have the same name (throws: the
	// same name and number of turns).
	Different bool `yaml:"different"`
}

// CombinationRule limits combinations and sequences of jumps.
type CombinationRule struct {
	Clause   `yaml:",inline"`
	Max      int    `yaml:"max"`   // combinations and sequences together
	Jumps    int    `yaml:"jumps"` // most jumps in one
	Long     int    `yaml:"long"`  // how many may have that many jumps
	Extra    Effect `yaml:"extra"` // of a combination beyond Max
	LongOver Effect `yaml:"long_over"`
}

// SequenceRule says which jump sequences a season knows. A layout without one
// takes any sequence.
type SequenceRule struct {
	Clause    `yaml:",inline"`
	Jumps     int  `yaml:"jumps"`      // most jumps; 0 = any number
	OnlyAxels bool `yaml:"only_axels"` // a jump that cannot follow directly must be an Axel
}

// RepeatRule limits jumps that are executed more than once.
type RepeatRule struct {
	Clause `yaml:",inline"`
	// From is the number of turns from which executing a jump twice is a
	// repetition; Different ones may be repeated, Quads of them with four turns
	// or more (0 = no limit of their own).
	From      int `yaml:"from"`
	Different int `yaml:"different"`
	Quads     int `yaml:"quads"`
	PerTurns  int `yaml:"per_turns"` // how many of them with one number of turns; 0 = no limit
	// Executions is how often one jump may be executed, by turns ("2") or
	// by jump ("2A"); what is not listed may be executed any number of times.
	Executions map[string]int `yaml:"executions"`
	Over       Effect         `yaml:"over"`
	// SoloMark follows the second of two equal jumps that are both alone: SEQ,
	// COMBO or REP; empty where they count in full.
	SoloMark         string `yaml:"solo_mark"`
	TakesCombination bool   `yaml:"takes_combination"` // and it uses up one of the combinations
}

// AloneRule limits jump elements of one jump where the others must be
// combinations or sequences (pairs).
type AloneRule struct {
	Clause `yaml:",inline"`
	Max    int    `yaml:"max"`
	Mark   string `yaml:"mark"` // of one beyond Max: SEQ, COMBO or REP
}

// RequiredJump is a jump that the program must contain. Without it the last
// jump element has no value when all jump elements are used (Effect ELEMENT).
type RequiredJump struct {
	Clause `yaml:",inline"`
	Name   string `yaml:"name"` // such as A
	Effect Effect `yaml:"effect"`
}

// JumpLimits bars jumps from a category.
type JumpLimits struct {
	Clause `yaml:",inline"`
	Turns  int      `yaml:"turns"` // the most turns; 0 = no limit
	Barred []string `yaml:"barred"`
}

// ShortJumps are the jump elements of a short program; one that is left out is
// not part of it.
type ShortJumps struct {
	Axel        *JumpSlot     `yaml:"axel" about:"the Axel of the short program"`
	Solo        *JumpSlot     `yaml:"solo" about:"the solo jump of the short program"`
	Combination *ShortCombo   `yaml:"combination" about:"the combination of the short program"`
	Repeated    *RepeatedJump `yaml:"repeated" about:"a jump repeated in the short program"`
}

// JumpSlot says which jump fills a slot.
type JumpSlot struct {
	Clause `yaml:",inline"`
	Names  []string `yaml:"names"`
	Turns  []int    `yaml:"turns"`
	Wrong  Effect   `yaml:"wrong"` // of another jump in the slot
}

// ShortCombo says which combination fills the slot.
type ShortCombo struct {
	Clause  `yaml:",inline"`
	Turns   []int `yaml:"turns"`   // of each jump
	Doubles int   `yaml:"doubles"` // how many jumps of two turns or fewer
	Euler   bool  `yaml:"euler"`   // an Euler may stand between the two jumps
	// Second names the jumps that may be the second one; empty = any.
	Second []string `yaml:"second"`
	Wrong  Effect   `yaml:"wrong"`
	// LowerBy says by which value the lesser of too many doubles is found:
	// ORIGINAL (without signs) or CALLED (with signs).
	LowerBy string `yaml:"lower_by"`
}

// How the lesser jump is found.
const (
	LowerByOriginal = "ORIGINAL"
	LowerByCalled   = "CALLED"
)

// RepeatedJump says what becomes of a jump that was executed in another
// element of the short program.
type RepeatedJump struct {
	Clause `yaml:",inline"`
	Over   Effect `yaml:"over"`
}

// SpinContent says which spins a program needs.
type SpinContent struct {
	Clause `yaml:",inline"`
	// SameCode is what becomes of a spin whose code (without level and sign)
	// came before.
	SameCode Effect `yaml:"same_code"`
	// Slots are the spins required, each filled by one spin.
	Slots map[string]*SpinSlot `yaml:"slots" about:"the {title}"`
	// Apart names two slots whose spins must be in different positions.
	Apart []string `yaml:"apart"`
}

// SpinSlot says which spin fills a slot. What is left out does not matter.
type SpinSlot struct {
	Clause      `yaml:",inline"`
	Title       string   `yaml:"title"`
	Flying      *bool    `yaml:"flying"`
	Change      *bool    `yaml:"change"` // of foot
	Combination *bool    `yaml:"combination"`
	Positions   []string `yaml:"positions"` // letters of the code: U, L, C, S
	Pair        *bool    `yaml:"pair"`
}

// DurationRule is the time of a program in seconds.
type DurationRule struct {
	Clause    `yaml:",inline"`
	Seconds   int  `yaml:"seconds"`
	Tolerance int  `yaml:"tolerance"`
	AtMost    bool `yaml:"at_most"` // only too long is a fault
}

// Layout returns what a category's segment must and may hold, or nil when the
// season does not say.
func (r *ContentRules) Layout(category, segment string) *Layout {
	if r == nil {
		return nil
	}
	return r.Layouts[r.Categories[category][segment]]
}
