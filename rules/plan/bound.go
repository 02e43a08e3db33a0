package plan

import (
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/value"
)

// bound is the most that the options from one on can add to a choice: how many of
// each fit into the places of its box, the combinations and the limited places of the
// second half that are left. Repeated jumps and the required jump are not looked at.
type bound struct {
	table  []micro // of the options in the same box, by places, combinations and late places
	joined int     // combinations that a program may have
	late   int
	rest   micro // of the boxes behind
}

func (b *bound) at(places, joined, late int) *micro {
	return &b.table[(places*(b.joined+1)+joined)*(b.late+1)+late]
}

// over is the most that a choice can become.
func (b *bound) over(n *node) micro {
	best := lowest
	joined := max(b.joined-n.joined, 0)
	for taken := 0; taken <= min(b.late, len(n.gains)); taken++ {
		best = max(best, n.most(taken)+*b.at(n.places, joined, b.late-taken))
	}
	return best + b.rest
}

// bound makes the bounds of all options, the last first.
func (s *search) bound() {
	_, boxes := s.content.Boxes()
	joined := value.MaxElements
	if rule := s.content.Layout().Combinations; rule != nil && rule.Extra != rules.EffectNone {
		joined = rule.Max
	}
	s.bounds = make([]bound, len(s.order))
	for i := len(s.order) - 1; i >= 0; i-- {
		o := s.order[i]
		most := boxes[o.box()].Max
		b := &s.bounds[i]
		*b = bound{joined: min(joined, most), late: s.late}
		if !o.entry().Jump() {
			b.joined = 0
		}
		b.table = make([]micro, (most+1)*(b.joined+1)*(b.late+1))
		var behind *bound
		if i+1 < len(s.order) {
			if next := s.order[i+1]; next.box() == o.box() {
				behind, b.rest = &s.bounds[i+1], s.bounds[i+1].rest
			} else {
				b.rest = s.full(i + 1)
			}
		}
		s.fill(b, behind, o, most)
	}
}

// fill finds what an option and those behind it in its box can add at most.
func (s *search) fill(b, behind *bound, o *option, most int) {
	plain, gain := s.split(o)
	combined := 0
	if o.entry().Combined() {
		combined = 1
	}
	for places := range most + 1 {
		for joined := range b.joined + 1 {
			for late := range b.late + 1 {
				best := lowest
				for copies := o.least; copies <= o.most; copies++ {
					left, open := places-copies*o.entry().Weight(), joined-copies*combined
					if left < 0 || open < 0 {
						break
					}
					for taken := range min(copies, late) + 1 {
						more := micro(copies)*plain + micro(taken)*gain
						if behind != nil {
							more += *behind.at(left, open, late-taken)
						}
						best = max(best, more)
					}
				}
				*b.at(places, joined, late) = max(best, lowest)
			}
		}
	}
}

// latePlaces is how many limited places of the second half are worth taking: those
// with the bonus, or all that are allowed where the second half is better even without
// or elements are kept in it.
func (s *search) latePlaces() int {
	if s.bonuses < 0 {
		return s.planner.later
	}
	for _, o := range s.order {
		if o.halves && (o.values[secondHalf] > o.values[firstHalf] || o.kept[1] > 0) {
			return max(s.planner.later, s.bonuses)
		}
	}
	return s.bonuses
}

// full is the most that the options from i on can add to nothing.
func (s *search) full(i int) micro {
	if i == len(s.order) {
		return 0
	}
	_, boxes := s.content.Boxes()
	b := &s.bounds[i]
	return *b.at(boxes[s.order[i].box()].Max, b.joined, b.late) + b.rest
}
