package storetest

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// patience is how long a test waits for what must come.
const patience = 20 * time.Second

// follow reads a stream as a watcher does, by hints, until it has the number
// wanted. It never looks without being told.
func follow(ctx context.Context, log store.Log, hints <-chan store.Hint, stream string, want uint64) error {
	for have := uint64(0); have < want; {
		select {
		case <-ctx.Done():
			return fmt.Errorf("no hint after record %d of %s, which has %d", have, stream, want)
		case hint := <-hints:
			if hint.Stream != stream && hint.Stream != "" {
				continue
			}
			records, err := log.Read(ctx, stream, have, 0)
			if errors.Is(err, store.ErrStreamUnknown) && hint.Stream == "" {
				continue // it has not begun
			}
			if err != nil {
				return err
			}
			if len(records) > 0 {
				have = records[len(records)-1].Seq
			}
			if have < hint.Last {
				return fmt.Errorf("hinted %d, could read %d", hint.Last, have)
			}
		}
	}
	return nil
}

// Hints come after the commit, for each stream that moves, and a slow
// subscriber holds up nobody.
func testHints(t *testing.T, kind Kind) {
	log := open(t, kind)
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	slow := log.Subscribe(ctx) // takes nothing until the end
	const streams, requests = 3, 40
	var wait sync.WaitGroup
	for s := range streams {
		name := fmt.Sprintf("events/%d", s)
		for range 2 {
			hints := log.Subscribe(ctx)
			wait.Go(func() {
				if err := follow(ctx, log, hints, name, requests); err != nil {
					t.Error(err)
				}
			})
		}
		wait.Go(func() {
			for i := range requests {
				request := fmt.Sprint(i)
				if _, err := log.Append(ctx, name, uint64(i), request, facts(request, 1)); err != nil {
					t.Error(err)
					return
				}
			}
		})
	}
	wait.Wait()

	// What the slow one missed is joined. All was answered, so nothing later can
	// be meant than the last.
	told := map[string]uint64{}
	for len(told) < streams || told["events/0"]+told["events/1"]+told["events/2"] < streams*requests {
		select {
		case hint := <-slow:
			told[hint.Stream] = max(told[hint.Stream], hint.Last)
		case <-ctx.Done():
			t.Fatalf("the slow subscriber was told %v", told)
		}
	}

	// A replay is hinted too: the hint of the first may have been lost.
	hints := log.Subscribe(ctx)
	add(t, log, "events/1", 0, "7", 1)
	for hint := range hints {
		if hint.Stream == "events/1" {
			break
		}
	}

	// A refusal moves nothing, an ended context ends the channel.
	quiet, stop := context.WithCancel(ctx)
	hints = log.Subscribe(quiet)
	if _, err := log.Append(ctx, "events/0", 1, "late", facts("late", 1)); err == nil {
		t.Error("a conflict was accepted")
	}
	stop()
	for hint := range hints {
		if hint.Last > requests {
			t.Errorf("hint of a refused append: %+v", hint)
		}
	}
}
