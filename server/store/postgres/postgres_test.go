package postgres_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/bookstest"
	"github.com/rinktally/rinktally/server/store/pgtest"
	"github.com/rinktally/rinktally/server/store/postgres"
	"github.com/rinktally/rinktally/server/store/storetest"
)

var cluster *pgtest.Cluster

func TestMain(m *testing.M) {
	storetest.Child(crashing)
	var err error
	if cluster, err = pgtest.New(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	code := m.Run()
	if err := cluster.Close(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// crashing opens what is let to crash.
var crashing = map[string]storetest.Opens{"log": storetest.Logs(openURL), "books": bookstest.Crashing(postgres.OpenBooks)}

func TestPostgres(t *testing.T) {
	storetest.Run(t, storetest.Kind{New: newDatabase, NewRaw: newRaw, Keeps: true, Shared: true})
}

func TestCrash(t *testing.T) {
	cluster := newCluster(t)
	storetest.RunCrash(t, storetest.Crash{
		Kind: "log", Place: cluster.URL("postgres"), Open: crashing["log"],
		Fail: func() error { return cluster.Restart(syscall.SIGKILL) },
	})
}

// newCluster starts a cluster for a test that lets it crash: after a crash
// PostgreSQL goes through all databases, and here is only one.
func newCluster(t *testing.T) *pgtest.Cluster {
	t.Helper()
	cluster, err := pgtest.New()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := cluster.Close(); err != nil {
			t.Error(err)
		}
	})
	return cluster
}

func openURL(ctx context.Context, url string) (store.Log, error) {
	return open(ctx, postgres.Options{URL: url})
}

func newDatabase(t testing.TB) storetest.Place {
	return at(t, newURL(t))
}

// newRaw returns a place and, as its superuser, the database. The files of its tables
// are those of the cluster below "base".
func newRaw(t testing.TB) (storetest.Place, storetest.Raw) {
	url := newURL(t)
	return at(t, url), storetest.Raw{
		Exec: func(t testing.TB, statements ...string) {
			t.Helper()
			admin(t, url, append([]string{"ALTER TABLE log DISABLE TRIGGER log_keep"}, statements...)...)
			admin(t, url, "ALTER TABLE log ENABLE TRIGGER log_keep")
		},
		Holding: func(t testing.TB, text string) []string {
			t.Helper()
			admin(t, url, "ANALYZE", "CHECKPOINT")
			return storetest.Holding(t, filepath.Join(cluster.Data(), "base"), text)
		},
	}
}

func newURL(t testing.TB) string {
	t.Helper()
	url, err := cluster.Database(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return url
}

func at(t testing.TB, url string) storetest.Place {
	return func(clock store.Clock) (store.Log, error) {
		return open(t.Context(), postgres.Options{URL: url, Clock: clock})
	}
}

func open(ctx context.Context, options postgres.Options) (store.Log, error) {
	log, err := postgres.Open(ctx, options)
	if err != nil {
		return nil, err // not a *Log that is nil
	}
	return log, nil
}

func BenchmarkPostgres(b *testing.B) { storetest.RunBenchmark(b, storetest.Kind{New: newDatabase}) }
