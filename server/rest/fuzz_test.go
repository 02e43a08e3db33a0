package rest_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// FuzzBody sends any bytes to every call that has a body: the server never
// panics, and answers with a result or with a fault that has a reason.
func FuzzBody(f *testing.F) {
	h := handler(f, nil)
	calls := []string{"levels:call", "elements:value", "segments:score", "segments:batchScore"}
	for _, body := range []string{
		"", "{}", "null", "[]", "{", `{"a":1}`, `{"category":"senior-women"}`, "\x00", `{"category":"\ud800"}`, "{} {}", "\xef\xbb\xbf{}",
		`{"category":"senior-men","segment":"free-skating","elements":[{"code":"3Lz+3T","secondHalf":true}]}`,
		`{"category":"senior-women","segment":"short-program","elements":[{"code":"3Lz","marks":[1,2,3]}],"components":[{"component":"COMPOSITION","marks":[8.25,8,1e400]}],"deductions":[{"kind":"OTHER","value":"-1.00"}],"explain":true}`,
		`{"category":"senior-women","segment":"free-skating","elements":[{"spin":{"feet":[{"positions":[{"position":"CAMEL","revolutions":8}]}]}},{"stepSequence":{"turns":[{"type":"LOOP"}]}}]}`,
		`{"segments":[{"category":"senior-women"},null]}`, `{"elements":[[[[]]]]}`, `{"elements":[{"code":"a","code":"b"}]}`,
	} {
		f.Add(uint8(len(body)), []byte(body))
	}
	f.Fuzz(func(t *testing.T, call uint8, body []byte) {
		path := "/v1/seasons/2025-26/" + calls[int(call)%len(calls)]
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodPost, path, bytes.NewReader(body)))
		switch {
		case w.Code == http.StatusOK:
		case w.Code >= 400 && w.Code < 500:
			if fault := readFault(t, w.Body.Bytes()); pb.ErrorReason_Value_value[fault.reason()] == 0 || fault.Message == "" {
				t.Errorf("%s %q: %s", path, body, w.Body)
			}
		default:
			t.Errorf("%s %q: %d %s", path, body, w.Code, w.Body)
		}
	})
}
