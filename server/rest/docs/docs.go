// Package docs reads the OpenAPI document for the pages that show it: services with
// their calls and the types that those use.
package docs

import (
	"encoding/json"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/proto/openapi"
)

// Book is all that the pages show.
type Book struct {
	About    []string // paragraphs
	Services []*Service
	Refused  string // an error as JSON
	Reasons  []Reason
}

// Service is a service with its calls.
type Service struct {
	Name  string // ScoringService
	Title string // Scoring
	Slug  string // scoring
	About []string
	Calls []*Call
	Types []Type
}

// Call is a call.
type Call struct {
	ID, Name       string
	Does           string // one sentence
	About          []string
	Ways           []Way
	Access         Access
	Path, Query    []Field
	Request        *Type // nil without a body
	Answer         *Type // nil where it is a document or a stream
	Kinds          []string
	Events         []Event
	Reasons        []string // why it may be refused
	Curl           string   // the example as a command
	Sent, Answered string   // its JSON
}

// Access is whether a call needs a token.
type Access string

// What a call asks of its caller.
const (
	Open      Access = "open"
	Sometimes Access = "sometimes" // where reading the event is restricted
	Token     Access = "token"
)

// Way is a path of a call.
type Way struct {
	Method string
	Parts  []Part
}

// Part is a part of a path.
type Part struct {
	Text     string
	Variable bool
}

// Type is a message or an enum.
type Type struct {
	Name    string
	About   []string
	Fields  []Field
	OneOf   []Field // of which there is exactly one
	Choices []Choice
}

// Choice is a name of an enum.
type Choice struct{ Name, About string }

// Field is a field of a message or a parameter.
type Field struct {
	Name     string
	Kind     string // string, integer, number, boolean; "" where Of is named
	Of       string // name of the type
	List     bool
	Null     bool
	Required bool
	About    string
	Choices  []string // of an enum, when there are few
}

// Event is an event of a stream.
type Event struct {
	Name, About, Of string
}

// Reason is why a call is refused.
type Reason struct {
	Name    string
	About   []string
	Example string
}

// Read reads the document.
func Read(data []byte) (*Book, error) {
	var d openapi.Document
	if err := json.Unmarshal(data, &d); err != nil {
		return nil, err
	}
	var info struct{ Description string }
	if err := json.Unmarshal(d.Info, &info); err != nil {
		return nil, err
	}
	r := &reader{schemas: d.Components.Schemas}
	book := &Book{About: paragraphs(info.Description), Reasons: r.reasons()}
	book.Refused = pretty(d.Components.Responses.Get("Refused").Content.Get("application/json").Example)
	for _, tag := range d.Tags {
		title := strings.TrimSuffix(tag.Name, "Service")
		s := &Service{Name: tag.Name, Title: title, Slug: strings.ToLower(title), About: paragraphs(tag.Description)}
		others := map[string][]Way{} // second paths, by call
		for _, p := range d.Paths {
			for _, o := range *p.Value {
				w := wayOf(strings.ToUpper(o.Name), p.Name)
				_, name, _ := strings.Cut(o.Value.GRPC, "/")
				switch {
				case o.Value.Tags[0] != tag.Name:
				case !strings.EqualFold(o.Value.ID, name):
					others[name] = append(others[name], w)
				default:
					c := r.call(name, o.Value, p.Name)
					c.Ways = []Way{w}
					c.curl(w.Method, p.Name)
					s.Calls = append(s.Calls, c)
				}
			}
		}
		for _, c := range s.Calls {
			c.Ways = append(c.Ways, others[c.Name]...)
		}
		s.Types = r.types(s)
		book.Services = append(book.Services, s)
	}
	return book, nil
}

// reader reads the parts of a document.
type reader struct {
	schemas openapi.Ordered[*openapi.Schema]
}

func (r *reader) call(name string, o *openapi.Operation, path string) *Call {
	c := &Call{ID: o.ID, Name: name, Does: o.Summary, Reasons: o.Reasons, About: paragraphs(o.Description), Access: Token}
	switch len(o.Security) {
	case 0:
		c.Access = Open
	case 2:
		c.Access = Sometimes
	}
	bound := map[string]bool{}
	for _, p := range o.Parameters {
		f := r.field(p.Name, p.Schema)
		f.About, f.Required = p.Description, p.Required
		if p.In == "path" {
			bound[p.Name] = true
			c.Path = append(c.Path, f)
		} else {
			c.Query = append(c.Query, f)
		}
		c.example(p, path)
	}
	if o.RequestBody != nil {
		m := o.RequestBody.Content.Get("application/json")
		t := r.named(m.Schema.Ref)
		t.Fields = slices.DeleteFunc(t.Fields, func(f Field) bool { return bound[f.Name] })
		c.Request, c.Sent = &t, pretty(m.Example)
	}
	for _, m := range o.Responses.Get("200").Content {
		c.Kinds = append(c.Kinds, m.Name)
		if m.Value.Example != nil {
			c.Answered = pretty(m.Value.Example)
		}
		switch {
		case m.Value.Events != nil:
			for _, e := range m.Value.Events {
				c.Events = append(c.Events, Event{e.Name, e.Description, nameOf(e.Data)})
			}
		case m.Value.Schema.Ref != "":
			t := r.named(m.Value.Schema.Ref)
			c.Answer = &t
		}
	}
	return c
}
