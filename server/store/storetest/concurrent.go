package storetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// insist appends as a careful caller does: after a conflict it tries again at
// the end of the stream.
func insist(ctx context.Context, log store.Log, stream, request string, n int) (store.Result, error) {
	expected := uint64(0)
	for {
		result, err := log.Append(ctx, stream, expected, request, facts(request, n))
		var conflict *store.ConflictError
		if !errors.As(err, &conflict) {
			return result, err
		}
		expected = conflict.Actual
	}
}

// rush lets several callers append at once and returns the answers by request.
func rush(t *testing.T, logs []store.Log, callers, requests int, stream func(caller int) string) map[string]store.Result {
	t.Helper()
	var mu sync.Mutex
	answers := map[string]store.Result{}
	var wait sync.WaitGroup
	for caller := range callers {
		wait.Go(func() {
			for i := range requests {
				request := fmt.Sprintf("%d.%d", caller, i)
				result, err := insist(t.Context(), logs[caller%len(logs)], stream(caller), request, 1+i%3)
				if err != nil {
					t.Errorf("%s: %v", request, err)
					return
				}
				mu.Lock()
				answers[request] = result
				mu.Unlock()
			}
		})
	}
	wait.Wait()
	return answers
}

// match checks that a stream has exactly the requests that were answered, each
// where its answer says.
func match(t *testing.T, records []store.Record, answers map[string]store.Result) {
	t.Helper()
	found := map[string]store.Result{}
	for _, r := range records {
		at, seen := found[r.RequestID]
		if !seen {
			at.First = r.Seq
		} else if at.Last+1 != r.Seq {
			t.Errorf("request %s: facts are not neighbours, %d and %d", r.RequestID, at.Last, r.Seq)
		}
		at.Last = r.Seq
		if want := fmt.Sprintf("%s/%d", r.RequestID, at.Last-at.First); string(r.Body) != want {
			t.Errorf("record %d holds %q, want %q", r.Seq, r.Body, want)
		}
		found[r.RequestID] = at
	}
	for request, want := range answers {
		want.Replayed = false
		if got := found[request]; got != want {
			t.Errorf("request %s: answered %+v, found %+v", request, want, got)
		}
	}
	if len(found) != len(answers) {
		t.Errorf("%d requests found, %d answered", len(found), len(answers))
	}
}

