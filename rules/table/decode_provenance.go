package table

import (
	"reflect"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// stated is what a rule of several values is about, and how it is known: as one of
// its values is, which stands at a file and line, or, where these are empty, as the
// mapping is.
type stated struct {
	title string
	known
}

// known is a provenance with the place that states it.
type known struct {
	cite rules.Cite
	file string
	line int
}

// group is a mapping of rules that are stated together, such as those of a kind of
// element. Those that are known as the group is make one warning, which names it.
type group struct {
	path, words string
	cite        rules.Cite
	outer       *group // the one that it belongs to; nil = none
}

// of finds the group that is known equally well from the same source, from the
// inside out, or nil.
func (g *group) of(cite rules.Cite) *group {
	for g != nil && (g.cite.Source != cite.Source || g.cite.Confidence != cite.Confidence) {
		g = g.outer
	}
	return g
}

// weakest collects the provenance of a rule's values: the rule is as sure as the
// least sure of them.
type weakest struct {
	known
	any bool
}

func (w *weakest) add(value known) {
	if w != nil && (!w.any || value.cite.Confidence.Doubt() > w.cite.Confidence.Doubt()) {
		w.known, w.any = value, true
	}
}

// clause fills in what the rule at a path is known by.
func (d *decoder) clause(v reflect.Value, by known, at around, n *Node) {
	cite := by.cite
	c, ok := v.Addr().Interface().(*rules.Clause)
	if !ok || d.clauses == nil {
		return
	}
	words := at.about
	if strings.Contains(words, "{") {
		words = strings.ReplaceAll(words, "{of}", at.of)
		words = strings.ReplaceAll(words, "{key}", at.key)
		words = strings.ReplaceAll(words, "{words}", strings.ToLower(strings.ReplaceAll(at.key, "_", " ")))
		title := ""
		if t := n.Get("title"); t != nil {
			title = t.Text
		}
		words = strings.ReplaceAll(words, "{title}", title)
	}
	c.Cite = cite
	c.ID = d.key(at.path)
	words += at.in
	c.Warn = cite.Unsure(c.ID, words)
	if g := at.group.of(cite); g != nil {
		c.Warn = g.cite.Unsure(d.key(g.path), g.words)
	}
	d.rule(at.path, stated{words, by})
}

// key is the key of a rule at a path of this file.
func (d *decoder) key(path string) string {
	if path == "" {
		return d.prefix
	}
	return join(d.prefix, path)
}

// provenance checks what a mapping says of its provenance.
func (d *decoder) provenance(k Key, at around) {
	below := at.below(k).place
	switch {
	case k.Value.null:
	case k.Value.kind != scalar:
		d.fault(below, "is %s; want a text", found(k.Value))
	case k.Name == coversKey && k.Value.Text != inherited:
		d.fault(below, "is %s; allowed is %s", rules.Quote(k.Value.Text), inherited)
	case k.Name == confidenceKey && !slices.Contains(confidences, rules.Confidence(k.Value.Text)):
		d.fault(below, "is %s; %s", rules.Quote(k.Value.Text), rules.Meant(k.Value.Text, words(confidences)))
	case k.Name == sourceKey && strings.HasPrefix(k.Value.Text, Placeholder):
		d.fault(below, "is still the text of the starter file; name the published text, or say that it is your own rule")
	}
}
