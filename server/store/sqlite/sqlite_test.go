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
