package rules

// DanceRules says how the levels of ice dance are found. A member that is
// missing is not known; LevelRules.Missing says why.
type DanceRules struct {
	Cite      `yaml:",inline"`
	KeyPoints *KeyPointRules `yaml:"key_points" about:"which level so many key points make"`
	Twizzles  *TwizzleRules  `yaml:"twizzles" about:"what the level of a set of twizzles needs"`
}

// KeyPointRules says how the key points of a pattern dance make its level.
type KeyPointRules struct {
	Clause `yaml:",inline"`
	// Levels is the level for so many key points met: the first for none.
	// Its length says how many key points an element has.
	Levels []Level `yaml:"levels"`
	// Only names the elements that the rule is known for; empty = every
	// section of a pattern dance. Also names others that have key points.
	Only []string `yaml:"only"`
	Also []string `yaml:"also"`
	// Incomplete is what too few of the steps do.
	Incomplete *FaultRule `yaml:"incomplete" about:"what too few steps of a pattern do"`
}

// Points is the number of key points of an element.
func (r *KeyPointRules) Points() int { return len(r.Levels) - 1 }

// TwizzleRules says how the level of a set of twizzles is found, for each
// partner alone. One provenance holds for all steps.
type TwizzleRules struct {
	Clause   `yaml:",inline"`
	Codes    []string       `yaml:"codes"` // without partner and level
	Partners TwizzleLetters `yaml:"partners"`
	Floor    Level          `yaml:"floor"` // below the first step
	Steps    []TwizzleStep  `yaml:"steps"` // rising
}

// TwizzleLetters are the letters that name the partners in a code.
type TwizzleLetters struct {
	Woman string `yaml:"woman"`
	Man   string `yaml:"man"`
}

// TwizzleStep is all that a level needs.
type TwizzleStep struct {
	Level          Level       `yaml:"level"`
	Rotations      Revolutions `yaml:"rotations"`       // fewest in each twizzle
	EntryEdges     bool        `yaml:"entry_edges"`     // different ones
	BothDirections []string    `yaml:"both_directions"` // codes that need both directions of rotation
	Features       int         `yaml:"features"`        // additional features of different groups
}
