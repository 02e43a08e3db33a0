package level

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// shape is a spin taken apart: what kind it is and how long each position is held.
type shape struct {
	spin        *Spin
	feet        [][]part
	parts       []part // of all feet, one foot behind the other
	flying      bool
	change      bool // with change of foot
	combination bool
	held        []PositionKind // basic positions held long enough, each once
	family      PositionKind   // of a spin in one position; "" for a combination
	letter      string         // of the code: U, L, C, S or Co
	total       rules.Revolutions
	least       rules.Revolutions // a position must be held so long
	vain        bool              // something was tried in the wind-up that makes it no position
}

// part is one position as it was skated, with the lengths of the unbroken
// stretches that it belongs to.
type part struct {
	*Position
	foot, index int
	first       bool              // begins the unbroken stretch of its variation
	position    rules.Revolutions // unbroken in the same position
	variation   rules.Revolutions // unbroken in the same position and variation
	unchanged   rules.Revolutions // unbroken in the same position, variation, lean and edge
	last        bool              // ends the stretch without any change
	windUp      bool              // the final upright of a spin in one position
	used        bool              // its variation was tried before this stretch of it began
}

// family returns the basic position that a position belongs to, or NonBasic.
func family(k PositionKind) PositionKind {
	if k == Layback {
		return Upright
	}
	return k
}

func basicPlace(k PositionKind) rules.SpinPlace {
	switch k {
	case Camel:
		return rules.InCamel
	case Sit:
		return rules.InSit
	case Layback:
		return rules.InLayback
	case Upright:
		return rules.InUpright
	}
	return ""
}

func (p *part) basic() bool { return p.Position.Position != NonBasic }

func (p *part) family() PositionKind { return family(p.Position.Position) }

// layback reports whether the position is a layback; a Biellmann out of one is none.
func (p *part) layback() bool {
	return p.Position.Position == Layback && p.Variation != Biellmann
}

func (p *part) lean() Lean {
	if p.Lean == "" && p.layback() {
		return Backward
	}
	return p.Lean
}

// in reports whether the position is one of the places of a rule.
func (p *part) in(places []rules.SpinPlace, combination bool) bool {
	for _, place := range places {
		if p.is(place, combination) {
			return true
		}
	}
	return false
}

func (p *part) is(place rules.SpinPlace, combination bool) bool {
	kind := p.Position.Position
	switch place {
	case rules.InCamel:
		return kind == Camel
	case rules.InSit:
		return kind == Sit
	case rules.InUpright:
		return kind == Upright
	case rules.InLayback:
		return p.layback()
	case rules.InBiellmann:
		return p.Variation == Biellmann
	case rules.InUprightVariation:
		return kind == Upright && p.Variation != "" && p.Variation != Biellmann
	case rules.InVariation:
		return p.basic() && p.Variation != ""
	case rules.InNonBasic:
		return kind == NonBasic && p.Variation != "" && combination
	}
	return false
}

// newShape takes a spin apart by the season's lengths. What the program used up
// before decides whether something is done in a final upright.
func newShape(r *spinRules, s *Spin, used *usage) *shape {
	sh := new(shape)
	sh.read(r, s, used)
	return sh
}

// read makes it the shape of a spin, in the memory that it has.
func (sh *shape) read(r *spinRules, s *Spin, used *usage) {
	positions := 0
	for f := range s.Feet {
		positions += len(s.Feet[f].Positions)
	}
	*sh = shape{
		spin:   s,
		feet:   slices.Grow(sh.feet[:0], len(s.Feet)),
		parts:  slices.Grow(sh.parts[:0], positions),
		held:   sh.held[:0],
		flying: s.Flying != "" && s.Flying != NotFlying,
		change: len(s.Feet) > 1,
		least:  r.Revolutions.Position,
	}
	for f := range s.Feet {
		first := len(sh.parts)
		for i := range s.Feet[f].Positions {
			p := &s.Feet[f].Positions[i]
			sh.parts = append(sh.parts, part{Position: p, foot: f, index: i})
			sh.total += p.Revolutions
		}
		parts := slices.Clip(sh.parts[first:])
		measure(parts, r.Revolutions.Position)
		sh.feet = append(sh.feet, parts)
	}
	sh.markUsed(used)
	sh.markWindUp(r, used)
	sh.classify()
}

// forget lets go of the spin.
func (sh *shape) forget() {
	sh.spin = nil
	clear(sh.parts[:cap(sh.parts)])
}

// measure adds up the unbroken stretches. A jump breaks a position; a change
// of edge breaks only the stretch without any change. An edge that changes
// inside a described position leaves at least the shortest held length on the
// other edge, which is taken off; after the same position, given once more, the
// change lies between the two.
func measure(parts []part, held rules.Revolutions) {
	position, variation, unchanged := 0, 0, 0 // where the stretches begin
	for end := 1; end <= len(parts); end++ {
		var samePosition, sameVariation, same bool // as the position before
		if end < len(parts) && !parts[end].has(HasJump) {
			a, b := &parts[end-1], &parts[end]
			samePosition, sameVariation = a.family() == b.family(), a.alike(b)
			same = sameVariation && a.lean() == b.lean() && !b.has(HasEdgeChange)
		}
		if !samePosition {
			for total := sum(parts[position:end]); position < end; position++ {
				parts[position].position = total
			}
		}
		if !sameVariation {
			parts[variation].first = true
			for total := sum(parts[variation:end]); variation < end; variation++ {
				parts[variation].variation = total
			}
		}
		if !same {
			total := sum(parts[unchanged:end])
			if edgeWithin(parts, unchanged) {
				total -= held
			}
			parts[end-1].last = true
			for ; unchanged < end; unchanged++ {
				parts[unchanged].unchanged = total
			}
		}
	}
}