// Callers at once lose nothing, double nothing, and leave no gap, on one stream
// and on many, while others read.
func testConcurrent(t *testing.T, kind Kind) {
	t.Run("one stream", func(t *testing.T) {
		log := open(t, kind)
		answers := rush(t, []store.Log{log}, 8, 25, func(int) string { return "events/a" })
		match(t, all(t, log, "events/a"), answers)
	})

	t.Run("many streams", func(t *testing.T) {
		log := open(t, kind)
		name := func(caller int) string { return fmt.Sprintf("events/%d", caller) }
		answers := rush(t, []store.Log{log}, 12, 25, name)
		for caller := range 12 {
			own := map[string]store.Result{}
			for i := range 25 {
				request := fmt.Sprintf("%d.%d", caller, i)
				own[request] = answers[request]
			}
			match(t, all(t, log, name(caller)), own)
		}
	})

	t.Run("one request", func(t *testing.T) {
		// The same request many times at once: one brings it, the rest are replays.
		log := open(t, kind)
		add(t, log, "events/a", 0, "before", 1)
		results := make([]store.Result, 16)
		var wait sync.WaitGroup
		for i := range results {
			wait.Go(func() {
				var err error
				if results[i], err = insist(t.Context(), log, "events/a", "same", 2); err != nil {
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
			if r.First != 2 || r.Last != 3 {
				t.Errorf("%+v", r)
			}
		}
		if got := bodies(all(t, log, "events/a")); brought != 1 || len(got) != 3 {
			t.Errorf("brought %d times, stream %q", brought, got)
		}
	})

	t.Run("reading", func(t *testing.T) {
		// Readers follow the stream while it grows: in order, without gap, and never
		// half of a request. What was answered can be read.
		log := open(t, kind)
		add(t, log, "events/a", 0, "0", 3)
		const requests = 60
		var wait sync.WaitGroup
		for range 3 {
			wait.Go(func() {
				for seq := uint64(0); seq < requests*3; {
					records, err := log.Read(t.Context(), "events/a", seq, 0)
					if err != nil {
						t.Error(err)
						return
					}
					if len(records)%3 != 0 {
						t.Errorf("after %d: %d records, requests have 3", seq, len(records))
						return
					}
					for _, r := range records {
						if seq++; r.Seq != seq {
							t.Errorf("number %d after %d", r.Seq, seq-1)
							return
						}
					}
				}
			})
		}
		for i := 1; i < requests; i++ {
			result := add(t, log, "events/a", uint64(i*3), fmt.Sprint(i), 3)
			if last, err := log.Head(t.Context(), "events/a"); err != nil || last.Seq != result.Last {
				t.Fatalf("answered %d, the end is %+v, %v", result.Last, last, err)
			}
		}
		wait.Wait()
	})
}

// A caller that gives up leaves the whole append or nothing, and learns which by
// repeating it.
func testCancel(t *testing.T, kind Kind) {
	log := open(t, kind)
	const attempts = 120
	var wanted []string
	given := 0
	for i := range attempts {
		request := fmt.Sprintf("r%d", i)
		// From at once to well after a commit.
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(i*i*37%3000)*time.Microsecond)
		if i%4 == 0 {
			cancel()
		}
		_, err := insist(ctx, log, "events/a", request, 3)
		cancel()
		if err != nil {
			if given++; !errors.Is(err, context.Canceled) && !errors.Is(err, context.DeadlineExceeded) {
				t.Fatalf("%s: %v", request, err)
			}
		}
		if i%4 == 0 && err == nil {
			t.Fatalf("%s: appended although the context had ended", request)
		}
		if i%2 == 0 { // repeat half of them at once, while the first may be under way
			if _, err := insist(t.Context(), log, "events/a", request, 3); err != nil {
				t.Fatalf("repeat %s: %v", request, err)
			}
		}
		wanted = append(wanted, request)
	}
	if given < attempts/4 {
		t.Errorf("only %d of %d gave up", given, attempts)
	}
	answers := map[string]store.Result{}
	for _, request := range wanted {
		result, err := insist(t.Context(), log, "events/a", request, 3)
		if err != nil {
			t.Fatalf("repeat %s: %v", request, err)
		}
		answers[request] = result
	}
	match(t, all(t, log, "events/a"), answers)

	// Reading with a context that ends does no harm either.
	for i := range 50 {
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(i*10)*time.Microsecond)
		_, err := log.Read(ctx, "events/a", 0, 0)
		cancel()
		if err != nil && !errors.Is(err, context.Canceled) && !errors.Is(err, context.DeadlineExceeded) {
			t.Fatalf("read: %v", err)
		}
	}
	if got := all(t, log, "events/a"); len(got) != 3*attempts {
		t.Errorf("%d records", len(got))
	}
}

// Close lets appends under way end: each is answered, and what was answered
// with success is there. Later calls are refused.
func testClose(t *testing.T, kind Kind) {
	place := kind.New(t)
	log := openAt(t, place, ticking())
	answers := map[string]store.Result{}
	var mu sync.Mutex
	var wait sync.WaitGroup
	begun := make(chan struct{}, 1000)
	for caller := range 8 {
		wait.Go(func() {
			for i := 0; ; i++ {
				request := fmt.Sprintf("%d.%d", caller, i)
				result, err := insist(t.Context(), log, "events/a", request, 1)
				if err != nil {
					if !errors.Is(err, store.ErrUnavailable) {
						t.Errorf("%s: %v", request, err)
					}
					return
				}
				mu.Lock()
				answers[request] = result
				mu.Unlock()
				select {
				case begun <- struct{}{}:
				default:
				}
			}
		})
	}
	for range 20 {
		<-begun
	}
	hints := log.Subscribe(t.Context())
	if err := log.Close(); err != nil {
		t.Fatal(err)
	}
	wait.Wait()
	if err := log.Close(); err != nil {
		t.Errorf("closing again: %v", err)
	}
	for range hints { //revive:disable-line:empty-block // ends because the log has closed
	}
	calls := map[string]func() error{
		"append":  func() error { _, err := log.Append(t.Context(), "s", 0, "r", facts("f", 1)); return err },
		"find":    func() error { _, err := log.Find(t.Context(), "s", "r"); return err },
		"read":    func() error { _, err := log.Read(t.Context(), "s", 0, 0); return err },
		"last":    func() error { _, err := log.Head(t.Context(), "s"); return err },
		"streams": func() error { _, err := log.Streams(t.Context(), "", 0); return err },
		"ready":   func() error { return log.Ready(t.Context()) },
		"restore": func() error {
			r := store.Record{Fact: facts("f", 1)[0], Stream: "s", Seq: 1, RequestID: "r", RecordedAt: store.Time(start)}
			r.Hash = r.Link(store.Hash{})
			return log.Restore(t.Context(), []store.Record{r})
		},
	}
	for name, call := range calls {
		if err := call(); !errors.Is(err, store.ErrUnavailable) {
			t.Errorf("%s after close: %v", name, err)
		}
	}
	if !kind.Keeps {
		return
	}
	again := openAt(t, place, ticking())
	records := all(t, again, "events/a")
	known := map[string]store.Result{}
	for _, r := range records { // some were written, but not answered in time
		known[r.RequestID] = store.Result{First: r.Seq, Last: r.Seq}
	}
	for request, result := range answers {
		if known[request] != result {
			t.Errorf("%s: answered %+v, found %+v", request, result, known[request])
		}
	}
	if !slices.IsSortedFunc(records, func(a, b store.Record) int { return int(a.Seq) - int(b.Seq) }) {
		t.Error("not in order")
	}
}
