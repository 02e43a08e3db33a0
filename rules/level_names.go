package rules

// SpinFeature is a feature that can raise the level of a spin.
type SpinFeature string

// The features of spins over all seasons.
const (
	DifficultVariation        SpinFeature = "DIFFICULT_VARIATION"
	ChangeOfFootByJump        SpinFeature = "CHANGE_OF_FOOT_BY_JUMP"
	JumpWithin                SpinFeature = "JUMP_WITHIN"
	DifficultChangeOfPosition SpinFeature = "DIFFICULT_CHANGE_OF_POSITION"
	DifficultEntrance         SpinFeature = "DIFFICULT_ENTRANCE"
	DifficultExit             SpinFeature = "DIFFICULT_EXIT"
	ChangeOfEdge              SpinFeature = "CHANGE_OF_EDGE"
	AllPositionsOnSecondFoot  SpinFeature = "ALL_POSITIONS_ON_SECOND_FOOT"
	BothDirections            SpinFeature = "BOTH_DIRECTIONS"
	IncreaseOfSpeed           SpinFeature = "INCREASE_OF_SPEED"
	EightRevolutions          SpinFeature = "EIGHT_REVOLUTIONS"
	DifficultFlyingEntry      SpinFeature = "DIFFICULT_FLYING_ENTRY"
	DifficultBlade            SpinFeature = "DIFFICULT_BLADE"
	LaybackSideChange         SpinFeature = "LAYBACK_SIDE_CHANGE"
	BiellmannAfterLayback     SpinFeature = "BIELLMANN_AFTER_LAYBACK"
)

// SpinFeatures lists all features of spins.
var SpinFeatures = []SpinFeature{
	DifficultVariation, ChangeOfFootByJump, JumpWithin, DifficultChangeOfPosition, DifficultEntrance,
	DifficultExit, ChangeOfEdge, AllPositionsOnSecondFoot, BothDirections, IncreaseOfSpeed,
	EightRevolutions, DifficultFlyingEntry, DifficultBlade, LaybackSideChange, BiellmannAfterLayback,
}

// SpinPlace is where in a spin a feature is done.
type SpinPlace string

// The places that a rule can name. A position may be several of them at once.
const (
	InCamel            SpinPlace = "CAMEL"
	InSit              SpinPlace = "SIT"
	InUpright          SpinPlace = "UPRIGHT"                  // any upright, plain ones too
	InLayback          SpinPlace = "LAYBACK"                  // layback or sideways leaning
	InBiellmann        SpinPlace = "BIELLMANN"                //
	InUprightVariation SpinPlace = "UPRIGHT_VARIATION"        // a difficult variation of the upright
	InVariation        SpinPlace = "VARIATION"                // a difficult variation of any basic position
	InNonBasic         SpinPlace = "NON_BASIC_IN_COMBINATION" // a difficult non-basic one, in a spin combination
)

// SpinPlaces lists all places.
var SpinPlaces = []SpinPlace{
	InCamel, InSit, InUpright, InLayback, InBiellmann, InUprightVariation, InVariation, InNonBasic,
}

// EdgeChanges lists the changes of edge that a rule can ask for: from the
// first edge to the second (B backward, F forward, I inside, O outside).
var EdgeChanges = []string{"BI_FO", "BO_FI", "FI_BO", "FO_BI"}

// WrongPlace says what trying a feature in a place where it cannot count does.
type WrongPlace string

// The try uses the feature up (default) or is ignored.
const (
	WrongPlaceUses    WrongPlace = "USES_IT"
	WrongPlaceIgnored WrongPlace = "IGNORED"
)

// Entry is a kind of entrance that the entrance feature accepts.
type Entry string

// The kinds of entrance.
const (
	BackwardEntry    Entry = "BACKWARD"
	DifficultEntry   Entry = "DIFFICULT"
	FlyingCamelEntry Entry = "FLYING_CAMEL" // an ordinary one with a clear jump
)

// Feet says on which foot all three basic positions must be.
type Feet string

// All on the second foot, or anywhere in the spin.
const (
	SecondFoot Feet = "SECOND"
	AnyFoot    Feet = "ANY"
)

// SpinKind is a kind of spin by what it changes.
type SpinKind string

// The four kinds of spin.
const (
	OnePosition       SpinKind = "ONE_POSITION"
	OnePositionChange SpinKind = "ONE_POSITION_CHANGE" // with change of foot
	Combination       SpinKind = "COMBINATION"
	CombinationChange SpinKind = "COMBINATION_CHANGE" // with change of foot
)

// SpinKinds lists all kinds of spin.
var SpinKinds = []SpinKind{OnePosition, OnePositionChange, Combination, CombinationChange}

// SpinFault is something that takes level or value from a spin.
type SpinFault string

