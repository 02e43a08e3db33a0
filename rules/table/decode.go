package table

import (
	"encoding"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// ReadYAML reads a YAML file strictly into a struct or a list of structs. It
// returns every fault with its line: of the syntax, or each key that is not known
// and each value that does not fit, by its path. The root is nil when the file
// holds nothing that can be looked at; what fits is read in any case.
func ReadYAML(file string, data []byte, into any) (root *Node, faults rules.TableFaults) {
	root, fault := ParseYAML(file, data)
	if fault != nil {
		return nil, rules.TableFaults{*fault}
	}
	d := &decoder{misfit: map[*Node]bool{}}
	d.read(root, into)
	if d.misfit[root] {
		root = nil
	}
	return root, d.faults
}

// decoder reads nodes into Go values by the yaml tags of their types. It finds
// each value that does not fit, and remembers of each field which place of the
// table states it, so that a check speaks of a field and not of a path.
//
// A struct that embeds rules.Clause is a rule of the table: its path, its
// provenance and its warning are filled in here. What the rule is about stands in
// the tag "about" of the field that holds it, where {key} is the key in a map and
// {words} the same in words, {title} the rule's own title, and {of} the tag "of" of an
// outer field; the tag "in" of an outer field is added behind.
type decoder struct {
	prefix string // of the keys of rules: "", "levels" or "program"
	kept   bool   // unknown keys are of an earlier version
	faults rules.TableFaults
	misfit map[*Node]bool // nodes that a fault names already
	// places are by pointer to a field, to an item or to a struct of a map, and clauses
	// are the rules found, by path; both are nil where nobody asks for them.
	places  map[any]place
	clauses map[string]stated
}

// place is where a table states a value, or the mapping that lacks it.
type place struct {
	path, file string
	line       int
	node       *Node // nil when the value is not stated
}

// entry stands for the address of a value of a map, which Go does not let one take.
type entry struct {
	in  uintptr // identity of the map
	key string
}

// in returns the entry of a key of a map.
func in[K ~string, V any](m map[K]V, key string) entry {
	return entry{reflect.ValueOf(m).Pointer(), key}
}

// around is what a value's surroundings say of it.
type around struct {
	place
	about, key, of, in string
	rests              *weakest // of the rule that the value belongs to; nil outside of rules
	group              *group   // of rules that the value belongs to; nil outside of groups
}

func (d *decoder) read(root *Node, into any) {
	v := reflect.ValueOf(into)
	at := around{place: place{file: root.File, line: root.Line, node: root}}
	if root.null {
		want := "a mapping of keys to values"
		if v.Elem().Kind() == reflect.Slice {
			want = "a list"
		}
		d.fault(at.place, "is empty; want %s", want)
		return
	}
	d.value(root, v.Elem(), at)
}

func (d *decoder) fault(at place, format string, args ...any) {
	if at.node != nil {
		d.misfit[at.node] = true
	}
	text := fmt.Sprintf(format, args...)
	if at.path != "" {
		text = at.path + ": " + text
	}
	d.faults = append(d.faults, rules.TableFault{File: at.file, Line: at.line, Message: text})
}

// found remembers the place of a field.
func (d *decoder) found(field any, at place) {
	if d.places != nil {
		d.places[field] = at
	}
}

// rule remembers the rule at a path.
func (d *decoder) rule(path string, is stated) {
	if d.clauses != nil {
		d.clauses[path] = is
	}
}

var textReader = reflect.TypeFor[encoding.TextUnmarshaler]()

// value reads a node into a value.
func (d *decoder) value(n *Node, v reflect.Value, at around) {
	if n.null {
		return
	}
	if n.kind == mapping {
		d.twice(n, at.path)
	}
	t := v.Type()
	switch {
	case t.Kind() == reflect.Pointer:
		if v.IsNil() {
			v.Set(reflect.New(t.Elem()))
		}
		d.found(v.Interface(), at.place)
		d.value(n, v.Elem(), at)
	case reflect.PointerTo(t).Implements(textReader):
		d.scalar(n, v, at)
	case t.Kind() == reflect.Interface:
		v.Set(reflect.ValueOf(d.anything(n, at.path)))
	case t.Kind() == reflect.Slice:
		d.list(n, v, at)
	case t.Kind() == reflect.Map:
		d.table(n, v, at)
	case t.Kind() == reflect.Struct:
		d.structure(n, v, at)
	default:
		d.scalar(n, v, at)
	}
}

func (d *decoder) list(n *Node, v reflect.Value, at around) {
	if n.kind != list {
		d.fault(at.place, "is %s; want a list", found(n))
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(n.Items), len(n.Items)))
	for i, item := range n.Items {
		below := at
		below.place = place{path: fmt.Sprintf("%s[%d]", at.path, i), file: item.File, line: item.Line, node: item}
		d.found(v.Index(i).Addr().Interface(), below.place)
		d.value(item, v.Index(i), below)
	}
}