// alike reports whether two positions are the same in the same variation.
func (p *part) alike(q *part) bool {
	return p.Position.Position == q.Position.Position && p.Variation == q.Variation
}

// edgeWithin reports whether the edge changes inside of a position, not between it and
// the one before.
func edgeWithin(parts []part, i int) bool {
	if !parts[i].has(HasEdgeChange) {
		return false
	}
	return i == 0 || !parts[i-1].alike(&parts[i]) || parts[i-1].lean() != parts[i].lean() || parts[i].has(HasJump)
}

func sum(parts []part) rules.Revolutions {
	var total rules.Revolutions
	for i := range parts {
		total += parts[i].Revolutions
	}
	return total
}

func (sh *shape) classify() {
	const families = 3
	tried := make([]PositionKind, 0, families)
	sh.held = slices.Grow(sh.held, families)
	layback := false
	for i := range sh.parts {
		p := &sh.parts[i]
		if !p.basic() || p.windUp {
			continue
		}
		tried = appendOnce(tried, p.family())
		if p.position >= sh.least {
			sh.held = appendOnce(sh.held, p.family())
		}
		layback = layback || p.layback()
	}
	sh.combination = len(tried) != 1
	switch {
	case sh.combination:
		sh.letter = "Co"
	case tried[0] == Camel:
		sh.letter, sh.family = "C", Camel
	case tried[0] == Sit:
		sh.letter, sh.family = "S", Sit
	case layback:
		sh.letter, sh.family = "L", Upright
	default:
		sh.letter, sh.family = "U", Upright
	}
}

func appendOnce(list []PositionKind, k PositionKind) []PositionKind {
	if slices.Contains(list, k) {
		return list
	}
	return append(list, k)
}

// each visits all positions in the order skated.
func (sh *shape) each(visit func(*part)) {
	for i := range sh.parts {
		visit(&sh.parts[i])
	}
}

// firstBasic is the first basic position of a spin, or "".
func (sh *shape) firstBasic() PositionKind {
	for i := range sh.feet[0] {
		if p := &sh.feet[0][i]; p.basic() {
			return p.Position.Position
		}
	}
	return ""
}

func (sh *shape) kind() rules.SpinKind {
	switch {
	case sh.combination && sh.change:
		return rules.CombinationChange
	case sh.combination:
		return rules.Combination
	case sh.change:
		return rules.OnePositionChange
	}
	return rules.OnePosition
}

// layback reports whether this is a layback spin.
func (sh *shape) layback() bool { return sh.letter == "L" }

// skeleton is the code without level and signs, such as FCCoSp.
type skeleton struct {
	flying, change bool
	letter         string
}

func (s skeleton) String() string {
	code := ""
	if s.flying {
		code = "F"
	}
	if s.change {
		code += "C"
	}
	return code + s.letter + "Sp"
}

func (sh *shape) skeleton() skeleton { return skeleton{sh.flying, sh.change, sh.letter} }

// nonBasicHeld reports whether a non-basic position is held as long as a basic one
// that counts.
func (sh *shape) nonBasicHeld() bool {
	held := false
	sh.each(func(p *part) { held = held || !p.basic() && p.position >= sh.least })
	return held
}

// basicOn reports whether a basic position is held on a foot; in a spin in one
// position the final upright is none.
func (sh *shape) basicOn(foot int, least rules.Revolutions) bool {
	for i := range sh.feet[foot] {
		if p := &sh.feet[foot][i]; p.basic() && !p.windUp && p.position >= least {
			return true
		}
	}
	return false
}

// revolutionsOn counts the revolutions of a foot. A final wind-up does not fill
// them up; where no basic position is held, that is the fault and not the
// number of revolutions (a published answer of 2014-15 counts them all there).
func (sh *shape) revolutionsOn(foot int) rules.Revolutions {
	total := sum(sh.feet[foot])
	if !sh.basicOn(foot, sh.least) {
		return total
	}
	for i := range sh.feet[foot] {
		if p := &sh.feet[foot][i]; p.windUp {
			total -= p.Revolutions
		}
	}
	return total
}

// heldIn returns how long the skater stays in one of the places of a rule around
// a position, without a break.
func (sh *shape) heldIn(p *part, places []rules.SpinPlace) rules.Revolutions {
	var longest rules.Revolutions
	for _, place := range places {
		switch {
		case !p.is(place, sh.combination):
		case place == rules.InLayback:
			longest = max(longest, sh.stay(p, func(q *part) bool { return q.is(place, sh.combination) }))
		case place == rules.InCamel, place == rules.InSit, place == rules.InUpright:
			longest = max(longest, p.position)
		default:
			longest = max(longest, p.variation)
		}
	}
	return longest
}

// stay adds up the neighbours of a position that are alike, up to a jump.
func (sh *shape) stay(p *part, alike func(*part) bool) rules.Revolutions {
	parts := sh.feet[p.foot]
	total := p.Revolutions
	for i := p.index; i > 0 && !parts[i].has(HasJump) && alike(&parts[i-1]); i-- {
		total += parts[i-1].Revolutions
	}
	for i := p.index + 1; i < len(parts) && !parts[i].has(HasJump) && alike(&parts[i]); i++ {
		total += parts[i].Revolutions
	}
	return total
}

// reaches reports whether a basic position is reached soon enough when the
// skater comes to the position i of a foot.
func (sh *shape) reaches(foot, i int, soon rules.Revolutions) bool {
	var before rules.Revolutions
	for ; i < len(sh.feet[foot]); i++ {
		p := &sh.feet[foot][i]
		if p.basic() && !p.windUp && before <= soon {
			return true
		}
		before += p.Revolutions
	}
	return false
}
