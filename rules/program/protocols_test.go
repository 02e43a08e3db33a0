package program_test

import (
	"bufio"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/program"
	"github.com/rinktally/rinktally/rules/seasons"
)

// sheet is the executed program of one published score sheet.
type sheet struct {
	Season, Discipline, Level, Segment, Event, Partial string
	Rank                                               int
	Elements                                           []struct {
		Code       string
		SecondHalf bool   `json:"second_half"`
		BaseValue  string `json:"base_value"`
	}
}

func sheets(t *testing.T) []sheet {
	t.Helper()
	dir := os.Getenv("RINKTALLY_PROTOCOLS")
	if dir == "" {
		dir = "../../../shared/protocols"
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.jsonl"))
	if err != nil || len(files) == 0 {
		t.Skipf("the published protocols are not in %s; set RINKTALLY_PROTOCOLS to their folder", dir)
	}
	var all []sheet
	for _, name := range files {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		lines := bufio.NewScanner(f)
		lines.Buffer(nil, 1<<20)
		for lines.Scan() {
			var s sheet
			if err := json.Unmarshal(lines.Bytes(), &s); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if s.Partial == "" || s.Discipline == "men" || s.Discipline == "women" {
				all = append(all, s)
			}
		}
		if err := lines.Err(); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// stripped is a printed code without what the panel's computer adds: *, +REP
// and +SEQ. With kept sequences, +SEQ stays where the technical panel called
// it: everywhere but behind a jump alone up to 2013-14, where it marks a
// repeated jump.
func stripped(code, season string, keepSequences bool) string {
	words := strings.Split(strings.ReplaceAll(code, "*", ""), "+")
	var kept []string
	for i, w := range words {
		if w == "REP" || w == "SEQ" && (!keepSequences || season < "2014" && i == 1 && len(words) == 2) {
			continue
		}
		kept = append(kept, w)
	}
	return strings.Join(kept, "+")
}

// canonical prints a code with its signs in our order.
func canonical(t *testing.T, code string) string {
	e, err := element.Parse(code)
	if err != nil {
		t.Fatal(err)
	}
	return e.String()
}

func TestPublishedProgramsComeBack(t *testing.T) {
	all := sheets(t)
	catalog, err := rules.Load(rules.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	type tally struct{ programs, strict, kept int }
	bySeason := map[string]*tally{}
	for i := range all {
		s := &all[i]
		if s.Discipline != "men" && s.Discipline != "women" {
			continue
		}
		season, err := catalog.Season(s.Season)
		if err != nil {
			t.Fatal(err)
		}
		n := bySeason[s.Season]
		if n == nil {
			n = &tally{}
			bySeason[s.Season] = n
		}
		n.programs++
		for _, keep := range []bool{false, true} {
			in := &program.Program{Category: s.Level + "-" + s.Discipline, Segment: map[string]string{"short": "short-program", "free": "free-skating"}[s.Segment]}
			var printed []string
			for _, e := range s.Elements {
				if e.Code == "" {
					continue
				}
				printed = append(printed, canonical(t, e.Code))
				in.Elements = append(in.Elements, program.Planned{Code: stripped(e.Code, s.Season, keep), SecondHalf: e.SecondHalf})
			}
			got, err := program.Check(season, in)
			if err != nil {
				t.Errorf("%s %s %s %d: %v", s.Season, s.Event, s.Discipline, s.Rank, err)
				continue
			}
			var wrong []string
			for k, want := range printed {
				if got.Elements[k].Code != want {
					wrong = append(wrong, want+" came back as "+got.Elements[k].Code)
				}
			}
			switch {
			case len(wrong) == 0 && keep:
				n.kept++
			case len(wrong) == 0:
				n.strict++
			default:
				form := "strict"
				if keep {
					form = "kept"
				}
				t.Logf("%s %s %s %s %s rank %d: %s\n    %s", form, s.Season, s.Event, s.Discipline, s.Segment, s.Rank, strings.Join(wrong, "; "), strings.Join(printed, " | "))
			}
		}
	}
	for _, key := range rules.SortedKeys(bySeason) {
		n := bySeason[key]
		t.Logf("%s: %d programs; %d (%.1f%%) with no +SEQ given, %d (%.1f%%) with the called +SEQ given", key, n.programs, n.strict, 100*float64(n.strict)/float64(n.programs), n.kept, 100*float64(n.kept)/float64(n.programs))
	}
}
