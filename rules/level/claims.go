package level

import (
	"fmt"
	"slices"
	"strconv"

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
	*spinCall
	*verdict
	used     *usage
	spinUses []rules.SpinFeature // used up within this spin
}

func (c *collector) collect() {
	c.look(atEntry, &c.sh.feet[0][0])
	for f, foot := range c.sh.feet {
		if f > 0 {
			c.look(atChange, &foot[0])
		}
		for i := range foot {
			p := &foot[i]
			if p.has(HasWindmill) && !c.windmillHasRole(p) {
				c.notes = append(c.notes, c.windmillRoles())
			}
			c.look(inPosition, p)
		}
	}
	c.look(atEnd, c.lastPart())
	if c.sh.vain {
		c.notes = append(c.notes, "The final upright is only a wind-up, so features in it do not count.")
	}
}

// look puts forward the features of a stage at a position; those that a panel
// reports in a position, where it did.
func (c *collector) look(s stage, p *part) {
	list := byStage[s]
	if len(p.Features) == 0 {
		list = unreported[s]
	}
	for _, f := range list {
		if f.report == "" || p.has(f.report) {
			f.claim(c, c.rules.features[f.index], p)
		}
	}
}

func (c *collector) claim(f rules.SpinFeature, p *part) claim {
	return claim{feature: f, at: p.path(), foot: p.foot % 2, family: p.family(), inUsed: p.used}
}

func (c *collector) windmillHasRole(p *part) bool {
	spin := c.sh.spin
	return p.has(HasHardChange) || p.Variation == NonBasicVaried ||
		spin.DifficultEntrance && p.foot == 0 && p.index == 0 ||
		spin.DifficultExit && p == c.lastPart()
}

// windmillRoles says as what a windmill counts.
func (c *collector) windmillRoles() string {
	if rule := c.rules.Features[rules.DifficultEntrance]; rule != nil && rule.WindmillNeedsBlade {
		return "A windmill counts only as a difficult change of position, a difficult non-basic position or, with the blade caught, as the entrance or the exit."
	}
	return "A windmill counts only as the entrance, the exit, a difficult change of position or a difficult non-basic position."
}

// bareWindmill reports whether a windmill with which a spin begins or ends is no other
// feature and was done without the blade caught.
func (p *part) bareWindmill() bool {
	return p.has(HasWindmill) && !p.has(HasBlade) && !p.has(HasHardChange) && p.Variation != NonBasicVaried
}

// bareWindmill refuses a windmill without the blade caught. It is the program's
// first attempt at a windmill all the same.
func (c *collector) bareWindmill(cl *claim, rule *rules.FeatureRule, p *part, as string) {
	cl.reason = NotThisSeason
	cl.message = "in this season a windmill is " + as + " only with the blade caught; the windmill is used up, the feature is not"
	c.used.windmill = true
	c.add(cl, rule, p, true)
}

// heldReport claims what a panel reports in a position that must be one of the
// rule's places and held.
func (c *collector) heldReport(f rules.SpinFeature, rule *rules.FeatureRule, p *part) {
	cl, ignored := c.claim(f, p), false
	if least := c.rules.Revolutions.Position; rule != nil {
		if !p.in(rule.In, c.sh.combination) {
			cl.reason, cl.message = WrongPosition, fmt.Sprintf("%s counts only in: %s", inner(f), placeWords(rule.In))
			ignored = rule.WrongPlace == rules.WrongPlaceIgnored
		} else if held := c.sh.heldIn(p, rule.In); held < least {
			cl.reason, cl.message = TooFew, fmt.Sprintf("the position was held %s and needs %s for a feature in it", turns(held), turns(least))
		}
	}
	c.add(&cl, rule, p, ignored)
}

func at(foot, position int) string {
	if foot < len(places) && position < len(places[0]) {
		return places[foot][position]
	}
	return place(foot, position)
}

// footPath is the path of what is said about a foot as a whole.
func footPath(foot int, what string) string { return "feet[" + strconv.Itoa(foot) + "]." + what }

func place(foot, position int) string { return fmt.Sprintf("feet[%d].positions[%d]", foot, position) }

// places are the addresses that nearly all spins have, written once: what would bring
// the next level asks for them again and again.
var places = func() (made [2][12]string) {
	for foot := range made {
		for position := range made[foot] {
			made[foot][position] = place(foot, position)
		}
	}
	return made
}()

func (p *part) path() string { return at(p.foot, p.index) }

func (c *collector) lastPart() *part {
	foot := c.sh.feet[len(c.sh.feet)-1]
	return &foot[len(foot)-1]
}

// add judges a claim that is already refused (reason set) or else still open,
// by the limits over the program. Unless ignored, it uses the feature up.
func (c *collector) add(cl *claim, rule *rules.FeatureRule, p *part, ignored bool) {
	cl.foot %= 2
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
	cl.reason, cl.message = NotThisSeason, begins(cl.feature)+" is not a feature in this season"
	cl.rule = &c.rules.List
	if instead := c.rules.Instead[cl.feature]; instead != nil {
		cl.message += ": " + instead.Words
		cl.rule = &instead.Clause
		c.warn.rest(&instead.Clause)
	}
}

// limit applies what the program and this spin used up before, and uses up.
func (c *collector) limit(cl *claim, rule *rules.FeatureRule, p *part) {
	windmill := p.has(HasWindmill) && byName[cl.feature].windmill
	blocked := c.rules.UsedVariation != nil && cl.inUsed && slices.Contains(c.rules.UsedVariation.Blocks, cl.feature)
	other := c.sharedWith(cl.feature, rule)
	switch {
	case cl.reason == "" && other != "":
		cl.reason = SharedFeature
		cl.message = fmt.Sprintf("%s and %s do not both count in one spin; the first one tried is taken", begins(cl.feature), inner(other))
	case rule.Limit != rules.NoLimit && often(c.used.features, cl.feature) >= max(1, rule.Times):
		cl.reason, cl.message = AlreadyUsed, usedUpWords(cl.feature, rule)
	case slices.Contains(c.spinUses, cl.feature):
		cl.reason, cl.message = AlreadyUsed, begins(cl.feature)+" counts once in a spin"
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
	c.spinUses = append(c.spinUses, f)
	c.used.features = append(c.used.features, f)
	if rule.Group == "" {
		return
	}
	for _, other := range features {
		if r := c.rules.features[other.index]; other.name != f && r != nil && r.Group == rule.Group {
			c.used.features = append(c.used.features, other.name)
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
	for _, other := range features {
		if r := c.rules.features[other.index]; other.name != f && r != nil && r.Group == rule.Group && slices.Contains(c.spinUses, other.name) {
			return other.name
		}
	}
	return ""
}

// notCalled lists what was reported from a foot on, where that part of a spin,
// or the whole of it, is not called. It counts for nothing and is not used up.
func notCalled(s *Spin, from int, rule *rules.Clause) []claim {
	var list []claim
	look := func(stage stage, m moment) {
		for _, f := range byStage[stage] {
			if path := f.seen(s, m); path != "" {
				list = append(list, claim{
					feature: f.name, at: path, reason: NotCalled, rule: rule,
					message: "this part of the spin is not called, so nothing in it counts; it is not used up",
				})
			}
		}
	}
	if from == 0 {
		look(atEntry, moment{})
	}
	for f := from; f < len(s.Feet); f++ {
		look(atChange, moment{foot: f})
		for i := range s.Feet[f].Positions {
			look(inPosition, moment{foot: f, index: i})
		}
	}
	look(atEnd, moment{})
	return list
}
