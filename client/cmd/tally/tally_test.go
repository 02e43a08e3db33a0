package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client/clienttest"
)

var update = flag.Bool("update", false, "write the golden files again")

// A day of the season 2025-26, so that "current" does not move.
func today() time.Time { return time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC) }

// tally runs the program.
func tally(t *testing.T, stdin io.Reader, args ...string) (code int, out, errs string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	code = (&app{in: stdin, out: &stdout, err: &stderr, now: today}).run(t.Context(), args)
	return code, stdout.String(), stderr.String()
}

// The fingerprint of a table changes with every source that is added.
var fingerprint = regexp.MustCompile(`sha256:[0-9a-f]{64}`)

// TestGolden compares what each command prints, computed here and by a server,
// with testdata/golden. The figures of segment.json are published ones
// (structured protocol data by BuzzFeed News, CC BY 4.0: 2016-17, a championship,
// senior women, short program, place 10); the values of 2016-17 are those of ISU
// Communication 2000.
func TestGolden(t *testing.T) {
	server := clienttest.Start(t, clienttest.WithClock(today))
	tests := []struct {
		name string
		code int
		args []string
	}{
		{"level", exitOK, []string{"level", "--season", "2016-17", "testdata/spin.json"}},
		{"level-words", exitOK, []string{"level", "--season", "2016-17", "--explain", "--spin", "flying: sit behind 8", "--spin", "layback 8, layback sideways 3"}},
		{"level-json", exitOK, []string{"level", "--season", "2016-17", "--json", "testdata/spin.json"}},
		{"level-no-spin", exitOK, []string{"level", "--season", "2016-17", "--spin", "sit 1"}},
		{"level-steps", exitOK, []string{"level", "--season", "2016-17", "--spin", "steps: bracket 1+1, rocker 2+0, loop 1+1, counter 0+1; rotations body"}},
		{"level-not-understood", exitRefused, []string{"level", "--season", "2016-17", "--spin", "camel upwrd 8 / stand", "--spin", "sit 8", "--spin", ""}},
		{"level-refused", exitRefused, []string{"level", "--season", "2016-17", "--spin", "sit behind 8.3", "--spin", "camel -1 / sit 2"}},
		{"value", exitOK, []string{"value", "--season", "2016-17", "--second-half", "1,3", "3Lz+3T", "CCoSp4", "2A"}},
		{"value-refused", exitRefused, []string{"value", "--season", "2016-17", "--segment", "short", "9X", "3Lz"}},
		{"value-refused-json", exitRefused, []string{"value", "--season", "2016-17", "--segment", "short", "--json", "3Lz"}},
		{"score", exitOK, []string{"score", "testdata/segment.json"}},
		{"score-explain", exitOK, []string{"score", "--explain", "testdata/segment.json"}},
		{"score-refused", exitRefused, []string{"score", "testdata/bad.json"}},
		{"score-archive", exitRefused, []string{"score", "testdata/archive.jsonl"}},
		// Published ISU score sheets of 2013-14, Grand Prix, women, short program, places 3 and 4; "withdrawn" is invented.
		{"rank", exitOK, []string{"rank", "testdata/places.json"}},
		{"rank-refused", exitRefused, []string{"rank", "--season", "2013-14", "testdata/places-wrong.json"}},
		{"check", exitOK, []string{"check", "testdata/program.yaml"}},
		{"check-line", exitOK, []string{"check", "--season", "2016-17", "--segment", "short-program", "--line", "3Lz+3T, 2A, FCSp4, 3Lo | CCoSp4, StSq4, LSp4"}},
		{"check-refused", exitRefused, []string{"check", "--season", "2016-17", "--segment", "short", "--line", "3Lz$, 2A +x"}},
		{"check-kept", exitOK, []string{"check", "--season", "2016-17", "--segment", "free-skating", "--keep-panel-calls", "--line", "3F, 2A+3T*+REP"}},
		// The abilities are invented; values of published ISU score sheets of 2025-26.
		{"plan", exitOK, []string{"plan", "testdata/plan.json"}},
		{"plan-refused", exitRefused, []string{"plan", "testdata/plan-wrong.json"}},
		{"compare-program", exitOK, []string{"compare", "--from", "2016-17", "--to", "2017-18", "--program", "testdata/program.yaml"}},
		{"compare-line", exitOK, []string{"compare", "2016-17", "2025-26", "--line", "3Lz +1, 2A, CCoSp3"}},
		{"element", exitOK, []string{"element", "--season", "2016-17", "3Lz"}},
		{"values", exitOK, []string{"values", "--season", "2016-17", "--discipline", "singles", "--kind", "choreo"}},
		{"values-csv", exitOK, []string{"values", "--season", "2016-17", "--discipline", "singles", "--kind", "choreo", "--csv", "--reduced-forms"}},
		{"values-refused", exitRefused, []string{"values", "--season", "2016-17", "--discipline", "single", "--kind", "hop", "--csv"}},
		{"element-refused", exitRefused, []string{"element", "--season", "2016-17", "5T"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			code, out, errs := tally(t, nil, test.args...)
			got := fmt.Sprintf("$ tally %s\n%s-- errors, exit code %d --\n%s", strings.Join(test.args, " "), out, code, errs)
			got = fingerprint.ReplaceAllString(got, "sha256:…")
			file := filepath.Join("testdata", "golden", test.name+".txt")
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if code != test.code {
				t.Errorf("exit code %d, want %d", code, test.code)
			}
			if got != string(want) {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
			serverCode, serverOut, serverErrs := tally(t, nil, append(test.args, "--server", server.Addr, "--plaintext")...)
			if serverCode != code || serverOut != out || serverErrs != errs {
				t.Errorf("with a server: exit code %d\n%s%s\noffline: %d\n%s%s", serverCode, serverOut, serverErrs, code, out, errs)
			}
		})
	}
}

func TestUsage(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	tests := []struct {
		name string
		args []string
		want string // in what is said
	}{
		{"no such command", []string{"values", "3Lz"}, "values"},
		{"no such flag", []string{"value", "--sesaon", "2016-17", "3Lz"}, "--sesaon"},
		{"no code", []string{"value"}, "at least 1"},
		{"two codes", []string{"element", "3Lz", "3F"}, "1 arg"},
		{"second half of nothing", []string{"value", "--second-half", "2", "3Lz"}, "counted from 1"},
		{"no file", []string{"score", filepath.Join(dir, "absent.json")}, "absent.json"},
		{"empty file", []string{"score", write("empty.json", " \n")}, "is empty"},
		{"no JSON", []string{"score", write("text.json", "3Lz+3T")}, "byte"},
		{"unknown field", []string{"score", write("field.json", `{"elements":[{"mark":[1]}]}`)}, `unknown field "mark"`},
		{"broken archive", []string{"score", write("cut.jsonl", "{}\n{}\n{")}, "record 3"},
		{"reduced forms without csv", []string{"values", "--reduced-forms"}, "--csv"},
		{"file and spin", []string{"level", "--spin", "sit 8", "x.json"}, "either"},
		{"neither", []string{"level"}, "either"},
		{"plaintext to nobody", []string{"seasons", "--plaintext"}, "--server"},
		{"tables of a server", []string{"seasons", "--server", "localhost:1", "--rules", dir}, "one of the two"},
		{"no program", []string{"check"}, "either"},
		{"two programs", []string{"check", "--line", "2A", "x.yaml"}, "either"},
		{"bad program", []string{"check", write("plan.yaml", "category: senior-women\nsegment: free-skating\nelements: 3Lz$\ntime: 4\n")}, "plan.yaml:3: "},
		{"one season", []string{"compare", "--from", "2016-17", "--line", "2A"}, "two seasons"},
		{"address for browsers", []string{"seasons", "--server", "http://127.0.0.1:7080"}, "gRPC port"},
		{"no certificate", []string{"seasons", "--server", "localhost:1", "--ca", filepath.Join(dir, "absent.pem")}, "absent.pem"},
		{"no tables", []string{"seasons", "--rules", filepath.Join(dir, "absent")}, "absent: no such file"},
		{"one table", []string{"seasons", "--rules", filepath.Dir(write2(t, filepath.Join(dir, "one"), "club/season.yaml", "goe: 3\n"))}, "give the folder above it: "},
		{"bad tables", []string{"seasons", "--rules", filepath.Dir(filepath.Dir(write2(t, dir, "club/season.yaml", "goe: 3\n")))}, "season.yaml"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			code, _, errs := tally(t, nil, test.args...)
			if code != exitUsage || !strings.HasPrefix(errs, "tally: ") && !strings.Contains(errs, "\ntally: ") || !strings.Contains(errs, test.want) {
				t.Errorf("exit code %d, want %d; said %q, want %q in it", code, exitUsage, errs, test.want)
			}
		})
	}
}

