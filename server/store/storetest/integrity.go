package storetest

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"reflect"
	"slices"
	"testing"

	"github.com/rinktally/rinktally/server/store"
)

// Raw is a way around the log: what happens to the database itself.
type Raw struct {
	// Exec runs SQL that the log would refuse.
	Exec func(t testing.TB, statements ...string)
	// Holding returns the files of the database's tables that hold a text.
	Holding func(t testing.TB, text string) []string
}

// Holding returns the files below a folder that hold a text.
func Holding(t testing.TB, folder, text string) []string {
	t.Helper()
	var found []string
	files := os.DirFS(folder)
	err := fs.WalkDir(files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(files, path)
		if bytes.Contains(data, []byte(text)) {
			found = append(found, path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// damaged is a stream of five records, another of two, a copy of both, and the way
// around the log.
func damaged(t *testing.T, kind Kind, statement string) (log store.Log, before []store.Record) {
	t.Helper()
	place, raw := kind.NewRaw(t)
	log = openAt(t, place, ticking())
	for i, request := range []string{"1", "2", "3", "4", "5"} {
		add(t, log, "events/a", uint64(i), request, 1)
	}
	add(t, log, "events/b", 0, "1", 2)
	before = all(t, log, "events/a")
	raw.Exec(t, statement)
	return log, before
}

// A stream that is damaged, at its end too, is found out by who reads on, by Verify,
// and by who appends; the other streams go on.
func testDamage(t *testing.T, kind Kind) {
	for name, statement := range map[string]string{
		"end cut off":   "DELETE FROM log WHERE stream = 'events/a' AND seq > 3",
		"last cut off":  "DELETE FROM log WHERE stream = 'events/a' AND seq = 5",
		"all gone":      "DELETE FROM log WHERE stream = 'events/a'",
		"last replaced": "UPDATE log SET hash = (SELECT hash FROM log WHERE stream = 'events/a' AND seq = 1) WHERE stream = 'events/a' AND seq = 5",
	} {
		t.Run(name, func(t *testing.T) {
			log, before := damaged(t, kind, statement)
			var damage *store.DamagedError
			if _, err := store.Verify(t.Context(), log, "events/a"); !errors.As(err, &damage) || damage.Stream != "events/a" || damage.Seq == 0 {
				t.Errorf("verify: %v", err)
			}
			for _, expected := range []uint64{0, 3, 4, 5} {
				if _, err := log.Append(t.Context(), "events/a", expected, "next", facts("next", 1)); !errors.Is(err, store.ErrDamaged) {
					t.Errorf("append behind %d: %v", expected, err)
				}
			}
			if _, err := log.Append(t.Context(), "events/a", 5, "next", facts("next", 1)); !errors.Is(err, store.ErrDamaged) {
				t.Errorf("append: %v", err)
			}
			if err := log.Restore(t.Context(), before); !errors.Is(err, store.ErrDamaged) {
				t.Errorf("restore: %v", err)
			}
			if names, err := log.Streams(t.Context(), "", 0); err != nil || !slices.Equal(names, []string{"events/a", "events/b"}) {
				t.Errorf("streams: %q, %v", names, err)
			}
			add(t, log, "events/b", 2, "2", 1)
			if got := len(all(t, log, "events/b")); got != 3 {
				t.Errorf("the other stream has %d records", got)
			}
		})
	}

	t.Run("read to the end", func(t *testing.T) {
		log, _ := damaged(t, kind, "DELETE FROM log WHERE stream = 'events/a' AND seq > 3")
		var seqs []uint64
		var damage *store.DamagedError
		for record, err := range store.All(t.Context(), log, "events/a", 0) {
			if err != nil {
				if !errors.As(err, &damage) || damage.Seq != 4 {
					t.Errorf("the end: %v", err)
				}
				break
			}
			seqs = append(seqs, record.Seq)
		}
		if !slices.Equal(seqs, []uint64{1, 2, 3}) || damage == nil {
			t.Errorf("read %v, then %v", seqs, damage)
		}
	})
}

// A copy brings back what is missing or damaged, and what the log has behind the
// copy stays.
func testRecover(t *testing.T, kind Kind) {
	for name, c := range map[string]struct {
		statement string
		copied    int // records of the copy
		did       store.Recovery
		last      uint64
		err       error
	}{
		"changed within, longer than the copy": {"UPDATE log SET actor = 'judge 4' WHERE stream = 'events/a' AND seq = 2", 4, store.Replaced, 5, nil},
		"changed behind the copy":              {"UPDATE log SET actor = 'judge 4' WHERE stream = 'events/a' AND seq = 5", 4, store.Replaced, 4, nil},
		"cut off":                              {"DELETE FROM log WHERE stream = 'events/a' AND seq > 3", 5, store.Replaced, 5, nil},
		"all gone":                             {"DELETE FROM log WHERE stream = 'events/a'", 5, store.Replaced, 5, nil},
		"whole":                                {"DELETE FROM log WHERE stream = 'events/c'", 3, store.Stayed, 5, nil},
	} {
		t.Run(name, func(t *testing.T) {
			log, before := damaged(t, kind, c.statement)
			did, last, err := store.Recover(t.Context(), log, slices.Clone(before[:c.copied]))
			if did != c.did || last != c.last || !errors.Is(err, c.err) {
				t.Fatalf("%v, %d, %v; want %v, %d, %v", did, last, err, c.did, c.last, c.err)
			}
			if after := all(t, log, "events/a"); !reflect.DeepEqual(after, before[:c.last]) {
				t.Errorf("was %+v, is %+v", before, after)
			}
			if got := add(t, log, "events/a", c.last, "goes on", 1); got.First != c.last+1 {
				t.Errorf("goes on with %+v", got)
			}
		})
	}
	t.Run("missing, and other facts", func(t *testing.T) {
		log, other := open(t, kind), open(t, kind)
		add(t, log, "events/a", 0, "1", 2)
		if did, last, err := store.Recover(t.Context(), other, all(t, log, "events/a")); did != store.Brought || last != 2 || err != nil {
			t.Errorf("%v, %d, %v", did, last, err)
		}
		add(t, log, "events/a", 2, "here", 1)
		add(t, other, "events/a", 2, "there", 1)
		if _, _, err := store.Recover(t.Context(), other, all(t, log, "events/a")); !errors.Is(err, store.ErrConflict) {
			t.Errorf("of facts that differ: %v", err)
		}
	})
}

// person is what stands apart in the tests: long, so that it is found where it is.
const person = "Zora Invented of the Club of Nowhere"

func apart(text string) store.Fact {
	return store.Fact{Kind: "EntryAdded", Body: []byte("12"), Actor: "ORGANISER", Apart: []byte("salt" + text)}
}

// What stands apart from a fact can be erased, also from the disk, and the fact, its
// hash and its request stay.
func testApart(t *testing.T, kind Kind) {
	place, raw := kind.NewRaw(t)
	log := openAt(t, place, ticking())
	given := []store.Fact{apart(person + " A"), {Kind: "Plain"}, apart("Bea")}
	if _, err := log.Append(t.Context(), "events/a", 0, "r", given); err != nil {
		t.Fatal(err)
	}
	for i := range 40 { // enough that rows move about in their pages
		if _, err := log.Append(t.Context(), "events/a", uint64(3+i), string(rune('A'+i)), []store.Fact{apart(person + " B")}); err != nil {
			t.Fatal(err)
		}
	}
	before := all(t, log, "events/a")
	if string(before[0].Apart) != "salt"+person+" A" || before[0].Seal != store.SealOf(before[0].Apart) || before[1].Apart != nil || before[1].Seal != (store.Hash{}) {
		t.Fatalf("read as %+v", before[:2])
	}
	if found := raw.Holding(t, person); len(found) == 0 {
		t.Error("the text is in no file before it is erased, so that the test shows nothing")
	}

	var file bytes.Buffer
	if err := store.Export(t.Context(), log, &file, store.Selection{}); err != nil {
		t.Fatal(err)
	}
	var seqs []uint64
	for _, r := range before {
		if bytes.Contains(r.Apart, []byte(person)) {
			seqs = append(seqs, r.Seq)
		}
	}
	for range 2 { // a repetition does no harm
		if err := log.Erase(t.Context(), "events/a", seqs); err != nil {
			t.Fatal(err)
		}
	}
	if found := raw.Holding(t, person); len(found) > 0 {
		t.Errorf("the text is still in %q", found)
	}
	after := all(t, log, "events/a")
	for i, r := range after {
		want := before[i]
		if slices.Contains(seqs, r.Seq) {
			want.Apart = nil
		}
		if !reflect.DeepEqual(r, want) {
			t.Errorf("record %d is %+v, want %+v", r.Seq, r, want)
		}
	}
	if got, err := log.Append(t.Context(), "events/a", 0, "r", given); err != nil || !got.Replayed {
		t.Errorf("repeated after it was erased: %+v, %v", got, err)
	}

	// Exports hold it or not, and come back either way.
	for _, selection := range []store.Selection{{}, {Apart: func(*store.Record) bool { return false }}} {
		file.Reset()
		if err := store.Export(t.Context(), log, &file, selection); err != nil {
			t.Fatal(err)
		}
		other := open(t, kind)
		if _, err := restore(t, other, &file); err != nil {
			t.Fatal(err)
		}
		for i, r := range all(t, other, "events/a") {
			want := after[i]
			if selection.Apart != nil {
				want.Apart = nil
			}
			if !reflect.DeepEqual(r, want) {
				t.Errorf("imported %+v, want %+v", r, want)
			}
		}
	}

	// Whoever puts another's where it was is found out.
	raw.Exec(t, "UPDATE log_apart SET seq = 1 WHERE seq = 3")
	if _, err := store.Verify(t.Context(), log, "events/a"); !errors.Is(err, store.ErrDamaged) {
		t.Errorf("moved to another record: %v", err)
	}
}

// A file that facts rest on is kept once and comes with an export.
func testFiles(t *testing.T, kind Kind) {
	log := open(t, kind)
	if _, err := log.Kept(t.Context(), "tables"); !errors.Is(err, store.ErrFileUnknown) {
		t.Errorf("before: %v", err)
	}
	data := noise(3)
	for name, give := range map[string][]byte{"tables": data, "another": {}} {
		if err := log.Keep(t.Context(), name, give); err != nil {
			t.Fatal(err)
		}
	}
	if err := log.Keep(t.Context(), "tables", []byte("other")); err != nil {
		t.Errorf("again: %v", err)
	}
	if err := log.Keep(t.Context(), "large", make([]byte, store.Limits.File+1)); !errors.Is(err, store.ErrInvalid) {
		t.Errorf("a large one: %v", err)
	}
	if names, err := log.Files(t.Context()); err != nil || !slices.Equal(names, []string{"another", "tables"}) {
		t.Errorf("%q, %v", names, err)
	}
	var file bytes.Buffer
	if err := store.Export(t.Context(), log, &file, store.Selection{}); err != nil {
		t.Fatal(err)
	}
	other := open(t, kind)
	if _, err := restore(t, other, &file); err != nil {
		t.Fatal(err)
	}
	if got, err := other.Kept(t.Context(), "tables"); err != nil || !bytes.Equal(got, data) {
		t.Errorf("%d bytes, %v", len(got), err)
	}
}
