package plan_test

import (
	_ "embed"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules/program"
)

//go:embed testdata/layouts.txt
var layouts string

// The oracle and the check agree with what was judged by hand.
func TestLayoutsJudgedByHand(t *testing.T) {
	catalog := load(t)
	var at []string
	judged := 0
	for n, line := range strings.Split(layouts, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		if line[0] != '+' && line[0] != '-' {
			at = strings.Fields(line)
			continue
		}
		judged++
		season, err := catalog.Season(at[0])
		if err != nil {
			t.Fatal(err)
		}
		useValues(season)
		in := &program.Program{Category: at[1], Segment: at[2]}
		var meant []skate
		for _, code := range strings.Split(line[1:], ",") {
			code = strings.TrimSpace(code)
			meant = append(meant, readSkate(code))
			in.Elements = append(in.Elements, program.Planned{Code: code})
		}
		b := bookOf(at[0], at[1], at[2])
		if _, lost := b.judge(meant); lost != (line[0] == '-') {
			t.Errorf("line %d: %v %s: the oracle says lost %v", n+1, at, line, lost)
		}
		result, faults := program.Check(season, in)
		if faults != nil {
			t.Fatalf("line %d: %v", n+1, faults)
		}
		lost := false
		for _, f := range result.Findings {
			lost = lost || f.Severity == program.Error
		}
		if lost != (line[0] == '-') {
			t.Errorf("line %d: %v %s: the check says lost %v", n+1, at, line, lost)
		}
	}
	if judged < 200 {
		t.Errorf("only %d layouts", judged)
	}
}
