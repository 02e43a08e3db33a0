package protocols

import (
	"encoding/json"
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// Request is a sheet's codes and marks as a request of the public contract; its
// JSON is that of ScoreSegmentRequest.
type Request struct {
	Season        string                `json:"season"`
	Category      string                `json:"category"`
	Segment       string                `json:"segment"`
	Scope         string                `json:"scope,omitempty"`
	Elements      []RequestedElement    `json:"elements"`
	Components    []RequestedComponent  `json:"components"`
	CountedJudges []int32               `json:"countedJudges,omitempty"`
	AbsentJudges  []int32               `json:"absentJudges,omitempty"`
	Deductions    []RequestedDeductions `json:"deductions,omitempty"`
}

// RequestedElement is an element with its marks.
type RequestedElement struct {
	Code         string    `json:"code"`
	SecondHalf   bool      `json:"secondHalf,omitempty"`
	Marks        []int32   `json:"marks"`
	MissingMarks []Missing `json:"missingMarks,omitempty"`
}

// Missing names a judge who gave no mark.
type Missing struct {
	Judge int32 `json:"judge"`
}

// RequestedComponent is a component with its marks.
type RequestedComponent struct {
	Component string        `json:"component"`
	Marks     []json.Number `json:"marks"`
}

// RequestedDeductions is a number of deductions of one kind.
type RequestedDeductions struct {
	Kind  string `json:"kind"`
	Count int    `json:"count,omitempty"`
	Value string `json:"value,omitempty"`
	Note  string `json:"note,omitempty"`
}

var deductionKinds = map[string]string{
	"Falls": "FALL", "Time violation": "TIME_VIOLATION", "Costume failure": "COSTUME_FAILURE",
	"Illegal element/movement": "ILLEGAL_ELEMENT", "Illegal element": "ILLEGAL_ELEMENT", "Interruption in excess": "INTERRUPTION",
	"Music violation": "MUSIC", "Music requirements violation": "MUSIC", "Music tempo": "MUSIC_TEMPO", "Late start": "LATE_START",
	"Extended lifts": "EXTENDED_LIFT",
	"Extra element":  "EXTRA_ELEMENT", "Extra element by verif.": "EXTRA_ELEMENT", "Extra element by verification": "EXTRA_ELEMENT",
}

// Request turns the sheet into a request. The season says what a sheet does not
// print: which compulsory dance it was, and how often a deduction was taken.
func (s *Sheet) Request(season *rules.Season) (*Request, error) {
	if _, err := season.Category(s.Category()); err != nil {
		return nil, err
	}
	scope, err := s.scope(season)
	if err != nil {
		return nil, err
	}
	r := &Request{Season: s.Season, Category: s.Category(), Segment: s.SegmentKey(), Scope: scope, CountedJudges: s.CountedJudges}
	absent := s.absent()
	for i := range absent {
		r.AbsentJudges = append(r.AbsentJudges, int32(i+1))
	}
	slices.Sort(r.AbsentJudges)
	for _, e := range s.Elements {
		r.Elements = append(r.Elements, e.request(absent))
	}
	for _, c := range s.Components {
		x := RequestedComponent{Component: s.ComponentKey(c.Name)}
		for i, m := range c.Marks {
			if !absent[i] {
				x.Marks = append(x.Marks, json.Number(*m))
			}
		}
		r.Components = append(r.Components, x)
	}
	if s.Partial != "" { // the source has the elements only
		r.Components = middling(season, r)
		return r, nil
	}
	r.Deductions = s.deductions(season)
	return r, nil
}

// absent says which columns are of absent judges: those without a mark for a
// component.
func (s *Sheet) absent() map[int]bool {
	columns := map[int]bool{}
	if len(s.Components) > 0 {
		for i, m := range s.Components[0].Marks {
			if m == nil {
				columns[i] = true
			}
		}
	}
	return columns
}

func (e *Element) request(absent map[int]bool) RequestedElement {
	x := RequestedElement{Code: e.Code, SecondHalf: e.SecondHalf, Marks: []int32{}}
	for i, m := range e.Marks {
		switch {
		case absent[i]:
		case m == nil:
			x.MissingMarks = append(x.MissingMarks, Missing{int32(i + 1)})
		default:
			x.Marks = append(x.Marks, *m)
		}
	}
	if len(x.Marks) == 0 {
		x.MissingMarks = nil // an element without value
	}
	return x
}

func (s *Sheet) deductions(season *rules.Season) []RequestedDeductions {
	var list []RequestedDeductions
	for _, d := range s.Deductions {
		x := RequestedDeductions{Kind: deductionKinds[d.Reason], Count: 1}
		rule := season.Deduction(season.Categories[s.Category()], x.Kind)
		for rule != nil && rule.Total(x.Count) < -points(d.Value) {
			x.Count++
		}
		list = append(list, x)
	}
	if len(list) == 0 && points(s.TotalDeductions) != 0 {
		// The source has the total only.
		list = append(list, RequestedDeductions{Kind: "OTHER", Count: 1, Value: s.TotalDeductions, Note: "reason not in the source"})
	}
	return list
}

// scope names the condition that the sheet's values hold under. A sheet does
// not name the compulsory dance: it is the one whose sections have the printed
// base values.
func (s *Sheet) scope(season *rules.Season) (string, error) {
	switch {
	case s.Season == "2011-12" && s.EventKind == "grand_prix":
		return "Grand Prix", nil
	case s.Season == "2011-12":
		return "championships", nil
	case s.Segment != "compulsory":
		return "", nil
	}
	var fits []string
	for _, first := range season.Table(rules.Dance).Rows("1S1") {
		if !slices.ContainsFunc(s.Elements, func(e Element) bool {
			row, _ := season.Table(rules.Dance).Find(e.Code, first.Scope)
			return e.BaseValue != "0.00" && (row == nil || row.Base != points(e.BaseValue))
		}) {
			fits = append(fits, first.Scope)
		}
	}
	if len(fits) != 1 {
		return "", fmt.Errorf("the base values fit %d dances: %v", len(fits), fits)
	}
	return fits[0], nil
}

// middling returns marks of 5.00 for components that the source lacks, so that
// the elements can be scored.
func middling(season *rules.Season, r *Request) []RequestedComponent {
	var list []RequestedComponent
	for _, c := range season.Categories[r.Category].Segments[r.Segment].Panel {
		x := RequestedComponent{Component: c.Key}
		for range r.Elements[0].Marks {
			x.Marks = append(x.Marks, "5.00")
		}
		list = append(list, x)
	}
	return list
}
