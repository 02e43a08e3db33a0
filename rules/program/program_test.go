package program_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules/program"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

func load(t testing.TB) *table.Catalog {
	t.Helper()
	catalog, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	return catalog
}

// check checks a program in the one-line notation.
func check(t testing.TB, catalog *table.Catalog, season, category, segment, line string, seconds int) *program.Result {
	t.Helper()
	s, err := catalog.Season(season)
	if err != nil {
		t.Fatal(err)
	}
	elements, err := program.ParseLine(line)
	if err != nil {
		t.Fatal(err)
	}
	got, faults := program.Check(s, &program.Program{Category: category, Segment: segment, Elements: elements, Duration: seconds})
	if faults != nil {
		t.Fatal(faults)
	}
	return got
}

func findings(r *program.Result) string {
	lines := make([]string, len(r.Findings))
	for i, f := range r.Findings {
		lines[i] = fmt.Sprintf("%s %s %s: %s %s", f.Severity, f.Code, f.At(), f.Message, f.Advice)
	}
	return strings.Join(lines, "\n")
}
