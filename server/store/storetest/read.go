package storetest

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"github.com/rinktally/rinktally/server/store"
)

// Reading goes on after any sequence number and never leaves a gap.
func testRead(t *testing.T, kind Kind) {
	log := open(t, kind)
	add(t, log, "events/a", 0, "one", 7)
	add(t, log, "events/b", 0, "one", 1)
	cases := []struct {
		after    uint64
		limit    int
		from, to uint64 // to 0: nothing
	}{
		{0, 0, 1, 7}, {0, 3, 1, 3}, {3, 3, 4, 6}, {6, 3, 7, 7}, {2, 1, 3, 3},
		{0, 1 << 30, 1, 7}, {7, 3, 0, 0}, {8, 0, 0, 0}, {1<<64 - 1, 0, 0, 0},
	}
	for _, c := range cases {
		records, err := log.Read(t.Context(), "events/a", c.after, c.limit)
		if err != nil {
			t.Fatal(err)
		}
		var got, want []uint64
		for _, r := range records {
			got = append(got, r.Seq)
		}
		for seq := c.from; c.to > 0 && seq <= c.to; seq++ {
			want = append(want, seq)
		}
		if !slices.Equal(got, want) {
			t.Errorf("after %d, limit %d: %v, want %v", c.after, c.limit, got, want)
		}
	}

	for name, call := range map[string]func() error{
		"read":       func() error { _, err := log.Read(t.Context(), "events/none", 0, 0); return err },
		"read after": func() error { _, err := log.Read(t.Context(), "events/none", 5, 0); return err },
		"last":       func() error { _, err := log.Head(t.Context(), "events/none"); return err },
		"prefix":     func() error { _, err := log.Head(t.Context(), "events/"); return err },
		"verify":     func() error { _, err := store.Verify(t.Context(), log, "events/none"); return err },
	} {
		if err := call(); !errors.Is(err, store.ErrStreamUnknown) {
			t.Errorf("%s of a stream that does not exist: %v", name, err)
		}
	}

	t.Run("pages", func(t *testing.T) {
		for i := range 5 { // 2,500 records: three pages
			add(t, log, "events/long", uint64(i*500), fmt.Sprint(i), 500)
		}
		seq := uint64(0)
		for r, err := range store.All(t.Context(), log, "events/long", 0) {
			if seq++; err != nil || r.Seq != seq {
				t.Fatalf("record %d: %v, number %d", seq, err, r.Seq)
			}
		}
		if seq != 2500 {
			t.Errorf("%d records", seq)
		}
		for r, err := range store.All(t.Context(), log, "events/long", 2498) {
			if err != nil || r.Seq != 2499 {
				t.Errorf("after 2498: %d, %v", r.Seq, err)
			}
			break // a reader may stop
		}
	})

	t.Run("streams", func(t *testing.T) {
		// In the order of their bytes, which no language's order is.
		for _, name := range []string{"é", "Z", "a", "z", "_", "events/a0"} {
			add(t, log, name, 0, "one", 1)
		}
		want := []string{"Z", "_", "a", "events/a", "events/a0", "events/b", "events/long", "z", "é"}
		got, err := log.Streams(t.Context(), "", 0)
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("streams: %q, %v", got, err)
		}
		got, err = log.Streams(t.Context(), "events/a", 2)
		if err != nil || !slices.Equal(got, want[4:6]) {
			t.Errorf("two streams after events/a: %q, %v", got, err)
		}
		got, err = log.Streams(t.Context(), "é", 0)
		if err != nil || len(got) > 0 {
			t.Errorf("streams after the last: %q, %v", got, err)
		}
	})

	if err := log.Ready(t.Context()); err != nil {
		t.Errorf("ready: %v", err)
	}
}
