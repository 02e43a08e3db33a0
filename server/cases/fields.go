package cases

import (
	"fmt"
	"slices"

	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/table"
)

// fields compares what a case states with the fields of a message and reports
// everything that no field of it can hold, with its line.
type fields struct {
	of     string // what the message is, for people: "the request of elements:value"
	answer bool   // an answer writes every field, by its JSON name only
	fault  func(line int, format string, args ...any)
}

// object checks a mapping against a message. at is its path in the case.
func (f *fields) object(n *table.Node, m protoreflect.MessageDescriptor, at string) {
	if m.ParentFile().Package() != "rinktally.v1" {
		return // a message of another owner, whose JSON is its own
	}
	if !n.IsMapping() {
		f.fault(n.Line, "%s: want a mapping of fields to values", at)
		return
	}
	for _, k := range n.Keys {
		field := m.Fields().ByJSONName(k.Name)
		if field == nil && !f.answer {
			field = m.Fields().ByTextName(k.Name)
		}
		if field == nil {
			f.fault(k.Line, "%s.%s: is not a field of %s; %s", at, k.Name, f.of, rules.Meant(k.Name, jsonNames(m)))
			continue
		}
		f.value(k.Value, field, at+"."+k.Name)
	}
}

func (f *fields) value(n *table.Node, field protoreflect.FieldDescriptor, at string) {
	message := field.Message() != nil && !field.IsMap()
	switch {
	case n.IsNull() && f.answer && (!message || field.IsList()):
		f.fault(n.Line, "%s: is null, but %s always has a value there", at, f.of)
	case n.IsNull() || field.IsMap():
	case field.IsList() && !n.IsList():
		f.fault(n.Line, "%s: want a list", at)
	case field.IsList() && message:
		for i, item := range n.Items {
			f.object(item, field.Message(), fmt.Sprintf("%s[%d]", at, i))
		}
	case message && !field.IsList():
		f.object(n, field.Message(), at)
	}
}

// refusal checks an expected error.
func (f *fields) refusal(n *table.Node) {
	reasons := make([]string, 0, len(pb.ErrorReason_Value_value))
	for reason := range pb.ErrorReason_Value_value {
		reasons = append(reasons, reason)
	}
	slices.Sort(reasons)
	allowed := []string{"fields", "reason"}
	if !n.IsMapping() {
		f.fault(n.Line, "expect.error: want {reason: ..., fields: [...]}")
		return
	}
	for _, k := range n.Keys {
		switch {
		case !slices.Contains(allowed, k.Name):
			f.fault(k.Line, "expect.error.%s: is not known here; %s", k.Name, rules.Meant(k.Name, allowed))
		case k.Name == "reason" && !slices.Contains(reasons, k.Value.Text):
			f.fault(k.Line, "expect.error.reason: is %s; %s", rules.Quote(k.Value.Text), rules.Meant(k.Value.Text, reasons))
		}
	}
}

func jsonNames(m protoreflect.MessageDescriptor) []string {
	names := make([]string, m.Fields().Len())
	for i := range names {
		names[i] = m.Fields().Get(i).JSONName()
	}
	slices.Sort(names)
	return names
}
