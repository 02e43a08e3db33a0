package deploy_test

import (
	"context"
	"database/sql"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	_ "modernc.org/sqlite" // to damage a file as no command can

	"github.com/rinktally/rinktally/server/store/storetest"
)

// damage changes a file of events behind the program's back.
func damage(t *testing.T, data, statement string) {
	t.Helper()
	db, err := sql.Open("sqlite", filepath.Join(data, "events.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, text := range []string{"DROP TRIGGER log_keep_update", "PRAGMA busy_timeout = 5000", statement} {
		if _, err := db.ExecContext(context.WithoutCancel(t.Context()), text); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
	}
	if _, err := db.ExecContext(t.Context(), "CREATE TRIGGER log_keep_update BEFORE UPDATE ON log BEGIN SELECT RAISE(ABORT, 'kept'); END"); err != nil {
		t.Fatal(err)
	}
}

// A damaged event comes back by one command, from a backup, from an export and from
// another server's database, with what was written after the copy was made; the
// other event stays as it is.
func TestRestore(t *testing.T) {
	folder := t.TempDir()
	data, backup, export, url := filepath.Join(folder, "data"), filepath.Join(folder, "backup"), filepath.Join(folder, "export.jsonl"), database(t)
	s := serve(t, data)
	s.makeEvent("autumn-cup", "2025-26")
	s.makeEvent("spring-cup", "2025-26")
	admin := s.admin
	const erased = "Zora of the Copies"
	if a := s.call(http.MethodPost, "/v1/events/spring-cup/entries", admin, `{"category":"senior-women","name":"`+erased+`"}`); a.status != http.StatusOK {
		t.Fatal(a.text)
	}
	s.stop()
	run(t, "events", "backup", backup, "--data", data)
	run(t, "events", "export", "--tokens", "--data", data, "--out", export)
	run(t, "events", "restore", backup, "--store", url)
	s = serve(t, data)
	if a := s.call(http.MethodPost, "/v1/events/spring-cup/entries", admin, `{"category":"senior-women","name":"After the Copy"}`); a.status != http.StatusOK {
		t.Fatal(a.text)
	}
	s.stop()
	run(t, "events", "erase", "spring-cup", "2", "--data", data) // whose name the copies still have
	whole := run(t, "events", "verify", "--data", data)

	for name, copied := range map[string]string{"backup": backup, "export": export, "database": url} {
		t.Run(name, func(t *testing.T) {
			damage(t, data, "UPDATE log SET actor = 'JUDGE 1' WHERE stream = 'spring-cup' AND seq = 2")
			refused(t, nil, []string{"events", "verify", "--data", data}, "spring-cup: stream \"spring-cup\": record 2")
			said := run(t, "events", "restore", copied, "--data", data)
			if !strings.Contains(said, "replaced  spring-cup") || !strings.Contains(said, "stayed    autumn-cup") {
				t.Errorf("it says\n%s", said)
			}
			if again := run(t, "events", "verify", "--data", data); again != whole {
				t.Errorf("it was\n%s\nit is\n%s", whole, again)
			}
			if in := storetest.Holding(t, data, erased); len(in) > 0 {
				t.Errorf("the erased name is back in %q", in)
			}
		})
	}
	refused(t, nil, []string{"events", "restore", filepath.Join(folder, "none"), "--data", data}, "the copy", "no events are kept")
	damage(t, backup, "UPDATE log SET actor = 'JUDGE 1' WHERE stream = 'spring-cup' AND seq = 2")
	refused(t, nil, []string{"events", "restore", backup, "--data", filepath.Join(folder, "new")}, "the copy of spring-cup cannot be used", "record 2")
}

// The drill of the operators' folder does what it says, of a folder while its server
// runs and of a database.
func TestDrill(t *testing.T) {
	data, url := filepath.Join(t.TempDir(), "data"), database(t)
	s := serve(t, data, "--demo", "--demo-speed", "50")
	next := s.watch("demo-cup")
	next()
	drill := func(kept ...string) (string, error) {
		cmd := exec.CommandContext(t.Context(), filepath.Join(folder, "backup", "drill.sh"), kept...)
		cmd.Env = append(os.Environ(), "PROGRAM="+program)
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := drill("--data", data); err != nil || !strings.Contains(out, "brought   demo-cup") || !strings.Contains(out, "the drill went well") {
		t.Errorf("%v\n%s", err, out)
	}
	s.stop()
	run(t, "events", "restore", data, "--store", url)
	if out, err := drill("--store", url); err != nil || !strings.Contains(out, "the drill went well") {
		t.Errorf("%v\n%s", err, out)
	}
	damage(t, data, "UPDATE log SET actor = 'JUDGE 1' WHERE stream = 'demo-cup' AND seq = 2")
	if out, err := drill("--data", data); err == nil || !strings.Contains(out, "demo-cup cannot be used") {
		t.Errorf("of a damaged event: %v\n%s", err, out)
	}
}

// A write-protected copy is listed, checked and exported.
func TestWriteProtectedCopy(t *testing.T) {
	folder := t.TempDir()
	data, copied, protected := filepath.Join(folder, "data"), filepath.Join(folder, "copy"), filepath.Join(folder, "protected")
	s := serve(t, data)
	s.makeEvent("spring-cup", "2025-26")
	s.stop()
	run(t, "events", "backup", copied, "--data", data)
	if err := os.Mkdir(protected, 0o700); err != nil {
		t.Fatal(err)
	}
	for _, arguments := range [][]string{{"--bind", copied, protected}, {"-o", "remount,bind,ro", protected}} {
		if out, err := exec.CommandContext(t.Context(), "mount", arguments...).CombinedOutput(); err != nil {
			t.Skipf("nothing can be mounted here (%v: %s); server/store/sqlite checks the same without", err, out)
		}
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", protected).CombinedOutput(); err != nil {
			t.Errorf("umount: %v: %s", err, out)
		}
	})
	if a, b := run(t, "events", "verify", "--data", data), run(t, "events", "verify", "--data", protected); a != b {
		t.Errorf("of the folder is said\n%s\nof the protected copy\n%s", a, b)
	}
	for _, command := range []string{"list", "export"} {
		if a, b := run(t, "events", command, "--data", data), run(t, "events", command, "--data", protected); a != b || !strings.Contains(a, "spring-cup") {
			t.Errorf("%s of the folder is\n%s\nof the protected copy\n%s", command, a, b)
		}
	}
	run(t, "events", "restore", protected, "--data", filepath.Join(folder, "new"))
}

