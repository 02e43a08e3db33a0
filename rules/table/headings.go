package table

import (
	"bytes"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// Headings lists all seasons, oldest first, as far as a list shows them. No season is
// compiled or thawed for it: what it says stands in the seasons' parameters. A season
// whose parameters cannot be read is left out; other faults are found by Compile.
func (c *Catalog) Headings() []rules.Heading { return slices.Clone(c.headings()) }

// Keys lists the keys of the same seasons, oldest first. It reads less than Headings,
// whose revisions rest on all files of all seasons.
func (c *Catalog) Keys() []string {
	var keys []string
	for _, l := range c.listed() {
		keys = append(keys, l.Season)
	}
	return keys
}

// older orders seasons by the first day on which they are valid, then by their keys.
func older(a, b rules.Heading) int {
	return strings.Compare(a.ValidFrom+a.Season, b.ValidFrom+b.Season)
}

// listed is a season as far as a list shows it.
type listed struct {
	rules.Heading // its Revision is "" until headings has made it

	folder *folder
	below  *listed // the season that this one extends, or nil
}

// headings makes the revisions of what is listed.
func headings(all []*listed) []rules.Heading {
	list := make([]rules.Heading, len(all))
	for i, l := range all {
		l.revise()
		list[i] = l.Heading
	}
	return list
}

func (l *listed) revise() string {
	if l.Revision == "" {
		below := ""
		if l.below != nil {
			below = l.below.revise()
		}
		l.Revision = l.folder.revision(below)
	}
	return l.Revision
}

// lister reads the headings of seasons that lie over each other.
type lister struct {
	folders map[string]*folder
	known   map[string]*listed // nil where it cannot be read
}

func (l lister) all() []*listed {
	var list []*listed
	for key := range l.folders {
		if h := l.heading(key); h != nil {
			list = append(list, h)
		}
	}
	slices.SortFunc(list, func(a, b *listed) int { return older(a.Heading, b.Heading) })
	return list
}

// heading reads that of a season and, before it, that of the season below it.
func (l lister) heading(key string) *listed {
	if h, ok := l.known[key]; ok {
		return h
	}
	l.known[key] = nil // where seasons extend each other in a circle
	f := l.folders[key]
	if f == nil {
		return nil
	}
	own, ok := f.head()
	if !ok {
		return nil
	}
	h := &listed{Heading: rules.Heading{Season: key, Title: own.Title, ValidFrom: own.ValidFrom, ValidTo: own.ValidTo}, folder: f}
	if own.Extends != "" {
		if h.below = l.heading(own.Extends); h.below == nil {
			return nil
		}
	}
	for _, d := range rules.Disciplines {
		_, stated := f.files[valuesFile(d)]
		if own.Values[d] != rules.ValuesNone && (stated || h.below != nil && slices.Contains(h.below.Disciplines, d)) {
			h.Disciplines = append(h.Disciplines, d)
		}
	}
	l.known[key] = h
	return h
}

// inHead are the keys of parameters that a heading rests on.
var inHead = []string{"season", "title", "extends", "valid_from", "valid_to", "values"}

// head reads of a season's parameters what stands under the keys inHead: YAML is slow to
// read, and a list of seasons needs a twentieth of it. It reports whether that can be read.
func (f *folder) head() (own rules.Params, ok bool) {
	read := func(data []byte) bool {
		part := &folder{key: f.key, name: f.name, files: map[string]func() []byte{paramsFile: func() []byte { return data }}, kept: f.kept}
		own = rules.Params{}
		return newCompiler(nil, part).read(paramsFile, &own) != nil
	}
	all := f.files[paramsFile]()
	part, plain := entries(all, inHead)
	ok = plain && read(part) || read(all)
	return own, ok
}

// entries returns the text of those entries of a YAML mapping whose keys are wanted. It
// returns false where not each line is empty, a comment, inside of an entry or begins one
// with a plain key.
func entries(text []byte, wanted []string) (part []byte, plain bool) {
	take := false
	for line := range bytes.Lines(text) {
		switch c := line[0]; {
		case c == ' ' || c == '#' || c == '\n' || c == '\r':
		case 'a' <= c && c <= 'z':
			key, _, ok := bytes.Cut(line, []byte(":"))
			if !ok {
				return nil, false
			}
			take = slices.Contains(wanted, string(bytes.TrimSpace(key)))
		default:
			return nil, false
		}
		if take {
			part = append(part, line...)
		}
	}
	return part, true
}
