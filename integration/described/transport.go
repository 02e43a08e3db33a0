package described

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/proto/openapi"
)

// Transport makes calls as http.DefaultTransport does. A call under /v1/ of which the
// answer, an event of its stream, or a request that was taken is not as described
// ends with an error.
var Transport http.RoundTripper = transport{}

// Client makes calls by Transport.
var Client = &http.Client{Transport: Transport}

type transport struct{}

// RoundTrip makes a call.
func (transport) RoundTrip(req *http.Request) (*http.Response, error) {
	var said []byte
	if req.GetBody != nil {
		body, err := req.GetBody()
		if err != nil {
			return nil, err
		}
		if said, err = io.ReadAll(body); err != nil {
			return nil, err
		}
	}
	res, err := http.DefaultTransport.RoundTrip(req)
	if err != nil || !strings.HasPrefix(req.URL.Path, "/v1/") {
		return res, err
	}
	if err := check(req, said, res); err != nil {
		return nil, fmt.Errorf("%s %s is not as described: %w", req.Method, req.URL.Path, err)
	}
	return res, nil
}

// check checks a request that was taken and its answer, whose body it reads if that
// is not a stream.
func check(req *http.Request, said []byte, res *http.Response) error {
	d, err := Read()
	if err != nil {
		return err
	}
	if req.Method == http.MethodHead || res.StatusCode == http.StatusNotModified || res.StatusCode == http.StatusNoContent {
		return nil // preflights and answers without a body
	}
	o := d.Operation(req.Method, req.URL.EscapedPath())
	media, err := d.media(o, res)
	if err != nil {
		return err
	}
	if media.Events != nil {
		res.Body = &events{Reader: res.Body, Closer: res.Body, document: d, media: media}
		return nil
	}
	if res.StatusCode == http.StatusOK && o.RequestBody != nil && len(bytes.TrimSpace(said)) > 0 {
		if err := d.Check(o.RequestBody.Content.Get("application/json").Schema, said); err != nil {
			return fmt.Errorf("the request: %w", err)
		}
	}
	body, err := io.ReadAll(res.Body)
	if err != nil {
		return err
	}
	if res.StatusCode >= http.StatusBadRequest && o != nil {
		if err := d.reason(o, body); err != nil {
			return err
		}
	}
	_ = res.Body.Close()
	res.Body = io.NopCloser(bytes.NewReader(body))
	if media.Schema.Ref == "" { // a document
		return nil
	}
	return d.Check(media.Schema, body)
}

// reason checks that a refusal has a reason that the call may be refused for.
func (d *Document) reason(o *openapi.Operation, body []byte) error {
	var refusal struct{ Details []struct{ Reason string } }
	if err := json.Unmarshal(body, &refusal); err != nil {
		return err
	}
	general := d.Components.Responses
	allowed := slices.Concat(o.Reasons, general.Get("Refused").Reasons, general.Get("Failed").Reasons)
	for _, detail := range refusal.Details {
		if detail.Reason != "" && !slices.Contains(allowed, detail.Reason) {
			return fmt.Errorf("%s is not refused for %s", o.ID, detail.Reason)
		}
	}
	return nil
}

// events checks each event of a stream once it has been read.
type events struct {
	io.Reader
	io.Closer

	document *Document
	media    *openapi.Media
	rest     []byte // the beginning of the event that comes
}

// Read reads a part of the stream.
func (e *events) Read(p []byte) (int, error) {
	n, err := e.Reader.Read(p)
	e.rest = append(e.rest, p[:n]...)
	for {
		one, rest, whole := bytes.Cut(e.rest, []byte("\n\n"))
		if !whole {
			return n, err
		}
		if wrong := e.document.event(e.media, string(one)); wrong != nil {
			return n, wrong
		}
		e.rest = rest
	}
}

// event checks an event of a stream.
func (d *Document) event(media *openapi.Media, text string) error {
	var name, data string
	for line := range strings.Lines(text) {
		field, value, _ := strings.Cut(strings.TrimSuffix(line, "\n"), ": ")
		switch field {
		case "event":
			name = value
		case "data":
			data = value
		}
	}
	if name == "" { // how long to wait before coming back
		return nil
	}
	var wrong error
	if slices.ContainsFunc(media.Events, func(e openapi.Event) bool {
		if e.Name != name {
			return false
		}
		wrong = d.Check(e.Data, []byte(data))
		return wrong == nil
	}) {
		return nil
	}
	if wrong == nil {
		return fmt.Errorf("no event %q is described", name)
	}
	return fmt.Errorf("the event %s: %w", name, wrong)
}
