package table

import (
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// Headings lists all seasons, oldest first, as far as a list shows them. No season is
// compiled or thawed for it: what it says stands in the seasons' parameters. A season
// whose parameters cannot be read is left out; other faults are found by Compile.
func (c *Catalog) Headings() []rules.Heading { return slices.Clone(c.headings()) }

// keys lists the keys of the seasons, oldest first.
func (c *Catalog) keys() []string {
	var keys []string
	for _, h := range c.headings() {
		keys = append(keys, h.Season)
	}
	return keys
}

// older orders seasons by the first day on which they are valid, then by their keys.
func older(a, b rules.Heading) int {
	return strings.Compare(a.ValidFrom+a.Season, b.ValidFrom+b.Season)
}

// lister reads the headings of seasons that lie over each other.
type lister struct {
	folders map[string]*folder
	known   map[string]*rules.Heading // nil where it cannot be read
}

func (l lister) all() []rules.Heading {
	var list []rules.Heading
	for key := range l.folders {
		if h := l.heading(key); h != nil {
			list = append(list, *h)
		}
	}
	slices.SortFunc(list, older)
	return list
}

// heading reads that of a season and, before it, that of the season below it.
func (l lister) heading(key string) *rules.Heading {
	if h, ok := l.known[key]; ok {
		return h
	}
	l.known[key] = nil // where seasons extend each other in a circle
	f, own := l.folders[key], rules.Params{}
	if f == nil || newCompiler(nil, f).read(paramsFile, &own) == nil {
		return nil
	}
	below := new(rules.Heading)
	if own.Extends != "" {
		if below = l.heading(own.Extends); below == nil {
			return nil
		}
	}
	h := &rules.Heading{Season: key, Title: own.Title, Revision: f.revision(below.Revision), ValidFrom: own.ValidFrom, ValidTo: own.ValidTo}
	for _, d := range rules.Disciplines {
		_, stated := f.files[valuesFile(d)]
		if own.Values[d] != rules.ValuesNone && (stated || slices.Contains(below.Disciplines, d)) {
			h.Disciplines = append(h.Disciplines, d)
		}
	}
	l.known[key] = h
	return h
}
