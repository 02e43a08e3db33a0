package ask

import (
	"math"
	"strconv"

	"github.com/rinktally/rinktally/rules"
)

// most is far above any mark, and its hundredths are exact.
const most = 1e6

// Hundredths takes a mark or grade as requests carry it, exactly: 8.25 is 825
// hundredths. It refuses what is not a number with at most two decimals.
func Hundredths(mark float64) (rules.Points, bool) {
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

// Refused is the reason of a number that Hundredths refuses: one with more
// decimals is off the grid; one that no mark comes near (NaN and infinity too) is
// out of range.
func Refused(mark float64) rules.Reason {
	if math.Abs(mark) <= most {
		return rules.ReasonMarkOffGrid
	}
	return rules.ReasonMarkOutOfRange
}

// Number shows a number as short as it can be written.
func Number(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }
