package openapi

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// The document is OpenAPI 3.1, by the schema that the standard publishes, and each of
// its schemas is one of JSON Schema, as OpenAPI 3.1 takes it over whole.
func TestDocumentIsOpenAPI(t *testing.T) {
	standard, err := os.ReadFile("testdata/oas-3.1-2022-10-07.json")
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("standard", read(t, standard)); err != nil {
		t.Fatal(err)
	}
	form, err := compiler.Compile("standard")
	if err != nil {
		t.Fatal(err)
	}
	document := read(t, JSON)
	if err := form.Validate(document); err != nil {
		t.Error(err)
	}
	if err := compiler.AddResource("document", document); err != nil {
		t.Fatal(err)
	}
	schemas := document.(map[string]any)["components"].(map[string]any)["schemas"].(map[string]any)
	for name := range schemas {
		if _, err := compiler.Compile("document#/components/schemas/" + name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if len(schemas) < 100 {
		t.Errorf("there are only %d schemas", len(schemas))
	}
}

// The types of this package hold all that the document says.
func TestDocumentIsRead(t *testing.T) {
	var d Document
	if err := json.Unmarshal(JSON, &d); err != nil {
		t.Fatal(err)
	}
	again, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(read(t, again), read(t, JSON)) {
		t.Error("what was read is not what stands there")
	}
}

// Every call has an id of its own, and a reference leads somewhere.
func TestNamesAreTheirOwn(t *testing.T) {
	var d Document
	if err := json.Unmarshal(JSON, &d); err != nil {
		t.Fatal(err)
	}
	calls := map[string]bool{}
	for _, p := range d.Paths {
		for _, o := range *p.Value {
			if calls[o.Value.ID] {
				t.Errorf("two calls are %s", o.Value.ID)
			}
			calls[o.Value.ID] = true
			if o.Value.Summary == "" || o.Value.Responses.Get("200") == nil {
				t.Errorf("%s says too little", o.Value.ID)
			}
		}
	}
}

func read(t *testing.T, data []byte) any {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return v
}
