package level

import (
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// search is the look for the ways to add one feature to a spin.
type search struct {
	call   *spinCall
	spin   *Spin
	now    *verdict
	before *usage
	rule   *rules.FeatureRule
	raises string // how, the first way that brings the next level
	helps  string // the first that only raises the number of features

	// Memory for one way after the other.
	changed Spin
	used    usage
	verdict verdict
}

// forget lets go of what was skated.
func (s *search) forget() {
	s.spin = nil
	for _, foot := range s.changed.Feet[:cap(s.changed.Feet)] {
		clear(foot.Positions[:cap(foot.Positions)])
	}
}

// copy returns a copy of the spin that can be changed, until the next one is asked for.
// Reports are added to its positions by append only.
func (s *search) copy() *Spin {
	feet := s.changed.Feet
	s.changed = *s.spin
	for len(feet) < len(s.spin.Feet) {
		feet = append(feet, Foot{})
	}
	feet = feet[:len(s.spin.Feet)]
	for f, from := range s.spin.Feet {
		positions := feet[f].Positions[:0]
		positions = append(positions, from.Positions...)
		for i := range positions {
			positions[i].Features = slices.Clip(positions[i].Features)
		}
		feet[f] = from
		feet[f].Positions = positions
	}
	s.changed.Feet = feet
	return &s.changed
}

// try judges the changed copy and returns false when that was enough. how is asked
// where it brings something.
func (s *search) try(how func() string) bool {
	v := &s.verdict
	s.used.set(s.before)
	s.call.judge(v, &s.changed, &s.used)
	switch {
	case v.sh.skeleton() != s.now.sh.skeleton() || v.noValue != s.now.noValue:
	case v.level > s.now.level:
		s.raises = how()
	case s.helps == "" && len(v.choice.taken) > len(s.now.choice.taken):
		s.helps = how()
	}
	return s.raises == ""
}

// say is a way whose words are always the same.
func say(how string) func() string { return func() string { return how } }

// eachPosition tries the feature in every position in which it can count. add
// changes a copy of the spin, or returns false where it cannot be added; how says in
// words what it does.
func (s *search) eachPosition(add func(changed *Spin, p *part) bool, how func(p *part) string) {
	for foot := range s.now.sh.feet {
		for i := range s.now.sh.feet[foot] {
			p := &s.now.sh.feet[foot][i]
			if p.windUp || len(s.rule.In) > 0 && !p.in(s.rule.In, s.now.sh.combination) {
				continue
			}
			if add(s.copy(), p) && !s.try(func() string { return how(p) }) {
				return
			}
		}
	}
}

// reportInPosition tries a report in every position, whose name ends the words.
func (s *search) reportInPosition(report PositionFeature, words string) {
	s.eachPosition(func(changed *Spin, p *part) bool {
		here := &changed.Feet[p.foot].Positions[p.index]
		if here.has(report) {
			return false
		}
		here.Features = append(here.Features, report)
		return true
	}, func(p *part) string { return words + positionWordsOn(s.spin, p) + "." })
}

// next finds what would bring the next level: every feature of the season is
// added where it fits and the spin is judged again.
func (c *spinCall) next(s *Spin) *Next {
	now := &c.verdict
	next := &Next{Level: (now.level + 1).String()}
	if now.levelFault(rules.FaultLevelOne).kind != "" {
		next.Options = []Option{now.mend()}
		return next
	}
	var half []Option // raises the number of features, not yet the level
	look := &c.search
	look.call, look.spin, look.now, look.before = c, s, now, &c.before
	for _, f := range byEase {
		rule := c.rules.features[f.index]
		if rule == nil {
			continue
		}
		look.rule, look.raises, look.helps = rule, "", ""
		f.ways(look)
		switch {
		case look.raises != "":
			next.Options = append(next.Options, Option{Feature: public(c.rules.SpinRules, f.name), Message: look.raises})
		case look.helps != "":
			half = append(half, Option{Feature: public(c.rules.SpinRules, f.name), Message: look.helps + " One feature more is not yet enough for the next level."})
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

// positionWordsOn names a position for a coach, such as "sit", and its foot where
// the spin has more than one.
func positionWordsOn(s *Spin, p *part) string {
	words := positionWords[p.Position.Position]
	if len(s.Feet) == 1 {
		return words
	}
	return words + [...]string{" on the first foot", " on the second foot", " on the third foot", " on the fourth foot"}[p.foot]
}