// An export has no token, not even as a hash, unless it is asked for, and no name
// where that is not wanted; it comes back either way. An erased name is in neither.
func TestWhatAnExportHolds(t *testing.T) {
	folder := t.TempDir()
	data := filepath.Join(folder, "data")
	s := serve(t, data)
	s.makeEvent("spring-cup", "2025-26")
	entries := "/v1/events/spring-cup/entries"
	for _, name := range []string{"Bea Invented", "Bea of another club"} { // behind Ada Invented
		if a := s.call(http.MethodPost, entries, s.admin, `{"category":"senior-women","name":"`+name+`","club":"Pond"}`); a.status != http.StatusOK {
			t.Fatal(a.text)
		}
	}
	refused(t, nil, []string{"events", "erase", "spring-cup", "2", "--data", data}, "a server uses", "--server")
	if said := runWith(t, []string{"RINKTALLY_TOKEN=" + s.admin}, "events", "erase", "spring-cup", "2", "--server", s.grpc); !strings.Contains(said, `"entry 2"`) {
		t.Errorf("erase says %s", said)
	}
	s.stop()
	token := strings.TrimSpace(run(t, "token", "create", "--event", "spring-cup", "--role", "ORGANISER", "--data", data))
	if said := run(t, "events", "erase", "spring-cup", "3", "--data", data); !strings.Contains(said, `"entry 3"`) {
		t.Errorf("erase says %s", said)
	}
	for name, c := range map[string]struct {
		flags        []string
		names, admin bool
		status       int // of a call with the event's token where it was imported
	}{
		"plain":         {nil, true, false, http.StatusUnauthorized},
		"with tokens":   {[]string{"--tokens"}, true, true, http.StatusOK},
		"without names": {[]string{"--tokens", "--without-names"}, false, true, http.StatusOK},
	} {
		t.Run(name, func(t *testing.T) {
			file, there := filepath.Join(t.TempDir(), "export.jsonl"), filepath.Join(t.TempDir(), "there")
			run(t, append([]string{"events", "export", "--data", data, "--out", file}, c.flags...)...)
			run(t, "events", "import", file, "--data", there)
			s := serve(t, there)
			if c.admin != (s.admin == "") {
				t.Errorf("the administrator's token came along: %v", s.admin == "")
			}
			shown := s.call(http.MethodGet, entries, "", "").text
			if strings.Contains(shown, "Ada Invented") != c.names || strings.Contains(shown, "Bea") || !strings.Contains(shown, "entry 3") {
				t.Errorf("entries are %s", shown)
			}
			if a := s.call(http.MethodPost, entries, token, `{"category":"senior-women","name":"Cleo Invented"}`); a.status != c.status {
				t.Errorf("the event's token: %d %s", a.status, a.text)
			}
			s.stop()
			run(t, "events", "verify", "--data", there)
		})
	}
}