func (d *decoder) table(n *Node, v reflect.Value, at around) {
	if n.kind != mapping {
		d.fault(at.place, "is %s; want a mapping of keys to values", found(n))
		return
	}
	v.Set(reflect.MakeMapWithSize(v.Type(), len(n.Keys)))
	for i, k := range n.Keys {
		if ofProvenance(k.Name) {
			d.provenance(k, at)
			continue
		}
		if d.commaDecimal(n, i, at.path) {
			continue
		}
		below := at.below(k)
		below.key = k.Name
		d.found(entry{v.Pointer(), k.Name}, below.place)
		value := reflect.New(v.Type().Elem()).Elem()
		d.value(k.Value, value, below)
		v.SetMapIndex(reflect.ValueOf(k.Name).Convert(v.Type().Key()), value)
	}
}

// below is the place of a key of a mapping.
func (at around) below(k Key) around {
	at.place = place{path: join(at.path, k.Name), file: k.File, line: k.Line, node: k.Value}
	return at
}

func (d *decoder) structure(n *Node, v reflect.Value, at around) {
	if n.kind != mapping {
		d.fault(at.place, "is %s; want a mapping of keys to values", found(n))
		return
	}
	shape := shapeOf(v.Type())
	inner := at
	var own *weakest
	if shape.clause != nil {
		own = &weakest{}
		inner.rests = own
	}
	for i := range shape.fields {
		f := &shape.fields[i]
		k := n.key(f.name)
		field := v.FieldByIndex(f.index)
		if k == nil && d.places == nil && (d.clauses == nil || field.Kind() != reflect.Struct) {
			continue
		}
		below := inner.below(Key{Name: f.name, File: at.file, Line: at.line})
		below.about, below.of, below.in = f.about, at.of+f.of, at.in+f.in
		if k != nil {
			below.place = place{path: below.path, file: k.File, line: k.Line, node: k.Value}
		}
		if f.group != "" && k != nil && at.group.of(k.Value.cite) == nil {
			below.group = &group{path: below.path, words: f.group + below.in, cite: k.Value.cite, outer: at.group}
			d.rule(below.path, stated{below.group.words, known{cite: below.group.cite}})
		}
		d.found(field.Addr().Interface(), below.place)
		if f.name == unknownKey {
			below.rests = &weakest{} // what is known is no less sure for it
		}
		switch {
		case k != nil:
			d.value(k.Value, field, below)
		case field.Kind() == reflect.Struct:
			// What is not stated is known as what surrounds it is, and a check of its
			// fields finds their place.
			d.structure(&Node{kind: mapping, cite: n.cite, File: n.File, Line: n.Line}, field, below)
		}
	}
	for i, k := range n.Keys {
		_, known := shape.byName[k.Name]
		switch {
		case known, d.commaDecimal(n, i, at.path):
		case shape.cited && ofProvenance(k.Name):
			d.provenance(k, at)
		case d.kept:
		default:
			d.fault(at.below(k).place, "is not a known key here; %s", rules.Meant(k.Name, shape.names()))
		}
	}
	if shape.cite != nil {
		v.FieldByIndex(shape.cite).Set(reflect.ValueOf(n.cite))
	}
	for _, l := range shape.lists {
		if of := n.Get(l.name); of != nil {
			d.clause(v.FieldByIndex(l.index), known{cite: of.cite}, around{place: place{path: join(at.path, l.name)}, about: l.about, of: at.of, in: at.in, group: at.group}, n)
		}
	}
	if own == nil {
		return
	}
	if !own.any {
		own.add(known{cite: n.cite})
	}
	d.clause(v.FieldByIndex(shape.clause), own.known, at, n)
}

