package rules

// PairFeature is a feature that can raise the level of a pair lift, a twist
// lift, a death spiral or a pair spin.
type PairFeature string

// The features of pair lifts.
const (
	DifficultTakeOff      PairFeature = "DIFFICULT_TAKE_OFF" // of twist lifts too
	DifficultLanding      PairFeature = "DIFFICULT_LANDING"
	ChangeOfHold          PairFeature = "CHANGE_OF_HOLD_OR_POSITION"
	WomanVariation        PairFeature = "WOMAN_VARIATION"
	DifficultCarry        PairFeature = "DIFFICULT_CARRY"
	OneHandHold           PairFeature = "ONE_HAND_HOLD"
	FurtherOneHandHold    PairFeature = "FURTHER_ONE_HAND_HOLD"
	ChangeOfLiftDirection PairFeature = "CHANGE_OF_ROTATION"
)

// The features of twist lifts beside the take-off.
const (
	SplitPosition PairFeature = "SPLIT_POSITION"
	CaughtAtWaist PairFeature = "CAUGHT_AT_WAIST"
	ArmsOverhead  PairFeature = "ARMS_OVERHEAD"
	ArmsSideways  PairFeature = "PARTNER_ARMS_SIDEWAYS"
)

// The features of death spirals.
const (
	SpiralEntrance PairFeature = "DIFFICULT_ENTRANCE"
	SpiralExit     PairFeature = "DIFFICULT_EXIT"
	LowRevolution  PairFeature = "LOW_REVOLUTION"
)

// The features of pair spins.
const (
	ChangesOfPosition  PairFeature = "CHANGES_OF_POSITION"
	VariationsOfBoth   PairFeature = "VARIATIONS_OF_BOTH"
	FurtherVariation   PairFeature = "FURTHER_VARIATION"
	BackwardEdgeEntry  PairFeature = "BACKWARD_EDGE_ENTRANCE"
	PairBothDirections PairFeature = "BOTH_DIRECTIONS"
	SixRevolutions     PairFeature = "SIX_REVOLUTIONS"
)

// The features of each kind of pair element, in the order that answers name them.
var (
	LiftFeatures = []PairFeature{
		DifficultTakeOff, DifficultLanding, ChangeOfHold, WomanVariation, DifficultCarry,
		OneHandHold, FurtherOneHandHold, ChangeOfLiftDirection,
	}
	TwistFeatures       = []PairFeature{SplitPosition, CaughtAtWaist, ArmsOverhead, DifficultTakeOff, ArmsSideways}
	DeathSpiralFeatures = []PairFeature{SpiralEntrance, SpiralExit, LowRevolution}
	PairSpinFeatures    = []PairFeature{
		ChangesOfPosition, VariationsOfBoth, FurtherVariation, BackwardEdgeEntry, PairBothDirections, SixRevolutions,
	}
)

// LevelledKind names a kind of element that has levels, where a table says
// that it does not know its rules.
type LevelledKind string

// The kinds. Spins and step sequences are those of pair skating; single
// skating has both in every table.
const (
	KindSoloSpin          LevelledKind = "SOLO_SPIN"
	KindPairStepSequence  LevelledKind = "PAIR_STEP_SEQUENCE"
	KindPairLift          LevelledKind = "PAIR_LIFT"
	KindTwistLift         LevelledKind = "TWIST_LIFT"
	KindDeathSpiral       LevelledKind = "DEATH_SPIRAL"
	KindPairSpin          LevelledKind = "PAIR_SPIN"
	KindPatternDance      LevelledKind = "PATTERN_DANCE"
	KindTwizzles          LevelledKind = "TWIZZLES"
	KindDanceLift         LevelledKind = "DANCE_LIFT"
	KindDanceSpin         LevelledKind = "DANCE_SPIN"
	KindDanceStepSequence LevelledKind = "DANCE_STEP_SEQUENCE"
)

// LevelledKinds lists all kinds.
var LevelledKinds = []LevelledKind{
	KindSoloSpin, KindPairStepSequence, KindPairLift, KindTwistLift, KindDeathSpiral, KindPairSpin,
	KindPatternDance, KindTwizzles, KindDanceLift, KindDanceSpin, KindDanceStepSequence,
}

// StepFault is something that takes the level from a step sequence.
type StepFault string

// The faults of step sequences.
const (
	BadlySpread     StepFault = "BADLY_SPREAD"     // the turns stand together in a part of the pattern
	NotRecognisable StepFault = "NOT_RECOGNISABLE" // the pattern does not use the full ice or cannot be seen
)

// StepFaults lists all faults of step sequences.
var StepFaults = []StepFault{BadlySpread, NotRecognisable}
