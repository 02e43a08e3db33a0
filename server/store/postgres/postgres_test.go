package postgres_test

import (
	"context"
	"fmt"
	"os"
	"syscall"
	"testing"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/pgtest"
	"github.com/rinktally/rinktally/server/store/postgres"
	"github.com/rinktally/rinktally/server/store/storetest"
)

var cluster *pgtest.Cluster

func TestMain(m *testing.M) {
	storetest.Child(openURL)
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

func TestPostgres(t *testing.T) {
	storetest.Run(t, storetest.Kind{New: newDatabase, Keeps: true, Shared: true})
}

func TestCrash(t *testing.T) {
	storetest.RunCrash(t, storetest.Crash{
		Place: newURL(t), Open: openURL,
		Fail: func() error { return cluster.Restart(syscall.SIGKILL) },
	})
}

func openURL(ctx context.Context, url string) (store.Log, error) {
	return open(ctx, postgres.Options{URL: url})
}

func newDatabase(t testing.TB) storetest.Place {
	return at(t, newURL(t))
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