// The faults of spins.
const (
	FlyingWithoutJump     SpinFault = "FLYING_WITHOUT_JUMP"
	TwoPositions          SpinFault = "TWO_POSITIONS"               // a combination with only two basic positions
	OneBasicPosition      SpinFault = "ONE_BASIC_POSITION"          // a combination tried, one basic position held
	NoBasicPosition       SpinFault = "NO_BASIC_POSITION"           //
	NoBasicOnAFoot        SpinFault = "NO_BASIC_POSITION_ON_A_FOOT" //
	FewRevolutionsOnAFoot SpinFault = "FEW_REVOLUTIONS_ON_A_FOOT"   //
	SecondChangeOfFoot    SpinFault = "SECOND_CHANGE_OF_FOOT"       //
	TwoSpins              SpinFault = "TWO_SPINS"                   // a curve out of one part and into the next
	SameCode              SpinFault = "SAME_CODE"                   // as an earlier spin of the program
	SamePositionAsFlying  SpinFault = "SAME_POSITION_AS_FLYING"     // one-position and flying spin in one position
)

// SpinFaults lists all faults of spins.
var SpinFaults = []SpinFault{
	FlyingWithoutJump, TwoPositions, OneBasicPosition, NoBasicPosition, NoBasicOnAFoot,
	FewRevolutionsOnAFoot, SecondChangeOfFoot, TwoSpins, SameCode, SamePositionAsFlying,
}

// FaultEffect is what a fault does.
type FaultEffect string

// The effects of faults.
const (
	FaultNone      FaultEffect = "NONE"
	FaultReduces   FaultEffect = "REDUCED"    // the sign V
	FaultLevelOne  FaultEffect = "LEVEL_1"    // level 1 at most
	FaultNoLevel   FaultEffect = "NO_LEVEL"   // called without a level: no points
	FaultNoValue   FaultEffect = "NO_VALUE"   // called with its level, then marked *: no points
	FaultFirstPart FaultEffect = "FIRST_PART" // only what came before is called
	FaultFloor     FaultEffect = "FLOOR"      // of step sequences: the lowest level
)

// FaultEffects lists the effects that faults of spins can have.
var FaultEffects = []FaultEffect{FaultNone, FaultReduces, FaultLevelOne, FaultNoLevel, FaultNoValue, FaultFirstPart}

// StepFeature is a feature that can raise the level of a step sequence.
type StepFeature string

// The features of step sequences over all seasons.
const (
	TurnVarietyFeature StepFeature = "TURN_VARIETY"
	RotationsBothWays  StepFeature = "ROTATIONS_BOTH_DIRECTIONS"
	BodyMovement       StepFeature = "BODY_MOVEMENT"
	TurnCombinations   StepFeature = "TURN_COMBINATIONS"
	OneFootSection     StepFeature = "ONE_FOOT_SECTION"
	UpperBody          StepFeature = "UPPER_BODY"
	PositionsOrHold    StepFeature = "POSITION_CHANGES_OR_HOLD" // pair skating
)

// StepFeatures lists the features beside the variety of turns, in the order
// that answers name them.
var StepFeatures = []StepFeature{RotationsBothWays, BodyMovement, UpperBody, OneFootSection, PositionsOrHold, TurnCombinations}

// StepSign is what a panel reports of a step sequence beside the turns.
type StepSign string

// What a panel can report.
const (
	ShownRotations        StepSign = "ROTATIONS_BOTH_DIRECTIONS"
	ShownBodyMovement     StepSign = "BODY_MOVEMENT"
	ShownUpperBody        StepSign = "UPPER_BODY"
	ShownOneFoot          StepSign = "ONE_FOOT_SECTION"
	ShownCombinations     StepSign = "TURN_COMBINATION_ON_EACH_FOOT"
	ShownQuickCombination StepSign = "QUICK_TURN_COMBINATIONS"
	ShownPositionChanges  StepSign = "POSITION_CHANGES"
	ShownHold             StepSign = "NOT_SEPARATING"
)

// StepSigns lists all that a panel can report.
var StepSigns = []StepSign{
	ShownRotations, ShownBodyMovement, ShownUpperBody, ShownOneFoot, ShownCombinations, ShownQuickCombination,
	ShownPositionChanges, ShownHold,
}

// TurnType is a difficult turn or step.
type TurnType string

// The difficult turns and steps.
const (
	Twizzle TurnType = "TWIZZLE"
	Bracket TurnType = "BRACKET"
	Loop    TurnType = "LOOP"
	Counter TurnType = "COUNTER"
	Rocker  TurnType = "ROCKER"
	Choctaw TurnType = "CHOCTAW"
)

// TurnTypes lists all difficult turns and steps.
var TurnTypes = []TurnType{Twizzle, Bracket, Loop, Counter, Rocker, Choctaw}

// AnyPattern is the key of the code that names no pattern.
const AnyPattern = "ANY"

// StepPatterns lists the patterns that a code could name until 2011-12.
var StepPatterns = []string{"STRAIGHT_LINE", "CIRCULAR", "SERPENTINE"}
