package group

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// table is a Tx over records in memory, all of which are committed at once.
type table struct{ records []store.Record }

func (t *table) Heads(_ context.Context, streams []string) (map[string]store.Head, error) {
	heads := map[string]store.Head{}
	for i := range t.records {
		if r := &t.records[i]; slices.Contains(streams, r.Stream) {
			heads[r.Stream] = r.Head()
		}
	}
	return heads, nil
}

func (t *table) Requests(_ context.Context, keys []Key) (map[Key][]store.Record, error) {
	found := map[Key][]store.Record{}
	for _, r := range t.records {
		if key := (Key{r.Stream, r.RequestID}); slices.Contains(keys, key) {
			found[key] = append(found[key], r)
		}
	}
	return found, nil
}

func (t *table) Insert(_ context.Context, records []store.Record) error {
	t.records = append(t.records, records...)
	return nil
}

func (t *table) Remove(_ context.Context, stream string) error {
	t.records = slices.DeleteFunc(t.records, func(r store.Record) bool { return r.Stream == stream })
	return nil
}

func fact(body string) []store.Fact { return []store.Fact{{Kind: "k", Body: []byte(body)}} }

func noHints([]store.Hint) {}

// An append sees those before it in its group: their numbers, their requests.
func TestPlanWithinGroup(t *testing.T) {
	earlier := store.Record{Fact: fact("old")[0], Stream: "a", Seq: 7, RequestID: "old", RecordedAt: time.Unix(100, 0).UTC()}
	tx := &table{records: []store.Record{earlier}}
	cases := []struct {
		stream, request, body string
		expected              uint64
		want                  store.Result
		err                   error
	}{
		{"a", "one", "1", 7, store.Result{First: 8, Last: 8}, nil},
		{"a", "two", "2", 7, store.Result{}, store.ErrConflict}, // overtaken by the one before
		{"a", "two", "2", 8, store.Result{First: 9, Last: 9}, nil},
		{"a", "one", "1", 7, store.Result{First: 8, Last: 8, Replayed: true}, nil},
		{"a", "one", "x", 9, store.Result{}, store.ErrRequestReused},
		{"a", "old", "old", 0, store.Result{First: 7, Last: 7, Replayed: true}, nil},
		{"b", "one", "1", 0, store.Result{First: 1, Last: 1}, nil},
		{"a", "three", "3", 9, store.Result{First: 10, Last: 10}, nil},
	}
	var group []*Append
	for _, c := range cases {
		group = append(group, &Append{Key: Key{c.stream, c.request}, Expected: c.expected, Facts: fact(c.body)})
	}
	if err := write(t.Context(), tx, group, time.Unix(50, 0).UTC()); err != nil {
		t.Fatal(err)
	}
	for i, c := range cases {
		if group[i].result != c.want || !errors.Is(group[i].err, c.err) {
			t.Errorf("%d: %+v, %v; want %+v, %v", i, group[i].result, group[i].err, c.want, c.err)
		}
	}
	head := earlier.Head()
	for _, r := range tx.records[1:] {
		if r.Stream != "a" {
			continue
		}
		// The clock is behind the stream, whose times do not go back.
		if err := r.Follows(head); err != nil || r.RecordedAt != earlier.RecordedAt {
			t.Errorf("record %d at %v: %v", r.Seq, r.RecordedAt, err)
		}
		head = r.Head()
	}
}

// Appends that wait while a commit is under way share the next one.
func TestGroups(t *testing.T) { synctest.Test(t, testGroups) }

func testGroups(t *testing.T) {
	var tx table
	var commits atomic.Int64
	first, release := make(chan struct{}), make(chan struct{})
	w := NewWriter(func(do func(context.Context, Tx) error) error {
		if commits.Add(1) == 1 {
			close(first)
			<-release
		}
		return do(context.Background(), &tx)
	}, noHints, time.Now)
	defer w.Close()
	var wait sync.WaitGroup
	call := func(stream string) {
		wait.Go(func() {
			if _, err := w.Append(t.Context(), stream, 0, "r", fact("x")); err != nil {
				t.Error(err)
			}
		})
	}
	call("first")
	<-first
	for i := range Most {
		call(fmt.Sprint(i))
	}
	synctest.Wait() // until all of them wait
	close(release)
	wait.Wait()
	if n := commits.Load(); n != 2 || len(tx.records) != Most+1 {
		t.Errorf("%d commits for %d records", n, len(tx.records))
	}
}

// One append that cannot be written does not take its neighbours with it.
func TestGroupFails(t *testing.T) {
	for _, c := range []struct {
		name     string
		err      error
		written  int
		attempts int64 // transactions
	}{
		{"full", store.ErrStoreFull, 2, 1 + 1 + 3},
		{"unavailable", store.ErrUnavailable, 0, 1 + 1}, // trying one by one would only take long
	} {
		t.Run(c.name, inBubble(func(t *testing.T) {
			var tx table
			var attempts atomic.Int64
			first, release := make(chan struct{}), make(chan struct{})
			w := NewWriter(func(do func(context.Context, Tx) error) error {
				if attempts.Add(1) == 1 {
					close(first)
					<-release
				}
				var trial table
				if err := do(context.Background(), &trial); err != nil {
					return err
				}
				for _, r := range trial.records {
					if string(r.Body) == "large" {
						return c.err
					}
				}
				tx.records = append(tx.records, trial.records...)
				return nil
			}, noHints, time.Now)
			defer w.Close()
			errs := make([]error, 4)
			var wait sync.WaitGroup
			for i, body := range []string{"first", "small", "large", "small"} {
				wait.Go(func() {
					_, errs[i] = w.Append(t.Context(), fmt.Sprint(i), 0, "r", fact(body))
				})
				if i == 0 {
					<-first
				}
			}
			synctest.Wait() // until all of them wait
			close(release)
			wait.Wait()
			if errs[0] != nil || !errors.Is(errs[2], c.err) {
				t.Errorf("first: %v, large: %v", errs[0], errs[2])
			}
			for _, i := range []int{1, 3} {
				if (errs[i] == nil) != (c.written == 2) {
					t.Errorf("neighbour %d: %v", i, errs[i])
				}
			}
			if n := len(tx.records); n != 1+c.written || attempts.Load() != c.attempts {
				t.Errorf("%d records in %d transactions, want %d in %d", n, attempts.Load(), 1+c.written, c.attempts)
			}
		}))
	}
}

func inBubble(test func(*testing.T)) func(*testing.T) {
	return func(t *testing.T) { synctest.Test(t, test) }
}

// The hint of a commit is on its way before its caller is answered, so that a
// watcher is told even if the caller then dies.
func TestHintBeforeAnswer(t *testing.T) {
	var tx table
	var told []store.Hint
	w := NewWriter(func(do func(context.Context, Tx) error) error { return do(context.Background(), &tx) },
		func(hints []store.Hint) { told = append(told, hints...) }, time.Now)
	defer w.Close()
	for i, want := range []string{"a", "b"} {
		if _, err := w.Append(t.Context(), want, 0, "r", fact("x")); err != nil {
			t.Fatal(err)
		}
		if len(told) != i+1 || told[i] != (store.Hint{Stream: want, Last: 1}) {
			t.Errorf("told %+v", told)
		}
	}
	if _, err := w.Append(t.Context(), "b", 0, "other", fact("x")); err == nil || len(told) != 2 {
		t.Errorf("a refused append: %v, told %+v", err, told)
	}
}
