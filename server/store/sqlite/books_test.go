package sqlite_test

import (
	"database/sql"
	"path/filepath"
	"testing"

	"github.com/rinktally/rinktally/server/store/books"
	"github.com/rinktally/rinktally/server/store/bookstest"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/store/storetest"
)

func TestBookFile(t *testing.T) {
	bookstest.Run(t, bookstest.Kind{New: newBookFile, NewRaw: newRawBooks, Keeps: true})
}

func TestBookMemory(t *testing.T) {
	bookstest.Run(t, bookstest.Kind{New: func(t testing.TB) bookstest.Place { return booksAt(t, sqlite.Memory) }})
}

func TestBookCrash(t *testing.T) {
	storetest.RunCrash(t, storetest.Crash{Kind: "books", Place: filepath.Join(t.TempDir(), "practice.db"), Open: crashing["books"]})
}

func newBookFile(t testing.TB) bookstest.Place {
	return booksAt(t, filepath.Join(t.TempDir(), "a b?mode=memory#%41ü.db"))
}

func newRawBooks(t testing.TB) (bookstest.Place, storetest.Raw) {
	folder := t.TempDir()
	path := filepath.Join(folder, "practice.db")
	return booksAt(t, path), storetest.Raw{
		Exec: func(t testing.TB, statements ...string) {
			t.Helper()
			db, err := sql.Open("sqlite", path)
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = db.Close() }()
			for _, statement := range statements {
				if _, err := db.ExecContext(t.Context(), statement); err != nil {
					t.Fatalf("%s: %v", statement, err)
				}
			}
		},
		Holding: func(t testing.TB, text string) []string { return storetest.Holding(t, folder, text) },
	}
}

func booksAt(t testing.TB, path string) bookstest.Place {
	return func() (*books.Store, error) { return sqlite.OpenBooks(t.Context(), path) }
}

func BenchmarkBookFile(b *testing.B) { bookstest.RunBenchmark(b, newBookFile(b)) }
