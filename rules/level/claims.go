package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// claim is one feature that was tried or found in a spin.
type claim struct {
	feature rules.SpinFeature
	at      string
	foot    int // 0 or 1: the foot that it belongs to
	family  PositionKind
	reason  Reason // "" = it can count
	message string
	rule    *rules.Clause
	inUsed  bool // done in a difficult variation that was tried before
}

// collector goes through a spin in the order skated and gathers its claims. It
// applies what a single feature needs and the limits over the program; the
// limits that weigh the features of the spin against each other follow later.
type collector struct {
	rules    *rules.SpinRules
	segment  string
	category string
	sh       *shape
	used     *usage
	claims   []claim
	spinUses map[rules.SpinFeature]bool // used up within this spin
	notes    []string
	warn     *clauses
}

func (c *collector) collect() {
	spin := c.sh.spin
	c.entry(spin)
	for f := range c.sh.feet {
		if f > 0 {
			c.changeOfFoot(f)
		}
		side, long := c.findSideChange(c.sh.feet[f])
		for i := range c.sh.feet[f] {
			c.position(&c.sh.feet[f][i])
			if i == side {
				c.sideChange(&c.sh.feet[f][i], long)
			}
		}
	}
	c.allPositions()
	if spin.DifficultExit {
		c.exit()
	}
	if c.sh.vain {
		c.notes = append(c.notes, "The final upright is only a wind-up, so features in it do not count.")
	}
}

// exit claims the difficult exit. A plain wind-up before it takes it away, and a
// spin in one position is left from a basic position.
func (c *collector) exit() {
	last := c.lastPart()
	cl := claim{feature: rules.DifficultExit, at: "difficultExit", foot: last.foot}
	switch {
	case last.windUp:
		cl.reason, cl.message = WrongPosition, "the skater rose into a plain wind-up first, and an exit after it does not count"
	case !c.sh.combination && !last.basic():
		cl.reason, cl.message = WrongPosition, "in a spin in one position the exit must start from a basic position"
	}
	c.add(&cl, last, false)
}

func at(foot, position int) string { return fmt.Sprintf("feet[%d].positions[%d]", foot, position) }

func (p *part) path() string { return at(p.foot, p.index) }

func (c *collector) lastPart() *part {
	foot := c.sh.feet[len(c.sh.feet)-1]
	return &foot[len(foot)-1]
}

// add judges a claim that is already refused (reason set) or else still open,
// by the limits over the program. Unless ignored, it uses the feature up.
func (c *collector) add(cl *claim, p *part, ignored bool) {
	cl.foot %= 2
	rule := c.rules.Features[cl.feature]
	if rule == nil {
		c.notThisSeason(cl)
		c.claims = append(c.claims, *cl)
		return
	}
	cl.rule = &rule.Clause
	c.warn.rest(&rule.Clause)
	if !ignored {
		c.limit(cl, rule, p)
	}
	c.claims = append(c.claims, *cl)
}

// notThisSeason refuses a feature that the season does not have; its table may
// say what it was then.
func (c *collector) notThisSeason(cl *claim) {
	cl.reason, cl.message = NotThisSeason, featureWords[cl.feature]+" is not a feature in this season"
	cl.rule = &c.rules.List
	if instead := c.rules.Instead[cl.feature]; instead != nil {
		cl.message += ": " + instead.Words
		cl.rule = &instead.Clause
		c.warn.rest(&instead.Clause)
	}
}

