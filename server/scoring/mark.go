package scoring

import "github.com/rinktally/rinktally/rules"

// ComponentMark takes a component mark as requests carry it, exactly: 8.25 is
// 825 hundredths. It refuses what is not a number with at most two decimals.
func ComponentMark(mark float64) (rules.Points, bool) { return hundredths(mark) }
