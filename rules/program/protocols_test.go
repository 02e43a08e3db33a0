package program_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/integration/protocols"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/program"
	"github.com/rinktally/rinktally/rules/value"
)

// sheets are the published sheets.
func sheets(t *testing.T) []protocols.Sheet {
	t.Helper()
	dir, err := protocols.Folder("../..")
	if err != nil {
		t.Skip(err)
	}
	all, err := protocols.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// form is a way to hand in the codes of a sheet.
type form struct {
	name string
	keep bool // with the panel's * and +REP kept
	off  []string
}

var (
	// skated is what the sheet prints.
	skated = form{name: "kept", keep: true}
	// called is a sheet's code without what the panel's computer adds, * and +REP.
	// The +SEQ stays: it says that the jumps did not follow each other directly, or
	// (alone, to 2013-14) that a jump was repeated.
	called = form{name: "called", off: []string{"*", "", "+REP", ""}}
	// bare is a code without anything that is added for a rule.
	bare = form{name: "bare", off: []string{"*", "", "+REP", "", "+SEQ", ""}}
)

// canonical prints a code with its signs in our order.
func canonical(code string) string {
	e, err := element.Parse(code)
	if err != nil {
		return code // which the check refuses
	}
	return e.String()
}

// programOf returns a sheet's program in a form, and its codes as printed.
func programOf(t *testing.T, s *protocols.Sheet, as form) (in *program.Program, printed []string) {
	t.Helper()
	in = &program.Program{Category: s.Category(), Segment: s.SegmentKey(), KeepPanelCalls: as.keep}
	for _, e := range s.Elements {
		if e.Code == "" {
			continue // a row printed without a name
		}
		printed = append(printed, canonical(e.Code))
		in.Elements = append(in.Elements, program.Planned{Code: strings.NewReplacer(as.off...).Replace(e.Code), SecondHalf: e.SecondHalf})
	}
	return in, printed
}

// mostWarnings is how many warnings a program that was skated may have.
const mostWarnings = 2

// differences lists what did not come back as printed.
func differences(t *testing.T, season *rules.Season, s *protocols.Sheet, as form) []string {
	t.Helper()
	in, printed := programOf(t, s, as)
	got, err := program.Check(season, in)
	if err != nil {
		return []string{err.Error()}
	}
	var wrong []string
	for k, want := range printed {
		if got.Elements[k].Code != want {
			wrong = append(wrong, want+" came back as "+got.Elements[k].Code)
		}
	}
	if len(wrong) == 0 && as.keep {
		wrong = append(unequal(t, season, in, got), contradicted(in, got)...)
		if n := len(got.Warnings); n > mostWarnings {
			wrong = append(wrong, fmt.Sprintf("%d warnings: %v", n, got.Warnings))
		}
	}
	return wrong
}

// unequal lists the elements whose value is another than that of their code.
func unequal(t *testing.T, season *rules.Season, in *program.Program, got *program.Result) []string {
	t.Helper()
	ctx, err := value.NewContext(season, in.Category, in.Segment, in.Scope)
	if err != nil {
		t.Fatal(err)
	}
	codes := make([]value.Skated, len(in.Elements))
	for i, e := range in.Elements {
		codes[i] = value.Skated{Code: e.Code, SecondHalf: e.SecondHalf}
	}
	var warnings rules.Warnings
	valued, err := ctx.Elements(nil, codes, &warnings)
	if err != nil {
		t.Fatal(err)
	}
	var wrong []string
	for i := range valued {
		if valued[i].Base != got.Elements[i].Base {
			wrong = append(wrong, fmt.Sprintf("%s is worth %v, in its program %v", codes[i].Code, valued[i].Base, got.Elements[i].Base))
		}
	}
	return wrong
}

// contradicted lists the findings of lost value about elements that the sheet
// credits in full.
func contradicted(in *program.Program, got *program.Result) []string {
	var wrong []string
	for _, f := range got.Findings {
		if f.Severity == program.Error && f.Element != program.Whole && !strings.ContainsAny(in.Elements[f.Element].Code, "*") && !strings.Contains(in.Elements[f.Element].Code, "+REP") {
			wrong = append(wrong, fmt.Sprintf("%s: %s %s", in.Elements[f.Element].Code, f.Code, f.Message))
		}
	}
	return wrong
}

// lacking says whether a program lacks something that it needs.
func lacking(got *program.Result) bool {
	return slices.ContainsFunc(got.Findings, func(f program.Finding) bool {
		return f.Code == program.ElementMissing || f.Code == program.SpinMissing
	})
}

// TestFewProgramsLackAnything holds the required elements against what was skated:
// what a quarter of the programs of a season lack was not required in it.
func TestFewProgramsLackAnything(t *testing.T) {
	catalog := load(t)
	type count struct{ programs, lacking int }
	counts := map[string]*count{}
	for _, s := range sheets(t) {
		season, err := catalog.Season(s.Season)
		if err != nil {
			t.Fatal(err)
		}
		if season.Content.Layout(s.Category(), s.SegmentKey()) == nil {
			continue
		}
		in, _ := programOf(t, &s, skated)
		got, faults := program.Check(season, in)
		if faults != nil {
			t.Errorf("%s: %v", s.String(), faults)
			continue
		}
		key := s.Season + " " + s.Category() + " " + s.SegmentKey()
		if counts[key] == nil {
			counts[key] = &count{}
		}
		counts[key].programs++
		if lacking(got) {
			counts[key].lacking++
		}
	}
	for _, key := range rules.SortedKeys(counts) {
		if n := counts[key]; n.programs >= 5 && 4*n.lacking > n.programs {
			t.Errorf("%s: %d of %d programs lack something", key, n.lacking, n.programs)
		}
	}
}

// agreement counts programs and those that came back in each form.
type agreement struct {
	programs int
	back     map[string]int
}

func (a *agreement) String() string {
	text := fmt.Sprintf("%d programs; came back as printed:", a.programs)
	for _, f := range []form{skated, called, bare} {
		text += fmt.Sprintf(" %s %d (%.1f%%)", f.name, a.back[f.name], 100*float64(a.back[f.name])/float64(a.programs))
	}
	return text
}

// unlike are the sheets that do not come back from the calls alone, with the reason.
var unlike = map[string]string{
	"2024-25 2024-25-e03 men free rank 9":            "2Lz+2A*+2T*+SEQ+REP: why the panel took both later jumps is not on the sheet",
	"2022-23 2022-23-e01 dance rhythm_dance rank 23": "RoLi*+EXEL: the panel called the first of two lifts the extra element, an attempt without a level",
	"2022-23 2022-23-e01 pairs short rank 10":        "1LoTh*: a throw that the panel struck and that no table values",
	"2025-26 2025-26-e02 pairs short rank 8":         "1Tw1*: a twist that the panel struck and that no table values",
}

// TestPublishedProgramsComeBack gives the elements of every published sheet and
// wants the credited form as printed: with the panel's calls kept every program;
// found again from the calls, every program but those listed. Without the called
// +SEQ a program may differ where the panel called a sequence or a break that the
// codes do not show: then it comes back with its +SEQ.
func TestPublishedProgramsComeBack(t *testing.T) {
	catalog := load(t)
	bySeason := map[string]*agreement{}
	for _, s := range sheets(t) {
		season, err := catalog.Season(s.Season)
		if err != nil {
			t.Fatal(err)
		}
		if season.Content.Layout(s.Category(), s.SegmentKey()) == nil && s.Season < "2014" && (s.Discipline == "dance" || s.Discipline == "pairs") {
			continue // refused: no content rules of pairs before 2010-11 and of ice dance before 2014-15
		}
		what := s.Discipline
		if what == "men" || what == "women" {
			what = "singles"
		}
		key := s.Season + " " + what
		n := bySeason[key]
		if n == nil {
			n = &agreement{back: map[string]int{}}
			bySeason[key] = n
		}
		n.programs++
		for _, f := range []form{skated, called, bare} {
			switch wrong := differences(t, season, &s, f); {
			case len(wrong) == 0:
				n.back[f.name]++
			case f.name == bare.name:
			case f.keep || unlike[s.String()] == "":
				t.Errorf("%s, %s: %s", s.String(), f.name, strings.Join(wrong, "; "))
			}
		}
	}
	for _, key := range rules.SortedKeys(bySeason) {
		n := bySeason[key]
		t.Logf("%s: %v", key, n)
		least := 990
		if strings.HasSuffix(key, "singles") {
			least = 998
		}
		if 1000*n.back[skated.name] < least*n.programs {
			t.Errorf("%s: want at least %d of 1000: %v", key, least, n)
		}
		if strings.HasSuffix(key, "singles") && 100*n.back[bare.name] < 88*n.programs {
			t.Errorf("%s: want at least 88%% of the bare codes: %v", key, n)
		}
	}
}
