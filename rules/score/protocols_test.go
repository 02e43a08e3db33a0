package score_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/score"
	"github.com/rinktally/rinktally/rules/seasons"
)

// sheet is one skater's published score sheet of one segment.
type sheet struct {
	Season, Discipline, Level, Segment, Event string
	Rank                                      int
	Elements                                  []struct {
		Code       string
		SecondHalf bool   `json:"second_half"`
		BaseValue  string `json:"base_value"`
		Marks      []*int32
		GOE, Score string
	}
	Components []struct {
		Name, Factor, Score string
		Marks               []*string
	}
	Deductions      []struct{ Reason, Value string }
	TotalDeductions string `json:"total_deductions"`
	TES, PCS, TSS   string
	CountedJudges   []int32 `json:"counted_judges"`
	Partial         string
}

func protocolDir(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("RINKTALLY_PROTOCOLS")
	if dir == "" {
		dir = "../../../shared/protocols"
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skipf("the published protocols are not here (%v); set RINKTALLY_PROTOCOLS to their folder", err)
	}
	return dir
}

func sheets(t *testing.T, dir string) []sheet {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.jsonl"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no protocols in %s: %v", dir, err)
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
			all = append(all, s)
		}
		if err := lines.Err(); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

func points(s string) rules.Points {
	p, err := rules.ParsePoints(s)
	if err != nil {
		panic(err)
	}
	return p
}

// componentKey maps printed component names to their keys.
func componentKey(name string) string {
	for prefix, key := range map[string]string{
		"Skating": "SKATING_SKILLS", "Transition": "TRANSITIONS", "Linking": "TRANSITIONS", "Performance": "PERFORMANCE",
		"Choreography": "COMPOSITION", "Composition": "COMPOSITION", "Interpretation": "INTERPRETATION",
		"Presentation": "PRESENTATION", "Timing": "TIMING",
	} {
		if strings.HasPrefix(name, prefix) {
			return key
		}
	}
	return name
}

var deductionKind = map[string]string{
	"Falls": "FALL", "Time violation": "TIME_VIOLATION", "Costume failure": "COSTUME_FAILURE",
	"Illegal element/movement": "ILLEGAL_ELEMENT", "Illegal element": "ILLEGAL_ELEMENT", "Interruption in excess": "INTERRUPTION",
	"Music violation": "MUSIC", "Extended lifts": "EXTENDED_LIFT", "Extra element by verif.": "EXTRA_ELEMENT", "Music tempo": "MUSIC_TEMPO",
}

// segment turns a sheet into a request. Columns without any mark are absent judges.
func (s *sheet) segment(season *rules.Season) *score.Segment {
	in := &score.Segment{
		Category: s.Level + "-" + s.Discipline,
		Segment: map[string]string{
			"short": "short-program", "free": "free-skating", "rhythm_dance": "rhythm-dance", "short_dance": "short-dance",
			"original_dance": "original-dance", "compulsory": "compulsory-dance",
		}[s.Segment],
		Counted: s.CountedJudges,
	}
	absent := map[int]bool{}
	for i, m := range s.Components[0].Marks {
		if m == nil {
			absent[i] = true
			in.Absent = append(in.Absent, int32(i+1))
		}
	}
	for _, e := range s.Elements {
		if e.Code == "" && e.BaseValue == "0.00" {
			continue // a row printed without a name
		}
		x := score.Element{Code: e.Code, SecondHalf: e.SecondHalf}
		for i, m := range e.Marks {
			switch {
			case absent[i]:
			case m == nil:
				x.Missing = append(x.Missing, int32(i+1))
			default:
				x.Marks = append(x.Marks, *m)
			}
		}
		if len(x.Marks) == 0 {
			x.Missing = nil
		}
		in.Elements = append(in.Elements, x)
	}
	for _, c := range s.Components {
		x := score.Component{Key: componentKey(c.Name)}
		for i, m := range c.Marks {
			if !absent[i] {
				x.Marks = append(x.Marks, points(*m))
			}
		}
		in.Components = append(in.Components, x)
	}
	category := season.Categories[in.Category]
	for _, d := range s.Deductions {
		kind, value := deductionKind[d.Reason], points(d.Value)
		x := score.Deduction{Kind: kind, Count: 1}
		rule := season.Deduction(category, kind)
		for rule != nil && rule.Total(x.Count) < -value {
			x.Count++
		}
		in.Deductions = append(in.Deductions, x)
	}
	if len(s.Deductions) == 0 && points(s.TotalDeductions) != 0 {
		// The source gives the total only.
		in.Deductions = append(in.Deductions, score.Deduction{Kind: "OTHER", Value: points(s.TotalDeductions), Note: "reason not in the source"})
	}
	return in
}

// TestPublishedSinglesReproduce re-scores every published score sheet of single
// skating from its codes and marks and compares every figure to the hundredth.
func TestPublishedSinglesReproduce(t *testing.T) {
	all := sheets(t, protocolDir(t))
	catalog, err := rules.Load(rules.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	count, bad := 0, 0
	for i := range all {
		s := &all[i]
		if s.Discipline != "men" && s.Discipline != "women" || s.Partial != "" {
			continue
		}
		count++
		season, err := catalog.Season(s.Season)
		if err != nil {
			t.Fatal(err)
		}
		if faults := compare(s, season); len(faults) > 0 {
			bad++
			if bad <= 40 {
				t.Errorf("%s %s %s %s rank %d: %s", s.Season, s.Event, s.Discipline, s.Segment, s.Rank, strings.Join(faults, "; "))
			}
		}
	}
	t.Logf("%d published sheets re-scored, %d not reproduced", count, bad)
	if count == 0 {
		t.Error("no sheet was checked")
	}
}

func compare(s *sheet, season *rules.Season) []string {
	in := s.segment(season)
	got, err := score.Compute(season, in)
	if err != nil {
		return []string{err.Error()}
	}
	var faults []string
	check := func(what string, got rules.Points, printed string) {
		if got != points(printed) {
			faults = append(faults, fmt.Sprintf("%s is %v, printed %s", what, got, printed))
		}
	}
	printed := slices.DeleteFunc(slices.Clone(s.Elements), func(e struct {
		Code       string
		SecondHalf bool   `json:"second_half"`
		BaseValue  string `json:"base_value"`
		Marks      []*int32
		GOE, Score string
	}) bool {
		return e.Code == "" && e.BaseValue == "0.00"
	})
	for i, e := range printed {
		check(e.Code+" base value", got.Elements[i].Base, e.BaseValue)
		check(e.Code+" GOE", got.Elements[i].GOE, e.GOE)
		check(e.Code+" score", got.Elements[i].Score, e.Score)
	}
	for _, c := range s.Components {
		for _, x := range got.Components {
			if x.Key == componentKey(c.Name) {
				check(c.Name, x.Panel, c.Score)
				check(c.Name+" factor", x.Factor, c.Factor)
			}
		}
	}
	check("element score", got.ElementScore, s.TES)
	check("component score", got.ComponentScore, s.PCS)
	check("deductions", got.TotalDeductions, s.TotalDeductions)
	check("total", got.SegmentScore, s.TSS)
	return faults
}
