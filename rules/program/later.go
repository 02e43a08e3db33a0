package program

import "math/bits"

// noJumps is how many numbers below those of the jumps stand for none.
const noJumps = 7

// Later is what elements that still come can look at. Tallies that differ only in what
// none of them looks at credit them alike.
type Later struct {
	jumps        uint64 // by number
	combinations int    // how many can count as one
	long         int    // how many can have the most jumps
}

// Later is what an element can look at.
func (r *Content) Later(e *Entry) Later {
	var l Later
	if !e.jump {
		return l
	}
	for _, j := range e.jumps[:e.n] {
		l.jumps |= 1 << j.key
	}
	if rule := r.layout.Combinations; rule != nil && int(e.n) >= rule.Jumps {
		l.long = 1
	}
	if e.combined || r.layout.Alone != nil || r.layout.Repeats != nil && r.layout.Repeats.TakesCombination {
		l.combinations = 1
	}
	return l
}

// Or is what one of two outcomes of an element can look at.
func (l Later) Or(o Later) Later {
	return Later{l.jumps | o.jumps, max(l.combinations, o.combinations), max(l.long, o.long)}
}

// And is what two elements can look at.
func (l Later) And(o Later) Later {
	return Later{l.jumps | o.jumps, l.combinations + o.combinations, l.long + o.long}
}

// Forget drops what nothing that still comes looks at: executions of jumps that do not
// come again, and the number of combinations where all that come have room.
func (t *Tally) Forget(l Later) {
	for gone := t.executed &^ l.jumps; gone != 0; gone &= gone - 1 {
		t.times[bits.TrailingZeros64(gone)] = 0
	}
	t.executed &= l.jumps
	t.alone &= l.jumps
	t.earlier &= l.jumps
	// Of repeated jumps only the number counts: numbers of no jump stand for those.
	if gone := bits.OnesCount64(t.repeated &^ l.jumps); gone <= noJumps {
		t.repeated = t.repeated&l.jumps | (1<<gone - 1)
	}
	if rule := t.of.layout.Combinations; rule != nil {
		if int(t.combinations)+l.combinations <= rule.Max {
			t.combinations = 0
		}
		if int(t.long)+l.long <= rule.Long {
			t.long = 0
		}
	}
}
