package level

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// byEase orders the features from what is usually added first to what asks
// most of a skater. It is our own order for reading, not a rule.
var byEase = []rules.SpinFeature{
	rules.DifficultVariation, rules.IncreaseOfSpeed, rules.LaybackSideChange, rules.EightRevolutions,
	rules.ChangeOfEdge, rules.ChangeOfFootByJump, rules.DifficultEntrance, rules.DifficultExit,
	rules.DifficultChangeOfPosition, rules.AllPositionsOnSecondFoot, rules.DifficultBlade,
	rules.JumpWithin, rules.DifficultFlyingEntry, rules.BothDirections, rules.BiellmannAfterLayback,
}

// next finds what would bring the next level: every feature of the season is
// added where it fits and the spin is judged again.
func (c *spinCall) next(s *Spin, before *usage, now *verdict) *Next {
	next := &Next{Level: (now.level + 1).String()}
	if now.levelFault(rules.FaultLevelOne).kind != "" {
		next.Options = []Option{now.mend()}
		return next
	}
	var half []Option // raises the number of features, not yet the level
	for _, f := range byEase {
		rule := c.rules.Features[f]
		if rule == nil {
			continue
		}
		var raises, helps *Option
		c.ways(s, now, before, f, rule, func(changed *Spin, how string) bool {
			v := c.judge(changed, before.clone())
			switch {
			case v.sh.skeleton() != now.sh.skeleton() || v.noValue != now.noValue:
			case v.level > now.level:
				raises = &Option{Feature: c.public(f), Message: how}
			case helps == nil && len(v.choice.taken) > len(now.choice.taken):
				helps = &Option{Feature: c.public(f), Message: how}
			}
			return raises == nil
		})
		switch {
		case raises != nil:
			next.Options = append(next.Options, *raises)
		case helps != nil:
			helps.Message += " One feature more is not yet enough for the next level."
			half = append(half, *helps)
		}
	}
	if len(next.Options) == 0 {
		next.Options = half
	}
	if len(next.Options) == 0 {
		next.Options = []Option{now.stuck()}
	}
	return next
}

// stuck is what a spin needs to which no single feature can be added: no feature.
func (v *verdict) stuck() Option {
	for foot := range v.sh.feet {
		if !v.sh.basicOn(foot, v.sh.least) {
			return Option{Message: "Hold a basic position on each foot: on the one without it nothing further can count, and the other has what it can."}
		}
	}
	return Option{Message: "No single feature brings it in this spin; more than one thing would have to change."}
}

// mends say what takes away a fault that keeps a spin at level 1.
var mends = map[rules.SpinFault]string{
	rules.FlyingWithoutJump: "Enter with a clear jump",
	rules.TwoPositions:      "Hold all three basic positions",
	rules.NoBasicOnAFoot:    "Hold a basic position on each foot",
}

// mend is what a spin needs that a fault keeps at level 1: no feature.
func (v *verdict) mend() Option {
	var needs []string
	for _, f := range v.faults {
		if f.effect != rules.FaultLevelOne {
			continue
		}
		if words := mends[f.kind]; words != "" {
			needs = append(needs, words+".")
		} else {
			needs = append(needs, faultNotes[f.kind]+".")
		}
	}
	text := strings.Join(needs, " ") + " Without it the level is 1 at most, and no number of features is enough."
	if v.choice.level <= v.level {
		text += " A further feature is then needed as well."
	}
	return Option{Message: text}
}

// ways gives the changed spins that add one feature, until try has enough.
func (c *spinCall) ways(s *Spin, now *verdict, before *usage, f rules.SpinFeature, rule *rules.FeatureRule, try func(*Spin, string) bool) {
	switch f {
	case rules.DifficultVariation:
		c.variationWays(s, now, before, try)
	case rules.LaybackSideChange:
		sideWays(s, now, rule, try)
	case rules.EightRevolutions, rules.ChangeOfEdge, rules.IncreaseOfSpeed, rules.DifficultBlade, rules.DifficultChangeOfPosition, rules.JumpWithin:
		for foot := range now.sh.feet {
			for i := range now.sh.feet[foot] {
				p := &now.sh.feet[foot][i]
				if p.windUp || len(rule.In) > 0 && !p.in(rule.In, now.sh.combination) {
					continue
				}
				changed := s.clone()
				if how := c.inPosition(changed, p, f, rule); how != "" && !try(changed, how) {
					return
				}
			}
		}
	default:
		changed := s.clone()
		if how := c.wholeSpin(changed, now, f, rule); how != "" {
			try(changed, how)
		}
	}
}

