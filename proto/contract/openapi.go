package main

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"

	"github.com/rinktally/rinktally/proto/openapi"
)

//go:embed base.yaml
var base []byte

// documents are the media types of the answers that are documents.
var documents = map[string][]string{
	"GetDocument":    {"application/pdf", "text/csv"},
	"ExportAttempts": {"text/csv"},
	"ExportEntries":  {"text/csv"},
	"ExportElements": {"text/csv"},
}

// alsoAs are the media types of answers that are JSON or, to who asks for it by Accept,
// the document of another call.
var alsoAs = map[string][]string{"ListElements": {"text/csv"}}

// secondNames are the operation ids of calls at their second path.
var secondNames = map[string]string{
	"SetPanel":      "setSegmentPanel",
	"RemoveElement": "removeLastElement",
}

// access is what the calls of a service ask of their callers. Where it is sometimes
// the event decides: reading one may be restricted.
type access int

const (
	always access = iota
	sometimes
	never
)

// accessOf is the services and calls that do not always ask for a token.
var accessOf = map[string]access{
	"RulesService": never, "ScoringService": never, "ProgramService": never, "ResultService": never,
	"ScoreboardService": sometimes,
	"ListEvents":        sometimes, "GetEvent": sometimes, "WatchEvent": sometimes, "GetCaller": sometimes, "TakeSeat": sometimes,
	"ListEntries": sometimes, "ExportEntries": sometimes, "GetPerformance": sometimes,
	"GetSegmentStanding": sometimes, "GetFinalStanding": sometimes, "GetDocument": sometimes,
}

// securities are the forms of access in the document.
var securities = map[access][]openapi.Security{
	always:    {{"token": {}}},
	sometimes: {{}, {"token": {}}},
	never:     {},
}

// openAPI writes the document.
func (c *contract) openAPI(examples map[string]example) ([]byte, error) {
	data, err := yaml.YAMLToJSON(base)
	if err != nil {
		return nil, fmt.Errorf("base.yaml: %w", err)
	}
	var d openapi.Document
	if err := json.Unmarshal(data, &d); err != nil {
		return nil, fmt.Errorf("base.yaml: %w", err)
	}
	paths := map[string]*openapi.PathItem{}
	order := d.Tags
	d.Tags = nil
	for _, s := range c.inOrder(order) {
		d.Tags = append(d.Tags, openapi.Tag{Name: s.name, Description: prose(s.comment)})
		for _, call := range s.calls {
			for i, r := range call.routes {
				o, err := call.operation(i, examples[call.name], c.message("ErrorReason"))
				if err != nil {
					return nil, fmt.Errorf("%s: %w", call.name, err)
				}
				if paths[r.path] == nil {
					paths[r.path] = &openapi.PathItem{}
					d.Paths.Add(r.path, paths[r.path])
				}
				paths[r.path].Add(strings.ToLower(r.method), o)
			}
		}
	}
	for _, m := range c.messages {
		d.Components.Schemas.Add(m.name, m.schema())
	}
	return indent(&d)
}

// inOrder are the services in the order of the tags that name them.
func (c *contract) inOrder(tags []openapi.Tag) []*service {
	place := func(s *service) int {
		at := slices.IndexFunc(tags, func(t openapi.Tag) bool { return t.Name == s.name })
		if at < 0 {
			return len(tags)
		}
		return at
	}
	return slices.SortedStableFunc(slices.Values(c.services), func(a, b *service) int { return place(a) - place(b) })
}

// indent writes a document for people to read its changes.
func indent(d *openapi.Document) ([]byte, error) {
	var line, out bytes.Buffer
	to := json.NewEncoder(&line)
	to.SetEscapeHTML(false)
	if err := to.Encode(d); err != nil {
		return nil, err
	}
	err := json.Indent(&out, line.Bytes(), "", " ")
	return out.Bytes(), err
}

