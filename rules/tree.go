package rules

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

// tree is a YAML mapping that remembers which file each node came from, also
// after one season's tree was laid over another's.
type tree struct {
	node  *yaml.Node
	files map[*yaml.Node]string
}

func newTree(node *yaml.Node, file string) *tree {
	t := &tree{node: node, files: map[*yaml.Node]string{}}
	t.mark(node, file)
	return t
}

func (t *tree) mark(n *yaml.Node, file string) {
	t.files[n] = file
	for _, c := range n.Content {
		t.mark(c, file)
	}
}

// over lays the tree over a parent: mappings merge key by key, everything else
// replaces, null deletes. The keys in own are never taken from the parent.
// Both trees may be nil.
func (t *tree) over(parent *tree, own ...string) *tree {
	if t == nil || parent == nil {
		if t != nil {
			return t
		}
		return parent
	}
	m := &tree{files: map[*yaml.Node]string{}}
	for _, from := range []*tree{parent, t} {
		for n, f := range from.files {
			m.files[n] = f
		}
	}
	base := &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Line: parent.node.Line}
	for i := 0; i+1 < len(parent.node.Content); i += 2 {
		if !slices.Contains(own, parent.node.Content[i].Value) {
			base.Content = append(base.Content, parent.node.Content[i], parent.node.Content[i+1])
		}
	}
	m.node = m.merge(base, t.node, soloSpins)
	m.files[m.node] = t.files[t.node]
	return m
}

// soloSpins is the path of level rules that lie over those of single skating.
var soloSpins = []string{"pairs", "spins"}

// merge lays a node over another. overlay is the rest of the path to a mapping
// that will itself be laid over another one (nil elsewhere): a null in it is
// kept, since what it deletes may stand in that other one.
func (t *tree) merge(parent, child *yaml.Node, overlay []string) *yaml.Node {
	if parent.Kind != yaml.MappingNode || child.Kind != yaml.MappingNode {
		return child
	}
	out := &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Line: child.Line}
	t.files[out] = t.files[child]
	inOverlay := overlay != nil && len(overlay) == 0
	out.Content = slices.Clone(parent.Content)
	for i := 0; i+1 < len(child.Content); i += 2 {
		key, value := child.Content[i], child.Content[i+1]
		at := find(out, key.Value)
		switch {
		case value.Tag == "!!null" && !inOverlay && at >= 0:
			out.Content = slices.Delete(out.Content, at, at+2)
		case value.Tag == "!!null" && !inOverlay:
		case at >= 0:
			out.Content[at], out.Content[at+1] = key, t.merge(out.Content[at+1], value, below(overlay, key.Value))
		default:
			out.Content = append(out.Content, key, value)
		}
	}
	return out
}

// laid gives the tree in which the mapping at path lies over the top-level
// mapping base, key by key: what one discipline states of its own over what it
// shares with another. Without either of them the tree stays as it is.
func (t *tree) laid(base string, path ...string) *tree {
	if t == nil {
		return nil
	}
	at := find(t.node, base)
	if at < 0 {
		return t
	}
	m := &tree{files: maps.Clone(t.files)}
	m.node = m.replace(t.node, path, func(own *yaml.Node) *yaml.Node { return m.merge(t.node.Content[at+1], own, nil) })
	return m
}

// likened gives the tree in which every item of a top-level mapping that names
// another one of it ("like") lies over that one, key by key. A mapping that an item
// states itself has no provenance of the other's: that holds for what is taken over
// whole.
func (t *tree) likened(mapping string) *tree {
	if t == nil {
		return nil
	}
	m := &tree{files: maps.Clone(t.files)}
	m.node = m.replace(t.node, []string{mapping}, func(all *yaml.Node) *yaml.Node {
		return m.each(all, func(_ string, item *yaml.Node) *yaml.Node { return m.like(all, item, nil) })
	})
	return m
}

// like lays an item over the one that it names, which may itself be like another.
// seen are the items that it is already laid over: a circle ends there.
func (t *tree) like(all, item *yaml.Node, seen []int) *yaml.Node {
	if item.Kind != yaml.MappingNode || find(item, "like") < 0 {
		return item
	}
	base := find(all, item.Content[find(item, "like")+1].Value)
	if base < 0 || slices.Contains(seen, base) {
		return item
	}
	return t.merge(t.uncited(t.like(all, all.Content[base+1], append(seen, base)), item), item, nil)
}

// uncited gives a mapping without the provenance of what another one states too.
func (t *tree) uncited(base, own *yaml.Node) *yaml.Node {
	if base.Kind != yaml.MappingNode || own.Kind != yaml.MappingNode {
		return base
	}
	return t.each(base, func(key string, value *yaml.Node) *yaml.Node {
		if key == "source" || key == "confidence" || key == "note" {
			return nil
		}
		if at := find(own, key); at >= 0 {
			return t.uncited(value, own.Content[at+1])
		}
		return value
	})
}