// inPosition adds a feature to one position and says how, or "" when it cannot be.
func (c *spinCall) inPosition(s *Spin, p *part, f rules.SpinFeature, rule *rules.FeatureRule) string {
	foot := &s.Feet[p.foot]
	here := &foot.Positions[p.index]
	where := positionWordsOn(s, p)
	switch f {
	case rules.EightRevolutions:
		if p.unchanged >= rule.MinRevolutions || here.has(HasEdgeChange) {
			return ""
		}
		here.Revolutions += rule.MinRevolutions - p.unchanged
		return fmt.Sprintf("Hold the %s for %s without any change.", where, turns(rule.MinRevolutions))
	case rules.ChangeOfEdge:
		more := Position{Position: here.Position, Lean: here.Lean, Variation: here.Variation, Revolutions: rule.MinRevolutions, Features: []PositionFeature{HasEdgeChange}}
		more.Edges = rule.Edges[basicPlace(here.Position)]
		here.Revolutions = max(here.Revolutions, rule.MinRevolutions)
		foot.Positions = slices.Insert(foot.Positions, p.index+1, more)
		which := ""
		if more.Edges != "" {
			which = " " + edgeWords[more.Edges]
		}
		return fmt.Sprintf("Change the edge clearly in the %s%s, at least %s on each edge.", where, which, turns(rule.MinRevolutions))
	case rules.JumpWithin:
		if !p.basic() {
			return ""
		}
		more := Position{Position: here.Position, Lean: here.Lean, Revolutions: c.rules.Revolutions.Position, Features: []PositionFeature{HasJump}}
		foot.Positions = slices.Insert(foot.Positions, p.index+1, more)
		return fmt.Sprintf("Jump within the spin from the %s and land on the same foot in a basic position.", where)
	case rules.DifficultChangeOfPosition:
		if p.index == 0 || here.has(HasHardChange) {
			return ""
		}
		here.Features = append(here.Features, HasHardChange)
		here.Revolutions = max(here.Revolutions, c.rules.Revolutions.Position)
		return fmt.Sprintf("Make the change into the %s a difficult one.", where)
	}
	shown, words := HasSpeed, "Increase the speed clearly in the %s."
	if f == rules.DifficultBlade {
		shown, words = HasBlade, "Use the blade in a difficult way in the %s."
	}
	if here.has(shown) {
		return ""
	}
	here.Features = append(here.Features, shown)
	return fmt.Sprintf(words, where)
}

// wholeSpin adds a feature that belongs to no single position.
func (c *spinCall) wholeSpin(s *Spin, now *verdict, f rules.SpinFeature, rule *rules.FeatureRule) string {
	switch {
	case f == rules.DifficultEntrance && !s.DifficultEntrance && slices.Contains(rule.Entries, rules.DifficultEntry):
		s.DifficultEntrance = true
		return "Enter the spin in a difficult way."
	case f == rules.DifficultEntrance && !s.BackwardEntry && slices.Contains(rule.Entries, rules.BackwardEntry):
		s.BackwardEntry = true
		return "Enter the spin backward."
	case f == rules.DifficultExit && !s.DifficultExit:
		s.DifficultExit = true
		last := len(now.sh.feet) - 1
		if first := slices.IndexFunc(now.sh.feet[last], func(p part) bool { return p.windUp }); first > 0 {
			s.Feet[last].Positions = s.Feet[last].Positions[:first]
			return "Leave the spin by a difficult exit, without rising into an upright first."
		}
		return "Leave the spin by a difficult exit."
	case f == rules.DifficultFlyingEntry && s.Flying == PlainFlying:
		s.Flying = DifficultFlying
		return "Make the flying entry a difficult variation."
	case f == rules.ChangeOfFootByJump && len(s.Feet) > 1 && s.Feet[1].Change != ByJump:
		s.Feet[1].Change = ByJump
		return "Change the foot by a clear jump and land in a basic position."
	case f == rules.BothDirections && len(s.Feet) > 1 && !s.Feet[1].DirectionReversed:
		s.Feet[1].DirectionReversed = true
		return fmt.Sprintf("Spin in both directions, one right after the other, at least %s each way.", turns(rule.MinRevolutions))
	case f == rules.AllPositionsOnSecondFoot && now.sh.combination && now.sh.change:
		foot := &s.Feet[1]
		for _, k := range []PositionKind{Camel, Sit, Upright} {
			if !slices.ContainsFunc(now.sh.feet[1], func(p part) bool { return p.family() == k && p.position >= c.rules.Revolutions.Position }) {
				foot.Positions = append(foot.Positions, Position{Position: k, Revolutions: c.rules.Revolutions.Position})
			}
		}
		return "Show all three basic positions on the second foot."
	case f == rules.BiellmannAfterLayback && now.sh.layback():
		foot := &s.Feet[0]
		foot.Positions = append(foot.Positions, Position{Position: Upright, Variation: Biellmann, Revolutions: c.rules.Revolutions.Position})
		if least := afterLayback(rule, c.category, c.segment, nil); least > 0 {
			return fmt.Sprintf("End with a Biellmann, in this segment only after %s of layback.", turns(least))
		}
		return "Follow the layback with a Biellmann."
	}
	return ""
}

