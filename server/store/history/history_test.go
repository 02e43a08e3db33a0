package history_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/history"
	"github.com/rinktally/rinktally/server/store/sqlite"
)

// Histories that were made up: each line is a call that begins when all above have
// ended, or with "&" beside the one above.
func TestMadeUp(t *testing.T) {
	for name, c := range map[string]struct {
		calls string
		want  string // in the fault; "" when an order explains them
	}{
		"one after the other":            {"append a at 4; append b at 5; read 3: a b", ""},
		"beside each other":              {"append a at 5; & append b at 4; read 3: b a", ""},
		"read beside an append":          {"append a at 4; & read 3:", ""},
		"not answered, carried out":      {"append a open; append b at 5; read 3: a b", ""},
		"not answered, carried out late": {"append a open; append b at 4; read 3: b; append c at 6; read 3: b a c", ""},
		"not answered, never":            {"append a open; append b at 4; read 3: b", ""},
		"repeated":                       {"append a at 4; append b at 5; append a at 4", ""},
		"repeated, not answered":         {"append a open; append a at 4; append a open; read 3: a", ""},
		"conflict":                       {"append a at 4; append b behind 3 conflict 4; append b behind 4 at 5", ""},
		"repeated in place of conflict":  {"append a behind 3 at 4; append b at 5; append a behind 3 at 4", ""},

		"lost":                         {"append a at 4; append b at 5; read 3: b", "read after 3: 1 records"},
		"lost, and its place is taken": {"append a at 4; append b at 4", "at 4"},
		"doubled":                      {"append a at 4; read 3: a a", "read after 3: 2 records"},
		"doubled by a repetition":      {"append a at 4; append a at 5", "at 5"},
		"doubled without an answer":    {"append a open; append b at 5; read 3: a b; read 3: a b a", "3 records"},
		"found too late":               {"append a at 4; read 3:; append b at 5", "0 records"},
		"seen, then gone":              {"append a open; read 3: a; read 3:", "0 records"},
		"a gap":                        {"append a at 5", "at 5"},
		"another order":                {"append a at 4; append b at 5; read 3: b a", "2 records"},
		"out of nothing":               {"append a at 4; read 3: a b", "2 records"},
		"conflict without reason":      {"append a at 4; append b behind 4 conflict 4", "refused"},
		"conflict with another end":    {"append a at 4; append b behind 3 conflict 7", "refused"},
		"appended at another end":      {"append a at 4; append b behind 3 at 5", "behind 3: at 5"},
		"repeated and refused":         {"append a behind 3 at 4; append a behind 3 conflict 4", "refused"},
	} {
		t.Run(name, func(t *testing.T) {
			r := &history.Recorder{Base: 3}
			var end func()
			for i, text := range strings.Split(c.calls, ";") {
				beside := strings.HasPrefix(strings.TrimSpace(text), "&")
				if end != nil && !beside {
					end()
				}
				next := begin(t, r, i, strings.Fields(strings.Trim(text, " &")))
				if beside {
					one := end
					end = func() { one(); next() }
				} else {
					end = next
				}
			}
			end()
			err := r.Check()
			if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
				t.Errorf("%v, want %q", err, c.want)
			}
		})
	}
}

// begin begins a call that is written in words, and returns what ends it.
func begin(t *testing.T, r *history.Recorder, caller int, words []string) (end func()) {
	t.Helper()
	number := func(word string) (n uint64) {
		if _, err := fmt.Sscan(strings.TrimSuffix(word, ":"), &n); err != nil {
			t.Fatalf("%q: %v", words, err)
		}
		return n
	}
	if words[0] == "read" {
		done := r.Read(caller, number(words[1]))
		return func() { done(words[2:]) }
	}
	done := r.Append
	how, conflict := words[2:], func(uint64) {}
	var at func(uint64)
	if how[0] == "behind" {
		at, conflict = r.AppendAt(caller, words[1], 1, number(how[1]))
		how = how[2:]
	} else {
		at = done(caller, words[1], 1)
	}
	switch how[0] {
	case "open":
		return func() {}
	case "conflict":
		return func() { conflict(number(how[1])) }
	default:
		return func() { at(number(how[1])) }
	}
}

// losing says of every tenth append that it was done, and does nothing.
type losing struct {
	store.Log
	appends *atomic.Int64
}

func (l losing) Append(ctx context.Context, stream string, expected uint64, request string, facts []store.Fact) (store.Result, error) {
	if l.appends.Add(1)%10 == 0 {
		head, err := l.Head(ctx, stream)
		if err == nil && head.Seq == expected {
			return store.Result{First: expected + 1, Last: expected + uint64(len(facts))}, nil
		}
	}
	return l.Log.Append(ctx, stream, expected, request, facts)
}

// doubling carries every tenth append out twice, as if its request id were another one
// when it is repeated.
type doubling struct {
	store.Log
	appends *atomic.Int64
}

func (l doubling) Append(ctx context.Context, stream string, expected uint64, request string, facts []store.Fact) (store.Result, error) {
	result, err := l.Log.Append(ctx, stream, expected, request, facts)
	if l.appends.Add(1)%10 == 0 && err == nil {
		_, err = l.Log.Append(ctx, stream, result.Last, request+" again", facts)
	}
	return result, err
}

// A store that loses or doubles an append is found out, and the one below is not.
func TestPlanted(t *testing.T) {
	for name, c := range map[string]struct {
		plant func(store.Log) store.Log
		fault bool
	}{
		"none":     {func(log store.Log) store.Log { return log }, false},
		"losing":   {func(log store.Log) store.Log { return losing{log, new(atomic.Int64)} }, true},
		"doubling": {func(log store.Log) store.Log { return doubling{log, new(atomic.Int64)} }, true},
	} {
		t.Run(name, func(t *testing.T) {
			log, err := sqlite.Open(t.Context(), sqlite.Options{Path: sqlite.Memory})
			if err != nil {
				t.Fatal(err)
			}
			defer log.Close()
			r := &history.Recorder{}
			planted := c.plant(log)
			var wait sync.WaitGroup
			for caller := range 4 {
				wait.Go(func() {
					for i := range 20 {
						if err := work(t.Context(), r, planted, caller, i); err != nil {
							t.Error(err)
						}
					}
				})
			}
			wait.Wait()
			if err := r.Check(); (err != nil) != c.fault {
				t.Error(err)
			}
		})
	}
}

// work appends once, trying again at the end that a conflict names, and reads.
func work(ctx context.Context, r *history.Recorder, log store.Log, caller, i int) error {
	const stream = "events/a"
	request, facts := fmt.Sprintf("%d.%d", caller, i), make([]store.Fact, 1+i%3)
	for j := range facts {
		facts[j] = store.Fact{Kind: "k"}
	}
	for expected := uint64(0); ; {
		done, conflict := r.AppendAt(caller, request, uint64(len(facts)), expected)
		result, err := log.Append(ctx, stream, expected, request, facts)
		var refused *store.ConflictError
		if errors.As(err, &refused) {
			conflict(refused.Actual)
			expected = refused.Actual
			continue
		}
		if err != nil {
			return err
		}
		done(result.First)
		break
	}
	done := r.Read(caller, 0)
	var requests []string
	records, err := log.Read(ctx, stream, 0, 0)
	for _, record := range records {
		requests = append(requests, record.RequestID)
	}
	done(requests)
	return err
}
