package level

import "github.com/rinktally/rinktally/rules"

// PairLift is an overhead lift of pair skating as it was skated.
type PairLift struct {
	Code     string // group without level, such as 5ALi
	Features []LiftFeature
	// OneHand are the man's revolutions in each stretch with one hand only.
	OneHand []rules.Revolutions
}

// LiftFeature is something that the panel accepts in a lift.
type LiftFeature struct {
	Feature     rules.PairFeature // one of LiftReports
	Simple      bool              // a simple form, not a difficult one
	Similar     bool              // similar to one tried in an earlier lift of the program
	Interrupted bool              // interrupted by a carry
}

// LiftReports are the features of a lift that a panel reports. The one-hand
// hold is found from its revolutions.
var LiftReports = []rules.PairFeature{
	rules.DifficultTakeOff, rules.DifficultLanding, rules.ChangeOfHold, rules.WomanVariation,
	rules.DifficultCarry, rules.ChangeOfLiftDirection,
}

// TwistLift is a twist lift as it was skated.
type TwistLift struct {
	Code     string // without level, such as 3Tw; 3LzTw in older seasons
	Features []rules.PairFeature
}

// DeathSpiral is a death spiral as it was skated.
type DeathSpiral struct {
	Code        string            // without level, such as BoDs
	Revolutions rules.Revolutions // in the position of a death spiral
	Low         rules.Revolutions // of these with both partners low
	Entrance    bool              // a difficult entrance
	Exit        bool              // a difficult exit
}

// PairSpin is a spin of both partners together.
type PairSpin struct {
	BackwardEdgeEntrance bool // from a backward outside or inside edge
	BothDirections       bool // one right after the other
	Positions            []PairPosition
}

// PairPosition is what both partners show at the same time.
type PairPosition struct {
	Woman, Man   PartnerPosition
	Revolutions  rules.Revolutions
	ChangeOfFoot bool // came here by a change of foot
}

// PartnerPosition is one partner's position in a pair spin.
type PartnerPosition struct {
	Position  PositionKind
	Variation Variation
}

// spin returns one partner's part of a pair spin as a spin.
func (s *PairSpin) spin(of func(*PairPosition) PartnerPosition) *Spin {
	spin := &Spin{Feet: make([]Foot, 1)}
	for i := range s.Positions {
		from := &s.Positions[i]
		if from.ChangeOfFoot && i > 0 {
			spin.Feet = append(spin.Feet, Foot{})
		}
		foot := &spin.Feet[len(spin.Feet)-1]
		own := of(from)
		foot.Positions = append(foot.Positions, Position{Position: own.Position, Variation: own.Variation, Revolutions: from.Revolutions})
	}
	return spin
}

func womanOf(p *PairPosition) PartnerPosition { return p.Woman }
func manOf(p *PairPosition) PartnerPosition   { return p.Man }
