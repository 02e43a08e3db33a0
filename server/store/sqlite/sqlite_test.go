package sqlite_test

import (
	"path/filepath"
	"testing"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/store/storetest"
)

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
		log, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Clock: clock})
		if err != nil {
			return nil, err // not a *Log that is nil
		}
		return log, nil
	}
}
