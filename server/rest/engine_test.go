package rest_test

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/rest"
	"github.com/rinktally/rinktally/server/tables"
)

// The engine goes out as it was compressed when it was built, to whoever reads that,
// with the type that browsers compile while it comes.
func TestEngineIsServedCompressed(t *testing.T) {
	var zipped bytes.Buffer
	w := gzip.NewWriter(&zipped)
	if _, err := w.Write([]byte("the engine")); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	files := fstest.MapFS{
		"rinktally.wasm.gz": {Data: zipped.Bytes()}, "rinktally.wasm.br": {Data: []byte("by brotli")}, "wasm_exec.js": {Data: []byte("// of the compiler")},
	}
	server := serve(t, func(o *rest.Options) { o.Engine = files })
	const at = "/embed/offline/built/"
	for accept, want := range map[string]struct{ coding, body string }{
		"gzip, deflate, br": {"br", "by brotli"},
		"gzip":              {"gzip", zipped.String()},
		"gzip, br;q=0":      {"gzip", zipped.String()},
		"identity":          {"", "the engine"},
	} {
		res, body := ask(t, server, http.MethodGet, at+"rinktally.wasm", "", "Accept-Encoding", accept)
		h := res.Header
		if res.StatusCode != http.StatusOK || string(body) != want.body || h.Get("Content-Encoding") != want.coding ||
			h.Get("Content-Type") != "application/wasm" || h.Get("Vary") != "Accept-Encoding" || h.Get("Access-Control-Allow-Origin") != "*" {
			t.Errorf("Accept-Encoding %s: %d %v %q", accept, res.StatusCode, h, body)
		}
		if res, body := ask(t, server, http.MethodGet, at+"rinktally.wasm", "", "If-None-Match", h.Get("ETag")); res.StatusCode != http.StatusNotModified || len(body) > 0 {
			t.Errorf("with its tag: %d", res.StatusCode)
		}
	}
	if res, body := ask(t, server, http.MethodGet, at+"wasm_exec.js", ""); !strings.HasPrefix(res.Header.Get("Content-Type"), "text/javascript") || string(body) != "// of the compiler" {
		t.Errorf("%v %q", res.Header, body)
	}
	if res, _ := ask(t, server, http.MethodGet, "/program", ""); !strings.Contains(res.Header.Get("Content-Security-Policy"), "script-src 'self' 'wasm-unsafe-eval'") {
		t.Errorf("pages may not compile the engine: %v", res.Header)
	}
}

// A program that was built without the engine says so; its modules are there.
func TestWithoutEngine(t *testing.T) {
	server := serve(t, func(o *rest.Options) { o.Engine = fstest.MapFS{} })
	for _, name := range []string{"rinktally.wasm", "wasm_exec.js", "unknown"} {
		res, body := ask(t, server, http.MethodGet, "/embed/offline/built/"+name, "")
		if res.StatusCode != http.StatusNotFound || readFault(t, body).reason() != "NOT_FOUND" {
			t.Errorf("%s: %d %s", name, res.StatusCode, body)
		}
	}
	if res, _ := ask(t, server, http.MethodGet, "/embed/offline/offline.js", ""); res.StatusCode != http.StatusOK {
		t.Errorf("the module: %d", res.StatusCode)
	}
}

// An engine in a page has the tables of the server that it comes from, a club's too,
// and after a reload the new ones.
func TestSeasonsForEngines(t *testing.T) {
	club := fstest.MapFS{"our-club/season.yaml": {Data: []byte("season: our-club\ntitle: First\nextends: 2025-26\nsource: invented\n")}}
	loaded, err := tables.New(nil, table.Layer{Name: "club", FS: club})
	if err != nil {
		t.Fatal(err)
	}
	server := serve(t, func(o *rest.Options) { o.Tables = loaded })
	load := func(name string) ([]byte, error) {
		res, body := ask(t, server, http.MethodGet, "/embed/offline/built/seasons/"+name, "")
		if res.StatusCode != http.StatusOK {
			t.Errorf("%s: %d %s", name, res.StatusCode, body)
		}
		return body, nil
	}
	title := func() string {
		index, _ := load("index")
		thawed, err := table.Thaw(index, load)
		if err != nil {
			t.Fatal(err)
		}
		s, err := thawed.Season("our-club")
		if err != nil {
			t.Fatal(err)
		}
		return s.Title
	}
	if got := title(); got != "First" {
		t.Errorf("the club's season is %q", got)
	}
	club["our-club/season.yaml"] = &fstest.MapFile{Data: bytes.Replace(club["our-club/season.yaml"].Data, []byte("First"), []byte("Second"), 1)}
	if err := loaded.Reload(); err != nil {
		t.Fatal(err)
	}
	if got := title(); got != "Second" {
		t.Errorf("after a reload the club's season is %q", got)
	}
	if sources, _ := load("sources.zip"); !bytes.HasPrefix(sources, []byte("PK")) {
		t.Error("the files of the seasons are no zip")
	}
	if res, _ := ask(t, server, http.MethodGet, "/embed/offline/built/seasons/1998-99", ""); res.StatusCode != http.StatusNotFound {
		t.Errorf("an unknown season: %d", res.StatusCode)
	}
}
