package level

import "github.com/rinktally/rinktally/rules"

// Spin is a spin as it was skated.
type Spin struct {
	Flying            Flying // "" = NONE
	BackwardEntry     bool   // a plain backward entrance: a feature in older seasons
	DifficultEntrance bool
	DifficultExit     bool
	Feet              []Foot // one for each foot in order
}

// Foot is the part of a spin on one foot.
type Foot struct {
	Change            Change // how the skater came here; "" on the first foot, else "" = STEP
	DirectionReversed bool   // turns the other way than the foot before, at once
	Positions         []Position
}

// Position is one position of a spin.
type Position struct {
	Position    PositionKind
	Lean        Lean // with LAYBACK only; "" = BACKWARD
	Variation   Variation
	Revolutions rules.Revolutions
	Features    []PositionFeature
	Edges       string // with CHANGE_OF_EDGE: one of rules.EdgeChanges
}

// Flying is how a spin was entered by flying.
type Flying string

// The flying entries.
const (
	NotFlying       Flying = "NONE"
	StepOver        Flying = "STEP_OVER" // no clear jump
	PlainFlying     Flying = "PLAIN"
	DifficultFlying Flying = "DIFFICULT"
)

// Change is how a skater came to the other foot.
type Change string

// The changes of foot.
const (
	ByStep Change = "STEP"
	ByJump Change = "JUMP"
	// ByCurves is a curve out of one part and a curve into the next: two spins.
	ByCurves Change = "CURVES"
)

// PositionKind is a position of a spin.
type PositionKind string

// The three basic positions, the layback form of the upright, and all others.
const (
	Camel    PositionKind = "CAMEL"
	Sit      PositionKind = "SIT"
	Upright  PositionKind = "UPRIGHT"
	Layback  PositionKind = "LAYBACK"
	NonBasic PositionKind = "NON_BASIC"
)

// Lean is where the body leans in a layback.
type Lean string

// The leans.
const (
	Backward Lean = "BACKWARD"
	Sideways Lean = "SIDEWAYS"
)

// Variation is a category of difficult variations.
type Variation string

// The categories.
const (
	CamelForward    Variation = "CAMEL_FORWARD"
	CamelSideways   Variation = "CAMEL_SIDEWAYS"
	CamelUpward     Variation = "CAMEL_UPWARD"
	SitForward      Variation = "SIT_FORWARD"
	SitSideways     Variation = "SIT_SIDEWAYS"
	SitBehind       Variation = "SIT_BEHIND"
	UprightForward  Variation = "UPRIGHT_FORWARD"
	UprightStraight Variation = "UPRIGHT_STRAIGHT_OR_SIDEWAYS"
	Biellmann       Variation = "BIELLMANN"
	LaybackVaried   Variation = "LAYBACK"
	NonBasicVaried  Variation = "NON_BASIC"
)

// variationsOf says which categories fit a position.
var variationsOf = map[PositionKind][]Variation{
	Camel:    {CamelForward, CamelSideways, CamelUpward},
	Sit:      {SitForward, SitSideways, SitBehind},
	Upright:  {UprightStraight, UprightForward, LaybackVaried, Biellmann},
	Layback:  {LaybackVaried, Biellmann},
	NonBasic: {NonBasicVaried},
}

// PositionFeature is what a panel accepts in a position beside a variation.
type PositionFeature string

// What a panel can accept in a position.
const (
	HasJump       PositionFeature = "JUMP_WITHIN"
	HasHardChange PositionFeature = "DIFFICULT_CHANGE_OF_POSITION"
	HasEdgeChange PositionFeature = "CHANGE_OF_EDGE"
	HasSpeed      PositionFeature = "INCREASE_OF_SPEED"
	HasBlade      PositionFeature = "DIFFICULT_BLADE"
	HasWindmill   PositionFeature = "WINDMILL"
)

// positionFeatures lists them, as the features name them.
var positionFeatures []PositionFeature

// StepSequence is a step sequence as it was skated.
type StepSequence struct {
	Pattern                 string // one of rules.StepPatterns; needed where the season's code names it
	Turns                   []Turns
	PartnerTurns            []Turns // pair skating: of the other partner, where they differ
	RotationsBothDirections bool
	BodyMovement            bool
	TurnCombinationLeft     bool
	TurnCombinationRight    bool
	QuickTurnCombinations   bool // older seasons
	OneFootSection          bool // older seasons
	UpperBody               bool // older seasons
	PositionChanges         bool // pair skating: the partners change places often enough
	NotSeparating           bool // pair skating: they stay together long enough
	BadlySpread             bool // the turns stand together in a part of the pattern
	NotRecognisable         bool // not the full ice, or the pattern cannot be seen
}

// Turns counts the clean difficult turns or steps of one type.
type Turns struct {
	Type             rules.TurnType
	Clockwise        int
	Counterclockwise int
}

func (p *Position) has(f PositionFeature) bool {
	for _, have := range p.Features {
		if have == f {
			return true
		}
	}
	return false
}
