package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/storetest"
)

func records(t *testing.T, log store.Log, stream string) []store.Record {
	t.Helper()
	var all []store.Record
	for r, err := range store.All(t.Context(), log, stream, 0) {
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, r)
	}
	return all
}

// A backup that is made while facts are appended, by the server or by another
// program, holds the beginning of the log and opens like any other.
func TestBackupWhileAppending(t *testing.T) {
	log := openNew(t)
	folder := t.TempDir()
	storetest.RunCopies(t, log, 6, func(i int) (func() store.Log, error) {
		to := filepath.Join(folder, fmt.Sprintf("copy %d.db", i))
		open := func() store.Log { return openFile(t, to) }
		if i%2 == 0 {
			return open, log.Backup(t.Context(), to)
		}
		return open, Backup(t.Context(), log.path, to)
	})
}

func TestBackupKeepsWhatIsThere(t *testing.T) {
	log := openNew(t)
	if _, err := log.Append(t.Context(), "s", 0, "r", fact("x")); err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	taken := filepath.Join(folder, "taken")
	if err := os.WriteFile(taken, []byte("precious"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := log.Backup(t.Context(), taken); err == nil {
		t.Error("overwrote a file")
	}
	if text, err := os.ReadFile(taken); err != nil || string(text) != "precious" {
		t.Errorf("%q, %v", text, err)
	}
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	if err := log.Backup(ended, filepath.Join(folder, "ended")); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	if err := Backup(t.Context(), filepath.Join(folder, "none"), filepath.Join(folder, "copy")); !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
	// What a backup that was cut short has left is in nobody's way.
	whole := filepath.Join(folder, "whole")
	if err := os.WriteFile(whole+".partial", []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := log.Backup(t.Context(), whole); err != nil {
		t.Error(err)
	}
	if left, err := filepath.Glob(filepath.Join(folder, "*")); err != nil || len(left) != 2 {
		t.Errorf("the folder has %q, %v", left, err)
	}
}

func TestBackupOfMemory(t *testing.T) {
	log := openFile(t, Memory)
	if _, err := log.Append(t.Context(), "s", 0, "r", fact("x")); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "copy.db")
	if err := log.Backup(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	if was, is := records(t, log, "s"), records(t, openFile(t, path), "s"); !reflect.DeepEqual(was, is) {
		t.Errorf("was %+v, is %+v", was, is)
	}
}

// Reading only: beside a running server, which it does not disturb, and of a
// file that nobody has open.
func TestReadOnly(t *testing.T) {
	log := openNew(t)
	if _, err := log.Append(t.Context(), "s", 0, "r", fact("x")); err != nil {
		t.Fatal(err)
	}
	look := func() *Log {
		t.Helper()
		reader, err := Open(t.Context(), Options{Path: log.path, ReadOnly: true})
		if err != nil {
			t.Fatal(err)
		}
		return reader
	}
	reader := look()
	if _, err := log.Append(t.Context(), "s", 1, "r2", fact("y")); err != nil {
		t.Fatal(err)
	}
	if got := records(t, reader, "s"); len(got) != 2 {
		t.Errorf("beside the server: %d records", len(got))
	}
	if _, err := reader.Append(t.Context(), "s", 2, "r3", fact("z")); !errors.Is(err, store.ErrReadOnly) {
		t.Errorf("append: %v", err)
	}
	if err := reader.Restore(t.Context(), records(t, log, "s")); !errors.Is(err, store.ErrReadOnly) {
		t.Errorf("restore: %v", err)
	}
	if err := errors.Join(reader.Close(), log.Close()); err != nil {
		t.Fatal(err)
	}
	reader = look()
	if got := records(t, reader, "s"); len(got) != 2 {
		t.Errorf("alone: %d records", len(got))
	}
	if err := reader.Close(); err != nil {
		t.Fatal(err)
	}
	missing := filepath.Join(t.TempDir(), "none.db")
	if _, err := Open(t.Context(), Options{Path: missing, ReadOnly: true}); !errors.Is(err, os.ErrNotExist) || exists(missing) {
		t.Errorf("of a missing file: %v", err)
	}
}
