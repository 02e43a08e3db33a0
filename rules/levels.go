package rules

import (
	"fmt"
	"strconv"
)

// LevelRules is the content of levels.yaml: how the levels of a season's
// elements are found.
type LevelRules struct {
	Cite  `yaml:",inline"`
	Spins *SpinRules  `yaml:"spins" group:"the levels of spins"`          // of single skating
	Steps *StepRules  `yaml:"steps" group:"the levels of step sequences"` // of single skating
	Pairs *PairRules  `yaml:"pairs" in:" in pair skating" group:"the levels"`
	Dance *DanceRules `yaml:"dance" in:" in ice dance"`
	// Missing says, by kind of element, which text would be needed to know its
	// levels.
	Missing map[LevelledKind]string `yaml:"missing"`
}

// Not says in words why the table has no rules for a kind of element.
func (r *LevelRules) Not(kind LevelledKind) string {
	if r == nil {
		return ""
	}
	return r.Missing[kind]
}

// Revolutions counts in halves: 5 is two and a half revolutions.
type Revolutions int

// Revolution is one whole revolution.
const Revolution Revolutions = 2

// String returns the revolutions as a decimal: "3" or "2.5".
func (r Revolutions) String() string {
	text := strconv.Itoa(int(r / Revolution))
	if r%Revolution != 0 {
		text += ".5"
	}
	return text
}

// UnmarshalText reads whole or half revolutions, such as 8 or 2.5.
func (r *Revolutions) UnmarshalText(text []byte) error {
	p, err := ParsePoints(string(text))
	if half := Point / Points(Revolution); err != nil || p < 0 || p%half != 0 {
		return fmt.Errorf("%s is not a number of revolutions: want whole or half ones, such as 8 or 2.5", Quote(string(text)))
	}
	*r = Revolutions(p * Points(Revolution) / Point)
	return nil
}

// Level is a level of difficulty: 1 to 4, LevelB or NoLevel.
type Level int

// The levels below 1.
const (
	NoLevel Level = -1
	LevelB  Level = 0
)

// MaxLevel is the highest level that any element has.
const MaxLevel Level = 4

// String returns the level as it is printed in a code: "B", "1" to "4", or "" for none.
func (l Level) String() string {
	switch {
	case l == LevelB:
		return "B"
	case l < LevelB || l > MaxLevel:
		return ""
	}
	return strconv.Itoa(int(l))
}

// UnmarshalText reads B or 1 to 4.
func (l *Level) UnmarshalText(text []byte) error {
	for level := LevelB; level <= MaxLevel; level++ {
		if string(text) == level.String() {
			*l = level
			return nil
		}
	}
	return fmt.Errorf("%s is not a level: want B, 1, 2, 3 or 4", Quote(string(text)))
}

// LevelScale says how many features a level needs.
type LevelScale struct {
	Clause `yaml:",inline"`
	Floor  Level `yaml:"floor"` // the level of an element without any feature
	Needs  []int `yaml:"needs"` // features for level 1, 2, 3, 4
}

// Of returns the level that so many features reach.
func (s *LevelScale) Of(features int) Level {
	level := s.Floor
	for i, needs := range s.Needs {
		if features >= needs && Level(i+1) > level {
			level = Level(i + 1)
		}
	}
	return level
}

// SpinRules says how the level of a spin is found.
type SpinRules struct {
	Cite            `yaml:",inline"`
	Revolutions     SpinRevolutions              `yaml:"revolutions" about:"the revolutions that a spin needs"`
	Levels          LevelScale                   `yaml:"levels" about:"how many features the level of a spin needs"`
	Mandatory       *MandatoryFeatures           `yaml:"mandatory" about:"the set of features of which the highest level of a spin needs one"`
	PerFoot         *FeaturesPerFoot             `yaml:"per_foot" about:"the limit of features on one foot"`
	Variations      *VariationLimit              `yaml:"variations" about:"the limit of difficult variations in one spin"`
	UsedVariation   *UsedVariation               `yaml:"used_variation" about:"what counts in a variation that was used before"`
	Features        map[SpinFeature]*FeatureRule `yaml:"features" about:"the spin feature {words}"`
	List            Clause                       `whole:"features" about:"the list of spin features"`     // the list of features as a whole
	Instead         map[SpinFeature]*Instead     `yaml:"instead" about:"what {words} was in this season"` // what a feature that is not in the list was then
	Reduced         *ReducedValue                `yaml:"reduced" about:"the sign of a reduced value"`
	PositionsInCode *PositionsInCode             `yaml:"positions_in_code" about:"the number of positions in the code"`
	Faults          map[SpinFault]*SpinFaultRule `yaml:"faults" about:"what the fault {words} does to a spin"`
}

// SpinRevolutions are the numbers of revolutions that define a spin.
type SpinRevolutions struct {
	Clause   `yaml:",inline"`
	Spin     Revolutions `yaml:"spin"`     // fewer in all: not a spin
	Foot     Revolutions `yaml:"foot"`     // fewest on each foot of a spin with change of foot
	Position Revolutions `yaml:"position"` // a position or variation must be held so long to count
	Reach    Revolutions `yaml:"reach"`    // a basic position must be reached so soon after a jump or entrance
}

// MandatoryFeatures says that a level needs at least one feature of a set.
type MandatoryFeatures struct {
	Clause `yaml:",inline"`
	Level  Level         `yaml:"level"`
	AnyOf  []SpinFeature `yaml:"any_of"`
}

// FeaturesPerFoot limits the features on one foot of a spin with change of foot.
type FeaturesPerFoot struct {
	Clause `yaml:",inline"`
	Max    int `yaml:"max"`
}

// VariationPick says which difficult variations fill the limit.
type VariationPick string

