package rest

import (
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// suggest says which names are allowed, the nearest one first.
func suggest(name string, allowed []string) hint {
	return hint{nearest(name, allowed), rules.AllowList(allowed)}
}

// hint helps who wrote a name that is not known: the one that was meant, perhaps,
// and those that are allowed.
type hint struct {
	near    string
	allowed rules.Allowed
}

// Allowed gives the names that are allowed.
func (h hint) Allowed() string { return string(h.allowed) }

// String gives the hint's words.
func (h hint) String() string {
	list := "allowed are: " + h.Allowed()
	if h.near != "" {
		return "did you mean " + h.near + "? " + list
	}
	return list
}

// nearest gives the allowed name that differs from name by the fewest letters,
// when these are few.
func nearest(name string, allowed []string) string {
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
