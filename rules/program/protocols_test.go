package program_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/integration/protocols"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/program"
)

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

// bare is a printed code without anything that the panel's computer or the
// panel adds for a rule: *, +REP and +SEQ.
func bare(code string) string {
	return strings.NewReplacer("*", "", "+REP", "", "+SEQ", "").Replace(code)
}

// called is a printed code without what the panel's computer adds, * and +REP.
// The +SEQ stays: it tells that the jumps did not follow each other directly,
// or (alone, to 2013-14) that a jump was repeated.
func called(code string) string {
	return strings.NewReplacer("*", "", "+REP", "").Replace(code)
}

// canonical prints a code with its signs in our order.
func canonical(t *testing.T, code string) string {
	t.Helper()
	e, err := element.Parse(code)
	if err != nil {
		t.Fatal(err)
	}
	return e.String()
}

// programOf gives a sheet's program with its codes in a form, and the codes as
// printed.
func programOf(t *testing.T, s *protocols.Sheet, form func(string) string) (in *program.Program, printed []string) {
	t.Helper()
	in = &program.Program{Category: s.Category(), Segment: s.SegmentKey()}
	for _, e := range s.Elements {
		if e.Code == "" {
			continue // a row printed without a name
		}
		printed = append(printed, canonical(t, e.Code))
		in.Elements = append(in.Elements, program.Planned{Code: form(e.Code), SecondHalf: e.SecondHalf})
	}
	return in, printed
}

// differences lists what did not come back as printed.
func differences(t *testing.T, season *rules.Season, s *protocols.Sheet, form func(string) string) []string {
	t.Helper()
	in, printed := programOf(t, s, form)
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
	return wrong
}

// agreement counts programs and those that came back in each form.
type agreement struct{ programs, bare, called int }

func (a *agreement) String() string {
	percent := func(n int) float64 { return 100 * float64(n) / float64(a.programs) }
	return fmt.Sprintf("%d programs; came back as printed: %d (%.1f%%) without any +SEQ, %d (%.1f%%) with the called +SEQ",
		a.programs, a.bare, percent(a.bare), a.called, percent(a.called))
}

// TestPublishedSinglesComeBack gives the elements of every published sheet of
// single skating as called and wants the credited form as printed. With the
// called +SEQ every program must come back. Without it a program may differ for
// one reason only: the panel called a sequence or a break that the codes do not
// show, so that with its +SEQ it does come back.
func TestPublishedSinglesComeBack(t *testing.T) {
	catalog := load(t)
	bySeason := map[string]*agreement{}
	early, late := &agreement{}, &agreement{}
	for _, s := range sheets(t) {
		if s.Discipline != "men" && s.Discipline != "women" {
			continue
		}
		season, err := catalog.Season(s.Season)
		if err != nil {
			t.Fatal(err)
		}
		counts := []*agreement{bySeason[s.Season], early}
		if counts[0] == nil {
			counts[0] = &agreement{}
			bySeason[s.Season] = counts[0]
		}
		if s.Season >= "2016" {
			counts[1] = late
		}
		withSEQ, without := differences(t, season, &s, called), differences(t, season, &s, bare)
		for _, n := range counts {
			n.programs++
			if len(withSEQ) == 0 {
				n.called++
			}
			if len(without) == 0 {
				n.bare++
			}
		}
		if len(withSEQ) > 0 {
			t.Errorf("%s: %s", s.String(), strings.Join(withSEQ, "; "))
		} else if len(without) > 0 {
			t.Logf("%s, a sequence that the codes do not show: %s", s.String(), strings.Join(without, "; "))
		}
	}
	for _, key := range rules.SortedKeys(bySeason) {
		t.Logf("%s: %v", key, bySeason[key])
	}
	t.Logf("2005-06 to 2015-16: %v", early)
	t.Logf("2016-17 to 2025-26: %v", late)
	if late.programs == 0 || 100*late.bare < 98*late.programs {
		t.Errorf("2016-17 to 2025-26: want at least 98%%: %v", late)
	}
	if early.programs == 0 || 100*early.bare < 95*early.programs {
		t.Errorf("2005-06 to 2015-16: want at least 95%%: %v", early)
	}
}

// TestPublishedPairsAndDanceComeBack does the same for pairs and ice dance,
// where the season has content rules. Pair skaters' sequences are mostly of
// jumps that could follow directly, so only the form with +SEQ is held.
func TestPublishedPairsAndDanceComeBack(t *testing.T) {
	catalog := load(t)
	byKey := map[string]*agreement{}
	for _, s := range sheets(t) {
		if s.Discipline != "pairs" && s.Discipline != "dance" {
			continue
		}
		season, err := catalog.Season(s.Season)
		if err != nil {
			t.Fatal(err)
		}
		in, _ := programOf(t, &s, called)
		if season.Content.Layout(in.Category, in.Segment) == nil {
			continue
		}
		key := s.Season + " " + s.Discipline
		n := byKey[key]
		if n == nil {
			n = &agreement{}
			byKey[key] = n
		}
		n.programs++
		withSEQ := differences(t, season, &s, called)
		if len(differences(t, season, &s, bare)) == 0 {
			n.bare++
		}
		if len(withSEQ) == 0 {
			n.called++
			continue
		}
		t.Errorf("%s: %s", s.String(), strings.Join(withSEQ, "; "))
	}
	for _, key := range rules.SortedKeys(byKey) {
		t.Logf("%s: %v", key, byKey[key])
	}
}