// each copies a mapping with its values changed; a key whose value becomes nil is
// left out.
func (t *tree) each(mapping *yaml.Node, change func(key string, value *yaml.Node) *yaml.Node) *yaml.Node {
	if mapping.Kind != yaml.MappingNode {
		return mapping
	}
	out := *mapping
	out.Content = nil
	for i := 0; i+1 < len(mapping.Content); i += 2 {
		if value := change(mapping.Content[i].Value, mapping.Content[i+1]); value != nil {
			out.Content = append(out.Content, mapping.Content[i], value)
		}
	}
	t.files[&out] = t.files[mapping]
	return &out
}

// without gives the tree without some keys of a top-level mapping.
func (t *tree) without(mapping string, keys ...string) *tree {
	if t == nil {
		return nil
	}
	m := &tree{files: maps.Clone(t.files)}
	m.node = m.replace(t.node, []string{mapping}, func(n *yaml.Node) *yaml.Node {
		out := *n
		out.Content = slices.Clone(n.Content)
		for _, key := range keys {
			if at := find(&out, key); at >= 0 {
				out.Content = slices.Delete(out.Content, at, at+2)
			}
		}
		m.files[&out] = m.files[n]
		return &out
	})
	return m
}

// replace copies the mappings along a path and changes the node at its end.
func (t *tree) replace(n *yaml.Node, path []string, change func(*yaml.Node) *yaml.Node) *yaml.Node {
	if len(path) == 0 {
		return change(n)
	}
	at := -1
	if n.Kind == yaml.MappingNode {
		at = find(n, path[0])
	}
	if at < 0 {
		return n
	}
	out := *n
	out.Content = slices.Clone(n.Content)
	out.Content[at+1] = t.replace(n.Content[at+1], path[1:], change)
	t.files[&out] = t.files[n]
	return &out
}

// below is the rest of an overlay's path behind a key.
func below(overlay []string, key string) []string {
	switch {
	case len(overlay) == 0:
		return overlay
	case overlay[0] == key:
		return overlay[1:]
	}
	return nil
}

// find gives the index of a key in a mapping's content, or -1.
func find(mapping *yaml.Node, key string) int {
	for i := 0; i+1 < len(mapping.Content); i += 2 {
		if mapping.Content[i].Value == key {
			return i
		}
	}
	return -1
}

// line gives the line of a top-level key, or 1.
func (t *tree) line(key string) int {
	if at := find(t.node, key); at >= 0 {
		return t.node.Content[at].Line
	}
	return 1
}

var pathStep = regexp.MustCompile(`\[(\d+)\]|[^.\[\]]+`)

// locate finds the file, line and node of a path such as
// categories.senior-men.segments or components[2]; the deepest part of the path
// that exists wins.
func (t *tree) locate(p string) (file string, line int, n *yaml.Node) {
	n = t.node
	file, line = t.files[n], 1
	for _, m := range pathStep.FindAllStringSubmatch(p, -1) {
		var next *yaml.Node
		switch {
		case m[1] != "" && n.Kind == yaml.SequenceNode:
			if i, err := strconv.Atoi(m[1]); err == nil && i < len(n.Content) {
				next = n.Content[i]
				line = next.Line
			}
		case n.Kind == yaml.MappingNode:
			if at := find(n, m[0]); at >= 0 {
				next = n.Content[at+1]
				line = n.Content[at].Line
			}
		}
		if next == nil {
			break
		}
		n = next
		file = t.files[n]
	}
	return file, line, n
}

// flatten lists every leaf of a tree as a rule with the provenance that holds
// for it, and remembers the provenance of each mapping by path.
func (s *Season) flatten(prefix string, t *tree) {
	if t == nil {
		return
	}
	s.leaves(prefix, t.node, s.Cite)
}

func (s *Season) leaves(p string, n *yaml.Node, cite Cite) {
	switch n.Kind {
	case yaml.MappingNode:
		cite.Note = ""
		for _, key := range []struct {
			name string
			into *string
		}{{"source", &cite.Source}, {"confidence", (*string)(&cite.Confidence)}, {"note", &cite.Note}} {
			if at := find(n, key.name); at >= 0 {
				*key.into = n.Content[at+1].Value
			}
		}
		s.cites[p] = cite
		for i := 0; i+1 < len(n.Content); i += 2 {
			key := n.Content[i].Value
			if key == "source" || key == "confidence" || key == "note" {
				continue
			}
			if p != "" {
				key = p + "." + key
			}
			s.leaves(key, n.Content[i+1], cite)
		}
	case yaml.SequenceNode:
		var scalars []string
		for i, c := range n.Content {
			if c.Kind == yaml.ScalarNode {
				scalars = append(scalars, c.Value)
			} else {
				s.leaves(fmt.Sprintf("%s[%d]", p, i), c, cite)
			}
		}
		if len(scalars) > 0 {
			s.Rules = append(s.Rules, Rule{Key: p, Value: strings.Join(scalars, ", "), Cite: cite})
		}
	default:
		s.Rules = append(s.Rules, Rule{Key: p, Value: n.Value, Cite: cite})
	}
}
