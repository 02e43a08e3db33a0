package sqlite

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/storetest"
)

// openNew opens a log in a file of its own, from inside the package.
func openNew(t *testing.T) *Log {
	t.Helper()
	return openFile(t, filepath.Join(t.TempDir(), "log.db"))
}

func openFile(t *testing.T, path string) *Log {
	t.Helper()
	log, err := Open(t.Context(), Options{Path: path})
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

func fact(body string) []store.Fact { return []store.Fact{{Kind: "k", Body: []byte(body)}} }

// A commit waits for the disk: https://www.sqlite.org/pragma.html#pragma_synchronous,
// where 2 is FULL.
func TestCommitsWaitForTheDisk(t *testing.T) {
	log := openNew(t)
	for pragma, want := range map[string]string{"synchronous": "2", "journal_mode": "wal"} {
		var is string
		if err := log.write.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&is); err != nil || is != want {
			t.Errorf("%s is %s, %v; want %s", pragma, is, err, want)
		}
	}
}

// The database itself refuses to change what is recorded.
func TestFactsAreNeverChanged(t *testing.T) {
	log := openNew(t)
	if _, err := log.Append(t.Context(), "s", 0, "r", fact("x")); err != nil {
		t.Fatal(err)
	}
	for _, statement := range []string{
		"UPDATE log SET actor = 'another'", "DELETE FROM log",
	} {
		_, err := log.write.ExecContext(t.Context(), statement)
		if err == nil {
			t.Errorf("%s: accepted", statement)
		}
	}
	if _, err := store.Verify(t.Context(), log, "s"); err != nil {
		t.Error(err)
	}
}

// Whoever gets around that is found out.
func TestVerifyFindsChanges(t *testing.T) {
	for _, change := range []string{
		"UPDATE log SET body = x'79' WHERE seq = 2",
		"UPDATE log SET actor = 'judge 4' WHERE seq = 1",
		"UPDATE log SET recorded_at = recorded_at + 1 WHERE seq = 3",
		"UPDATE log SET request_id = 'r1' WHERE seq = 2",
		"UPDATE log SET hash = zeroblob(32) WHERE seq = 2",
		"DELETE FROM log WHERE seq = 2",
		"DELETE FROM log WHERE seq = 1",
		"UPDATE log SET seq = seq + 1 WHERE seq = 3",
	} {
		log := openNew(t)
		for i, request := range []string{"r1", "r2", "r3"} {
			if _, err := log.Append(t.Context(), "s", uint64(i), request, fact("x")); err != nil {
				t.Fatal(err)
			}
		}
		for _, statement := range []string{"DROP TRIGGER log_keep_update", "DROP TRIGGER log_keep_delete", change} {
			if _, err := log.write.ExecContext(t.Context(), statement); err != nil {
				t.Fatal(err)
			}
		}
		_, err := store.Verify(t.Context(), log, "s")
		var damage *store.DamagedError
		if !errors.As(err, &damage) || damage.Stream != "s" || damage.Seq == 0 {
			t.Errorf("%s: %v", change, err)
		}
	}
}

// SQLite's own limit gives the same error as a full disk, and needs no rights.
func TestFullByLimit(t *testing.T) {
	log := openNew(t)
	limit := func(pages string) {
		if _, err := log.write.ExecContext(t.Context(), "PRAGMA max_page_count = "+pages); err != nil {
			t.Fatal(err)
		}
	}
	storetest.RunFull(t, log, func() { limit("40") }, func() { limit("1000000") })
}

// A real full disk: a small file system in memory. It must be mounted, which
// needs root, or a name space of its own.
func TestFullDisk(t *testing.T) {
	folder := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", folder).CombinedOutput(); err != nil {
		t.Skipf("a small disk cannot be mounted here (%v: %s); TestFullByLimit checks the same without one", err, out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", folder).CombinedOutput(); err != nil {
			t.Errorf("umount: %v: %s", err, out)
		}
	})
	// The log is closed before the disk goes.
	t.Run("small disk", func(t *testing.T) {
		filler := filepath.Join(folder, "filler")
		storetest.RunFull(t, openFile(t, filepath.Join(folder, "log.db")), func() {
			if err := os.WriteFile(filler, make([]byte, 1<<20), 0o600); err != nil {
				t.Fatal(err)
			}
		}, func() {
			if err := os.Remove(filler); err != nil {
				t.Fatal(err)
			}
		})
	})
}

// A database that is not ours, or of a later program, is refused untouched.
func TestForeignDatabases(t *testing.T) {
	for name, c := range map[string]struct {
		make string // SQL, or a text that is no database
		want error
	}{
		"another program": {"CREATE TABLE log (stream TEXT, seq INTEGER)", store.ErrSchema},
		"later":           {fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = 99; CREATE TABLE log (x)", logSchema.id), store.ErrSchema},
		"no database":     {"", store.ErrSchema},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "log.db")
			if c.make == "" {
				if err := os.WriteFile(path, []byte(strings.Repeat("not a database\n", 1000)), 0o600); err != nil {
					t.Fatal(err)
				}
			} else {
				db := pool(path, 1)
				if _, err := db.ExecContext(t.Context(), c.make); err != nil {
					t.Fatal(err)
				}
				if err := db.Close(); err != nil {
					t.Fatal(err)
				}
			}
			for _, readOnly := range []bool{false, true} {
				log, err := Open(t.Context(), Options{Path: path, ReadOnly: readOnly})
				if !errors.Is(err, c.want) {
					t.Errorf("read only %v: %v, %v", readOnly, log, err)
				}
			}
			if err := Backup(t.Context(), path, path+".copy"); !errors.Is(err, c.want) || exists(path+".copy") {
				t.Errorf("backup: %v", err)
			}
		})
	}
	t.Run("no folder", func(t *testing.T) {
		_, err := Open(t.Context(), Options{Path: filepath.Join(t.TempDir(), "none", "log.db")})
		if !errors.Is(err, os.ErrNotExist) {
			t.Error(err)
		}
	})
}
