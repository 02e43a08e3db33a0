package table

import (
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// kind is what a node of a table is.
type kind int

const (
	scalar kind = iota
	list
	mapping
)

// Node is a value of a YAML file with the place that states it and what the file
// says of its provenance. Laid over another node it keeps both.
type Node struct {
	Text  string  // of a scalar, as it is written
	Block bool    // the text of a scalar begins in the line below, behind | or >
	Keys  []Key   // of a mapping, in the order written
	Items []*Node // of a list
	File  string
	Line  int

	kind   kind
	null   bool
	quoted bool // a scalar that is surely text
	// cite is the source, confidence and note of the nearest mapping of the same
	// file that states them; the depths say how deep that mapping lies, 0 being the
	// file as a whole.
	cite                         rules.Cite
	sourceDepth, confidenceDepth int
	// vouches is what a mapping says of the keys that it inherits, and voucher the
	// node that says it: of a mapping that lies over another, the lower one still
	// speaks of what both may come to lie over.
	vouches vouching
	voucher *Node
	// layer counts the seasons below the one whose file states the node: what a
	// season says of its inheritance does not speak of what a later one states.
	layer int
}

// Key is an entry of a mapping with the place that states it.
type Key struct {
	Name  string
	File  string
	Line  int
	Value *Node
	// gone is a null that takes away a key of what the mapping lies over. It stays
	// in the tree for what the mapping may come to lie over later.
	gone bool
}

// vouching names the provenance that a mapping states for what it inherits too.
type vouching struct{ source, confidence, note bool }

// IsText reports whether the node is a single value.
func (n *Node) IsText() bool { return n.kind == scalar }

// IsNull reports whether the node is empty or null.
func (n *Node) IsNull() bool { return n.null }

// IsList reports whether the node is a list.
func (n *Node) IsList() bool { return n.kind == list }

// IsMapping reports whether the node is a mapping of keys to values.
func (n *Node) IsMapping() bool { return n.kind == mapping }

// Get returns the value of a key of a mapping, or nil.
func (n *Node) Get(name string) *Node {
	if k := n.key(name); k != nil {
		return k.Value
	}
	return nil
}

func (n *Node) key(name string) *Key {
	for i := range n.Keys {
		if n.Keys[i].Name == name {
			return &n.Keys[i]
		}
	}
	return nil
}

// line returns the line of a key of a mapping, or 1.
func (n *Node) line(name string) int {
	if k := n.key(name); k != nil {
		return k.Line
	}
	return 1
}

// The keys that any mapping of a table may have: they speak of its other keys.
const (
	sourceKey     = "source"
	confidenceKey = "confidence"
	noteKey       = "note"
	// coversKey, with the value "inherited", says that a mapping's source and
	// confidence hold also for what it inherits. What is stated more closely, by a
	// mapping that lies deeper, stays.
	coversKey = "covers"
)

const inherited = "inherited"

// unknownKey holds what no source states. How little is known of it, the provenance
// of the mapping around it does not say.
const unknownKey = "unknown"

func ofProvenance(name string) bool {
	return name == sourceKey || name == confidenceKey || name == noteKey || name == coversKey
}

// state writes into every node what its own file says of its provenance. A note
// speaks of its own mapping's keys only, source and confidence of all below.
func (n *Node) state(layer int) { n.stateBelow(0, &Node{layer: layer}) }

func (n *Node) stateBelow(depth int, above *Node) {
	n.cite, n.sourceDepth, n.confidenceDepth, n.layer = above.cite, above.sourceDepth, above.confidenceDepth, above.layer
	if n.kind == mapping {
		n.cite.Note = ""
		n.vouches, n.voucher = n.vouching(depth), n
		for _, k := range n.Keys {
			stated := ""
			if k.Value.kind == scalar && !k.Value.null {
				stated = strings.TrimSpace(k.Value.Text)
			}
			switch {
			case stated == "": // null: as the file as a whole says
			case k.Name == sourceKey:
				n.cite.Source, n.sourceDepth = stated, depth
			case k.Name == confidenceKey:
				n.cite.Confidence, n.confidenceDepth = rules.Confidence(stated), depth
			case k.Name == noteKey:
				n.cite.Note = stated
			}
		}
	}
	for _, k := range n.Keys {
		above := n
		if k.Name == unknownKey {
			doubted := *n
			doubted.cite.Confidence, doubted.confidenceDepth = rules.Low, depth+1
			above = &doubted
		}
		k.Value.stateBelow(depth+1, above)
	}
	for _, item := range n.Items {
		item.stateBelow(depth+1, n)
	}
}

// vouching finds out whether a mapping speaks of what it inherits too: it says so, or,
// inside of a file, it states nothing but provenance, such as "panel: {source: Sheets
// of 2025-26}" for a panel that is still the one of the season before.
func (n *Node) vouching(depth int) (v vouching) {
	covers := n.key(coversKey) != nil
	if !covers && (depth == 0 || slices.ContainsFunc(n.Keys, func(k Key) bool { return !ofProvenance(k.Name) })) {
		return v
	}
	v.source = n.key(sourceKey) != nil || covers && n.cite.Source != ""
	v.confidence = n.key(confidenceKey) != nil || n.cite.Confidence != "" && v.source
	v.note = n.key(noteKey) != nil
	return v
}

// cover copies what a mapping inherits with the provenance that the mapping states
// for it, where nothing deeper than the mapping states another one. What was surely
// known from one source is not for that surely known from another.
func (n *Node) cover(of *Node, depth int) *Node {
	if n = n.voucher; n == nil {
		return of
	}
	if n.vouches == (vouching{}) {
		return of
	}
	return of.recite(func(v *Node, own bool) {
		if v.layer > n.layer {
			return
		}
		if n.vouches.source && v.sourceDepth <= depth {
			v.cite.Source, v.sourceDepth = n.cite.Source, n.sourceDepth
			if v.cite.Confidence.Doubt() == 0 && v.confidenceDepth <= depth {
				v.cite.Confidence = ""
			}
		}
		if n.vouches.confidence && v.confidenceDepth <= depth {
			v.cite.Confidence, v.confidenceDepth = n.cite.Confidence, n.confidenceDepth
		}
		if n.vouches.note && own {
			v.cite.Note = n.cite.Note
		}
	}, true)
}

// recite copies a node with the provenance of each value changed; own is true for
// the node and the values that are not in a mapping below it.
func (n *Node) recite(change func(v *Node, own bool), own bool) *Node {
	out := *n
	change(&out, own)
	out.Keys, out.Items = slices.Clone(n.Keys), slices.Clone(n.Items)
	for i, k := range out.Keys {
		out.Keys[i].Value = k.Value.recite(change, own && k.Value.kind != mapping)
	}
	for i, item := range out.Items {
		out.Items[i] = item.recite(change, own)
	}
	return &out
}

// over lays a file's tree over that of the season which it extends: mappings
// merge key by key, everything else replaces, null deletes. Each value keeps the
// file, line and provenance of the file that states it. The keys in own are never
// inherited. Both trees may be nil.
func (n *Node) over(parent *Node, own ...string) *Node {
	if n == nil {
		return parent
	}
	if parent == nil {
		return n
	}
	base := *parent
	base.Keys = slices.DeleteFunc(slices.Clone(parent.Keys), func(k Key) bool { return slices.Contains(own, k.Name) })
	return n.merge(&base, nil)
}

// soloSpins is the path of the level rules that lie over those of single skating.
var soloSpins = []string{"pairs", "spins"}

// merge lays a node over another, whose provenance stays that of its own values.
// path is that of both in their tree. A null takes away what the other states; where
// the other does not state it, it stays for what both may come to lie over, and in
// the rules of soloSpins it stays in any case.
func (n *Node) merge(parent *Node, path []string) *Node {
	if parent.kind != mapping || n.kind != mapping {
		return n
	}
	parent = n.cover(parent, len(path))
	out := *n
	out.voucher = n.speaker(parent)
	out.Keys = slices.DeleteFunc(slices.Clone(parent.Keys), func(k Key) bool { return ofProvenance(k.Name) })
	lasting := len(path) >= len(soloSpins) && slices.Equal(path[:len(soloSpins)], soloSpins)
	for _, k := range n.Keys {
		if ofProvenance(k.Name) {
			continue
		}
		at := slices.IndexFunc(out.Keys, func(have Key) bool { return have.Name == k.Name })
		switch {
		case at < 0:
			k.gone = k.Value.null
			out.Keys = append(out.Keys, k)
		case k.Value.null && !lasting && !out.Keys[at].gone:
			out.Keys = slices.Delete(out.Keys, at, at+1)
		default:
			k.gone = k.Value.null
			k.Value = k.Value.merge(out.Keys[at].Value, append(slices.Clip(path), k.Name))
			out.Keys[at] = k
		}
	}
	return &out
}

// speaker returns the mapping that speaks of what a mapping and the one below it may
// yet come to lie over: that of the lower one, unless the upper one states nothing
// but provenance. One with the key covers speaks of the season below only.
func (n *Node) speaker(parent *Node) *Node {
	switch {
	case n.vouches == vouching{}, parent.voucher == nil, parent.voucher.vouches == vouching{}:
		return parent.voucher
	case n.key(coversKey) != nil:
		return nil
	}
	return n
}

// pruned returns the tree without the keys that a null has taken away.
func (n *Node) pruned() *Node {
	if n == nil {
		return nil
	}
	out := n
	for i, k := range n.Keys {
		value := k.Value.pruned()
		if value == k.Value && !k.gone {
			continue
		}
		if out == n {
			out = new(*n)
			out.Keys = slices.Clone(n.Keys)
		}
		out.Keys[i].Value = value
	}
	if out != n {
		out.Keys = slices.DeleteFunc(out.Keys, func(k Key) bool { return k.gone })
	}
	return out
}

// laid returns the tree in which the rules of the solo spins of pairs lie over those
// of single skating, key by key. What they share is no surer than the mapping of the
// solo spins says that they share it. Without either of them the tree stays as it is.
func (n *Node) laid() *Node {
	const base = "spins"
	if n == nil || n.Get(base) == nil {
		return n
	}
	return n.replace(soloSpins, func(own *Node) *Node {
		shared := n.Get(base).recite(func(v *Node, _ bool) {
			if own.layer >= v.layer && own.cite.Confidence.Doubt() > v.cite.Confidence.Doubt() {
				v.cite = own.cite
			}
		}, true)
		return own.merge(shared, []string{base})
	})
}

// likened returns the tree in which every layout that names another one ("like") lies
// over that one, key by key.
func (n *Node) likened() *Node {
	if n == nil || n.Get("layouts") == nil {
		return n
	}
	return n.replace([]string{"layouts"}, func(all *Node) *Node {
		out := *all
		out.Keys = slices.Clone(all.Keys)
		for i, k := range out.Keys {
			out.Keys[i].Value = k.Value.like(all, nil)
		}
		return &out
	})
}

// like lays an item over the one that it names, which may itself be like another.
// seen are the items that it is already laid over: a circle ends there.
func (n *Node) like(all *Node, seen []string) *Node {
	named := n.Get("like")
	if named == nil || slices.Contains(seen, named.Text) || all.Get(named.Text) == nil {
		return n
	}
	return n.merge(all.Get(named.Text).like(all, append(seen, named.Text)), []string{"layouts", named.Text})
}

// without returns the tree without a key of a top-level mapping.
func (n *Node) without(mapping, key string) *Node {
	if n == nil {
		return nil
	}
	return n.replace([]string{mapping}, func(at *Node) *Node {
		out := *at
		out.Keys = slices.DeleteFunc(slices.Clone(at.Keys), func(k Key) bool { return k.Name == key })
		return &out
	})
}

// replace copies the mappings along a path and changes the node at its end.
func (n *Node) replace(path []string, change func(*Node) *Node) *Node {
	if len(path) == 0 {
		return change(n)
	}
	at := slices.IndexFunc(n.Keys, func(k Key) bool { return k.Name == path[0] })
	if at < 0 {
		return n
	}
	out := *n
	out.Keys = slices.Clone(n.Keys)
	out.Keys[at].Value = n.Keys[at].Value.replace(path[1:], change)
	return &out
}
