package tables

import (
	"github.com/rinktally/rinktally/rules/table"
)

// The files of tables that an engine elsewhere loads beside the frozen seasons, whose
// names are their keys.
const (
	FrozenIndex   = "index"       // the headings of all seasons
	FrozenSources = "sources.zip" // the files of all seasons, for tables that rest on them
)

// FrozenNames lists the files of a catalog that an engine elsewhere may ask for.
func FrozenNames(c *table.Catalog) []string {
	names := []string{FrozenIndex, FrozenSources}
	for _, h := range c.Headings() {
		names = append(names, h.Season)
	}
	return names
}

// Frozen makes one of these files. The error is a rules.FieldError where there is no
// such season.
func Frozen(c *table.Catalog, name string) ([]byte, error) {
	switch name {
	case FrozenIndex:
		return table.FreezeHeadings(c.Headings()), nil
	case FrozenSources:
		return pack(c.Files())
	}
	s, err := c.Season(name)
	if err != nil {
		return nil, err
	}
	return table.Freeze(s), nil
}
