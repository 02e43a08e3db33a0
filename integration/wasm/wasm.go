// Package wasm builds the engine as WebAssembly for the tests.
package wasm

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/client/web"
	"github.com/rinktally/rinktally/server/tables"
)

// Root is the top of the project from a folder of tests.
func Root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	for err == nil && dir != filepath.Dir(dir) {
		if _, missing := os.Stat(filepath.Join(dir, "go.mod")); missing == nil {
			return dir
		}
		dir = filepath.Dir(dir)
	}
	t.Fatalf("no project around %s: %v", dir, err)
	return ""
}

// built is what was built for this test program.
var built struct {
	once  sync.Once
	files fstest.MapFS
	err   error
}

// Built builds the engine, once for a test program, and returns the files as a server
// has them in itself: rinktally.wasm.gz and wasm_exec.js; beside them rinktally.wasm.
func Built(t testing.TB) fstest.MapFS {
	t.Helper()
	built.once.Do(func() { built.files, built.err = build(Root(t)) })
	if built.err != nil {
		t.Fatal(built.err)
	}
	return built.files
}

func build(root string) (fstest.MapFS, error) {
	dir, err := os.MkdirTemp("", "engine")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	command := exec.Command("client/web/offline/build.sh", dir) //nolint:gosec,noctx // a folder of our own, for all tests
	command.Dir = root
	if out, err := command.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("the engine cannot be built: %w\n%s", err, out)
	}
	files := fstest.MapFS{}
	for _, name := range []string{"rinktally.wasm", "wasm_exec.js"} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			return nil, err
		}
		files[name] = &fstest.MapFile{Data: data}
	}
	var zipped bytes.Buffer
	w, err := gzip.NewWriterLevel(&zipped, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err = w.Write(files["rinktally.wasm"].Data); err == nil {
		err = w.Close()
	}
	files["rinktally.wasm.gz"] = &fstest.MapFile{Data: zipped.Bytes()}
	return files, err
}

// Package writes the modules for JavaScript into a folder with the engine and the
// embedded seasons, as a program of Node.js imports them.
func Package(t testing.TB, dir string) {
	t.Helper()
	embedded, err := tables.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	frozen := fstest.MapFS{}
	for _, name := range tables.FrozenNames(embedded.Catalog()) {
		data, err := tables.Frozen(embedded.Catalog(), name)
		if err != nil {
			t.Fatal(err)
		}
		frozen[name] = &fstest.MapFile{Data: data}
	}
	built := filepath.Join(dir, "offline", "built")
	write(t, dir, fstest.MapFS{"package.json": {Data: []byte(`{"type": "module"}`)}})
	write(t, dir, web.Files)
	write(t, built, Built(t))
	write(t, filepath.Join(built, "seasons"), frozen)
}

// write writes files into a folder, over those that are there.
func write(t testing.TB, dir string, files fs.FS) {
	t.Helper()
	err := fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		to := filepath.Join(dir, name)
		switch {
		case err != nil:
			return err
		case entry.IsDir():
			return os.MkdirAll(to, 0o700)
		}
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		return os.WriteFile(to, data, 0o600)
	})
	if err != nil {
		t.Fatal(err)
	}
}