func write2(t *testing.T, dir, name, text string) string {
	t.Helper()
	file := filepath.Join(dir, "tables", name)
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestNobodyAnswers(t *testing.T) {
	code, out, errs := tally(t, nil, "seasons", "--server", "127.0.0.1:1", "--plaintext")
	if code != exitRefused || out != "" || !strings.Contains(errs, "127.0.0.1:1 does not answer") {
		t.Errorf("exit code %d, said %q %q", code, out, errs)
	}
	server := clienttest.Start(t)
	if code, _, errs = tally(t, nil, "seasons", "--server", server.Addr); code != exitRefused || !strings.Contains(errs, "no TLS on this port") || !strings.Contains(errs, "--plaintext") {
		t.Errorf("TLS to a server without: exit code %d, said %q", code, errs)
	}
}

func TestStandardInput(t *testing.T) {
	spin, err := os.ReadFile("testdata/spin.json")
	if err != nil {
		t.Fatal(err)
	}
	_, want, _ := tally(t, nil, "level", "--season", "2016-17", "testdata/spin.json")
	for name, text := range map[string]string{
		"element": string(spin),
		"list":    "[" + string(spin) + "]",
		"request": `{"elements": [` + string(spin) + `]}`,
	} {
		code, got, errs := tally(t, strings.NewReader(text), "level", "--season", "2016-17", "-")
		if code != exitOK || got != want || want == "" {
			t.Errorf("%s: exit code %d\n%s%s\nwant\n%s", name, code, got, errs, want)
		}
	}
}

// TestFlagsAndFile checks that a flag that was given wins over the file, and a
// default does not.
func TestFlagsAndFile(t *testing.T) {
	spin, err := os.ReadFile("testdata/spin.json")
	if err != nil {
		t.Fatal(err)
	}
	text := `{"season": "2016-17", "category": "junior-men", "elements": [` + string(spin) + `]}`
	_, out, _ := tally(t, strings.NewReader(text), "level", "-")
	if !strings.HasPrefix(out, "Season 2016-17, junior-men, free-skating\n") {
		t.Errorf("without flags: %s", out)
	}
	_, out, _ = tally(t, strings.NewReader(text), "level", "--category", "senior-men", "--season", "2017-18", "-")
	if !strings.HasPrefix(out, "Season 2017-18, senior-men, free-skating\n") {
		t.Errorf("with flags: %s", out)
	}
}

// TestSeasonsAndCompare checks what grows with the tables by its parts.
func TestSeasonsAndCompare(t *testing.T) {
	for _, test := range []struct {
		args []string
		want []string
	}{
		{[]string{"seasons"}, []string{"\n2016-17  2016-07-01  2017-06-30  ", "\n2025-26  ", "current"}},
		{[]string{"seasons", "2016-17"}, []string{"senior-women", "Skating Skills 0.80", "fall", "-1.00"}},
		// 3A: ISU Communication 2000; published ISU score sheets of 2021-22.
		{[]string{"compare", "2016-17", "2021-22", "--discipline", "singles"}, []string{"\n3A       singles        8.50     8.00   -0.50\n", "Only in 2021-22", "Rules that changed"}},
	} {
		code, out, errs := tally(t, nil, test.args...)
		if code != exitOK || errs != "" {
			t.Errorf("%v: exit code %d, said %s", test.args, code, errs)
		}
		for _, want := range test.want {
			if !strings.Contains("\n"+out, want) {
				t.Errorf("%v: no %q in\n%s", test.args, want, out)
			}
		}
		code, out, _ = tally(t, nil, append(test.args, "--json")...)
		if code != exitOK || !json.Valid([]byte(out)) {
			t.Errorf("%v --json: exit code %d, no JSON", test.args, code)
		}
	}
}

// TestArchiveJSON checks that there is a line for each record, in order.
func TestArchiveJSON(t *testing.T) {
	server := clienttest.Start(t)
	for _, args := range [][]string{nil, {"--server", server.Addr, "--plaintext"}} {
		code, out, errs := tally(t, nil, append([]string{"score", "--json", "testdata/archive.jsonl"}, args...)...)
		if code != exitRefused || errs != "" {
			t.Errorf("exit code %d, said %q", code, errs)
		}
		var kinds []string
		for line := range strings.Lines(out) {
			var r map[string]any
			if err := json.Unmarshal([]byte(line), &r); err != nil {
				t.Fatal(err)
			}
			for kind := range r {
				kinds = append(kinds, kind)
			}
		}
		if got := strings.Join(kinds, " "); got != "score error error score" {
			t.Errorf("lines of %s", got)
		}
	}
}

// TestArchiveWarnings checks that the warnings of several records are printed, each
// once with the records it was given for.
func TestArchiveWarnings(t *testing.T) {
	segment := func(category, spin string) string {
		return fmt.Sprintf(`{"season": "2025-26", "category": %q, "segment": "free-skating", "elements": [{"code": %q, "marks": [0, 0, 0]}],
			"components": [{"component": "COMPOSITION", "marks": [5, 5, 5]}, {"component": "PRESENTATION", "marks": [5, 5, 5]}, {"component": "SKATING_SKILLS", "marks": [5, 5, 5]}]}`, category, spin)
	}
	capped, free := segment("intermediate-novice-girls", "CCoSp4"), segment("senior-women", "CCoSp4")
	_, one, _ := tally(t, strings.NewReader(capped), "score", "-")
	_, section, found := strings.Cut(one, "\nWarnings\n  ")
	warning, _, _ := strings.Cut(section, "\n")
	if !found || !strings.Contains(warning, "level") {
		t.Fatalf("a level above the highest of the category has no warning: %s", one)
	}
	code, out, errs := tally(t, strings.NewReader(capped+free+strings.Repeat(capped, 6)), "score", "-")
	if want := "\nWarnings\n  record 1, 3, 4, 5, 6 and 2 more: " + warning + "\n"; code != exitOK || !strings.Contains(out, want) {
		t.Errorf("exit code %d, %s\nno %q in\n%s", code, errs, want, out)
	}
}

// TestFaultsInJSON checks that with --json what is wrong is answered in the shape of a
// status: words that are not understood, each fault with its place, and a file that is
// not there.
func TestFaultsInJSON(t *testing.T) {
	code, out, errs := tally(t, nil, "level", "--json", "--spin", "kamel 8", "--spin", "sit 8", "--spin", "sit")
	var s struct {
		Code    int
		Details []struct {
			Reason          string
			FieldViolations []struct{ Field, Description string }
		}
	}
	if err := json.Unmarshal([]byte(errs), &s); err != nil || code != exitRefused || out != "" {
		t.Fatalf("exit code %d, %v: %s%s", code, err, out, errs)
	}
	if len(s.Details) != 2 || s.Details[0].Reason != "POSITION_INVALID" || len(s.Details[1].FieldViolations) != 2 {
		t.Fatalf("got %s", errs)
	}
	for i, want := range []string{"elements[0].text", "elements[2].text"} {
		if v := s.Details[1].FieldViolations[i]; v.Field != want || !strings.Contains(v.Description, "position 1") {
			t.Errorf("fault %d is %+v", i, v)
		}
	}
	if code, _, errs = tally(t, nil, "level", "--json", "absent.json"); code != exitUsage || !json.Valid([]byte(errs)) {
		t.Errorf("a missing file: exit code %d, %s", code, errs)
	}
}

func TestVersion(t *testing.T) {
	_, flag, _ := tally(t, nil, "--version")
	code, out, errs := tally(t, nil, "version")
	if code != exitOK || errs != "" || flag != "tally version "+out || strings.TrimSpace(out) == "" {
		t.Errorf("exit code %d, %q, %q; with --version %q", code, out, errs, flag)
	}
}

// TestCompletion checks what a shell offers, from the tables here and from a server.
func TestCompletion(t *testing.T) {
	server := clienttest.Start(t, clienttest.WithClock(today))
	for _, test := range []struct {
		args []string
		want []string
		not  string
	}{
		{[]string{"value", "--season", ""}, []string{"current\n", "2005-06\tSeason 2005-06\n", "2025-26\t"}, "senior"},
		{[]string{"seasons", ""}, []string{"2025-26\t"}, "testdata"},
		{[]string{"compare", "2016-17", ""}, []string{"2025-26\t"}, "testdata"},
		{[]string{"compare", "2016-17", "2025-26", ""}, []string{":4\n"}, "2025-26\t"},
		{[]string{"compare", "--discipline", ""}, []string{"singles\npairs\ndance\n"}, "2025-26"},
		{[]string{"check", "--season", "2005-06", "--category", ""}, []string{"senior-women\t", "senior-men\t"}, "novice"},
		{[]string{"level", "--season", "2025-26", "--category", "senior-dance", "--segment", ""}, []string{"rhythm-dance\nfree-dance\n"}, "short-program"},
		{[]string{"score", "--segment", ""}, []string{"short-program\n", "free-dance\n"}, "testdata"},
		{[]string{"rank", "--category", ""}, []string{"senior-women\t"}, "testdata"},
	} {
		for _, args := range [][]string{nil, {"--server", server.Addr, "--plaintext"}} {
			code, out, errs := tally(t, nil, append(append([]string{cobra.ShellCompRequestCmd}, args...), test.args...)...)
			for _, want := range test.want {
				if code != exitOK || !strings.Contains(out, want) {
					t.Errorf("%v: exit code %d, no %q in %s%s", test.args, code, want, out, errs)
				}
			}
			if strings.Contains(out, test.not) {
				t.Errorf("%v: %q in %s", test.args, test.not, out)
			}
		}
	}
}

// TestProgress checks that the line of progress is drawn for a person, and only
// then, that its first figure is how far the file is read, and that it goes.
func TestProgress(t *testing.T) {
	for _, terminal := range []bool{false, true} {
		var stdout, stderr bytes.Buffer
		a := &app{out: &stdout, err: &stderr, now: today, terminal: terminal}
		a.run(t.Context(), []string{"score", "testdata/archive.jsonl"})
		first := regexp.MustCompile(`^scoring: record 1, \d+% of the file\r +\r`)
		if drawn := first.MatchString(stderr.String()); drawn != terminal || strings.HasSuffix(stderr.String(), "file") {
			t.Errorf("terminal %v, drawn %v: %q", terminal, drawn, stderr.String())
		}
		if strings.Contains(stdout.String(), "scoring") {
			t.Error("the line of progress is among the results")
		}
	}
}

func TestPercentNeverRoundsToCertain(t *testing.T) {
	for _, c := range []struct {
		chance float64
		want   string
	}{
		{0, "0%"}, {0.0004, "less than 1%"}, {0.005, "less than 1%"}, {0.006, "1%"}, {0.41, "41%"},
		{0.994, "99%"}, {0.995, "more than 99%"}, {0.997, "more than 99%"}, {1, "100%"},
	} {
		if got := percent(c.chance); got != c.want {
			t.Errorf("percent(%v) = %q, want %q", c.chance, got, c.want)
		}
	}
}
