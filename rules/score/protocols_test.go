package score_test

import (
	"testing"

	"github.com/rinktally/rinktally/integration/protocols"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/score"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// TestPublishedSheetsReproduce re-scores every published score sheet from its
// codes and marks and compares every figure to the hundredth.
func TestPublishedSheetsReproduce(t *testing.T) {
	dir, err := protocols.Folder("../..")
	if err != nil {
		t.Skip(err)
	}
	all, err := protocols.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	catalog, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	var tally protocols.Tally
	for i := range all {
		season, err := catalog.Season(all[i].Season)
		if err != nil {
			t.Fatal(err)
		}
		tally.Add(&all[i], faults(t, season, &all[i]))
	}
	t.Log(&tally)
	for _, fault := range tally.Faults {
		t.Error(fault)
	}
	for _, d := range []string{"men", "women", "pairs", "dance"} {
		if tally.Sheets[d] == 0 {
			t.Errorf("no sheet of %s was checked", d)
		}
	}
}

// faults returns every figure of a sheet that the calculation does not reproduce.
func faults(t *testing.T, season *rules.Season, s *protocols.Sheet) []string {
	request, err := s.Request(season)
	if err != nil {
		return []string{err.Error()}
	}
	result, faults := score.Compute(season, segment(t, request))
	if faults != nil {
		return []string{faults.Error()}
	}
	got := &protocols.Figures{
		Components:   map[string]protocols.ComponentFigures{},
		ElementScore: result.ElementScore, ComponentScore: result.ComponentScore,
		TotalDeductions: result.TotalDeductions, SegmentScore: result.SegmentScore,
	}
	for i := range result.Elements {
		e := &result.Elements[i]
		got.Elements = append(got.Elements, protocols.ElementFigures{BaseValue: e.Base, GOE: e.GOE, Score: e.Score})
	}
	for i := range result.Components {
		c := &result.Components[i]
		got.Components[c.Key] = protocols.ComponentFigures{Panel: c.Panel, Factor: c.Factor}
	}
	return s.Compare(got)
}

// segment turns a request into the input of the calculation.
func segment(t *testing.T, r *protocols.Request) *score.Segment {
	t.Helper()
	points := func(text string) rules.Points {
		p, err := rules.ParsePoints(text)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	in := &score.Segment{
		Category: r.Category, Segment: r.Segment, Scope: r.Scope, Counted: r.CountedJudges, Absent: r.AbsentJudges,
	}
	for _, e := range r.Elements {
		x := score.Element{Code: e.Code, SecondHalf: e.SecondHalf, Marks: e.Marks}
		for _, m := range e.MissingMarks {
			x.Missing = append(x.Missing, m.Judge)
		}
		in.Elements = append(in.Elements, x)
	}
	for _, c := range r.Components {
		x := score.Component{Key: c.Component}
		for _, m := range c.Marks {
			x.Marks = append(x.Marks, points(m.String()))
		}
		in.Components = append(in.Components, x)
	}
	for _, d := range r.Deductions {
		x := score.Deduction{Kind: d.Kind, Count: d.Count, Note: d.Note}
		if d.Value != "" {
			x.Value = points(d.Value)
		}
		in.Deductions = append(in.Deductions, x)
	}
	return in
}
