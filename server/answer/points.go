package answer

import "github.com/rinktally/rinktally/rules"

// commonPoints bounds the points whose text is kept ready: nearly every value of
// an element, grade or component lies within 30 points of 0.
const commonPoints = 30 * rules.Point

// common holds the texts of -commonPoints to +commonPoints.
var common = func() [2*commonPoints + 1]string {
	var texts [2*commonPoints + 1]string
	for p := -commonPoints; p <= commonPoints; p++ {
		texts[p+commonPoints] = p.String()
	}
	return texts
}()

// Points returns points as answers carry them, with two decimals, such as "12.43".
func Points(p rules.Points) string {
	if p < -commonPoints || p > commonPoints {
		return p.String()
	}
	return common[p+commonPoints]
}
