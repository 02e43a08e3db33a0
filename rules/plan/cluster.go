package plan

import "math/bits"

// A cluster are elements of a choice that can repeat each other's jumps. Where more
// elements never make others worth more, a layout is worth no more than its clusters by
// themselves, each in the order of the layout. That bound is nearly exact, and the same
// clusters come again and again.

// maxCluster is the largest cluster that is remembered.
const maxCluster = 8

// cluster names the elements of a cluster with their modes, in order.
type cluster [maxCluster]uint16

// clusters finds the clusters of a choice, as sets of its elements.
func clusters(chosen []*option) []uint64 {
	var sets, keys []uint64
	for i, o := range chosen {
		set, all := uint64(1)<<i, o.keys
		for c := 0; c < len(sets); {
			if keys[c]&all == 0 {
				c++
				continue
			}
			set, all = set|sets[c], all|keys[c]
			last := len(sets) - 1
			sets[c], keys[c] = sets[last], keys[last]
			sets, keys = sets[:last], keys[:last]
			c = 0
		}
		sets, keys = append(sets, set), append(keys, all)
	}
	return sets
}

// bound is the most that the joint mean of an arrangement of a steady program can be.
func (a *arranging) bound(modes []mode) micro {
	var sum micro
	for _, set := range a.clusters {
		sum += a.clustered(set, modes)
	}
	return sum
}

// clustered is the mean of one cluster by itself.
func (a *arranging) clustered(set uint64, modes []mode) micro {
	own := a.part[:0]
	altered := false
	for rest := set; rest != 0; rest &= rest - 1 {
		i := bits.TrailingZeros64(rest)
		own = append(own, placed{a.elements[i], modes[i]})
		altered = altered || a.elements[i].altered
	}
	a.part = own
	own = arranged(own)
	if len(own) > maxCluster {
		return a.patterns(own).atMost(a.memory)
	}
	var name cluster
	for i, x := range own {
		name[i] = uint16(x.ability+1)<<2 | uint16(x.mode)
	}
	known := a.known
	if altered {
		known = a.ownKnown
	}
	value, has := known[name]
	if !has {
		value = a.patterns(own).atMost(a.memory)
		known[name] = value
	}
	return value
}
