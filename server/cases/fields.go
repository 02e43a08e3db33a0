package cases

import (
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
)

// fields compares what a case states with the fields of a message and reports
// everything that no field of it can hold, with its line.
type fields struct {
	of     string // what the message is, for people: "the request of elements:value"
	answer bool   // an answer writes every field, by its JSON name only
	fault  func(line int, format string, args ...any)
}

// object checks a mapping against a message. at is its path in the case.
func (f *fields) object(n *yaml.Node, m protoreflect.MessageDescriptor, at string) {
	if n = resolved(n); m.ParentFile().Package() != "rinktally.v1" {
		return // a message of another owner, whose JSON is its own
	}
	if n.Kind != yaml.MappingNode {
		f.fault(n.Line, "%s: want a mapping of fields to values", at)
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		field := m.Fields().ByJSONName(key.Value)
		if field == nil && !f.answer {
			field = m.Fields().ByTextName(key.Value)
		}
		if field == nil {
			f.fault(key.Line, "%s.%s: is not a field of %s; %s", at, key.Value, f.of, meant(key.Value, jsonNames(m)))
			continue
		}
		f.value(value, field, at+"."+key.Value)
	}
}

func (f *fields) value(n *yaml.Node, field protoreflect.FieldDescriptor, at string) {
	n = resolved(n)
	message := field.Message() != nil && !field.IsMap()
	switch {
	case n.Tag == "!!null" && f.answer && (!message || field.IsList()):
		f.fault(n.Line, "%s: is null, but %s always has a value there", at, f.of)
	case n.Tag == "!!null" || field.IsMap():
	case field.IsList() && n.Kind != yaml.SequenceNode:
		f.fault(n.Line, "%s: want a list", at)
	case field.IsList() && message:
		for i, item := range n.Content {
			f.object(item, field.Message(), fmt.Sprintf("%s[%d]", at, i))
		}
	case message && !field.IsList():
		f.object(n, field.Message(), at)
	}
}

// refusal checks an expected error.
func (f *fields) refusal(n *yaml.Node) {
	reasons := make([]string, 0, len(pb.ErrorReason_Value_value))
	for reason := range pb.ErrorReason_Value_value {
		reasons = append(reasons, reason)
	}
	slices.Sort(reasons)
	allowed := []string{"fields", "reason"}
	if n = resolved(n); n.Kind != yaml.MappingNode {
		f.fault(n.Line, "expect.error: want {reason: ..., fields: [...]}")
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		switch key, value := n.Content[i], n.Content[i+1]; {
		case !slices.Contains(allowed, key.Value):
			f.fault(key.Line, "expect.error.%s: is not known here; %s", key.Value, meant(key.Value, allowed))
		case key.Value == "reason" && !slices.Contains(reasons, value.Value):
			f.fault(value.Line, "expect.error.reason: is %s; %s", rules.Quote(value.Value), meant(value.Value, reasons))
		}
	}
}

// resolved is the node that an alias stands for.
func resolved(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode {
		return n.Alias
	}
	return n
}

func jsonNames(m protoreflect.MessageDescriptor) []string {
	names := make([]string, m.Fields().Len())
	for i := range names {
		names[i] = m.Fields().Get(i).JSONName()
	}
	slices.Sort(names)
	return names
}

// meant names the allowed word that was most likely meant, and all of them.
func meant(word string, allowed []string) string {
	list := "allowed are: " + strings.Join(allowed, ", ")
	if near := rules.Nearest(word, allowed); near != "" {
		return "did you mean " + near + "? " + list
	}
	return list
}
