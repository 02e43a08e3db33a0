package level

import "github.com/rinktally/rinktally/rules"

// PatternDance is a section of a pattern dance, or another element with key
// points, as it was skated.
type PatternDance struct {
	Code      string // without level and key points, such as 1MB
	KeyPoints []KeyPoint
	// Incomplete says that too few of the steps were completed for a level.
	Incomplete bool
}

// KeyPoint is what the panel says about one key point.
type KeyPoint string

// The answers: met, not met, and not met because of its timing.
const (
	KeyPointMet    KeyPoint = "Y"
	KeyPointNotMet KeyPoint = "N"
	KeyPointTiming KeyPoint = "T"
)

// DanceElement is an element of ice dance in which each partner is judged alone.
type DanceElement struct {
	Code  string // without partner and level, such as SqTw
	Woman *DancePart
	Man   *DancePart
}

// DancePart is what one partner showed in a set of twizzles.
type DancePart struct {
	Rotations           rules.Revolutions // fewest whole rotations in any of the twizzles
	DifferentEntryEdges bool
	BothDirections      bool
	AdditionalFeatures  int // of different groups
}
