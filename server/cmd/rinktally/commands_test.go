package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// runRules runs "rinktally rules" and returns what it prints.
func runRules(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var out bytes.Buffer
	cmd := rulesCommand()
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	cmd.SetArgs(args)
	cmd.SetOut(&out)
	err := cmd.ExecuteContext(t.Context())
	return out.String(), err
}

// TestCheckReadsTheFolderOfEitherPlace checks that a table is found whether its
// folder is named by position, by --rules or by both.
func TestCheckReadsTheFolderOfEitherPlace(t *testing.T) {
	good := writeClub(t, clubTable, clubValues, clubCases)
	broken := writeClub(t, strings.Replace(clubTable, "trim: 1", "trim: 9", 1), clubValues, clubCases)
	other := t.TempDir()
	if _, err := runRules(t, "new", "birch-2026", "--out", other); err != nil {
		t.Fatal(err)
	}
	nameSources(t, filepath.Join(other, "birch-2026"))
	for _, test := range []struct {
		args   []string
		want   []string // in what is printed or in the error
		failed bool
	}{
		{[]string{good}, []string{"golden cases run: 1, all of them hold", "lakeside-2026"}, false},
		{[]string{"--rules", good}, []string{"golden cases run: 1, all of them hold", "lakeside-2026"}, false},
		{[]string{"--rules", good, good}, []string{"golden cases run: 1, all of them hold"}, false},
		{[]string{"--rules", good, other}, []string{"golden cases run: 2, all of them hold", "lakeside-2026", "birch-2026"}, false},
		{[]string{"--rules", broken}, []string{"panel.trim", "1 fault"}, true},
		{[]string{"--rules", broken, other}, []string{"panel.trim", "1 fault"}, true},
		{[]string{"--rules", filepath.Join(good, "absent")}, []string{"absent: no such file or directory"}, true},
		{[]string{filepath.Join(good, "lakeside-2026")}, []string{"is the folder of one season; give the folder above it: " + good}, true},
	} {
		out, err := runRules(t, append([]string{"check"}, test.args...)...)
		if (err != nil) != test.failed {
			t.Errorf("%v: error %v", test.args, err)
		}
		if err != nil {
			out += err.Error()
		}
		for _, want := range test.want {
			if !strings.Contains(out, want) {
				t.Errorf("%v: no %q in\n%s", test.args, want, out)
			}
		}
	}
}

func TestDiffSaysWhatItNeedsAndThatNothingDiffers(t *testing.T) {
	for _, args := range [][]string{{"diff"}, {"diff", "2025-26"}} {
		if _, err := runRules(t, args...); err == nil || !strings.Contains(err.Error(), "rinktally rules diff 2024-25 2025-26") {
			t.Errorf("%v: error %v", args, err)
		}
	}
	if out, err := runRules(t, "diff", "2025-26", "2025-26"); err != nil || out != "From 2025-26 to 2025-26 nothing differs.\n" {
		t.Errorf("%v, printed %q", err, out)
	}
}

func TestNewRefusesAKeyThatCheckRefuses(t *testing.T) {
	for _, key := range []string{"Birch Pond", "Birch", "birch_2026", "../birch", ""} {
		dir := t.TempDir()
		if _, err := runRules(t, "new", key, "--out", dir); err == nil || !strings.Contains(err.Error(), "is not a season key") {
			t.Errorf("%q: error %v", key, err)
		}
		if files, err := os.ReadDir(dir); err != nil || len(files) > 0 {
			t.Errorf("%q: %v, %d files were written", key, err, len(files))
		}
	}
	for key, from := range map[string]string{"2025-26": "2025-26", "2019-20": "2025-26"} {
		if _, err := runRules(t, "new", key, "--from", from, "--out", t.TempDir()); err == nil || !strings.Contains(err.Error(), "rests on "+key) {
			t.Errorf("%s from %s: error %v", key, from, err)
		}
	}
	if _, err := runRules(t, "new"); err == nil || !strings.Contains(err.Error(), "rules new 2026-27") {
		t.Errorf("without a key: %v", err)
	}
}

// nameSources replaces the placeholder of the starter's sources, as the writer of a
// table has to.
func nameSources(t *testing.T, folder string) {
	t.Helper()
	edit(t, folder, func(text string) string { return strings.ReplaceAll(text, placeholder, "our own rule") })
}

