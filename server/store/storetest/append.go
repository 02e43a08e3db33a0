package storetest

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// Facts are numbered from 1 without gap, stream by stream, and come back as
// they were given.
func testAppend(t *testing.T, kind Kind) {
	log := open(t, kind)
	steps := []struct {
		stream   string
		expected uint64
		n        int
		want     store.Result
	}{
		{"events/a", 0, 1, store.Result{First: 1, Last: 1}},
		{"events/a", 1, 3, store.Result{First: 2, Last: 4}},
		{"events/b", 0, 2, store.Result{First: 1, Last: 2}},
		{"events/a", 4, 1, store.Result{First: 5, Last: 5}},
	}
	for i, s := range steps {
		got := add(t, log, s.stream, s.expected, string(rune('p'+i)), s.n)
		if got != s.want {
			t.Errorf("step %d: %+v, want %+v", i, got, s.want)
		}
	}
	want := map[string][]string{
		"events/a": {"p/0", "q/0", "q/1", "q/2", "s/0"},
		"events/b": {"r/0", "r/1"},
	}
	for stream, texts := range want {
		records := all(t, log, stream)
		if got := bodies(records); !slices.Equal(got, texts) {
			t.Errorf("%s: %q, want %q", stream, got, texts)
		}
		for i, r := range records {
			if r.Stream != stream || r.Seq != uint64(i+1) || r.RequestID != texts[i][:1] || r.Kind != "MarksGiven" || r.Actor != "judge 3" {
				t.Errorf("%s: record %d is %+v", stream, i, r)
			}
		}
		if last, err := log.Head(t.Context(), stream); err != nil || last != records[len(records)-1].Head() {
			t.Errorf("last of %s: %+v, %v", stream, last, err)
		}
	}

	t.Run("conflict", func(t *testing.T) {
		for _, c := range []struct {
			stream           string
			expected, actual uint64
		}{{"events/a", 0, 5}, {"events/a", 4, 5}, {"events/a", 6, 5}, {"events/a", 1<<64 - 1, 5}, {"events/new", 1, 0}} {
			_, err := log.Append(t.Context(), c.stream, c.expected, "late", facts("late", 2))
			var conflict *store.ConflictError
			if !errors.As(err, &conflict) || !errors.Is(err, store.ErrConflict) {
				t.Fatalf("%+v: %v", c, err)
			}
			if want := (store.ConflictError{Stream: c.stream, Expected: c.expected, Actual: c.actual}); *conflict != want {
				t.Errorf("%+v, want %+v", *conflict, want)
			}
		}
		// A refused request leaves nothing behind and its id is free.
		if got := add(t, log, "events/a", 5, "late", 2); got.Replayed || got.First != 6 {
			t.Errorf("after the conflict: %+v", got)
		}
	})

	t.Run("texts", func(t *testing.T) {
		// What SQL, JSON or a collation might trip over. Names that differ only in
		// case or accents are different streams.
		texts := []string{"ä", "a\u0308", "A", "'; DROP TABLE log; --", `"\`, "зима ❄ 冬", "%_", " ", "x y ", strings.Repeat("é", 64)}
		for _, text := range texts {
			facts := []store.Fact{{Kind: text, Body: []byte{0, 0xff, '\n', 0xc3}, Actor: text + text}, {Kind: "Empty"}}
			if _, err := log.Append(t.Context(), text, 0, text, facts); err != nil {
				t.Fatalf("%q: %v", text, err)
			}
			records := all(t, log, text)
			facts[1].Body = []byte{} // empty is empty, whether nil or not
			for i, r := range records {
				if r.Stream != text || r.RequestID != text || r.Kind != facts[i].Kind || r.Actor != facts[i].Actor || string(r.Body) != string(facts[i].Body) {
					t.Errorf("%q came back as %+v", text, r)
				}
			}
			if len(records) != 2 {
				t.Errorf("%q: %d records", text, len(records))
			}
		}
	})

	t.Run("large", func(t *testing.T) {
		body := make([]byte, store.Limits.Body)
		for i := range body {
			body[i] = byte(i * i >> 3)
		}
		large := slices.Repeat([]store.Fact{{Kind: "Large", Body: body}}, store.Limits.Append/store.Limits.Body)
		expected := uint64(0)
		for _, request := range []string{"1", "2", "3"} { // more than a page of Read
			result, err := log.Append(t.Context(), "events/large", expected, request, large)
			if err != nil {
				t.Fatal(err)
			}
			expected = result.Last
		}
		many := make([]store.Fact, store.Limits.Facts)
		for i := range many {
			many[i].Kind = "Many"
		}
		if _, err := log.Append(t.Context(), "events/large", expected, "4", many); err != nil {
			t.Fatal(err)
		}
		records := all(t, log, "events/large")
		if len(records) != 3*len(large)+len(many) {
			t.Fatalf("%d records", len(records))
		}
		for i := range 3 * len(large) {
			if !slices.Equal(records[i].Body, body) {
				t.Errorf("body %d differs", i)
			}
		}
		page, err := log.Read(t.Context(), "events/large", 0, 0)
		if err != nil || len(page) > store.Limits.Page/store.Limits.Body {
			t.Errorf("a page of %d large records, %v", len(page), err)
		}
	})

	t.Run("own memory", func(t *testing.T) {
		given := facts("mine", 1)
		if _, err := log.Append(t.Context(), "events/own", 0, "mine", given); err != nil {
			t.Fatal(err)
		}
		copy(given[0].Body, "THEIRS")
		if got := bodies(all(t, log, "events/own")); got[0] != "mine/0" {
			t.Errorf("the log follows the caller's memory: %q", got)
		}
	})
}

// Arguments that do not fit are named, and nothing is written.
func testInvalid(t *testing.T, kind Kind) {
	log := open(t, kind)
	long := strings.Repeat("x", 10_000)
	big := store.Fact{Kind: "k", Body: make([]byte, store.Limits.Body)}
	cases := []struct {
		name, field, stream, request string
		facts                        []store.Fact
	}{
		{"no stream", "stream", "", "r", facts("f", 1)},
		{"long stream", "stream", long, "r", facts("f", 1)},
		{"zero byte", "stream", "a\x00b", "r", facts("f", 1)},
		{"line break", "stream", "a\nb", "r", facts("f", 1)},
		{"not UTF-8", "stream", "a\xffb", "r", facts("f", 1)},
		{"no request", "requestID", "s", "", facts("f", 1)},
		{"long request", "requestID", "s", long, facts("f", 1)},
		{"request not UTF-8", "requestID", "s", "\xc3", facts("f", 1)},
		{"no facts", "facts", "s", "r", nil},
		{"too many facts", "facts", "s", "r", make([]store.Fact, store.Limits.Facts+1)},
		{"too much", "facts", "s", "r", slices.Repeat([]store.Fact{big}, store.Limits.Append/store.Limits.Body+1)},
		{"no kind", "facts[1].kind", "s", "r", []store.Fact{{Kind: "k"}, {}}},
		{"long kind", "facts[0].kind", "s", "r", []store.Fact{{Kind: long}}},
		{"long actor", "facts[0].actor", "s", "r", []store.Fact{{Kind: "k", Actor: long}}},
		{"actor with escape", "facts[0].actor", "s", "r", []store.Fact{{Kind: "k", Actor: "\x1b[0m"}}},
		{"large body", "facts[0].body", "s", "r", []store.Fact{{Kind: "k", Body: append(big.Body, 0)}}},
	}
	for _, c := range cases {
		_, err := log.Append(t.Context(), c.stream, 0, c.request, c.facts)
		var invalid *store.InvalidError
		if !errors.As(err, &invalid) || !errors.Is(err, store.ErrInvalid) || invalid.Field != c.field {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if message := err.Error(); len(message) > 250 || !strings.Contains(message, "allowed: ") {
			t.Errorf("%s: message %q", c.name, message)
		}
	}
	for name, call := range map[string]func() error{
		"read":    func() error { _, err := log.Read(t.Context(), "s", 0, -1); return err },
		"streams": func() error { _, err := log.Streams(t.Context(), "", -1); return err },
		"after":   func() error { _, err := log.Streams(t.Context(), "\xff", 0); return err },
		"name":    func() error { _, err := log.Read(t.Context(), "\x00", 0, 0); return err },
		"no name": func() error { _, err := log.Head(t.Context(), ""); return err },
		"request": func() error { _, err := log.Find(t.Context(), "s", "a\xff"); return err },
		"restore": func() error { return log.Restore(t.Context(), nil) },
	} {
		if err := call(); !errors.Is(err, store.ErrInvalid) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if streams, err := log.Streams(t.Context(), "", 0); err != nil || len(streams) > 0 {
		t.Errorf("streams after refusals only: %q, %v", streams, err)
	}
}

// A request counts once, however often it is made.
func testRepeat(t *testing.T, kind Kind) {
	log := open(t, kind)
	add(t, log, "events/a", 0, "one", 2)
	first := add(t, log, "events/a", 2, "two", 3)
	add(t, log, "events/a", 5, "three", 1)
	want := store.Result{First: first.First, Last: first.Last, Replayed: true}
	before := all(t, log, "events/a")

	// Whatever is expected: the caller may have read the stream again.
	for _, expected := range []uint64{2, 6, 0, 99} {
		if got := add(t, log, "events/a", expected, "two", 3); got != want {
			t.Errorf("repeated, expecting %d: %+v, want %+v", expected, got, want)
		}
	}
	if got, err := log.Find(t.Context(), "events/a", "two"); err != nil || got != want {
		t.Errorf("find: %+v, %v", got, err)
	}
	for _, c := range [][2]string{{"events/a", "four"}, {"events/b", "two"}} {
		if _, err := log.Find(t.Context(), c[0], c[1]); !errors.Is(err, store.ErrRequestUnknown) {
			t.Errorf("find %q: %v", c, err)
		}
	}

	changes := map[string]func([]store.Fact) []store.Fact{
		"fewer":  func(f []store.Fact) []store.Fact { return f[:2] },
		"more":   func(f []store.Fact) []store.Fact { return append(f, f[0]) },
		"order":  func(f []store.Fact) []store.Fact { slices.Reverse(f); return f },
		"kind":   func(f []store.Fact) []store.Fact { f[1].Kind = "markgiven"; return f },
		"body":   func(f []store.Fact) []store.Fact { f[2].Body = nil; return f },
		"actor":  func(f []store.Fact) []store.Fact { f[0].Actor = "judge 4"; return f },
		"others": func([]store.Fact) []store.Fact { return facts("other", 3) },
	}
	for name, change := range changes {
		_, err := log.Append(t.Context(), "events/a", 6, "two", change(facts("two", 3)))
		if !errors.Is(err, store.ErrRequestReused) {
			t.Errorf("other facts (%s): %v", name, err)
		}
	}
	if after := all(t, log, "events/a"); !reflect.DeepEqual(before, after) {
		t.Errorf("repeating changed the stream: %+v", after)
	}
	// The same id on another stream is another request.
	if got := add(t, log, "events/b", 0, "two", 3); got.Replayed || got.First != 1 {
		t.Errorf("on another stream: %+v", got)
	}
}

// The time is the clock's, to the microsecond, in UTC. Within a stream it does not go
// back by a minute or less, as the clocks of two servers differ; behind a clock that
// was further ahead the times are right again.
func testTimes(t *testing.T, kind Kind) {
	now := start
	log := openAt(t, kind.New(t), func() time.Time { return now })
	for i, step := range []time.Duration{0, time.Hour, time.Hour - time.Second, time.Hour - time.Minute, 2 * time.Minute, 3 * time.Minute, -time.Hour} {
		now = start.Add(step)
		add(t, log, "events/a", uint64(i), string(rune('a'+i)), 1)
	}
	at := func(d time.Duration) time.Time {
		return time.Date(2026, 1, 17, 8, 30, 0, 123_456_000, time.UTC).Add(d)
	}
	want := []time.Time{at(0), at(time.Hour), at(time.Hour), at(time.Hour), at(2 * time.Minute), at(3 * time.Minute), at(-time.Hour)}
	for i, r := range all(t, log, "events/a") {
		if r.RecordedAt != want[i] {
			t.Errorf("record %d: %v, want %v", i+1, r.RecordedAt, want[i])
		}
	}
}