// operation describes a call at one of its paths.
func (c *call) operation(at int, e example, reasons *message) (*openapi.Operation, error) {
	r := c.routes[at]
	o := &openapi.Operation{Tags: []string{c.service.name}, GRPC: packageName + "." + c.service.name + "/" + c.name}
	o.ID = c.method()
	if at > 0 {
		if o.ID = secondNames[c.name]; o.ID == "" || at > 1 {
			return nil, fmt.Errorf("its path %s needs an operation id of its own", r.path)
		}
		e = example{}
	}
	o.Summary, o.Description = headline(c.name, c.comment)
	who, named := accessOf[c.name]
	if !named {
		who = accessOf[c.service.name]
	}
	o.Security, o.Reasons = securities[who], c.reasons(reasons)
	values, err := e.values(r.path)
	if err != nil {
		return nil, err
	}
	for _, f := range c.request.fields {
		p := &openapi.Parameter{Name: f.name, In: "query", Description: prose(f.comment), Required: f.required, Schema: f.plain(), Example: values[f.name]}
		switch {
		case slices.Contains(r.variables, f.name):
			p.In, p.Required = "path", true
		case r.body:
			continue
		case f.of != nil && f.of.values == nil:
			return nil, fmt.Errorf("the query cannot hold the message %s", f.name)
		case f.list:
			p.Schema = &openapi.Schema{Type: "array", Items: f.plain()}
		}
		o.Parameters = append(o.Parameters, p)
	}
	if c.stream {
		o.Parameters = append(o.Parameters, &openapi.Parameter{
			Name: "Last-Event-ID", In: "header", Schema: &openapi.Schema{Type: "string"},
			Description: "The id of the event that the watcher has seen last, as browsers send it by themselves: the same as afterSequence.",
		})
	}
	if r.body {
		o.RequestBody = &openapi.Body{Required: true}
		o.RequestBody.Content.Add("application/json", &openapi.Media{Schema: ref(c.request), Example: e.Request})
	}
	answer := &openapi.Response{Description: "The answer."}
	switch {
	case c.file:
		answer.Description = "The document."
		if documents[c.name] == nil {
			return nil, fmt.Errorf("it answers a document, of which no row says the media types")
		}
		for _, t := range documents[c.name] {
			m := &openapi.Media{Schema: &openapi.Schema{Type: "string"}}
			if t == "application/pdf" {
				m.Schema = &openapi.Schema{MediaType: t}
			} else {
				m.Example = e.Answer
			}
			answer.Content.Add(t, m)
		}
	case c.stream:
		answer.Description = "The stream. Each event has its name as event, the sequence number as id, and one line of JSON as data."
		m := &openapi.Media{Schema: &openapi.Schema{Type: "string"}, Example: e.Answer}
		for _, e := range c.events {
			m.Events = append(m.Events, openapi.Event{Name: e.name, Description: e.about, Data: ref(e.of)})
		}
		answer.Content.Add("text/event-stream", m)
	default:
		answer.Content.Add("application/json", &openapi.Media{Schema: ref(c.answer), Example: e.Answer})
		for _, t := range alsoAs[c.name] {
			answer.Content.Add(t, &openapi.Media{Schema: &openapi.Schema{Type: "string"}})
		}
	}
	o.Responses.Add("200", answer)
	if r.method == http.MethodGet && !c.stream {
		o.Responses.Add("304", &openapi.Response{Description: "What If-None-Match names is still the answer."})
	}
	o.Responses.Add("4XX", &openapi.Response{Ref: "#/components/responses/Refused"})
	o.Responses.Add("5XX", &openapi.Response{Ref: "#/components/responses/Failed"})
	return o, nil
}

// headline is a call's comment as one sentence, and what follows it.
func headline(name, comment string) (summary, rest string) {
	summary, rest, _ = strings.Cut(strings.TrimPrefix(prose(comment), name+" "), ". ")
	first, paragraph, two := strings.Cut(summary, "\n\n")
	if two {
		summary, rest = first, strings.TrimSuffix(paragraph+". "+rest, ". ")
	}
	return strings.ToUpper(summary[:1]) + strings.TrimSuffix(summary[1:], "."), rest
}

// prose joins the lines of a comment's paragraphs; indented ones stay as they are.
func prose(comment string) string {
	var out strings.Builder
	before := ""
	for line := range strings.Lines(comment) {
		line = strings.TrimSuffix(line, "\n")
		switch {
		case out.Len() == 0:
		case line == "" || before == "" || strings.HasPrefix(line, " ") || strings.HasPrefix(line, "- "):
			out.WriteString("\n")
		default:
			out.WriteString(" ")
		}
		out.WriteString(line)
		before = line
	}
	return out.String()
}

func ref(m *message) *openapi.Schema {
	return &openapi.Schema{Ref: "#/components/schemas/" + m.name}
}
