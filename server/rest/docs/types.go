package docs

import (
	"slices"
	"strings"

	"github.com/rinktally/rinktally/proto/openapi"
)

// named is the type that a reference leads to.
func (r *reader) named(ref string) Type {
	name := strings.TrimPrefix(ref, "#/components/schemas/")
	s := r.schemas.Get(name)
	t := Type{Name: name, About: paragraphs(s.Description)}
	for _, choice := range s.Enum {
		t.Choices = append(t.Choices, Choice{choice, s.About.Get(choice)})
	}
	t.Fields = r.fields(s)
	for _, one := range s.OneOf {
		t.OneOf = append(t.OneOf, r.fields(one)...)
	}
	return t
}

func (r *reader) fields(s *openapi.Schema) []Field {
	var list []Field
	for _, p := range s.Properties {
		f := r.field(p.Name, p.Value)
		f.About, f.Required = p.Value.Description, slices.Contains(s.Required, p.Name)
		list = append(list, f)
	}
	return list
}

func (r *reader) field(name string, s *openapi.Schema) Field {
	f := Field{Name: name}
	if len(s.AnyOf) > 0 { // or null
		f.Null, s = true, s.AnyOf[0]
	}
	if s.Items != nil {
		f.List, s = true, s.Items
	}
	const few = 12
	f.Of, f.Kind = nameOf(s), s.Type
	switch {
	case f.Of != "":
		if enum := r.schemas.Get(f.Of).Enum; len(enum) > 0 && len(enum) <= few {
			f.Choices = enum[1:] // the first stands for nothing
		}
		f.Kind = ""
	case s.Format == "date-time":
		f.Kind = "string, a time"
	case strings.HasSuffix(s.Format, "int64"):
		f.Kind = "string of digits"
	case len(s.OneOf) > 0: // the details of an error
		f.Kind = "object"
	}
	return f
}

func nameOf(s *openapi.Schema) string { return strings.TrimPrefix(s.Ref, "#/components/schemas/") }

// types are the types that the calls of a service use, but for those that stand at a
// call, in the order in which a reader meets them.
func (r *reader) types(s *Service) []Type {
	shown := map[string]bool{}
	for _, c := range s.Calls {
		for _, t := range []*Type{c.Request, c.Answer} {
			if t != nil {
				shown[t.Name] = true
			}
		}
	}
	var list []Type
	var meet func(fields []Field)
	meet = func(fields []Field) {
		for _, f := range fields {
			if f.Of == "" || shown[f.Of] || f.Of == reasons {
				continue
			}
			shown[f.Of] = true
			t := r.named(f.Of)
			list = append(list, t)
			meet(slices.Concat(t.Fields, t.OneOf))
		}
	}
	for _, c := range s.Calls {
		meet(slices.Concat(c.Path, c.Query))
		for _, t := range []*Type{c.Request, c.Answer} {
			if t != nil {
				meet(slices.Concat(t.Fields, t.OneOf))
			}
		}
		for _, e := range c.Events {
			meet([]Field{{Of: e.Of}})
		}
	}
	return list
}

// reasons is the type that has a page of its own.
const reasons = "ErrorReason"

// reasons are the reasons of errors, each with the example that its comment ends with.
func (r *reader) reasons() []Reason {
	var list []Reason
	all := r.named(reasons)
	for _, c := range all.Choices[1:] { // the first is never sent
		about, example, _ := strings.Cut(c.About, "\n\n    ")
		lines := strings.Split(example, "\n")
		for i := range lines {
			lines[i] = strings.TrimPrefix(lines[i], "    ")
		}
		list = append(list, Reason{Name: c.Name, About: paragraphs(about), Example: strings.Join(lines, "\n")})
	}
	return list
}

func paragraphs(text string) []string {
	if text == "" {
		return nil
	}
	return strings.Split(text, "\n\n")
}
