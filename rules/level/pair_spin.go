package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// pairSpin is a pair spin taken apart: each partner's part as a spin.
type pairSpin struct {
	spin       *PairSpin
	woman, man *shape
}

// callPairSpin calls a pair spin, or a pair combination spin when a partner
// changes the position.
func (c *countedCall) callPairSpin(s *PairSpin) Called {
	lengths := &spinRules{SpinRules: &rules.SpinRules{Revolutions: rules.SpinRevolutions{Position: c.rules.Position.Revolutions}}}
	p := &pairSpin{spin: s, woman: newShape(lengths, s.spin(womanOf), new(usage)), man: newShape(lengths, s.spin(manOf), new(usage))}
	c.warn.rest(&c.rules.Position.Clause)
	combination := p.woman.combination || p.man.combination
	code := "PSp"
	if combination {
		code = "PCoSp"
	}
	fault := c.pairSpinFault(p, combination)
	if fault != nil && fault.effect == rules.FaultNoLevel {
		return Called{Code: code, NoValue: true, Notes: []string{faultNotes[fault.kind] + ": " + effectNotes[fault.effect] + "."}}
	}
	call, level := c.call(c.found(p))
	call.Code = code + level.String()
	if fault != nil {
		c.warn.rest(&c.rules.Reduced.Clause)
		call.Code += c.rules.Reduced.Signs[0]
		call.Reduced = true
		call.Notes = append(call.Notes, faultNotes[fault.kind]+": "+effectNotes[fault.effect]+".")
	}
	return call
}

// pairSpinFault finds what takes from a pair spin: basic positions that one of
// the partners lacks.
func (c *countedCall) pairSpinFault(p *pairSpin, combination bool) *fault {
	kind := rules.SpinFault("")
	switch held := min(len(p.woman.held), len(p.man.held)); {
	case held == 0:
		kind = rules.NoBasicPosition
	case combination && held == 1:
		kind = rules.OneBasicPosition
	case combination && held == 2:
		kind = rules.TwoPositions
	}
	rule := c.rules.Faults[kind]
	if rule == nil || rule.Effect == rules.FaultNone {
		return nil
	}
	c.warn.rest(&rule.Clause)
	return &fault{kind: kind, effect: rule.Effect}
}

// found lists the features of a pair spin.
func (c *countedCall) found(p *pairSpin) []shown {
	var list []shown
	if p.spin.BackwardEdgeEntrance {
		list = append(list, shown{feature: rules.BackwardEdgeEntry, at: "backwardEdgeEntrance"})
	}
	if rule, n := c.rules.Features[rules.ChangesOfPosition], min(p.woman.changes(), p.man.changes()); rule != nil && n > 0 {
		s := shown{feature: rules.ChangesOfPosition}
		if n < rule.Least {
			s.reason = Incomplete
			s.message = fmt.Sprintf("both partners changed the basic position %s; %d changes of both are needed", times(n), rule.Least)
		}
		list = append(list, s)
	}
	list = append(list, c.variations(p)...)
	if p.spin.BothDirections {
		list = append(list, shown{feature: rules.PairBothDirections, at: "bothDirections"})
	}
	if rule := c.rules.Features[rules.SixRevolutions]; rule != nil {
		if at := p.unchanged(rule); at != "" {
			list = append(list, shown{feature: rules.SixRevolutions, at: at})
		}
	}
	return list
}

// changes counts the changes between basic positions that were held.
func (sh *shape) changes() int {
	var last PositionKind
	n := 0
	sh.each(func(p *part) {
		if !p.basic() || p.windUp || p.position < sh.least || p.family() == last {
			return
		}
		if last != "" {
			n++
		}
		last = p.family()
	})
	return n
}

// varied counts a partner's different difficult variations that were held: of
// basic positions, and of others.
func (sh *shape) varied() (basic, other int) {
	var seen []Variation
	sh.each(func(p *part) {
		if p.Variation == "" || p.variation < sh.least || slices.Contains(seen, p.Variation) {
			return
		}
		seen = append(seen, p.Variation)
		if p.basic() {
			basic++
		} else {
			other++
		}
	})
	return basic, other
}

// variations claims the difficult variations of both partners, and the further
// one that builds on them.
func (c *countedCall) variations(p *pairSpin) []shown {
	womanBasic, womanOther := p.woman.varied()
	manBasic, manOther := p.man.varied()
	enough := func(rule *rules.PairFeatureRule) bool {
		// The non-basic variations that may count go to either partner.
		for woman := range min(womanOther, rule.MaxNonBasic) + 1 {
			man := min(manOther, rule.MaxNonBasic-woman)
			w, m := womanBasic+woman, manBasic+man
			if w+m >= rule.Least && w >= rule.EachPartner && m >= rule.EachPartner {
				return true
			}
		}
		return false
	}
	all := womanBasic + womanOther + manBasic + manOther
	rule := c.rules.Features[rules.VariationsOfBoth]
	if rule == nil || all == 0 {
		return nil
	}
	s := shown{feature: rules.VariationsOfBoth}
	if !enough(rule) {
		s.reason = Incomplete
		s.message = fmt.Sprintf("difficult variations held: %d; needed are %d, at least %d of each partner and at most %d non-basic", all, rule.Least, rule.EachPartner, rule.MaxNonBasic)
		return []shown{s}
	}
	if further := c.rules.Features[rules.FurtherVariation]; further != nil && enough(further) {
		return []shown{s, {feature: rules.FurtherVariation}}
	}
	return []shown{s}
}

// unchanged finds where both partners hold their positions long enough without
// any change, and returns the path of its first position.
func (p *pairSpin) unchanged(rule *rules.PairFeatureRule) string {
	positions := p.spin.Positions
	fits := func(own PartnerPosition) bool {
		one := part{Position: &Position{Position: own.Position, Variation: own.Variation}}
		return one.in(rule.In, true)
	}
	for i := 0; i < len(positions); {
		first, total := &positions[i], positions[i].Revolutions
		end := i + 1
		for end < len(positions) && positions[end].Woman == first.Woman && positions[end].Man == first.Man && !positions[end].ChangeOfFoot {
			total += positions[end].Revolutions
			end++
		}
		if total >= rule.MinRevolutions && fits(first.Woman) && fits(first.Man) {
			return fmt.Sprintf("positions[%d]", i)
		}
		i = end
	}
	return ""
}
