package rules

// PairRules says how the levels of pair skating are found. A member that is
// missing is not known; LevelRules.Missing says why.
type PairRules struct {
	Cite `yaml:",inline"`
	// Spins are the solo spins of both partners. The loader lays what the table
	// states here over the rules of single skating, key by key.
	Spins        *SpinRules        `yaml:"spins" group:"the levels of solo spins"`
	Steps        *StepRules        `yaml:"steps" group:"the levels of step sequences"`
	Lifts        *PairElementRules `yaml:"lifts" of:"pair lift" group:"the levels of pair lifts"`
	TwistLifts   *PairElementRules `yaml:"twist_lifts" of:"twist lift" group:"the levels of twist lifts"`
	DeathSpirals *PairElementRules `yaml:"death_spirals" of:"death spiral" group:"the levels of death spirals"`
	PairSpins    *PairElementRules `yaml:"pair_spins" of:"pair spin" group:"the levels of pair spins"`
}

// PairElementRules says how the level of an element is found that counts
// features: a pair lift, a twist lift, a death spiral or a pair spin.
type PairElementRules struct {
	Cite   `yaml:",inline"`
	Codes  []string   `yaml:"codes"` // without level, such as 5ALi
	Levels LevelScale `yaml:"levels" about:"how many features the level of a {of} needs"`
	// Position is how long a position must be held: in a death spiral to have a
	// level at all, in a pair spin to count.
	Position *HeldPosition                    `yaml:"position" about:"how long the position of a {of} is held"`
	Features map[PairFeature]*PairFeatureRule `yaml:"features" about:"the feature {words} of a {of}"`
	List     Clause                           `whole:"features" about:"the list of features of a {of}"` // the list of features as a whole
	Reduced  *ReducedValue                    `yaml:"reduced" about:"the sign of a reduced value"`
	Faults   map[SpinFault]*SpinFaultRule     `yaml:"faults" about:"what the fault {words} does to a {of}"` // of pair spins
}

// HeldPosition is the least number of revolutions in a position.
type HeldPosition struct {
	Clause      `yaml:",inline"`
	Revolutions Revolutions `yaml:"revolutions"`
}

// PairFeatureRule says how a feature counts. Keys that a feature does not know
// are faults of the table.
type PairFeatureRule struct {
	Clause         `yaml:",inline"`
	Words          string      `yaml:"words"`           // what the couple must do, for people
	Times          int         `yaml:"times"`           // how often in one element; default 1
	PerProgram     int         `yaml:"per_program"`     // how often in a program; 0 = no limit
	NotIn          []string    `yaml:"not_in"`          // segments in which it does not count
	SimpleFor      []string    `yaml:"simple_for"`      // levels of category for whom a simple form is enough
	MustDiffer     bool        `yaml:"must_differ"`     // similar to one in an earlier element: does not count
	BrokenByCarry  bool        `yaml:"broken_by_carry"` // does not count when a carry interrupts it
	Group          string      `yaml:"group"`           // features of one group count as one
	MinRevolutions Revolutions `yaml:"min_revolutions"` //
	MinPart        Revolutions `yaml:"min_part"`        // shorter parts are left out of the sum
	Least          int         `yaml:"least"`           // so many changes or variations
	EachPartner    int         `yaml:"each_partner"`    // of which each partner so many
	MaxNonBasic    int         `yaml:"max_non_basic"`   // so many non-basic ones among them
	In             []SpinPlace `yaml:"in"`              //
}

// Often is how often the feature counts in one element.
func (r *PairFeatureRule) Often() int { return max(1, r.Times) }

// FaultRule says what a fault does to a step sequence or a pattern.
type FaultRule struct {
	Clause `yaml:",inline"`
	Effect FaultEffect `yaml:"effect"`
}