func edit(t *testing.T, folder string, change func(string) string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
	if err != nil || len(files) != 3 {
		t.Fatalf("%v, want season.yaml, levels.yaml and program.yaml, got %v", err, files)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(change(string(text))), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// TestStarterLoadsUncommented removes one # from every line of the starter: what was
// an example is then a table without a fault that changes what the example says.
func TestStarterLoadsUncommented(t *testing.T) {
	comment := regexp.MustCompile(`(?m)^# ?`)
	explanation := regexp.MustCompile(`(?m)^##`)
	for _, key := range []string{"2026-27", "birch-2026"} {
		dir := t.TempDir()
		if _, err := runRules(t, "new", key, "--from", "2025-26", "--out", dir); err != nil {
			t.Fatal(err)
		}
		folder := filepath.Join(dir, key)
		out, err := runRules(t, "check", dir)
		if want := filepath.Join(folder, "season.yaml") + ":7: source: is still the text of the starter file"; err == nil || !strings.HasPrefix(out, want) || strings.Count(out, "\n") != 1 {
			t.Errorf("%s with the starter's source: %v\n%s", key, err, out)
		}
		nameSources(t, folder)
		if out, err := runRules(t, "check", dir); err != nil || strings.Contains(out, "new categories") {
			t.Errorf("%s untouched: %v\n%s", key, err, out)
		}
		edit(t, folder, func(text string) string {
			return comment.ReplaceAllString(explanation.ReplaceAllString(text, "# #"), "")
		})
		if out, err := runRules(t, "check", dir); err != nil || !strings.Contains(out, "new categories: cubs") {
			t.Errorf("%s: %v\n%s", key, err, out)
		}
		own, err := ownTables(dir)
		if err != nil {
			t.Fatal(err)
		}
		s, _, faults := own.Season(key, "")
		if faults != nil {
			t.Fatal(faults)
		}
		layout := s.Content.Layout("cubs", "free-skating")
		if layout == nil || layout.Boxes["jump"].Max != 4 {
			t.Errorf("%s: the layout of cubs is %+v", key, layout)
		}
		if spins := s.Levels.Spins; spins.Revolutions.Foot.String() != "2" || spins.Features["JUMP_WITHIN"] != nil {
			t.Errorf("%s: levels of spins are not those of the example", key)
		}
	}
}

// TestStarterShowsWhatIsDecided checks that what is decided for 2026-27 stands in
// its starter with the source, and holds only once it is uncommented.
// Source of the figures: decisions of June 2024 with effect from 2026-27.
func TestStarterShowsWhatIsDecided(t *testing.T) {
	for _, uncommented := range []bool{false, true} {
		dir := t.TempDir()
		if _, err := runRules(t, "new", "2026-27", "--from", "2025-26", "--out", dir); err != nil {
			t.Fatal(err)
		}
		nameSources(t, filepath.Join(dir, "2026-27"))
		jumps, combinations := 7, 3
		if uncommented {
			jumps, combinations = 6, 2
			edit(t, filepath.Join(dir, "2026-27"), func(text string) string {
				return regexp.MustCompile(`(?m)^# (source:|layouts:|  free-|    boxes: \{jump|    combinations|    unknown:|      euler)`).ReplaceAllString(text, "$1")
			})
		}
		own, err := ownTables(dir)
		if err != nil {
			t.Fatal(err)
		}
		s, _, faults := own.Season("2026-27", "")
		if faults != nil {
			t.Fatal(faults)
		}
		for _, category := range []string{"senior-men", "senior-women"} {
			l := s.Content.Layout(category, "free-skating")
			if box := l.Boxes["jump"]; box.Max != jumps || uncommented && (box.Source != decided || box.Confidence != "medium") {
				t.Errorf("uncommented %v: %s has %d jump elements, %q", uncommented, category, box.Max, box.Source)
			}
		}
		if c := s.Content.Layout("senior-men", "free-skating").Combinations; c.Max != combinations {
			t.Errorf("uncommented %v: %d combinations", uncommented, c.Max)
		}
	}
	dir := t.TempDir()
	if _, err := runRules(t, "new", "birch-2026", "--out", dir); err != nil {
		t.Fatal(err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "birch-2026", "program.yaml")); err != nil || strings.Contains(string(text), decided) {
		t.Errorf("%v: a table that is not of 2026-27 shows what is decided for it:\n%s", err, text)
	}
}

// TestCompletion checks what a shell offers, among it the season of a folder.
func TestCompletion(t *testing.T) {
	dir := writeClub(t, clubTable, clubValues, clubCases)
	for _, test := range []struct {
		args []string
		want []string
	}{
		{[]string{"diff", ""}, []string{"\n2005-06\t", "\n2025-26\t"}},
		{[]string{"diff", "--rules", dir, "2025-26", ""}, []string{"\n2025-26\t", "\nlakeside-2026\tLakeside club rules\n"}},
		{[]string{"diff", "--discipline", ""}, []string{"\nsingles\npairs\ndance\n"}},
		{[]string{"new", "--from", ""}, []string{"\n2025-26\t"}},
		{[]string{"check", ""}, []string{":16\n"}}, // only folders
	} {
		out, err := runRules(t, append([]string{cobra.ShellCompRequestCmd}, test.args...)...)
		for _, want := range test.want {
			if err != nil || !strings.Contains("\n"+out, want) {
				t.Errorf("%v: %v, no %q in\n%s", test.args, err, want, out)
			}
		}
	}
}

// TestTokenExplainsAWrongServer gives "rinktally token" addresses that cannot be meant
// and one where nobody listens.
func TestTokenExplainsAWrongServer(t *testing.T) {
	t.Setenv(tokenVariable, "rt_spring-cup_secret")
	for server, want := range map[string]string{
		"http://127.0.0.1:7080": "without http://",
		"127.0.0.1":             "has no port",
		"127.0.0.1:1":           "no answer from 127.0.0.1:1; check the address",
	} {
		cmd := tokenCommand()
		cmd.SilenceErrors, cmd.SilenceUsage = true, true
		cmd.SetArgs([]string{"list", "--event", "spring-cup", "--server", server})
		err := cmd.ExecuteContext(t.Context())
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "secret") {
			t.Errorf("%s: %v, want %q", server, err, want)
		}
	}
}
