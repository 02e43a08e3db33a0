// Package described checks what a server takes and answers over HTTP against the
// OpenAPI document that it serves.
package described

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"mime"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"github.com/rinktally/rinktally/proto/openapi"
)

// Document is the OpenAPI document with its schemas ready to check with.
type Document struct {
	openapi.Document

	paths   []path
	schemas *jsonschema.Compiler
	lock    sync.Mutex // the compiler keeps what it has compiled
}

// path is a path with the pattern of the addresses that it is for.
type path struct {
	item    *openapi.PathItem
	pattern *regexp.Regexp
	fixed   int // characters outside of variables: more are nearer to the address
}

const address = "openapi.json"

// Read reads the document that the server has.
var Read = sync.OnceValues(func() (*Document, error) {
	d := &Document{schemas: jsonschema.NewCompiler()}
	if err := json.Unmarshal(openapi.JSON, &d.Document); err != nil {
		return nil, err
	}
	whole, err := jsonschema.UnmarshalJSON(bytes.NewReader(openapi.JSON))
	if err != nil {
		return nil, err
	}
	d.schemas.AssertFormat()
	if err := d.schemas.AddResource(address, whole); err != nil {
		return nil, err
	}
	variable := regexp.MustCompile(`\\\{[^}]*\\\}`)
	for _, p := range d.Paths {
		pattern := variable.ReplaceAllString(regexp.QuoteMeta(p.Name), "[^/]+")
		d.paths = append(d.paths, path{p.Value, regexp.MustCompile("^" + pattern + "$"), len(strings.ReplaceAll(pattern, "[^/]+", ""))})
	}
	slices.SortStableFunc(d.paths, func(a, b path) int { return cmp.Compare(b.fixed, a.fixed) })
	return d, nil
})

// Operation returns the call of a method and path, nil when there is none.
func (d *Document) Operation(method, at string) *openapi.Operation {
	for _, p := range d.paths {
		if p.pattern.MatchString(at) {
			return p.item.Get(strings.ToLower(method))
		}
	}
	return nil
}

// Check checks JSON against a schema of the document.
func (d *Document) Check(schema *openapi.Schema, data []byte) error {
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		return err
	}
	d.lock.Lock()
	compiled, err := d.schemas.Compile(address + schema.Ref)
	d.lock.Unlock()
	if err != nil {
		return err
	}
	return compiled.Validate(v)
}

// response is the answer that the document has for a status.
func (d *Document) response(o *openapi.Operation, status int) *openapi.Response {
	kind := fmt.Sprintf("%dXX", status/100)
	if o == nil { // of what nothing serves
		return d.Components.Responses.Get(map[string]string{"4XX": "Refused", "5XX": "Failed"}[kind])
	}
	r := cmp.Or(o.Responses.Get(fmt.Sprint(status)), o.Responses.Get(kind))
	if r != nil && r.Ref != "" {
		return d.Components.Responses.Get(strings.TrimPrefix(r.Ref, "#/components/responses/"))
	}
	return r
}

// media returns the content that an answer's headers name.
func (d *Document) media(o *openapi.Operation, res *http.Response) (*openapi.Media, error) {
	r := d.response(o, res.StatusCode)
	if r == nil {
		return nil, fmt.Errorf("no answer with %s is described", res.Status)
	}
	kind, _, err := mime.ParseMediaType(res.Header.Get("Content-Type"))
	if err != nil {
		return nil, err
	}
	m := r.Content.Get(kind)
	if m == nil {
		return nil, fmt.Errorf("no answer with %s as %s is described", res.Status, kind)
	}
	return m, nil
}
