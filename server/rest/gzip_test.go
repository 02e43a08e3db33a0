package rest_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"testing"
)

// A season, its elements and the difference of two are compressed for who reads that
// and plain for others, with the same content, and 304 works for both.
func TestSeasonsAreCompressed(t *testing.T) {
	h := handler(t, nil)
	for _, path := range []string{"/v1/seasons/2025-26", "/v1/seasons/2025-26/elements?pageSize=1000", "/v1/seasons:compare?from=2017-18&to=2025-26"} {
		t.Run(path, func(t *testing.T) { compressed(t, h, path) })
	}
}

func compressed(t *testing.T, h http.Handler, path string) {
	t.Helper()
	get := func(accept, known string) *httptest.ResponseRecorder {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, path, nil)
		if accept != "" {
			r.Header.Set("Accept-Encoding", accept)
		}
		if known != "" {
			r.Header.Set("If-None-Match", known)
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		return w
	}
	plain := get("", "")
	for _, accept := range []string{"gzip", "br, GZIP;q=0.5", "*", "deflate, gzip; q=1"} {
		w := get(accept, "")
		if w.Header().Get("Content-Encoding") != "gzip" || w.Body.Len() > plain.Body.Len()/5 {
			t.Errorf("%s: %q, %d bytes of %d", accept, w.Header().Get("Content-Encoding"), w.Body.Len(), plain.Body.Len())
			continue
		}
		z, err := gzip.NewReader(w.Body)
		if err != nil {
			t.Fatal(err)
		}
		if data, err := io.ReadAll(z); err != nil || !bytes.Equal(data, plain.Body.Bytes()) {
			t.Errorf("%s: another content, %v", accept, err)
		}
	}
	for _, accept := range []string{"", "identity", "gzip;q=0", "br"} {
		if w := get(accept, ""); w.Header().Get("Content-Encoding") != "" || !bytes.Equal(w.Body.Bytes(), plain.Body.Bytes()) {
			t.Errorf("%q: compressed", accept)
		}
	}
	for _, accept := range []string{"", "gzip"} {
		w := get(accept, plain.Header().Get("ETag"))
		if w.Code != http.StatusNotModified || w.Body.Len() != 0 || w.Header().Get("Content-Encoding") != "" || !slices.Contains(w.Header().Values("Vary"), "Accept-Encoding") {
			t.Errorf("%q: %d, %v", accept, w.Code, w.Header())
		}
	}
	r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/v1/seasons/1998-99", nil)
	r.Header.Set("Accept-Encoding", "gzip")
	w := httptest.NewRecorder()
	if h.ServeHTTP(w, r); w.Code != http.StatusNotFound || readFault(t, w.Body.Bytes()).reason() != "SEASON_UNKNOWN" {
		t.Errorf("an error: %d %v %s", w.Code, w.Header(), w.Body)
	}
}

// A season of thousands of rules is put together and written once for all its
// readers: the next one takes a fraction of the answer.
func TestSeasonsAreWrittenOnce(t *testing.T) {
	h := handler(t, nil)
	for _, accept := range []string{"", "gzip"} {
		size := 0
		used := testing.Benchmark(func(b *testing.B) {
			for b.Loop() {
				r := httptest.NewRequestWithContext(b.Context(), http.MethodGet, "/v1/seasons/2025-26", nil)
				r.Header.Set("Accept-Encoding", accept)
				w := counting{header: http.Header{}}
				h.ServeHTTP(&w, r)
				size = w.bytes
			}
		})
		t.Logf("%q: %d bytes, %v %s", accept, size, used, used.MemString())
		if limit := int64(64 << 10); used.AllocedBytesPerOp() > limit {
			t.Errorf("%q: %d bytes are taken for an answer of %d", accept, used.AllocedBytesPerOp(), size)
		}
	}
}

// counting is an answer that only counts its bytes.
type counting struct {
	header http.Header
	bytes  int
}

func (c *counting) Header() http.Header { return c.header }

func (c *counting) WriteHeader(int) {}

func (c *counting) Write(p []byte) (int, error) {
	c.bytes += len(p)
	return len(p), nil
}
