package sqlite

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// oldFile makes a file as the first version of the tables had it, with three facts,
// and returns what is in it.
func oldFile(t *testing.T, path string) []store.Record {
	t.Helper()
	db := pool(path, 1)
	steps, err := logSchema.steps()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.ExecContext(t.Context(), steps[0]+logSchema.setVersion(1)); err != nil {
		t.Fatal(err)
	}
	var head store.Head
	var list []store.Record
	for i := range 3 {
		r := store.Record{
			Fact: store.Fact{Kind: "k", Body: fmt.Append(nil, i), Actor: "judge 3"}, Stream: "events/old", Seq: uint64(i + 1),
			RequestID: fmt.Sprint(i), RecordedAt: time.Date(2026, 1, 17, 8, 30, i, 0, time.UTC),
		}
		r.Hash = r.Link(head.Hash)
		head, list = r.Head(), append(list, r)
		_, err := db.ExecContext(t.Context(), "INSERT INTO log (stream, seq, kind, body, actor, request_id, recorded_at, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
			r.Stream, int64(r.Seq), r.Kind, r.Body, r.Actor, r.RequestID, r.RecordedAt.UnixMicro(), r.Hash[:])
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	return list
}

// A file of the first version is read with the same hashes, its ends are kept apart
// from then on, and it goes on.
func TestOldFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.db")
	was := oldFile(t, path)
	log := openFile(t, path)
	head, err := store.Verify(t.Context(), log, "events/old")
	if is := records(t, log, "events/old"); err != nil || head != was[2].Head() || !reflect.DeepEqual(was, is) {
		t.Fatalf("was %+v, is %+v, %v", was, is, err)
	}
	if kept, err := log.Head(t.Context(), "events/old"); err != nil || kept != head {
		t.Errorf("the end is kept as %+v, %v", kept, err)
	}
	if _, err := log.Append(t.Context(), "events/old", 3, "new", fact("x")); err != nil {
		t.Error(err)
	}
}

// writeProtected puts a folder where nothing can be written, as a copy on a
// protected stick is, and returns where.
func writeProtected(t *testing.T, folder string) string {
	t.Helper()
	if os.Getuid() != 0 {
		if err := os.Chmod(folder, 0o500); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = os.Chmod(folder, 0o700) })
		return folder
	}
	at := t.TempDir()
	for _, arguments := range [][]string{{"--bind", folder, at}, {"-o", "remount,bind,ro", at}} {
		if out, err := exec.Command("mount", arguments...).CombinedOutput(); err != nil {
			t.Skipf("nothing can be write-protected here: %v: %s", err, out)
		}
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", at).CombinedOutput(); err != nil {
			t.Errorf("umount: %v: %s", err, out)
		}
	})
	return at
}

// A write-protected copy is read: of this version and of the first, made by a backup
// or by copying the folder of a server that had stopped. Nothing is written to it.
func TestWriteProtected(t *testing.T) {
	backup := func(t *testing.T, path string) {
		t.Helper()
		source := filepath.Join(t.TempDir(), "log.db")
		oldFile(t, source)
		if err := openFile(t, source).Backup(t.Context(), path); err != nil {
			t.Fatal(err)
		}
	}
	for name, fill := range map[string]func(*testing.T, string){
		"backup":  backup,
		"version": func(t *testing.T, path string) { t.Helper(); oldFile(t, path) },
		"stopped": func(t *testing.T, path string) {
			t.Helper()
			oldFile(t, path)
			if err := openFile(t, path).Close(); err != nil {
				t.Fatal(err)
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			fill(t, filepath.Join(folder, "log.db"))
			protected := writeProtected(t, folder)
			log, err := Open(t.Context(), Options{Path: filepath.Join(protected, "log.db"), ReadOnly: true})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := store.Verify(t.Context(), log, "events/old"); err != nil {
				t.Error(err)
			}
			if err := log.Ready(t.Context()); err != nil {
				t.Error(err)
			}
			if err := log.Erase(t.Context(), "events/old", []uint64{1}); !errors.Is(err, store.ErrReadOnly) {
				t.Errorf("erase: %v", err)
			}
			if err := log.Close(); err != nil {
				t.Error(err)
			}
		})
	}
}

// Facts that are still in the write-ahead log, which a protected disk does not let
// SQLite read, are not left out without a word.
func TestWriteProtectedWithLog(t *testing.T) {
	folder := t.TempDir()
	log := openFile(t, filepath.Join(folder, "log.db"))
	if _, err := log.Append(t.Context(), "s", 0, "r", fact("x")); err != nil {
		t.Fatal(err)
	}
	copied := t.TempDir()
	for _, name := range []string{"log.db", "log.db-wal"} { // as somebody copies a running server's
		data, err := os.ReadFile(filepath.Join(folder, name))
		if err == nil {
			err = os.WriteFile(filepath.Join(copied, name), data, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	reader, err := Open(t.Context(), Options{Path: filepath.Join(writeProtected(t, copied), "log.db"), ReadOnly: true})
	if err == nil {
		if got := records(t, reader, "s"); len(got) != 1 {
			t.Errorf("read %d records of 1", len(got))
		}
		_ = reader.Close()
	} else if !errors.Is(err, store.ErrReadOnly) {
		t.Error(err)
	}
}
