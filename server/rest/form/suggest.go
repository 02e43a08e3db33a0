package form

import "github.com/rinktally/rinktally/rules"

// suggest says which names are allowed, the nearest one first.
func suggest(name string, allowed []string) hint {
	return hint{rules.Nearest(name, allowed), rules.AllowList(allowed)}
}

// hint helps who wrote a name that is not known: the one that was meant, perhaps,
// and those that are allowed.
type hint struct {
	near    string
	allowed rules.Allowed
}

// Allowed returns the names that are allowed.
func (h hint) Allowed() string { return string(h.allowed) }

// String returns the hint's words.
func (h hint) String() string {
	list := "allowed are: " + h.Allowed()
	if h.near != "" {
		return "did you mean " + h.near + "? " + list
	}
	return list
}
