package value

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// CheckRow says why no code would ever be valued by a row with this code and kind, or
// nil.
func CheckRow(code, kind string) error {
	e, err := element.Parse(code)
	if err != nil {
		return fmt.Errorf("%w; a name of your own is letters and digits with a capital among them, such as WJ or OneSp, and has no signs", err)
	}
	first := &e.Parts()[0]
	switch {
	case e.String() != code:
		return fmt.Errorf("code %s is written %s", rules.Quote(code), e.String())
	case e.Markers() != 0 || e.KeyPoints != "":
		return fmt.Errorf("code %s has more than an element's name, level and signs; its row is never read", rules.Quote(code))
	case len(e.Parts()) > 1 && first.Kind == element.Jump:
		return fmt.Errorf("code %s is a combination, which is worth the sum of its jumps; its row is never read", rules.Quote(code))
	case kind != "" && first.Kind != element.Other && kind != first.Kind.String():
		return fmt.Errorf("kind of %s: %s is not what its code says, %s", code, rules.Quote(kind), first.Kind)
	}
	return nil
}

// Misspelt says which code of the sport a row's code spells in other letters, such as
// 3Lz for 3LZ, or nil: no such name is meant as one of a club's own.
func Misspelt(code string) error {
	e, err := element.Parse(code)
	if err != nil {
		return nil //nolint:nilerr // it is no code at all, which CheckRow says
	}
	kind, meant := e.Parts()[0].Kind, element.Meant(code)
	if meant == "" || kind != element.Other && kind != element.Pattern {
		return nil
	}
	return fmt.Errorf("%s is no element of the sport; did you mean %s? A name of your own must not be a code of the sport in other letters", rules.Quote(code), meant)
}
