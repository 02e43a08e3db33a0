package storetest

import (
	"bytes"
	"errors"
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// restore brings every stream of an export into a log, up to the first fault, and
// returns the names of those that are there then.
func restore(t *testing.T, log store.Log, file *bytes.Buffer) (restored []string, err error) {
	t.Helper()
	for part, err := range store.Parse(bytes.NewReader(file.Bytes())) {
		if err == nil {
			err = part.Bring(t.Context(), log)
		}
		if err != nil {
			return restored, err
		}
		if part.File == "" {
			restored = append(restored, part.Records[0].Stream)
		}
	}
	return restored, nil
}

// An export brings a log to another place as it was, and shows every change.
func testExport(t *testing.T, kind Kind) {
	log := open(t, kind)
	streams := []string{"events/a", "events/b", "зима"}
	for i, stream := range streams {
		add(t, log, stream, 0, "one", 2)
		add(t, log, stream, 2, "two", 5*i+1)
	}
	var file bytes.Buffer
	if err := store.Export(t.Context(), log, &file, store.Selection{}); err != nil {
		t.Fatal(err)
	}

	t.Run("import", func(t *testing.T) {
		other := open(t, kind)
		hints := other.Subscribe(t.Context())
		names, err := restore(t, other, &file)
		if err != nil || !slices.Equal(names, streams) {
			t.Fatalf("%q, %v", names, err)
		}
		if hint := <-hints; !slices.Contains(append(streams, ""), hint.Stream) {
			t.Errorf("hint %+v", hint)
		}
		for _, stream := range streams {
			if was, is := all(t, log, stream), all(t, other, stream); !reflect.DeepEqual(was, is) {
				t.Errorf("%s was %+v, is %+v", stream, was, is)
			}
		}
		var again bytes.Buffer
		if err := store.Export(t.Context(), other, &again, store.Selection{}); err != nil || !bytes.Equal(again.Bytes(), file.Bytes()) {
			t.Errorf("the export of the import differs: %v", err)
		}
		// The restored stream goes on: its requests are known, its end is the end.
		if got := add(t, other, "events/a", 0, "two", 1); got != (store.Result{First: 3, Last: 3, Replayed: true}) {
			t.Errorf("repeated: %+v", got)
		}
		if got := add(t, other, "events/a", 3, "three", 1); got.First != 4 {
			t.Errorf("continued: %+v", got)
		}
		// Importing again does nothing where nothing differs, and refuses to mix.
		names, err = restore(t, other, &file)
		if !errors.Is(err, store.ErrConflict) || len(names) > 0 {
			t.Errorf("over a stream that went on: %q, %v", names, err)
		}
		if _, err := restore(t, log, &file); err != nil {
			t.Errorf("over itself: %v", err)
		}
		if got := len(all(t, other, "events/a")); got != 4 {
			t.Errorf("%d records after the refusal", got)
		}
	})

	t.Run("damage", func(t *testing.T) {
		// A refused stream leaves nothing behind.
		records := all(t, log, "events/b")
		changes := map[string]func([]store.Record) []store.Record{
			"body":  func(r []store.Record) []store.Record { r[3].Body = []byte("x"); return r },
			"actor": func(r []store.Record) []store.Record { r[0].Actor = "x"; return r },
			"time": func(r []store.Record) []store.Record {
				r[2].RecordedAt = r[2].RecordedAt.Add(time.Microsecond)
				return r
			},
			"missing":    func(r []store.Record) []store.Record { return slices.Delete(r, 2, 3) },
			"first gone": func(r []store.Record) []store.Record { return r[1:] },
			"doubled":    func(r []store.Record) []store.Record { return slices.Insert(r, 2, r[2]) },
			"swapped":    func(r []store.Record) []store.Record { r[2], r[3] = r[3], r[2]; return r },
			"two in one": func(r []store.Record) []store.Record { r[4].Stream = "events/c"; return r },
		}
		other := open(t, kind)
		for name, change := range changes {
			err := other.Restore(t.Context(), change(slices.Clone(records)))
			if !errors.Is(err, store.ErrDamaged) && !errors.Is(err, store.ErrInvalid) {
				t.Errorf("%s: %v", name, err)
			}
		}
		if got, err := other.Streams(t.Context(), "", 0); err != nil || len(got) > 0 {
			t.Errorf("streams after refusals only: %q, %v", got, err)
		}
	})

	t.Run("while appending", func(t *testing.T) {
		log := open(t, kind)
		RunCopies(t, log, 5, func(int) (func() store.Log, error) {
			var file bytes.Buffer
			err := store.Export(t.Context(), log, &file, store.Selection{})
			return func() store.Log {
				other := open(t, kind)
				if _, err := restore(t, other, &file); err != nil {
					t.Fatal(err)
				}
				return other
			}, err
		})
	})
}
