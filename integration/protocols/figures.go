package protocols

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
)

// Figures are the points that a sheet prints, as calculated.
type Figures struct {
	Elements   []ElementFigures
	Components map[string]ComponentFigures // by key

	ElementScore, ComponentScore, TotalDeductions, SegmentScore rules.Points
}

// ElementFigures are the points of an element.
type ElementFigures struct{ BaseValue, GOE, Score rules.Points }

// ComponentFigures are the panel's mark of a component and its factor.
type ComponentFigures struct{ Panel, Factor rules.Points }

// NotReproduced lists the sheets that the tables do not reproduce, with the
// reason.
var NotReproduced = map[string]string{
	"2017-18 2017-18-e07 pairs free rank 7": "prints 5ALi4 as 8.25, with a second-half bonus that pairs did not have and without its sign; every other sheet has 7.50",
}

// Compare returns every printed figure that the calculated ones do not meet to the
// hundredth.
func (s *Sheet) Compare(got *Figures) []string {
	var faults []string
	check := func(what string, got rules.Points, printed string) {
		if got != points(printed) {
			faults = append(faults, fmt.Sprintf("%s is %v, printed %s", what, got, printed))
		}
	}
	if len(got.Elements) != len(s.Elements) {
		return []string{fmt.Sprintf("there are %d elements, printed %d", len(got.Elements), len(s.Elements))}
	}
	for i, e := range s.Elements {
		check(e.Code+" base value", got.Elements[i].BaseValue, e.BaseValue)
		check(e.Code+" GOE", got.Elements[i].GOE, e.GOE)
		check(e.Code+" score", got.Elements[i].Score, e.Score)
	}
	check("element score", got.ElementScore, s.TES)
	if s.Partial != "" {
		return faults
	}
	if len(got.Components) != len(s.Components) {
		faults = append(faults, fmt.Sprintf("there are %d components, printed %d", len(got.Components), len(s.Components)))
	}
	for _, c := range s.Components {
		x := got.Components[s.ComponentKey(c.Name)]
		check(c.Name, x.Panel, c.Score)
		check(c.Name+" factor", x.Factor, c.Factor)
	}
	check("component score", got.ComponentScore, s.PCS)
	check("deductions", got.TotalDeductions, s.TotalDeductions)
	check("total", got.SegmentScore, s.TSS)
	return faults
}

// Tally counts sheets and says which faults are new.
type Tally struct {
	Sheets, Bad map[string]int // by discipline
	Faults      []string       // of sheets not listed in NotReproduced, and what is listed but reproduced
}

// Add counts one sheet with its faults.
func (t *Tally) Add(s *Sheet, faults []string) {
	if t.Sheets == nil {
		t.Sheets, t.Bad = map[string]int{}, map[string]int{}
	}
	t.Sheets[s.Discipline]++
	reason := NotReproduced[s.String()]
	switch {
	case len(faults) > 0:
		t.Bad[s.Discipline]++
		if reason == "" {
			t.Faults = append(t.Faults, fmt.Sprintf("%v: %q", s, faults))
		}
	case reason != "":
		t.Faults = append(t.Faults, fmt.Sprintf("%v is reproduced; take it off the list", s))
	}
}

// String counts by discipline.
func (t *Tally) String() string {
	text := ""
	for _, d := range rules.SortedKeys(t.Sheets) {
		text += fmt.Sprintf("%s: %d sheets, %d not reproduced; ", d, t.Sheets[d], t.Bad[d])
	}
	return text
}
