package table

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// elementKinds are the kinds of element that a table can speak of.
var elementKinds = element.KindNames()[1:] // without "other"

var confidences = []rules.Confidence{rules.High, rules.Medium, rules.Low, rules.Memory, rules.Inferred}

// check reports what is wrong with the values of a decoded tree. Its places are
// found by the address of the field, so that a check cannot name a path that does
// not exist.
type check struct {
	*compiler
	places map[any]place // nil to find out only whether anything is wrong
	wrong  bool
	own    *Node // what the season's own file states; nil when it has none
}

// at reports a fault of a field, of an item of a list or of a struct in a map, by
// its pointer; or of a value of a map, by its entry. What does not fit its type is
// reported already, and so is what lies in it.
func (c *check) at(field any, format string, args ...any) {
	if c.places == nil {
		c.wrong = true
		return
	}
	at, ok := c.places[field]
	switch {
	case !ok && len(c.faults) == 0: // a table at fault must not pass for want of a place
		at = place{path: "?", file: c.file(paramsFile), line: 1}
	case !ok || c.misfit[at.node]:
		return
	}
	message := fmt.Sprintf(format, args...)
	once := rules.TableFault{File: at.file, Line: at.line, Message: message}
	if c.reported[once] {
		return // what stands in several places of the tree is at fault in one line
	}
	c.reported[once] = true
	text := at.path + ": " + message
	if line := c.nulled(at); line > 0 {
		at.line = line
	}
	if own, inherited := c.inherits(at); inherited {
		text += fmt.Sprintf(" (inherited from %s:%d)", at.file, at.line)
		at.file, at.line = own.file, own.line
	}
	c.fault(at.file, at.line, "%s", text)
}

// inherits returns the place in the season's own file that has to do with a fault of
// what the season inherits, such as the null that takes away what another rule
// names: the season that it extends has no fault.
func (c *check) inherits(at place) (own place, inherited bool) {
	if c.own == nil || at.file == c.own.File {
		return own, false
	}
	best := -1
	own = place{file: c.own.File, line: 1}
	var look func(path string, n *Node)
	look = func(path string, n *Node) {
		for _, k := range n.Keys {
			p := join(path, k.Name)
			near := 2 * shared(p, at.path)
			if k.Value.null {
				near++
			}
			if near > 0 && near > best {
				best, own.line = near, k.Line
			}
			look(p, k.Value)
		}
	}
	look("", c.own)
	return own, true
}

// states reports whether the season's own file states a key of a top-level mapping.
func (c *check) states(mapping, key string) bool {
	return c.own != nil && c.own.Get(mapping) != nil && c.own.Get(mapping).Get(key) != nil
}

// nulled returns the line of the null in the season's own file that takes away what
// a place lacks, or 0.
func (c *check) nulled(at place) int {
	if at.node != nil || c.own == nil || at.file != c.own.File {
		return 0
	}
	n := c.own
	for _, step := range strings.Split(at.path, ".") {
		k := n.key(step)
		switch {
		case k == nil:
			return 0
		case k.Value.null:
			return k.Line
		}
		n = k.Value
	}
	return 0
}

// shared counts the steps that two paths have in common at their beginning.
func shared(a, b string) (n int) {
	as, bs := strings.Split(a, "."), strings.Split(b, ".")
	for n < len(as) && n < len(bs) && as[n] == bs[n] {
		n++
	}
	return n
}

// oneOf reports a field that holds none of the words that are allowed.
func oneOf[T ~string](c *check, field *T, allowed []T) {
	oneOfAt(c, field, *field, allowed)
}

// oneOfSet is oneOf where the field may be left out.
func oneOfSet[T ~string](c *check, field *T, allowed []T) {
	if *field != "" {
		oneOf(c, field, allowed)
	}
}

// oneOfEach is oneOf for each item of a list.
func oneOfEach[T ~string](c *check, items []T, allowed []T) {
	for i := range items {
		oneOf(c, &items[i], allowed)
	}
}

// keysOneOf reports the keys of a map that are not allowed.
func keysOneOf[K ~string, V any](c *check, m map[K]V, allowed []K) {
	for _, key := range rules.SortedKeys(m) {
		oneOfAt(c, in(m, key), K(key), allowed)
	}
}

// valuesOneOf reports the values of a map that are not allowed.
func valuesOneOf[K, T ~string](c *check, m map[K]T, allowed []T) {
	for _, key := range rules.SortedKeys(m) {
		oneOfAt(c, in(m, key), m[K(key)], allowed)
	}
}

// oneOfAt reports a place that holds none of the words that are allowed.
func oneOfAt[T ~string](c *check, at any, got T, allowed []T) {
	if !slices.Contains(allowed, got) {
		c.at(at, "is %s; %s", rules.Quote(string(got)), rules.Meant(string(got), words(allowed)))
	}
}

// named reports a field that names none of the things of a kind that the table has.
func (c *check) named(field any, got, kind string, names []string) {
	switch {
	case slices.Contains(names, got):
	case len(names) == 0:
		c.at(field, "is %s, but the table has no %s", rules.Quote(got), kind)
	default:
		near := ""
		if meant := rules.Nearest(got, names); meant != "" {
			near = "did you mean " + meant + "? "
		}
		c.at(field, "is %s; %sthe %s are: %s", rules.Quote(got), near, kind, strings.Join(names, ", "))
	}
}

func words[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, word := range list {
		out[i] = string(word)
	}
	return out
}

// within reports a field that lies outside of its range.
func within[T int | int64 | rules.Points | rules.Level](c *check, field *T, low, high T) {
	if *field < low || *field > high {
		c.at(field, "is %v; allowed is %v to %v", *field, low, high)
	}
}