// anything reads a node into a value of the kind that it looks like: a map with
// text keys, a list, a text, a Number, true, false or nil.
func (d *decoder) anything(n *Node, path string) any {
	switch {
	case n.kind == mapping:
		d.twice(n, path)
		out := map[string]any{}
		for i, k := range n.Keys {
			if !d.commaDecimal(n, i, path) {
				out[k.Name] = d.anything(k.Value, join(path, k.Name))
			}
		}
		return out
	case n.kind == list:
		out := make([]any, len(n.Items))
		for i, item := range n.Items {
			out[i] = d.anything(item, fmt.Sprintf("%s[%d]", path, i))
		}
		return out
	case n.null:
		return nil
	case n.quoted:
		return n.Text
	case n.Text == "true" || n.Text == "false":
		return n.Text == "true"
	case numberText().MatchString(n.Text):
		return Number(n.Text)
	}
	return n.Text
}

// Number is a number of a YAML file as it is written there, without a loss.
type Number string

var numberText = pattern(`^[-+]?(0|[1-9]\d*)(\.\d+)?$`)

// MarshalJSON writes the number as JSON does, without superfluous zeros: 2.50 is 2.5.
func (n Number) MarshalJSON() ([]byte, error) {
	text := strings.TrimPrefix(string(n), "+")
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return []byte(text), nil
}

// twice reports keys that stand twice in a mapping and leaves the first of them,
// so that everything else can be read.
func (d *decoder) twice(n *Node, path string) {
	lines := make(map[string]int, len(n.Keys))
	for _, k := range n.Keys {
		if first, again := lines[k.Name]; again {
			d.fault(place{path: join(path, k.Name), file: k.File, line: k.Line, node: k.Value}, "stands twice (first in line %d)", first)
		} else {
			lines[k.Name] = k.Line
		}
	}
	if len(lines) == len(n.Keys) {
		return
	}
	n.Keys = slices.DeleteFunc(slices.Clone(n.Keys), func(k Key) bool {
		_, first := lines[k.Name]
		delete(lines, k.Name)
		return !first
	})
}

var digits = pattern(`^\d+$`)

// commaDecimal reports a key without a value that is what a mapping in braces
// makes of a decimal with a comma: {factor: 1,50} has the keys factor and 50.
func (d *decoder) commaDecimal(n *Node, i int, path string) bool {
	if i == 0 || !n.Keys[i].Value.null || !digits().MatchString(n.Keys[i].Name) {
		return false
	}
	before := n.Keys[i-1]
	if before.Value.kind != scalar || !digits().MatchString(before.Value.Text) || before.Line != n.Keys[i].Line {
		return false
	}
	whole, part := before.Value.Text, n.Keys[i].Name
	d.fault(place{path: join(path, before.Name), file: before.File, line: before.Line, node: n.Keys[i].Value}, "is %s,%s; a decimal needs a point, such as %s.%s", whole, part, whole, part)
	return true
}

// scalar reads a single value.
func (d *decoder) scalar(n *Node, v reflect.Value, at around) {
	if n.kind != scalar {
		d.fault(at.place, "is %s; want %s", found(n), wanted(v.Type()))
		return
	}
	at.rests.add(known{n.cite, at.file, at.line})
	if own, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		if err := own.UnmarshalText([]byte(n.Text)); err != nil {
			d.fault(at.place, "%v", err)
		}
		return
	}
	fits := !n.quoted || v.Kind() == reflect.String
	switch v.Kind() {
	case reflect.String:
		v.SetString(n.Text)
	case reflect.Bool:
		v.SetBool(n.Text == "true")
		fits = fits && (n.Text == "true" || n.Text == "false")
	default:
		whole, err := strconv.ParseInt(n.Text, 10, 32)
		v.SetInt(whole)
		fits = fits && err == nil
	}
	if !fits {
		d.fault(at.place, "is %s; want %s", found(n), wanted(v.Type()))
	}
}

// found says what stands at a node.
func found(n *Node) string {
	switch {
	case n.kind == list:
		return "a list"
	case n.kind == mapping:
		return "a mapping of keys to values"
	case n.null || n.Text == "":
		return "empty"
	}
	return rules.Quote(n.Text)
}

// wanted says in a table writer's words what a single value is read into.
func wanted(t reflect.Type) string {
	switch {
	case reflect.PointerTo(t).Implements(textReader):
		return "a single value"
	case t.Kind() == reflect.Bool:
		return "true or false"
	case t.Kind() == reflect.String:
		return "a text"
	}
	return "a whole number"
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
