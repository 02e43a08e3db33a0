package storetest

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"sync"
	"testing"

	"github.com/rinktally/rinktally/server/store"
)

// What was written is there after closing and opening, and goes on.
func testReopen(t *testing.T, kind Kind) {
	place := kind.New(t)
	log := openAt(t, place, ticking())
	add(t, log, "events/a", 0, "one", 2)
	add(t, log, "events/b", 0, "one", 1)
	add(t, log, "events/a", 2, "two", 2)
	before := all(t, log, "events/a")
	if err := log.Close(); err != nil {
		t.Fatal(err)
	}
	log = openAt(t, place, ticking())
	if err := log.Ready(t.Context()); err != nil {
		t.Errorf("ready: %v", err)
	}
	if after := all(t, log, "events/a"); !reflect.DeepEqual(before, after) {
		t.Errorf("was %+v, is %+v", before, after)
	}
	if got := add(t, log, "events/a", 2, "two", 2); got != (store.Result{First: 3, Last: 4, Replayed: true}) {
		t.Errorf("repeated after opening: %+v", got)
	}
	_, err := log.Append(t.Context(), "events/a", 4, "one", facts("other", 2))
	if !errors.Is(err, store.ErrRequestReused) {
		t.Errorf("reused after opening: %v", err)
	}
	if got := add(t, log, "events/a", 4, "three", 1); got != (store.Result{First: 5, Last: 5}) {
		t.Errorf("continued: %+v", got)
	}
	if got := len(all(t, log, "events/a")); got != 5 {
		t.Errorf("%d records", got)
	}
}

// Who comes second is refused until the first has closed.
func testAlone(t *testing.T, kind Kind) {
	place := kind.New(t)
	log := openAt(t, place, ticking())
	add(t, log, "events/a", 0, "one", 1)
	for range 3 {
		if second, err := place(ticking()); !errors.Is(err, store.ErrLocked) {
			t.Fatalf("a second one: %v, %v", second, err)
		}
	}
	add(t, log, "events/a", 1, "two", 1) // the first is not disturbed
	if err := log.Close(); err != nil {
		t.Fatal(err)
	}
	add(t, openAt(t, place, ticking()), "events/a", 2, "three", 1)
}

// Several servers write the same place: one log, whoever is asked.
func testShared(t *testing.T, kind Kind) {
	place := kind.New(t)
	logs := make([]store.Log, 3)
	for i := range logs {
		logs[i] = openAt(t, place, ticking())
	}

	t.Run("one stream", func(t *testing.T) {
		answers := rush(t, logs, 9, 20, func(int) string { return "events/a" })
		for _, log := range logs {
			match(t, all(t, log, "events/a"), answers)
		}
	})

	t.Run("many streams", func(t *testing.T) {
		// Each caller writes all streams, in its own order: nobody waits for ever.
		var wait sync.WaitGroup
		for caller := range 9 {
			wait.Go(func() {
				for i := range 20 {
					stream := fmt.Sprintf("many/%d", (caller*7+i*3)%10)
					if _, err := insist(t.Context(), logs[caller%3], stream, fmt.Sprintf("%d.%d", caller, i), 2); err != nil {
						t.Error(err)
					}
				}
			})
		}
		wait.Wait()
		total := 0
		for i := range 10 {
			total += len(all(t, logs[0], fmt.Sprintf("many/%d", i)))
		}
		if total != 9*20*2 {
			t.Errorf("%d records, want %d", total, 9*20*2)
		}
	})

	t.Run("one request", func(t *testing.T) {
		// A client that repeats its request at another server.
		for round := range 20 {
			request := fmt.Sprint("same ", round)
			results := make([]store.Result, len(logs))
			var wait sync.WaitGroup
			for i, log := range logs {
				wait.Go(func() {
					var err error
					if results[i], err = insist(t.Context(), log, "events/same", request, 2); err != nil {
						t.Error(err)
					}
				})
			}
			wait.Wait()
			brought := 0
			for _, r := range results {
				if !r.Replayed {
					brought++
				}
				if r.First != uint64(2*round+1) || r.Last != r.First+1 {
					t.Errorf("round %d: %+v", round, r)
				}
			}
			if brought != 1 {
				t.Errorf("round %d: brought %d times", round, brought)
			}
		}
	})

	t.Run("hints", func(t *testing.T) {
		// A watcher at one server hears what is written at the others.
		ctx, cancel := context.WithTimeout(t.Context(), patience)
		defer cancel()
		var wait sync.WaitGroup
		for _, log := range logs {
			hints := log.Subscribe(ctx)
			wait.Go(func() {
				if err := follow(ctx, log, hints, "events/heard", 30); err != nil {
					t.Error(err)
				}
			})
		}
		for i := range 30 {
			add(t, logs[i%3], "events/heard", uint64(i), fmt.Sprint(i), 1)
		}
		wait.Wait()
	})
}
