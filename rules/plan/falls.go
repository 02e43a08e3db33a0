package plan

// falling is how likely each number of falls is. Cut off below, it is a lower bound.
type falling [maxFalls + 1]share

// maxFalls is how many falls are told apart in a bound; more count as so many.
const maxFalls = 12

// with adds an element that falls with a chance to so many.
func (f falling) with(chance share, elements int) falling {
	for n := min(elements+1, maxFalls); n >= 0; n-- {
		stay := certain - chance
		if n == maxFalls {
			stay = certain
		}
		f[n] = f[n].times(stay)
		if n > 0 {
			f[n] += f[n-1].times(chance)
		}
	}
	return f
}

// excess is what falls cost at least beyond the least for each of them, where each
// further one costs as much or more.
func (p *planner) excess(f *falling) micro {
	if !p.steps {
		return 0
	}
	var sum micro
	for n, chance := range f {
		if chance > 0 {
			sum += chance.of(p.beyond[n])
		}
	}
	return max(sum-1, 0) // what cutting off may have added
}
