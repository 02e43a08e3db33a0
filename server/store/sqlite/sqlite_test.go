package sqlite_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/store/storetest"
)

func TestMain(m *testing.M) {
	storetest.Child(openPath)
	os.Exit(m.Run())
}

func TestCrash(t *testing.T) {
	storetest.RunCrash(t, storetest.Crash{Place: filepath.Join(t.TempDir(), "log.db"), Open: openPath})
}

func TestFile(t *testing.T) {
	storetest.Run(t, storetest.Kind{New: newFile, Keeps: true})
}

func TestMemory(t *testing.T) {
	storetest.Run(t, storetest.Kind{New: func(t testing.TB) storetest.Place { return at(t, sqlite.Memory) }})
}

// A log holds hashes of tokens and marks before their time: its files are for the
// server's own account and its group.
func TestFilesAreNotForEverybody(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.db")
	log, err := sqlite.Open(t.Context(), sqlite.Options{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = log.Close() }()
	if _, err := log.Append(t.Context(), "cup", 0, "r", []store.Fact{{Kind: "EventCreated"}}); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(path + "*")
	if err != nil || len(files) < 2 {
		t.Fatalf("files %v: %v", files, err)
	}
	for _, file := range files {
		info, err := os.Stat(file)
		if err != nil {
			t.Fatal(err)
		}
		if others := info.Mode().Perm() & 0o007; others != 0 {
			t.Errorf("%s has the mode %v", filepath.Base(file), info.Mode())
		}
	}
}

// newFile gives a place in a folder whose name SQLite might take for options.
func newFile(t testing.TB) storetest.Place {
	return at(t, filepath.Join(t.TempDir(), "a b?mode=memory#%41ü.db"))
}

func at(t testing.TB, path string) storetest.Place {
	return func(clock store.Clock) (store.Log, error) {
		return open(t.Context(), sqlite.Options{Path: path, Clock: clock})
	}
}

func openPath(ctx context.Context, path string) (store.Log, error) {
	return open(ctx, sqlite.Options{Path: path})
}

func open(ctx context.Context, options sqlite.Options) (store.Log, error) {
	log, err := sqlite.Open(ctx, options)
	if err != nil {
		return nil, err // not a *Log that is nil
	}
	return log, nil
}

func BenchmarkFile(b *testing.B) { storetest.RunBenchmark(b, storetest.Kind{New: newFile}) }
