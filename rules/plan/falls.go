package plan

import "github.com/rinktally/rinktally/rules"

// falling is how likely each number of falls is. Cut off below, it is a lower bound.
type falling [maxFalls + 1]share

// maxFalls is how many falls are told apart in a bound; more count as so many.
const maxFalls = 12

// with adds an element that falls with a chance.
func (f falling) with(chance share) falling {
	for n := maxFalls; n >= 0; n-- {
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
		if more := p.deduction(n) - rules.Points(n)*p.leastFall; more > 0 {
			sum += micro(chance.times(share(more * microPerHundredth)))
		}
	}
	return max(sum-1, 0) // what cutting off may have added
}
