package form

import (
	"bytes"
	"encoding/json"
	"testing"
)

// What is written without spaces holds the same as before, as the standard library
// reads both.
func TestCompact(t *testing.T) {
	for _, text := range []string{
		``,
		`{}`,
		`{"a":1, "b":[2, 3], "c":{}, "d":null}`,
		`{"a b": "c, d", "e":["f ", " g"], "h":true}`,
		`{"a":"\" , ", "b, \\":"\\", "c":" \\\" "}`,
		`["ä ö", "\u0022 , ", "\\\\ "]`,
	} {
		var want bytes.Buffer
		if text != "" {
			if err := json.Compact(&want, []byte(text)); err != nil {
				t.Fatal(err)
			}
		}
		if got := compact([]byte(text)); string(got) != want.String() {
			t.Errorf("%s: got %s, want %s", text, got, want.String())
		}
	}
	for text, want := range map[string]string{`{"a, `: `{"a, `, `{"a\`: `{"a\`, `{"a": "b`: `{"a":"b`} { // cut off
		if got := compact([]byte(text)); string(got) != want {
			t.Errorf("%s: got %s, want %s", text, got, want)
		}
	}
}
