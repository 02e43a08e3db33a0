package docs

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/proto/openapi"
)

// The pages have every call of the document with an example, every type that a link of
// theirs leads to, and every reason with the example of its error.
func TestNothingIsLeftOut(t *testing.T) {
	book, err := Read(openapi.JSON)
	if err != nil {
		t.Fatal(err)
	}
	var d openapi.Document
	if err := json.Unmarshal(openapi.JSON, &d); err != nil {
		t.Fatal(err)
	}
	ways, shown := 0, 0
	for _, p := range d.Paths {
		ways += len(*p.Value)
	}
	for _, s := range book.Services {
		anchors := map[string]bool{"Status": true, reasons: true} // on the page of errors
		var links []Field
		for _, c := range s.Calls {
			shown += len(c.Ways)
			if c.Curl == "" || c.Answered == "" && c.Answer != nil {
				t.Errorf("%s has no example", c.Name)
			}
			links = append(append(links, c.Path...), c.Query...)
			for _, of := range []*Type{c.Request, c.Answer} {
				if of != nil {
					anchors[of.Name] = true
					links = append(append(links, of.Fields...), of.OneOf...)
				}
			}
			for _, e := range c.Events {
				links = append(links, Field{Of: e.Of})
			}
		}
		for _, of := range s.Types {
			anchors[of.Name] = true
			links = append(append(links, of.Fields...), of.OneOf...)
		}
		for _, f := range links {
			if f.Of != "" && !anchors[f.Of] {
				t.Errorf("%s: nothing is at %s, the type of %s", s.Slug, f.Of, f.Name)
			}
		}
	}
	if shown != ways {
		t.Errorf("%d of %d paths are shown", shown, ways)
	}
	for _, r := range book.Reasons {
		var example struct{ Reason string }
		if err := json.Unmarshal([]byte(r.Example), &example); err != nil || example.Reason != r.Name || len(r.About) == 0 {
			t.Errorf("%s: %v, %s", r.Name, err, r.Example)
		}
	}
}

// JSON is written on few lines and stays the same; a word for a shell stays one word.
func TestExamples(t *testing.T) {
	for _, text := range []string{
		`{}`, `[]`, `{"a":[],"b":{"c":"say \"x: y, z\""}}`, `[1,2,3]`,
		`{"elements":[{"code":"3Lz+3T","marks":[2,2,2,1,3,2,3,3,2]},{"code":"LSp4","marks":[1,2,1,1,2,2,1,2,1]}],"explain":true}`,
	} {
		var want, got any
		out := pretty(json.RawMessage(text))
		if json.Unmarshal([]byte(text), &want) != nil || json.Unmarshal([]byte(out), &got) != nil || plain(t, want) != plain(t, got) {
			t.Errorf("%s became %s", text, out)
		}
		for line := range strings.Lines(out) {
			if len(line) > width+20 {
				t.Errorf("a line is %d long: %s", len(line), line)
			}
		}
	}
	for word, want := range map[string]string{"a/b": "a/b", "a?b=c": "'a?b=c'", "it's": `'it'\''s'`} {
		if got := quote(word); got != want {
			t.Errorf("%s is quoted as %s", word, got)
		}
	}
}

func plain(t *testing.T, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
