package deploy_test

import (
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// A copy made while the server writes is a data folder of its own, whole, and goes
// on from there.
func TestBackupWhileRunning(t *testing.T) {
	folder := t.TempDir()
	data, copied := filepath.Join(folder, "data"), filepath.Join(folder, "copy")
	s := serve(t, data, "--demo", "--demo-speed", "50")
	next := s.watch("demo-cup")
	before, _ := next()
	run(t, "events", "backup", copied+"/", "--data", data) // as a shell completes the name of a folder
	for after := 0; after <= before; after, _ = next() {   // the demo goes on
	}
	run(t, "events", "verify", "--data", data)
	refused(t, nil, []string{"events", "backup", copied, "--data", data}, "exists already")
	s.stop()

	whole := run(t, "events", "verify", "--data", copied)
	if !strings.Contains(whole, "whole  demo-cup") || !strings.Contains(whole, "whole  _server") {
		t.Errorf("of the copy is said\n%s", whole)
	}
	restored := serve(t, copied)
	if restored.admin != "" {
		t.Error("the copy has lost the administrator's token")
	}
	entries := "/v1/events/demo-cup/entries"
	if a := restored.call(http.MethodPost, entries, s.admin, `{"category":"senior-women","name":"Ada Invented"}`); a.status != http.StatusOK {
		t.Errorf("the copy does not go on: %d %s", a.status, a.text)
	}
}

// The script of the timer makes a checked copy while the server writes, and keeps only
// as many as it is asked to; what is no copy stays.
func TestCopiesByTheClock(t *testing.T) {
	home := t.TempDir()
	data, copies := filepath.Join(home, "data"), filepath.Join(home, "copies")
	s := serve(t, data, "--demo", "--demo-speed", "50")
	s.watch("demo-cup")()
	for _, other := range []string{"2026-03-14T10-00-00", "2026-03-14T11-00-00", "2026-03-14T09-00-00", "2026-03-14", "notes"} {
		if err := os.MkdirAll(filepath.Join(copies, other), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	copying := func(from string) (string, error) {
		cmd := exec.CommandContext(t.Context(), filepath.Join(folder, "backup", "copy.sh"), "--data", from, copies)
		cmd.Env = append(os.Environ(), "PROGRAM="+program, "KEEP=2")
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	kept := func() []string {
		entries, err := os.ReadDir(copies)
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, e := range entries {
			names = append(names, e.Name())
		}
		return names
	}
	out, err := copying(data)
	names := kept()
	if err != nil || !strings.Contains(out, "whole  demo-cup") || len(names) != 4 || !slices.Equal(names[:2], []string{"2026-03-14", "2026-03-14T11-00-00"}) || names[3] != "notes" {
		t.Fatalf("%v: %s: the copies are %v", err, out, names)
	}
	if whole := run(t, "events", "verify", "--data", filepath.Join(copies, names[2])); !strings.Contains(whole, "whole  demo-cup") {
		t.Errorf("of the copy is said\n%s", whole)
	}
	// What fails leaves all that was there, and nothing else.
	if out, err := copying(filepath.Join(home, "none")); err == nil || !slices.Equal(kept(), names) {
		t.Errorf("of no folder: %v: %s: the copies are %v", err, out, kept())
	}
}

// nameSource writes into a starter file where its rules come from, as its reader is
// asked to.
func nameSource(t *testing.T, file string) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`(?m)^source: .*$`).ReplaceAll(text, []byte("source: our own rule"))
	if err := os.WriteFile(file, named, 0o600); err != nil {
		t.Fatal(err)
	}
}

// An event that was made with a club's own table is brought to another machine,
// which has tokens of its own already.
func TestCopyToAnotherMachine(t *testing.T) {
	folder := t.TempDir()
	ours, theirs, table := filepath.Join(folder, "ours"), filepath.Join(folder, "theirs"), filepath.Join(folder, "rules")
	run(t, "rules", "new", "2026-27", "--from", "2025-26", "--out", table)
	nameSource(t, filepath.Join(table, "2026-27", "season.yaml"))
	s := serve(t, ours, "--rules", table)
	s.makeEvent("autumn-cup", "2026-27")
	here := s.call(http.MethodGet, "/v1/events/autumn-cup", "", "").text
	s.stop()
	file := filepath.Join(folder, "everything.jsonl")
	run(t, "events", "export", "--tokens", "--data", ours, "--out", file)

	serve(t, theirs).stop()
	told := run(t, "events", "import", file, "--data", theirs)
	for _, want := range []string{"restored autumn-cup", "left out the file's administrator's tokens"} {
		if !strings.Contains(told, want) {
			t.Errorf("%q is not said in:\n%s", want, told)
		}
	}
	if strings.Contains(told, "has not the table") {
		t.Errorf("the table did not come with the event:\n%s", told)
	}
	if a, b := run(t, "events", "verify", "autumn-cup", "--data", ours), run(t, "events", "verify", "autumn-cup", "--data", theirs); a != b || !strings.HasPrefix(a, "whole") {
		t.Errorf("here is said\n%s\nthere\n%s", a, b)
	}
	s = serve(t, theirs)
	if there := s.call(http.MethodGet, "/v1/events/autumn-cup", "", "").text; there != here {
		t.Errorf("the event is\n%s\nit was\n%s", there, here)
	}
	s.stop()

	// Facts that only one of both has are never lost without a word.
	run(t, "token", "create", "--event", "autumn-cup", "--role", "VIEWER", "--data", theirs)
	refused(t, nil, []string{"events", "import", file, "--data", theirs}, "autumn-cup: is here already with other facts, which stay")
}

// A club outgrows its laptop: everything moves to PostgreSQL, and back.
func TestFromFolderToDatabase(t *testing.T) {
	folder := t.TempDir()
	data, back, url := filepath.Join(folder, "data"), filepath.Join(folder, "back"), database(t)
	s := serve(t, data)
	s.makeEvent("spring-cup", "2025-26")
	admin := s.admin
	s.stop()
	laptop := run(t, "events", "verify", "--data", data)

	file := filepath.Join(folder, "everything.jsonl")
	run(t, "events", "export", "--tokens", "--data", data, "--out", file)
	run(t, "events", "import", file, "--store", url)
	if got := run(t, "events", "verify", "--store", url); got != laptop {
		t.Errorf("of the database is said\n%s\nof the folder\n%s", got, laptop)
	}
	refused(t, nil, []string{"events", "backup", filepath.Join(folder, "copy"), "--store", url}, "pg_dump")
	s = serve(t, filepath.Join(folder, "tables-only"), "--store", url)
	if a := s.call(http.MethodPost, "/v1/events/spring-cup/entries", admin, `{"category":"senior-women","name":"Bea Invented"}`); a.status != http.StatusOK {
		t.Errorf("the laptop's token: %d %s", a.status, a.text)
	}

	again := filepath.Join(folder, "again.jsonl")
	run(t, "events", "export", "--tokens", "--store", url, "--out", again) // while the server runs
	run(t, "events", "import", again, "--data", back)
	if a, b := run(t, "events", "verify", "--store", url), run(t, "events", "verify", "--data", back); a != b {
		t.Errorf("of the database is said\n%s\nof the folder\n%s", a, b)
	}
	if _, err := os.Stat("data"); err == nil {
		t.Error("a command about the database has left a folder behind")
	}
}
