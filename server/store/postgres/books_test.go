package postgres_test

import (
	"path/filepath"
	"syscall"
	"testing"

	"github.com/rinktally/rinktally/server/store/books"
	"github.com/rinktally/rinktally/server/store/bookstest"
	"github.com/rinktally/rinktally/server/store/postgres"
	"github.com/rinktally/rinktally/server/store/storetest"
)

func TestBooks(t *testing.T) {
	bookstest.Run(t, bookstest.Kind{New: newBooks, NewRaw: newRawBooks, Keeps: true, Shared: true})
}

func TestBookCrash(t *testing.T) {
	cluster := newCluster(t)
	storetest.RunCrash(t, storetest.Crash{
		Kind: "books", Place: cluster.URL("postgres"), Open: crashing["books"],
		Fail: func() error { return cluster.Restart(syscall.SIGKILL) },
	})
}

func newBooks(t testing.TB) bookstest.Place { return booksAt(t, newURL(t)) }

func newRawBooks(t testing.TB) (bookstest.Place, storetest.Raw) {
	url := newURL(t)
	return booksAt(t, url), storetest.Raw{
		Exec: func(t testing.TB, statements ...string) {
			t.Helper()
			admin(t, url, append([]string{"SET search_path = " + postgres.BookSchema}, statements...)...)
		},
		Holding: func(t testing.TB, text string) []string {
			t.Helper()
			admin(t, url, "ANALYZE", "CHECKPOINT")
			return storetest.Holding(t, filepath.Join(cluster.Data(), "base"), text)
		},
	}
}

func booksAt(t testing.TB, url string) bookstest.Place {
	return func() (*books.Store, error) { return postgres.OpenBooks(t.Context(), url) }
}

func BenchmarkBooks(b *testing.B) { bookstest.RunBenchmark(b, newBooks(b)) }
