// Package rules holds what every part of the calculation stands on: exact
// points, the types of a season's tables, faults with a path, and warnings with
// the rule they come from. Package rules/table reads the tables.
//
// It is pure: it computes, and knows no clock, no network and no protocol.
package rules

import (
	"errors"
	"fmt"
	"strconv"
)

// Points is an exact number of points in hundredths: 1243 is 12.43 points.
type Points int64

// Point is one whole point.
const Point Points = 100

// maxPoints bounds what ParsePoints accepts, far above any score.
const maxPoints Points = 100_000_000

// ErrPoints says that a text is not a number of points.
var ErrPoints = errors.New("not a number of points")

// pointsForm is how a number of points is written.
const pointsForm = "digits with at most two decimals behind a point, such as 12.43 or -1.00"

type pointsError struct{ text, why string }

func notPoints(text, why string) error { return &pointsError{text, why} }

func (e *pointsError) Error() string {
	return fmt.Sprintf("%s is %v: %s; allowed are %s", Quote(e.text), ErrPoints, e.why, pointsForm)
}
func (e *pointsError) Unwrap() error   { return ErrPoints }
func (e *pointsError) Allowed() string { return pointsForm }

// String returns the points with exactly two decimals, such as "12.43" or "-0.50".
func (p Points) String() string {
	var buf [24]byte
	return string(p.append(buf[:0]))
}

func (p Points) append(b []byte) []byte {
	n := int64(p)
	if n < 0 {
		b = append(b, '-')
		n = -n
	}
	b = strconv.AppendInt(b, n/100, 10)
	return append(b, '.', byte('0'+n/10%10), byte('0'+n%10))
}

// ParsePoints reads a decimal with at most two decimals, exactly. An error
// (ErrPoints) says what is wrong with the text.
func ParsePoints(s string) (Points, error) {
	digits := s
	negative := false
	if digits != "" && (digits[0] == '-' || digits[0] == '+') {
		negative = digits[0] == '-'
		digits = digits[1:]
	}
	var n Points
	decimals, seen := -1, false
	for i, c := range []byte(digits) {
		switch {
		case c == '.' && decimals < 0:
			decimals = 0
		case c == '.':
			return 0, notPoints(s, "it has two points")
		case c == ',':
			return 0, notPoints(s, "it has a comma")
		case c < '0' || c > '9':
			return 0, notPoints(s, fmt.Sprintf("%q is no digit", []rune(digits[i:])[0]))
		case decimals == 2:
			return 0, notPoints(s, "it has more than two decimals")
		default:
			n, seen = n*10+Points(c-'0'), true
			if decimals >= 0 {
				decimals++
			}
		}
		if n > maxPoints {
			return 0, notPoints(s, "it is too large")
		}
	}
	switch {
	case s == "":
		return 0, notPoints(s, "it is empty")
	case !seen || decimals == 0:
		return 0, notPoints(s, "digits are missing")
	}
	for ; decimals < 2; decimals++ {
		if decimals < 0 {
			decimals = 0
		}
		n *= 10
	}
	if n > maxPoints {
		return 0, notPoints(s, "it is too large")
	}
	if negative {
		n = -n
	}
	return n, nil
}

// UnmarshalText reads points as ParsePoints does.
func (p *Points) UnmarshalText(text []byte) error {
	v, err := ParsePoints(string(text))
	if err != nil {
		return err
	}
	*p = v
	return nil
}

// MulDiv multiplies by num/den and rounds once, half away from zero
// (published sheets show half-up for positive values: 6.545 -> 6.55).
func (p Points) MulDiv(num, den int64) Points {
	return Points(RoundDiv(int64(p)*num, den))
}

// Percent takes so many percent of the points, rounded half away from zero to 0.01.
func (p Points) Percent(percent int64) Points { return p.MulDiv(percent, 100) }

// RoundDiv divides and rounds half away from zero. den is positive.
func RoundDiv(num, den int64) int64 {
	if num < 0 {
		return -((-num + den/2) / den)
	}
	return (num + den/2) / den
}