// limit applies what the program and this spin used up before, and uses up.
func (c *collector) limit(cl *claim, rule *rules.FeatureRule, p *part) {
	windmill := c.windmill(cl.feature, p)
	blocked := c.rules.UsedVariation != nil && cl.inUsed && slices.Contains(c.rules.UsedVariation.Blocks, cl.feature)
	other := c.sharedWith(cl.feature, rule)
	switch {
	case cl.reason == "" && other != "":
		cl.reason = SharedFeature
		cl.message = fmt.Sprintf("%s and %s do not both count in one spin; the first one tried is taken", featureWords[cl.feature], inner(other))
	case rule.Limit != rules.NoLimit && c.used.features[cl.feature] >= max(1, rule.Times):
		cl.reason, cl.message = AlreadyUsed, usedUpWords(cl.feature, rule)
	case c.spinUses[cl.feature]:
		cl.reason, cl.message = AlreadyUsed, featureWords[cl.feature]+" counts once in a spin"
	case windmill && c.used.windmill && cl.reason == "":
		cl.reason, cl.message = AlreadyUsed, "a windmill counts once in a program and was tried before"
	case blocked && cl.reason == "":
		c.warn.rest(&c.rules.UsedVariation.Clause)
		cl.reason, cl.rule = UsedVariation, &c.rules.UsedVariation.Clause
		cl.message = "the variation was used before in this program, and in a used variation this feature does not count"
	}
	if windmill {
		c.used.windmill = true
	}
	if rule.Limit == rules.ByAttempt || cl.reason == "" {
		c.useUp(cl.feature, rule)
	}
}

func (c *collector) useUp(f rules.SpinFeature, rule *rules.FeatureRule) {
	c.spinUses[f] = true
	c.used.features[f]++
	if rule.Group == "" {
		return
	}
	for other, r := range c.rules.Features {
		if other != f && r.Group == rule.Group {
			c.used.features[other]++
		}
	}
}

// sharedWith names a feature of this spin that takes the place of f.
func (c *collector) sharedWith(f rules.SpinFeature, rule *rules.FeatureRule) rules.SpinFeature {
	counts := func(cl claim) bool { return cl.feature == rule.ApartFrom && cl.reason == "" }
	if rule.ApartFrom != "" && slices.ContainsFunc(c.claims, counts) {
		return rule.ApartFrom
	}
	if rule.Group == "" {
		return ""
	}
	for _, other := range rules.SpinFeatures {
		if r := c.rules.Features[other]; other != f && r != nil && r.Group == rule.Group && c.spinUses[other] {
			return other
		}
	}
	return ""
}

// windmill tells whether the feature was done as a windmill: as the entrance,
// the exit, a difficult change of position or a non-basic variation.
func (c *collector) windmill(f rules.SpinFeature, p *part) bool {
	if p == nil || !p.has(HasWindmill) {
		return false
	}
	switch f {
	case rules.DifficultEntrance, rules.DifficultExit, rules.DifficultChangeOfPosition:
		return true
	}
	return false
}

// entry claims the flying entry and the entrance, on the first foot.
func (c *collector) entry(s *Spin) {
	first := &c.sh.feet[0][0]
	soon := c.rules.Revolutions.Reach
	if s.Flying == DifficultFlying {
		cl := claim{feature: rules.DifficultFlyingEntry, at: "flying"}
		if !c.sh.reaches(0, 0, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		}
		c.add(&cl, first, false)
	}
	rule := c.rules.Features[rules.DifficultEntrance]
	if rule == nil {
		if s.DifficultEntrance {
			c.add(&claim{feature: rules.DifficultEntrance, at: "difficultEntrance"}, first, true)
		}
		return
	}
	ontoCamel := (s.Flying == PlainFlying || s.Flying == StepOver) && c.sh.firstBasic() == Camel
	flyingCamel := ontoCamel && s.Flying == PlainFlying
	path := "difficultEntrance"
	switch {
	case s.DifficultEntrance:
	case s.BackwardEntry:
		path = "backwardEntry"
	case flyingCamel && slices.Contains(rule.Entries, rules.FlyingCamelEntry):
		path = "flying"
	}
	cl := claim{feature: rules.DifficultEntrance, at: path}
	switch {
	case flyingCamel && slices.Contains(rule.Entries, rules.FlyingCamelEntry):
		if !c.sh.reaches(0, 0, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		}
		c.add(&cl, first, false)
	case !s.DifficultEntrance && !s.BackwardEntry:
		return
	case !(s.DifficultEntrance && slices.Contains(rule.Entries, rules.DifficultEntry)) &&
		!(s.BackwardEntry && slices.Contains(rule.Entries, rules.BackwardEntry)):
		cl.reason, cl.message = NotThisSeason, "a plain backward entrance is not a feature in this season; it is not used up"
		if s.DifficultEntrance {
			cl.message = "in this season only a backward entrance is a feature: report one as a backward entrance; it is not used up"
		}
		c.add(&cl, first, true)
	case s.Flying == DifficultFlying:
		cl.reason, cl.message = SharedFeature, "the entrance is both difficult and flying: only the flying one can count"
		c.add(&cl, first, true)
	case ontoCamel:
		cl.reason, cl.message = WrongPosition, "an entrance into an ordinary flying camel counts for nothing; it is not used up"
		c.add(&cl, first, true)
	default:
		if !c.sh.combination && !c.sh.reaches(0, 0, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		}
		c.add(&cl, first, false)
	}
}

