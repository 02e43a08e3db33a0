package tables_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/tables"
)

const club = "season: our-club\ntitle: Our club\nextends: 2025-26\nsource: our own rule\nvalues: {singles: extend}\n"

// folder is a --rules folder with one season of a club.
func folder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	write(t, dir, "season.yaml", club)
	write(t, dir, "singles.csv", "# our own values\ncode,base_value\nWJ,0.30\n")
	return dir
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	file := filepath.Join(dir, "our-club", name)
	if err := os.MkdirAll(filepath.Dir(file), 0o750); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func load(t *testing.T, dir string) *tables.Tables {
	t.Helper()
	all, err := tables.New(time.Now, rules.Layer{Name: "club", FS: os.DirFS(dir)})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func waltz(t *testing.T, s *rules.Season) string {
	t.Helper()
	v, _ := s.Table(rules.Singles).Find("WJ")
	if v == nil {
		t.Fatal("the club's waltz jump has no row")
	}
	return v.Base.String()
}

func TestReloadIsAllOrNothing(t *testing.T) {
	dir := folder(t)
	all := load(t, dir)
	before, _, err := all.Season("our-club", "")
	if err != nil {
		t.Fatal(err)
	}
	write(t, dir, "singles.csv", "# our own values\ncode,base_value\nWJ,zero\n")
	if err := all.Reload(); err == nil || !strings.Contains(err.Error(), "club/our-club/singles.csv:3") {
		t.Errorf("a broken file was loaded or not named: %v", err)
	}
	if after, _, err := all.Season("our-club", before.Revision); err != nil || after != before {
		t.Errorf("the last good table does not answer any more: %v", err)
	}
	if s := all.State(); s.Err == nil {
		t.Error("the state does not tell the failed load")
	}
	write(t, dir, "singles.csv", "# our own values\ncode,base_value\nWJ,0.40\n")
	if err := all.Reload(); err != nil {
		t.Fatal(err)
	}
	if after, _, _ := all.Season("our-club", ""); waltz(t, after) != "0.40" || after.Revision == before.Revision {
		t.Errorf("after the repair the waltz jump is %s", waltz(t, after))
	}
	if _, _, err := all.Season("our-club", before.Revision); err == nil {
		t.Error("a request that pins the old revision is answered from the new one")
	}
}

func TestWatchLoadsASettledChange(t *testing.T) {
	dir := folder(t)
	all := load(t, dir)
	ctx, cancel := context.WithCancel(context.Background())
	tick, ask, done := make(chan time.Time), make(chan os.Signal), make(chan error, 1)
	ended := make(chan struct{})
	go func() {
		all.Watch(ctx, tick, ask, func(err error) { done <- err })
		close(ended)
	}()
	tick <- time.Time{}
	tick <- time.Time{}
	write(t, dir, "singles.csv", "# our own values\ncode,base_value\nWJ,0.45\n")
	tick <- time.Time{} // seen for the first time
	select {
	case err := <-done:
		t.Fatalf("loaded before the change had settled (%v)", err)
	default:
	}
	tick <- time.Time{}
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if s, _, _ := all.Season("our-club", ""); waltz(t, s) != "0.45" {
		t.Errorf("after the change the waltz jump is %s", waltz(t, s))
	}
	write(t, dir, "season.yaml", "season: [")
	ask <- os.Interrupt
	var faults rules.TableFaults
	if err := <-done; !errors.As(err, &faults) {
		t.Errorf("a broken table was taken when asked: %v", err)
	}
	cancel()
	<-ended
}

func TestArchiveOutlivesTheTables(t *testing.T) {
	dir, kept := folder(t), filepath.Join(t.TempDir(), "tables")
	all := load(t, dir)
	old, _, _ := all.Season("our-club", "")
	if err := tables.NewArchive(all, kept).Keep(old); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "singles.csv", "# our own values\ncode,base_value\nWJ,0.50\n")
	archive := tables.NewArchive(load(t, dir), kept) // as after a restart
	s, err := archive.Season("our-club", old.Revision)
	if err != nil || waltz(t, s) != "0.30" {
		t.Errorf("the kept table says %v, %v", s, err)
	}
	if _, err := archive.Season("our-club", "sha256:00"); err == nil {
		t.Error("a revision that was never kept is found")
	}
}
