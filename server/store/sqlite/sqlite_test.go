package sqlite_test

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/bookstest"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/store/storetest"
)

func TestMain(m *testing.M) {
	storetest.Child(crashing)
	os.Exit(m.Run())
}

// crashing opens what is let to crash.
var crashing = map[string]storetest.Opens{"log": storetest.Logs(openPath), "books": bookstest.Crashing(sqlite.OpenBooks)}

func TestCrash(t *testing.T) {
	storetest.RunCrash(t, storetest.Crash{Kind: "log", Place: filepath.Join(t.TempDir(), "log.db"), Open: crashing["log"]})
}

func TestFile(t *testing.T) {
	storetest.Run(t, storetest.Kind{New: newFile, NewRaw: newRaw, Keeps: true})
}

func TestMemory(t *testing.T) {
	storetest.Run(t, storetest.Kind{New: func(t testing.TB) storetest.Place { return at(t, sqlite.Memory) }})
}

// A log holds hashes of tokens and marks before their time: its files are for the
// server's own account. Those that an earlier program made are taken from everybody,
// and left to the group, which may make copies.
func TestFilesAreNotForEverybody(t *testing.T) {
	for name, c := range map[string]struct{ before, want fs.FileMode }{
		"new": {0, 0o600}, "made for everybody": {0o644, 0o640}, "made for the group": {0o640, 0o640},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "log.db")
			if c.before != 0 {
				for _, file := range []string{path, path + "-wal"} { // as the umask lets it
					if err := errors.Join(os.WriteFile(file, nil, c.before), os.Chmod(file, c.before)); err != nil {
						t.Fatal(err)
					}
				}
			}
			log, err := sqlite.Open(t.Context(), sqlite.Options{Path: path})
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = log.Close() }()
			if _, err := log.Append(t.Context(), "cup", 0, "r", []store.Fact{{Kind: "EventCreated"}}); err != nil {
				t.Fatal(err)
			}
			if err := log.Backup(t.Context(), path+".copy"); err != nil {
				t.Fatal(err)
			}
			files, err := filepath.Glob(path + "*")
			if err != nil || len(files) < 5 { // -wal, -shm, .lock, .copy
				t.Fatalf("files %v: %v", files, err)
			}
			for _, file := range files {
				info, err := os.Stat(file)
				if err != nil {
					t.Fatal(err)
				}
				want := c.want
				if ending := filepath.Ext(file); ending == ".lock" || ending == ".copy" {
					want = 0o600
				}
				if info.Mode().Perm() != want {
					t.Errorf("%s has the mode %v, want %v", filepath.Base(file), info.Mode(), want)
				}
			}
		})
	}
}

// newFile returns a place in a folder whose name SQLite might take for options.
func newFile(t testing.TB) storetest.Place {
	return at(t, filepath.Join(t.TempDir(), "a b?mode=memory#%41ü.db"))
}

// newRaw returns a place and a second connection to its file.
func newRaw(t testing.TB) (storetest.Place, storetest.Raw) {
	folder := t.TempDir()
	path := filepath.Join(folder, "log.db")
	return at(t, path), storetest.Raw{
		Exec: func(t testing.TB, statements ...string) {
			t.Helper()
			db, err := sql.Open("sqlite", path)
			if err != nil {
				t.Fatal(err)
			}
			for _, statement := range append([]string{"DROP TRIGGER log_keep_update", "DROP TRIGGER log_keep_delete"}, statements...) {
				if _, err := db.ExecContext(t.Context(), statement); err != nil {
					t.Fatalf("%s: %v", statement, err)
				}
			}
			// What keeps facts is there again, or Replace would have nothing to lift.
			for _, change := range []string{"update", "delete"} {
				text := "CREATE TRIGGER log_keep_" + change + " BEFORE " + change + " ON log BEGIN SELECT RAISE(ABORT, 'kept'); END"
				if _, err := db.ExecContext(t.Context(), text); err != nil {
					t.Fatal(err)
				}
			}
			if err := db.Close(); err != nil {
				t.Fatal(err)
			}
		},
		Holding: func(t testing.TB, text string) []string { return storetest.Holding(t, folder, text) },
	}
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
