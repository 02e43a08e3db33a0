// Package storetest is the conformance suite of the log: what store.Log
// promises, checked the same way for every store. A fault found in one store
// becomes a check for all.
package storetest

import (
	"context"
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// Place is where one log is kept. Each call opens it.
type Place func(store.Clock) (store.Log, error)

// Kind is a kind of store under test.
type Kind struct {
	New    func(testing.TB) Place        // an empty place of its own
	NewRaw func(testing.TB) (Place, Raw) // the same with a way around the log; nil where there is none
	Keeps  bool                          // what was written is there after Close and Open
	Shared bool                          // several may have one place open and write
}

// Run runs the whole suite.
func Run(t *testing.T, kind Kind) {
	groups := []struct {
		name string
		runs bool
		test func(*testing.T, Kind)
	}{
		{"append", true, testAppend},
		{"invalid", true, testInvalid},
		{"repeat", true, testRepeat},
		{"times", true, testTimes},
		{"read", true, testRead},
		{"concurrent", true, testConcurrent},
		{"cancel", true, testCancel},
		{"hints", true, testHints},
		{"export", true, testExport},
		{"files", true, testFiles},
		{"damage", kind.NewRaw != nil, testDamage},
		{"recover", kind.NewRaw != nil, testRecover},
		{"apart", kind.NewRaw != nil, testApart},
		{"close", true, testClose},
		{"reopen", kind.Keeps, testReopen},
		{"alone", kind.Keeps && !kind.Shared, testAlone},
		{"shared", kind.Shared, testShared},
	}
	for _, g := range groups {
		if g.runs {
			t.Run(g.name, func(t *testing.T) { g.test(t, kind) })
		}
	}
}

// start is the time of the suite's clock; each reading is a millisecond later.
var start = time.Date(2026, 1, 17, 9, 30, 0, 123_456_789, time.FixedZone("rink", 3600))

// ticking returns a clock that moves only when it is read.
func ticking() store.Clock {
	var reads atomic.Int64
	return func() time.Time { return start.Add(time.Duration(reads.Add(1)) * time.Millisecond) }
}

// open opens a new log that is closed when the test ends.
func open(t testing.TB, kind Kind) store.Log {
	t.Helper()
	return openAt(t, kind.New(t), ticking())
}

func openAt(t testing.TB, place Place, clock store.Clock) store.Log {
	t.Helper()
	log, err := place(clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := log.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
	})
	return log
}

// facts returns n facts whose bodies say what they are.
func facts(name string, n int) []store.Fact {
	made := make([]store.Fact, n)
	for i := range made {
		made[i] = store.Fact{Kind: "MarksGiven", Body: fmt.Appendf(nil, "%s/%d", name, i), Actor: "judge 3"}
	}
	return made
}

// add appends and fails the test if that does not work.
func add(t testing.TB, log store.Log, stream string, expected uint64, request string, n int) store.Result {
	t.Helper()
	result, err := log.Append(t.Context(), stream, expected, request, facts(request, n))
	if err != nil {
		t.Fatalf("append %s to %s: %v", request, stream, err)
	}
	return result
}

// all reads a whole stream and checks that it is whole.
func all(t testing.TB, log store.Log, stream string) []store.Record {
	t.Helper()
	ctx := context.WithoutCancel(t.Context()) // used by cleanups too
	if _, err := store.Verify(ctx, log, stream); err != nil {
		t.Fatalf("verify: %v", err)
	}
	var records []store.Record
	for record, err := range store.All(ctx, log, stream, 0) {
		if err != nil {
			t.Fatal(err)
		}
		records = append(records, record)
	}
	return records
}

// bodies returns what records hold, in order.
func bodies(records []store.Record) []string {
	texts := make([]string, len(records))
	for i := range records {
		texts[i] = string(records[i].Body)
	}
	return texts
}