// The first ones in the order skated count, or those that help the skater most.
const (
	PickInOrder VariationPick = "IN_ORDER"
	PickBest    VariationPick = "BEST"
)

// VariationLimit limits the difficult variations counted in one spin.
type VariationLimit struct {
	Clause `yaml:",inline"`
	Max    int           `yaml:"max"`
	Pick   VariationPick `yaml:"pick"`
	// A further variation counts only on another foot (when the spin changes
	// foot) or in another position (when it is a combination).
	OtherFoot     bool `yaml:"other_foot"`
	OtherPosition bool `yaml:"other_position"`
}

// UsedVariation names the features that do not count while the skater is in a
// difficult variation that was used before.
type UsedVariation struct {
	Clause `yaml:",inline"`
	Blocks []SpinFeature `yaml:"blocks"`
}

// ReducedValue is the sign printed for one fault, two faults and so on that
// reduce the value; the last sign stands for all more.
type ReducedValue struct {
	Clause `yaml:",inline"`
	Signs  []string `yaml:"signs"`
}

// PositionsInCode says that the code of a spin combination prints 2p or 3p.
type PositionsInCode struct {
	Clause `yaml:",inline"`
}

// FeatureLimit says what uses a feature up in a program.
type FeatureLimit string

// A feature is used up by its first attempts, by its first successes, or never.
const (
	ByAttempt FeatureLimit = "FIRST_ATTEMPT"
	BySuccess FeatureLimit = "SUCCESS"
	NoLimit   FeatureLimit = "NONE"
)

// FeatureRule says where a feature of a spin counts. Keys that a feature does
// not know are faults of the table.
type FeatureRule struct {
	Clause          `yaml:",inline"`
	Limit           FeatureLimit           `yaml:"limit"`
	Times           int                    `yaml:"times"` // how often in a program; default 1
	DifferentPlaces bool                   `yaml:"different_positions"`
	In              []SpinPlace            `yaml:"in"`
	Edges           map[SpinPlace]string   `yaml:"edges"`
	MinRevolutions  Revolutions            `yaml:"min_revolutions"`
	WrongPlace      WrongPlace             `yaml:"wrong_place"`
	Group           string                 `yaml:"group"`      // features of one group count as one
	ApartFrom       SpinFeature            `yaml:"apart_from"` // not both in the same spin
	Entries         []Entry                `yaml:"entries"`
	AfterLayback    map[string]Revolutions `yaml:"after_layback"` // by segment
	// AfterLaybackOf says by category what differs from AfterLayback.
	AfterLaybackOf  map[string]*CategoryRevolutions `yaml:"after_layback_of" about:"the revolutions of layback that {key} needs"`
	OnePositionOnly bool                            `yaml:"one_position_only"`
	Mixed           bool                            `yaml:"mixed"` // the positions before and after may differ
	Feet            Feet                            `yaml:"feet"`
	BrokenByJump    bool                            `yaml:"broken_by_jump"`
	// WindmillNeedsBlade says that a windmill is one only with the blade caught.
	WindmillNeedsBlade bool `yaml:"windmill_needs_blade"`
}

// Instead says in words what the season had in place of a feature.
type Instead struct {
	Clause `yaml:",inline"`
	Words  string `yaml:"words"`
}

// CategoryRevolutions are numbers of revolutions by segment, for one category.
type CategoryRevolutions struct {
	Clause   `yaml:",inline"`
	Segments map[string]Revolutions `yaml:"segments"`
}

// SpinFaultRule says what a fault does to a spin.
type SpinFaultRule struct {
	Clause   `yaml:",inline"`
	Effect   FaultEffect            `yaml:"effect"`
	Segments map[string]FaultEffect `yaml:"segments"` // where a segment differs
	Spins    []SpinKind             `yaml:"spins"`    // empty = all
}

// StepRules says how the level of a step sequence is found.
type StepRules struct {
	Cite     `yaml:",inline"`
	Levels   LevelScale                       `yaml:"levels" about:"how many features the level of a step sequence needs"`
	Variety  TurnVariety                      `yaml:"variety" about:"how much variety of turns a level needs"`
	Features map[StepFeature]*StepFeatureRule `yaml:"features" about:"the step sequence feature {words}"`
	List     Clause                           `whole:"features" about:"the list of features of a step sequence"` // the list of features as a whole
	Faults   map[StepFault]*FaultRule         `yaml:"faults" about:"what the fault {words} does to a step sequence"`
	Codes    StepCodes                        `yaml:"codes" about:"the code of a step sequence"`
}

// TurnVariety says how many difficult turns and steps a level needs.
type TurnVariety struct {
	Clause     `yaml:",inline"`
	Types      []TurnType    `yaml:"types"`
	MaxPerType int           `yaml:"max_per_type"`
	Steps      []VarietyStep `yaml:"steps"` // rising; the first is what the feature itself needs
}

// VarietyStep is one grade of variety and the highest level that it allows.
type VarietyStep struct {
	Cite           `yaml:",inline"`
	Name           string `yaml:"name"`
	Turns          int    `yaml:"turns"`
	Level          Level  `yaml:"level"`
	BothDirections int    `yaml:"both_directions"` // so many types must be done both ways
}

// StepFeatureRule is a feature of a step sequence beside the variety of turns.
type StepFeatureRule struct {
	Clause  `yaml:",inline"`
	ShownBy []StepSign `yaml:"shown_by"` // any of these
	Words   string     `yaml:"words"`    // what the skater must do, for people
}

// StepCodes is the code of each pattern, or one code for any pattern.
type StepCodes struct {
	Clause  `yaml:",inline"`
	Pattern map[string]string `yaml:"pattern"`
}
