package ask

import (
	"math"
	"strconv"

	"github.com/rinktally/rinktally/rules"
)

// Hundredths takes a mark or grade as requests carry it, exactly: 8.25 is 825
// hundredths. It refuses what is not a number with at most two decimals.
func Hundredths(mark float64) (rules.Points, bool) {
	const most = 1e6 // far above any mark, and exact
	if !(math.Abs(mark) <= most) {
		return 0, false
	}
	points := math.Round(mark * 100)
	// The nearest hundredth must be the very number that was sent.
	if points/100 != mark {
		return 0, false
	}
	return rules.Points(points), true
}

// Number shows a number as short as it can be written.
func Number(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }
