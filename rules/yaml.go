package rules

import (
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"strings"

	"go.yaml.in/yaml/v3"
)

// ReadYAML reads a YAML file strictly into a struct or a list of structs. It
// gives every fault with its line: of the syntax, or each key that is not known
// and each value that does not fit, by its path. The root is nil when the file
// holds nothing that can be looked at; what fits is read in any case.
func ReadYAML(file string, data []byte, into any) (root *yaml.Node, faults TableFaults) {
	f := &fitting{file: file, misfit: map[*yaml.Node]bool{}}
	root = f.read(data, into)
	return root, f.faults
}

// fitting lays a file's nodes beside the types that they are read into.
type fitting struct {
	file   string
	faults TableFaults
	misfit map[*yaml.Node]bool // nodes that a fault tells of
}

func (f *fitting) read(data []byte, into any) *yaml.Node {
	if line := notUTF8(data); line > 0 {
		f.faults = append(f.faults, TableFault{File: f.file, Line: line, Message: saveAsUTF8})
		return nil
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		f.faults = append(f.faults, syntaxFault(f.file, data, err))
		return nil
	}
	if len(doc.Content) == 0 {
		doc.Content = []*yaml.Node{{Kind: yaml.ScalarNode, Line: 1}} // an empty file
	}
	root := doc.Content[0]
	f.node("", root, reflect.TypeOf(into).Elem())
	if f.misfit[root] {
		return nil
	}
	if err := root.Decode(into); err != nil && len(f.faults) == 0 {
		f.faults = append(f.faults, decodeFaults(f.file, err)...)
	}
	return root
}

func (f *fitting) fault(n *yaml.Node, path, format string, args ...any) {
	f.misfit[n] = true
	text := fmt.Sprintf(format, args...)
	if path != "" {
		text = path + ": " + text
	}
	f.faults = append(f.faults, TableFault{File: f.file, Line: n.Line, Message: text})
}

var ownReader = reflect.TypeFor[yaml.Unmarshaler]()

// node compares a node with the type that it is read into.
func (f *fitting) node(path string, n *yaml.Node, t reflect.Type) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if n.Kind == yaml.AliasNode || n.ShortTag() == "!!null" && (path != "" || t.Kind() == reflect.Slice) {
		return
	}
	if n.Kind == yaml.MappingNode {
		f.twice(path, n)
	}
	switch {
	case reflect.PointerTo(t).Implements(ownReader):
		f.scalar(path, n, t)
	case t.Kind() == reflect.Interface: // anything fits
		for _, c := range n.Content {
			f.node(join(path, "*"), c, t)
		}
	case t.Kind() == reflect.Slice:
		if n.Kind != yaml.SequenceNode {
			f.fault(n, path, "is %s; want a list", found(n))
			return
		}
		for i, c := range n.Content {
			f.node(fmt.Sprintf("%s[%d]", path, i), c, t.Elem())
		}
	case t.Kind() == reflect.Map || t.Kind() == reflect.Struct:
		f.mapping(path, n, t)
	default:
		f.scalar(path, n, t)
	}
}

func (f *fitting) mapping(path string, n *yaml.Node, t reflect.Type) {
	if n.Kind != yaml.MappingNode {
		f.fault(n, path, "is %s; want a mapping of keys to values", found(n))
		return
	}
	var names []string
	fields := map[string]reflect.Type{}
	if t.Kind() == reflect.Struct {
		names = keysOf(t, fields)
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		at := join(path, key.Value)
		switch field, known := fields[key.Value]; {
		case i > 0 && commaDecimal(n.Content[i-1], key, value):
			f.fault(value, join(path, n.Content[i-2].Value), "is %s,%s; a decimal needs a point, such as %s.%s", n.Content[i-1].Value, key.Value, n.Content[i-1].Value, key.Value)
		case t.Kind() == reflect.Map:
			f.node(at, value, t.Elem())
		case known:
			f.node(at, value, field)
		case key.Tag != "!!merge":
			f.fault(key, at, "is not a known key here; %s", meant(key.Value, names))
		}
	}
}

// twice tells of keys that stand twice in a mapping and leaves the first of them, so
// that everything else can be read.
func (f *fitting) twice(path string, n *yaml.Node) {
	lines := map[string]int{}
	var once []*yaml.Node
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		if first, have := lines[key.Value]; have {
			f.fault(key, join(path, key.Value), "stands twice (first in line %d)", first)
			continue
		}
		lines[key.Value] = key.Line
		once = append(once, key, n.Content[i+1])
	}
	n.Content = once
}

var digits = regexp.MustCompile(`^\d+$`)

// commaDecimal tells whether a key without a value is what a mapping in braces
// makes of a decimal with a comma: {factor: 1,50} has the keys factor and 50.
func commaDecimal(before, key, value *yaml.Node) bool {
	return digits.MatchString(before.Value) && digits.MatchString(key.Value) && value.ShortTag() == "!!null" && value.Value == ""
}

// scalar reads a single value by itself, to tell whether it fits.
func (f *fitting) scalar(path string, n *yaml.Node, t reflect.Type) {
	err := n.Decode(reflect.New(t).Interface())
	own := reflect.PointerTo(t).Implements(ownReader)
	cut := !own && t.Kind() != reflect.String && n.ShortTag() == "!!float" // the reader would cut 1.5 to 1
	var te *yaml.TypeError
	switch {
	case n.Kind == yaml.ScalarNode && err == nil && !cut:
	case n.Kind == yaml.ScalarNode && errors.As(err, &te) && len(te.Errors) == 1 && own:
		f.fault(n, path, "%s", yamlLine.ReplaceAllString(te.Errors[0], "$2"))
	default:
		f.fault(n, path, "is %s; want %s", found(n), wanted(t))
	}
}

// keysOf lists the keys of a struct in their order, inlined ones too, and gives
// their types.
func keysOf(t reflect.Type, types map[string]reflect.Type) (names []string) {
	for i := range t.NumField() {
		field := t.Field(i)
		name, options, _ := strings.Cut(field.Tag.Get("yaml"), ",")
		switch {
		case options == "inline":
			names = append(names, keysOf(field.Type, types)...)
		case name != "-" && name != "":
			names = append(names, name)
			types[name] = field.Type
		}
	}
	return names
}

// found says what stands at a node.
func found(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.Kind == yaml.MappingNode:
		return "a mapping of keys to values"
	case n.Value == "":
		return "empty"
	}
	return Quote(n.Value)
}

// wanted says in a table writer's words what a single value is read into.
func wanted(t reflect.Type) string {
	switch {
	case reflect.PointerTo(t).Implements(ownReader):
		return "a single value"
	case t.Kind() == reflect.Bool:
		return "true or false"
	case t.Kind() == reflect.String:
		return "a text"
	}
	return "a whole number"
}