// variationWays makes a plain position a difficult variation, or adds one more
// variation of a position that has one already.
func (c *spinCall) variationWays(s *Spin, now *verdict, before *usage, try func(*Spin, string) bool) {
	used := before.clone().variations
	now.sh.each(func(p *part) {
		if p.Variation != "" {
			used[p.Variation] = true
		}
	})
	for _, fresh := range []bool{false, true} {
		for foot := range now.sh.feet {
			for i := range now.sh.feet[foot] {
				p := &now.sh.feet[foot][i]
				if p.windUp || (p.Variation != "") != fresh {
					continue
				}
				for _, variation := range variationsOf[p.Position.Position] {
					if used[variation] || variation == Biellmann && p.Position.Position == Layback {
						continue // a Biellmann after a layback is a feature of its own
					}
					changed := s.clone()
					positions := &changed.Feet[foot].Positions
					held := c.rules.Revolutions.Position
					how := fmt.Sprintf("Make the %s a difficult variation that is still unused, such as %s, held at least %s.", positionWordsOn(s, p), variationWords[variation], turns(held))
					if fresh {
						how = fmt.Sprintf("After the %s add a variation that is still unused, such as %s, held at least %s.", positionWordsOn(s, p), variationWords[variation], turns(held))
						*positions = slices.Insert(*positions, i+1, Position{Position: p.Position.Position, Lean: p.Lean, Variation: variation, Revolutions: held})
					} else {
						here := &(*positions)[i]
						here.Variation, here.Revolutions = variation, max(here.Revolutions, held)
					}
					if !try(changed, how) {
						return
					}
					break
				}
			}
		}
	}
}

func sideWays(s *Spin, now *verdict, rule *rules.FeatureRule, try func(*Spin, string) bool) {
	for foot := range now.sh.feet {
		for i := range now.sh.feet[foot] {
			p := &now.sh.feet[foot][i]
			if !p.is(rules.InLayback, false) {
				continue
			}
			other := Sideways
			if p.lean() == Sideways {
				other = Backward
			}
			changed := s.clone()
			positions := &changed.Feet[foot].Positions
			(*positions)[i].Revolutions = max((*positions)[i].Revolutions, rule.MinRevolutions)
			*positions = slices.Insert(*positions, i+1, Position{Position: Layback, Lean: other, Revolutions: rule.MinRevolutions})
			if !try(changed, fmt.Sprintf("Change the layback between backward and sideways, at least %s each, without rising.", turns(rule.MinRevolutions))) {
				return
			}
		}
	}
}

// positionWordsOn names a position for a coach, such as "sit", and its foot where
// the spin has more than one.
func positionWordsOn(s *Spin, p *part) string {
	words := positionWords[p.Position.Position]
	if len(s.Feet) == 1 {
		return words
	}
	return words + [...]string{" on the first foot", " on the second foot", " on the third foot", " on the fourth foot"}[p.foot]
}

// clone copies a spin so that it can be changed.
func (s *Spin) clone() *Spin {
	c := *s
	c.Feet = slices.Clone(s.Feet)
	for f := range c.Feet {
		c.Feet[f].Positions = slices.Clone(c.Feet[f].Positions)
		for i := range c.Feet[f].Positions {
			c.Feet[f].Positions[i].Features = slices.Clone(c.Feet[f].Positions[i].Features)
		}
	}
	return &c
}
