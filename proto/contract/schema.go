package main

import (
	"fmt"
	"slices"

	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/proto/openapi"
)

// schema is the form of a message, or the names of an enum.
func (m *message) schema() *openapi.Schema {
	out := &openapi.Schema{Description: prose(m.comment)}
	if m.values != nil {
		out.Type = "string"
		for _, v := range m.values {
			out.Enum = append(out.Enum, v.name)
			out.About.Add(v.name, prose(v.comment))
		}
		return out
	}
	out.Type = "object"
	for _, f := range m.fields {
		if f.oneof != "" {
			continue
		}
		out.Properties.Add(f.name, f.schema())
		if f.required && !slices.Contains(m.bound, f.name) { // what the path binds need not be said again
			out.Required = append(out.Required, f.name)
		}
	}
	for _, group := range m.oneofs {
		one := &openapi.Schema{}
		for _, name := range group {
			member := &openapi.Schema{Type: "object", Required: []string{name}}
			member.Properties.Add(name, m.field(name).schema())
			one.OneOf = append(one.OneOf, member)
		}
		out.AllOf = append(out.AllOf, one)
	}
	if len(out.AllOf) == 1 {
		out.OneOf, out.AllOf = out.AllOf[0].OneOf, nil
	}
	switch {
	case m.form != inRequest: // fields may be added to answers
	case len(m.oneofs) > 0:
		out.Unevaluated = &openapi.Additional{} // an unknown field is refused
	default:
		out.Additional = &openapi.Additional{}
	}
	return out
}

// schema is the form of a field with what it means.
func (f *field) schema() *openapi.Schema {
	out := f.plain()
	switch {
	case f.list:
		out = &openapi.Schema{Type: "array", Items: out}
	case f.null:
		out = &openapi.Schema{AnyOf: []*openapi.Schema{out, {Type: "null"}}}
	}
	out.Description = prose(f.comment)
	return out
}

// plain is the form of a field's value, of a list that of its items.
func (f *field) plain() *openapi.Schema {
	switch f.kind {
	case protoreflect.BoolKind:
		return &openapi.Schema{Type: "boolean"}
	case protoreflect.Int32Kind:
		return &openapi.Schema{Type: "integer", Format: "int32"}
	case protoreflect.DoubleKind:
		return &openapi.Schema{Type: "number", Format: "double"}
	case protoreflect.StringKind:
		return &openapi.Schema{Type: "string"}
	case protoreflect.BytesKind:
		return &openapi.Schema{Type: "string", Format: "byte"}
	case protoreflect.Int64Kind, protoreflect.Uint64Kind: // more than a number of JSON is sure to hold
		return &openapi.Schema{Type: "string", Format: f.kind.String(), Pattern: "^-?[0-9]+$"}
	case protoreflect.EnumKind:
		return ref(f.of)
	case protoreflect.MessageKind:
		switch {
		case f.of != nil:
			return ref(f.of)
		case f.foreign == "google.rpc.Status":
			return ref(&message{name: status})
		case f.foreign == "google.protobuf.Timestamp":
			return &openapi.Schema{Type: "string", Format: "date-time"}
		case f.foreign == "google.protobuf.Duration":
			return &openapi.Schema{Type: "string", Pattern: `^-?[0-9]+(\.[0-9]+)?s$`}
		}
	}
	panic(fmt.Sprintf("%s: the document has no form for a %s", f.name, f.kind))
}
