// Package bookstest is the conformance suite of books of attempts: what books.Store
// promises, checked the same way in every database. A fault found in one becomes a
// check for all.
package bookstest

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/books"
	"github.com/rinktally/rinktally/server/store/storetest"
)

// Place is where books are kept. Each call opens it.
type Place func() (*books.Store, error)

// Kind is a kind of database under test.
type Kind struct {
	New    func(testing.TB) Place                  // an empty place of its own
	NewRaw func(testing.TB) (Place, storetest.Raw) // the same with a way around it; nil where there is none
	Keeps  bool                                    // what was written is there after Close and New
	Shared bool                                    // several may have one place open
}

// Run runs the whole suite.
func Run(t *testing.T, kind Kind) {
	for _, g := range []struct {
		name string
		runs bool
		test func(*testing.T, Kind)
	}{
		{"book", true, testBook},
		{"skater", true, testSkater},
		{"attempts", true, testAttempts},
		{"repeat", true, testRepeat},
		{"import", true, testImport},
		{"changes", true, testChanges},
		{"full", true, testFull},
		{"concurrent", true, testConcurrent},
		{"cancel", true, testCancel},
		{"reopen", kind.Keeps, testReopen},
		{"alone", kind.Keeps && !kind.Shared, testAlone},
		{"erase", kind.NewRaw != nil, testErase},
		{"erase later", kind.NewRaw != nil, testEraseLater},
	} {
		if g.runs {
			t.Run(g.name, func(t *testing.T) { g.test(t, kind) })
		}
	}
}

var start = time.Date(2026, 1, 17, 9, 30, 0, 123_456_000, time.UTC)

// The book of the suite.
const id = "k3v5q2c7m4x6b3ta"

func open(t testing.TB, place Place) *books.Store {
	t.Helper()
	s, err := place()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
	})
	return s
}

// begun opens a place and makes a book with one skater in it.
func begun(t testing.TB, place Place) (*books.Store, books.Key) {
	t.Helper()
	s := open(t, place)
	makeBook(t, s, id)
	return s, books.Key{Book: id, Skater: addSkater(t, s, id, "Mira")}
}

func makeBook(t testing.TB, s *books.Store, id string) {
	t.Helper()
	check(t, s.CreateBook(t.Context(), &books.Book{ID: id, Token: []byte("hash of " + id), Created: start, Body: []byte("title of " + id)}))
}

func addSkater(t testing.TB, s *books.Store, book, name string) int64 {
	t.Helper()
	added, err := s.AddSkater(t.Context(), book, books.Request{At: start}, []byte(name))
	check(t, err)
	return added.First
}

// tried returns attempts at one element a minute apart, whose rest has a name.
func tried(name string, n int) []books.Attempt {
	made := make([]books.Attempt, n)
	for i := range made {
		made[i] = books.Attempt{
			Outcome: books.Outcome{Planned: "3Lz", Came: []string{"3Lz", "3Lz<"}[i%2], Fall: i%3 == 0, Cause: "timing"},
			Time:    start.Add(time.Duration(i) * time.Minute), RunThrough: name, Rest: fmt.Appendf(nil, "%s/%d", name, i),
		}
		if i%2 == 1 {
			made[i].Grade.V, made[i].Grade.Valid = int64(-i), true
		}
	}
	return made
}

func add(t testing.TB, s *books.Store, key books.Key, attempts []books.Attempt) books.Added {
	t.Helper()
	added, err := s.AddAttempts(t.Context(), key, books.Request{At: start}, attempts)
	check(t, err)
	return added
}

func check(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// refused checks that an error is the one that is wanted.
func refused(t testing.TB, what string, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Errorf("%s: %v, want %v", what, err, want)
	}
}

// Crashing returns how books are opened for crashes: a stream is a skater, a record an
// attempt.
func Crashing(open func(context.Context, string) (*books.Store, error)) storetest.Opens {
	return func(ctx context.Context, place string) (storetest.Crashing, error) {
		s, err := open(ctx, place)
		if err != nil {
			return nil, err
		}
		_, err = s.Book(ctx, id)
		if errors.Is(err, books.ErrBookUnknown) {
			err = s.CreateBook(ctx, &books.Book{ID: id, Token: []byte("hash"), Created: start})
		}
		if err != nil {
			return nil, errors.Join(err, s.Close())
		}
		return crashing{s}, nil
	}
}

type crashing struct{ *books.Store }

func (c crashing) key(ctx context.Context, stream string) (books.Key, error) {
	skater, err := c.AddSkater(ctx, id, books.Request{ID: stream, Digest: []byte(stream), At: start}, []byte(stream))
	return books.Key{Book: id, Skater: skater.First}, err
}

func (c crashing) Put(ctx context.Context, stream, request string, n int) (store.Result, error) {
	key, err := c.key(ctx, stream)
	if err != nil {
		return store.Result{}, err
	}
	added, err := c.AddAttempts(ctx, key, books.Request{ID: request, Digest: []byte(request), At: start}, tried(request, n))
	return store.Result{First: uint64(added.First), Last: uint64(added.First) + uint64(n) - 1, Replayed: added.Again}, err
}

func (c crashing) All(t testing.TB, stream string) []store.Record {
	t.Helper()
	key, err := c.key(t.Context(), stream)
	check(t, err)
	list, err := c.AllAttempts(t.Context(), key, books.Filter{})
	check(t, err)
	records := make([]store.Record, len(list))
	for _, a := range list { // their numbers have no gap
		if a.ID < 1 || a.ID > int64(len(list)) {
			t.Fatalf("attempt %d of %d", a.ID, len(list))
		}
		records[a.ID-1] = store.Record{Fact: store.Fact{Body: a.Rest}, Seq: uint64(a.ID), RequestID: a.RunThrough}
	}
	return records
}