const secondChange = "only the first change of foot can be a feature"

func (c *collector) changeOfFoot(f int) {
	foot := &c.sh.spin.Feet[f]
	path := fmt.Sprintf("feet[%d]", f)
	soon := c.rules.Revolutions.Reach
	first := &c.sh.feet[f][0]
	if foot.Change == ByJump {
		cl := claim{feature: rules.ChangeOfFootByJump, at: path + ".change", foot: f}
		if !c.sh.reaches(f, 0, soon) {
			cl.reason, cl.message = WrongPosition, notReached(soon)
		} else if f > 1 {
			cl.reason, cl.message = LimitPerSpin, secondChange
		}
		c.add(&cl, first, false)
	}
	if !foot.DirectionReversed {
		return
	}
	before := &c.sh.feet[f-1][len(c.sh.feet[f-1])-1]
	cl := claim{feature: rules.BothDirections, at: path + ".directionReversed", foot: f}
	// A variation that is kept through the reversal is used by it once.
	cl.inUsed = before.used || first.used && first.Variation != before.Variation
	if rule := c.rules.Features[rules.BothDirections]; rule != nil {
		held := c.rules.Revolutions.Position
		switch {
		case f > 1:
			cl.reason, cl.message = LimitPerSpin, secondChange
		case !before.in(rule.In, c.sh.combination) || !first.in(rule.In, c.sh.combination):
			cl.reason, cl.message = WrongPosition, "both directions count only in these positions: "+placeWords(rule.In)
		case !rule.Mixed && before.family() != first.family():
			cl.reason, cl.message = WrongPosition, "the position must be the same in both directions"
		case sum(c.sh.feet[f-1]) < rule.MinRevolutions || sum(c.sh.feet[f]) < rule.MinRevolutions:
			cl.reason, cl.message = TooFew, "each direction needs "+turns(rule.MinRevolutions)
		case c.sh.heldIn(before, rule.In) < held || c.sh.heldIn(first, rule.In) < held:
			cl.reason, cl.message = TooFew, "the positions before and after the reversal need "+turns(held)+" each"
		}
	}
	c.add(&cl, first, false)
}

// allPositions finds all three basic positions on the second foot.
func (c *collector) allPositions() {
	rule := c.rules.Features[rules.AllPositionsOnSecondFoot]
	if rule == nil || !c.sh.combination {
		return
	}
	cl := claim{feature: rules.AllPositionsOnSecondFoot, foot: 1, at: "feet[1]"}
	if rule.Feet == rules.AnyFoot {
		if len(c.sh.held) < 3 {
			return
		}
		cl.at, cl.foot = "", len(c.sh.feet)-1
	} else if len(c.sh.feet) < 2 || !c.threeOn(c.sh.feet[1], rule) {
		return
	}
	c.add(&cl, nil, false)
}

func (c *collector) threeOn(foot []part, rule *rules.FeatureRule) bool {
	var held []PositionKind
	for i := range foot {
		p := &foot[i]
		if rule.BrokenByJump && p.has(HasJump) {
			c.warn.rest(&rule.Clause)
			held = nil
		}
		if p.basic() && p.position >= c.rules.Revolutions.Position {
			if held = appendOnce(held, p.family()); len(held) == 3 {
				return true
			}
		}
	}
	return false
}
