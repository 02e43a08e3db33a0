package plan

import (
	"math/big"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// Chance is a chance in millionths.
type Chance int64

// One is certainty.
const One Chance = 1_000_000

// weights are the chances of an ability's outcomes, the success first, as whole
// numbers over their sum: exact whatever the chances are multiplied by.
type weights struct {
	of  []int64
	sum int64
}

// weigh returns the weights of a success of part/whole and of misses in their
// proportions. Without a miss of any chance the first one takes what is left.
// part and whole are at most 1e12, the proportions together little more than 1e6.
func weigh(part, whole int64, misses []Chance) weights {
	if len(misses) == 0 {
		return weights{of: []int64{1}, sum: 1}
	}
	var all int64
	for _, m := range misses {
		all += int64(m)
	}
	if all == 0 {
		misses = slices.Clone(misses)
		misses[0], all = 1, 1
	}
	w := weights{of: []int64{part * all}}
	divisor := part * all
	for _, m := range misses {
		of := int64(m) * (whole - part)
		w.of = append(w.of, of)
		divisor = gcd(divisor, of)
	}
	for i := range w.of {
		w.of[i] /= divisor
		w.sum += w.of[i]
	}
	return w
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Round returns a mean in hundredths as points, rounded once, half up.
func Round(mean *big.Rat) rules.Points {
	double := new(big.Int).Lsh(mean.Denom(), 1)
	n := new(big.Int).Lsh(mean.Num(), 1)
	n.Add(n, mean.Denom())
	return rules.Points(n.Div(n, double).Int64()) // Div rounds down, also below zero
}

// Millionths returns a number rounded half up to millionths.
func Millionths(x *big.Rat) Chance {
	return Chance(Round(new(big.Rat).Mul(x, big.NewRat(int64(One), 1))))
}

// micro is a bound in millionths of hundredths of points.
type micro int64

const microPerHundredth = 1_000_000

// ceil and floor give the bounds of an exact mean.
func ceil(mean *big.Rat) micro { return -floor(new(big.Rat).Neg(mean)) }

func floor(mean *big.Rat) micro {
	n := new(big.Int).Mul(mean.Num(), big.NewInt(microPerHundredth))
	return micro(n.Div(n, mean.Denom()).Int64())
}
