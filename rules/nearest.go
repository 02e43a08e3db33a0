package rules

import (
	"slices"
	"strings"
)

// Meant says which of the allowed names was meant, perhaps, and lists them all.
func Meant(name string, allowed []string) string {
	list := "allowed are: " + strings.Join(allowed, ", ")
	if near := Nearest(name, allowed); near != "" {
		return "did you mean " + near + "? " + list
	}
	return list
}

// Nearest returns the allowed name that differs from name by the fewest letters,
// when these are few; otherwise "".
func Nearest(name string, allowed []string) string {
	best, least := "", len(name)/3+1
	if len(name) > 64 {
		return ""
	}
	for _, a := range allowed {
		if d := distance(strings.ToLower(name), strings.ToLower(a)); d <= least && (best == "" || d < least) {
			best, least = a, d
		}
	}
	return best
}

// distance counts the letters to change, add or drop to get from a to b.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := before
			if a[i] != b[j] {
				cost = 1 + slices.Min([]int{before, row[j], row[j+1]})
			}
			before, row[j+1] = row[j+1], cost
		}
	}
	return row[len(b)]
}
