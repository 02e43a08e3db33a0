package rest

import (
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"io/fs"
	"net/http"
	"strconv"
	"sync"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/kept"
	"github.com/rinktally/rinktally/server/rest/form"
	"github.com/rinktally/rinktally/server/tables"
)

// maxFrozen is how many files of tables are kept as engines load them; one is up to
// 0.4 MB.
const maxFrozen = 32

// engine serves the engine as WebAssembly, and the seasons that this server has, so
// that a page answers as the server does, by a club's tables too.
type engine struct {
	files  fs.FS // as built
	tables *tables.Tables
	frozen *kept.Answers[frozen, asset]
}

// frozen is a file of the tables that were loaded once.
type frozen struct {
	catalog *table.Catalog
	name    string
}

// addEngine serves the engine and reports whether this program was built with it.
func addEngine(mux *http.ServeMux, files fs.FS, t *tables.Tables) (bool, error) {
	e := &engine{files: files, tables: t, frozen: kept.New[frozen, asset](maxFrozen)}
	const at = "GET /embed/offline/built/"
	mux.HandleFunc(at+"seasons/{name}", e.season)
	mux.HandleFunc(at+"{file}", func(w http.ResponseWriter, r *http.Request) {
		writeError(w, errs.New(pb.ErrorReason_NOT_FOUND, "this program was built without the engine, so that pages ask the server", "path", form.Show(r.URL.Path)))
	})
	script, err := fs.ReadFile(files, "wasm_exec.js")
	if err != nil {
		return false, nil //nolint:nilerr // it was not built
	}
	mux.Handle(at+"wasm_exec.js", everywhere(newAsset("wasm_exec.js", script)))
	program, err := newProgram(files)
	if err != nil {
		return false, err
	}
	mux.Handle(at+"rinktally.wasm", everywhere(program))
	return true, nil
}

// everywhere lets pages of any site load what is the same for everybody.
func everywhere(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Access-Control-Allow-Origin", "*")
		h.ServeHTTP(w, r)
	})
}

// season serves a file of the tables in use.
func (e *engine) season(w http.ResponseWriter, r *http.Request) {
	file := frozen{e.tables.Catalog(), r.PathValue("name")}
	made, err := e.frozen.Get(file, func() (asset, error) {
		data, err := tables.Frozen(file.catalog, file.name)
		if err != nil {
			return asset{}, err
		}
		made := newAsset(file.name, data)
		made.kind = func() string { return "application/octet-stream" }
		return made, err
	})
	if err != nil {
		writeError(w, form.NotFound(r.URL.Path))
		return
	}
	everywhere(made).ServeHTTP(w, r)
}

// program is the engine, which comes compressed since that takes minutes. It is sent
// from where it lies in the program, so that no copy of its megabytes stays in memory.
type program struct {
	files  fs.FS
	tag    func() string // made when it is first asked for
	brotli bool          // only a release need have it
}

const (
	zippedProgram = "rinktally.wasm.gz"
	brotliProgram = "rinktally.wasm.br"
)

func newProgram(files fs.FS) (*program, error) {
	if _, err := fs.Stat(files, zippedProgram); err != nil {
		return nil, err
	}
	_, missing := fs.Stat(files, brotliProgram)
	p := &program{files: files, brotli: missing == nil}
	p.tag = sync.OnceValue(func() string {
		zipped := p.open(zippedProgram)
		defer func() { _ = zipped.Close() }()
		hash := sha256.New()
		if _, err := io.Copy(hash, zipped); err != nil {
			panic(err) // it is part of the program
		}
		return `"` + hex.EncodeToString(hash.Sum(nil)[:16]) + `"`
	})
	return p, nil
}

func (p *program) open(name string) fs.File {
	file, err := p.files.Open(name)
	if err != nil {
		panic(err) // it was there when the server started, and is part of the program
	}
	return file
}

func (p *program) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if unchanged(w, r, p.tag()) {
		return
	}
	h := w.Header()
	h.Set("Content-Type", "application/wasm") // which browsers compile as it comes
	name := zippedProgram
	switch {
	case p.brotli && reads(r, "br"):
		name = brotliProgram
		h.Set("Content-Encoding", "br")
	case reads(r, "gzip"):
		h.Set("Content-Encoding", "gzip")
	}
	file := p.open(name)
	defer func() { _ = file.Close() }()
	if h.Get("Content-Encoding") == "" {
		if plain, err := gzip.NewReader(file); err == nil {
			_, _ = io.Copy(w, plain) //nolint:gosec // it is our own
		}
		return
	}
	if info, err := file.Stat(); err == nil {
		h.Set("Content-Length", strconv.FormatInt(info.Size(), 10))
	}
	_, _ = io.Copy(w, file)
}
