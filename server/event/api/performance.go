package api

import (
	"strings"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/scoring"
)

// Performance returns a score sheet. Before the confirmation it has the points so
// far and the marks that the actor may see.
func (r *Reader) Performance(p *event.Performance) *pb.Performance {
	out := &pb.Performance{
		Category: p.Segment.Category.ID, Segment: p.Segment.Key,
		Entry: p.Entry.GetEntry(), Name: p.Entry.GetName(), Club: p.Entry.GetClub(), Number: p.Number,
		State: p.State(), AbsentJudges: p.AbsentJudges(),
		Elements: r.elements(p), Components: r.componentsOf(p),
	}
	for _, c := range p.Corrections {
		role, _, _ := strings.Cut(c.By, " ")
		out.Corrections = append(out.Corrections, &pb.Correction{
			Time: timestamppb.New(c.Time), By: role, Reason: c.Reason, ScoreBefore: c.Before.String(), ScoreAfter: c.After.String(),
		})
	}
	calls, known := r.found[p]
	if !known {
		calls = r.calls(p)
		r.found[p] = calls
	}
	for i, e := range p.Elements {
		out.Elements[i].Call = calls[e.Number]
	}
	if p.Score != nil {
		r.scored(p, out)
	} else {
		r.soFar(p, out)
	}
	return out
}

// scored puts the announced score into a sheet.
func (r *Reader) scored(p *event.Performance, out *pb.Performance) {
	s := p.Score
	for i, e := range s.GetElements() {
		if i < len(out.Elements) && out.Elements[i].GetElement() == e.GetElement() {
			to := out.Elements[i]
			to.BaseValue, to.Goe, to.Score = points(e.GetBaseValue()), points(e.GetGoe()), points(e.GetScore())
		}
	}
	for i, c := range s.GetComponents() {
		if i < len(out.Components) {
			out.Components[i].PanelScore, out.Components[i].Score = points(c.GetPanelScore()), points(c.GetScore())
		}
	}
	out.Deductions = deductionsOf(s.GetDeductions())
	out.ElementScore, out.ComponentScore = points(s.GetElementScore()), points(s.GetComponentScore())
	out.TotalDeductions, out.SegmentScore = points(s.GetTotalDeductions()), points(s.GetSegmentScore())
	for _, w := range s.GetWarnings() {
		out.Warnings = append(out.Warnings, &pb.Warning{
			Code: w.GetCode(), Message: w.GetMessage(), Rule: w.GetRule(), Confidence: w.GetConfidence(), Fields: w.GetFields(),
		})
	}
	out.Warnings = r.Warnings(out.Warnings...)
}

// soFar puts the points so far into a sheet.
func (r *Reader) soFar(p *event.Performance, out *pb.Performance) {
	var sum, off rules.Points
	for i, running := range r.Running(r.season, p) {
		to := out.Elements[i]
		to.BaseValue = answer.Points(running.Base)
		sum += running.Base
		if running.Marked {
			to.Goe, to.Score = answer.Points(running.GOE), answer.Points(running.Base+running.GOE)
			sum += running.GOE
		}
	}
	out.Deductions = deductionsOf(p.Deductions)
	category := r.season.Categories[p.Segment.Category.Rules]
	taken := map[string]int{}
	for i, d := range p.Deductions {
		value := rules.Points(d.GetValue())
		if category != nil {
			if rule := r.season.Deduction(category, d.GetKind()); rule != nil {
				value = -rule.After(taken[d.GetKind()], int(d.GetCount()))
				taken[d.GetKind()] += int(d.GetCount())
			}
		}
		out.Deductions[i].Value = answer.Points(value)
		off += value
	}
	out.ElementScore, out.TotalDeductions = answer.Points(sum), answer.Points(off)
	if s := p.State(); s == pb.PerformanceState_ON_ICE || s == pb.PerformanceState_REVIEW {
		lack := r.Lacks(r.season, p)
		out.Missing = lack.All()
		if len(lack.Other) == 0 && r.SeesAll() {
			out.ScoreToConfirm = r.scoreToConfirm(p)
		}
	}
	out.Warnings = r.Warnings()
}

// scoreToConfirm returns what a confirmation would announce, or nil when the table
// has no points for a mark; the refusal of the confirmation then says which.
func (r *Reader) scoreToConfirm(p *event.Performance) *pb.ScoreToConfirm {
	score, err := r.Compute(r.season, p)
	if err != nil {
		return nil
	}
	places := r.places(p.WithScore(score))[p.Entry.GetEntry()]
	return &pb.ScoreToConfirm{
		ElementScore: points(score.GetElementScore()), ComponentScore: points(score.GetComponentScore()),
		TotalDeductions: points(score.GetTotalDeductions()), SegmentScore: points(score.GetSegmentScore()),
		Place: places.segment, FinalPlace: places.final,
	}
}

func (r *Reader) elements(p *event.Performance) []*pb.PerformedElement {
	var out []*pb.PerformedElement
	for _, e := range p.Elements {
		to := &pb.PerformedElement{
			Element: e.Number, Code: e.Code, Name: inWords(e.Code), SecondHalf: e.SecondHalf, InReview: e.InReview, MarksGiven: number(len(e.Marks)),
		}
		for _, judge := range judgesOf(r, p, e.Marks) {
			to.Marks = append(to.Marks, &pb.ElementMark{Judge: judge, Mark: new(e.Marks[judge])})
		}
		out = append(out, to)
	}
	return out
}

// inWords returns a code's name; "" for what an earlier version kept and this one
// cannot read.
func inWords(code string) string {
	e, err := element.Parse(code)
	if err != nil {
		return ""
	}
	return e.Describe()
}

// componentsOf returns the components in printed order, as the score has them or,
// before it, as the season does.
func (r *Reader) componentsOf(p *event.Performance) []*pb.PerformedComponent {
	var out []*pb.PerformedComponent
	add := func(key, name, factor string) {
		marks := p.Components[key]
		to := &pb.PerformedComponent{
			Component: pb.Component_Value(pb.Component_Value_value[key]), Name: name, Factor: factor, MarksGiven: number(len(marks)),
		}
		for _, judge := range judgesOf(r, p, marks) {
			const hundred = 100
			to.Marks = append(to.Marks, &pb.ComponentMark{Judge: judge, Mark: float64(marks[judge]) / hundred})
		}
		out = append(out, to)
	}
	if p.Score != nil {
		for _, c := range p.Score.GetComponents() {
			add(c.GetComponent(), c.GetName(), points(c.GetFactor()))
		}
		return out
	}
	for _, c := range p.PrintedComponents(r.season) {
		add(c.Key, c.Name, c.Factor.String())
	}
	return out
}

// calls explains the elements that were called by what was skated, by number. An
// element that was revised by code since is explained by its code alone, and so
// is one whose level would be another after a correction in front of it.
func (r *Reader) calls(p *event.Performance) map[int32]*pb.CalledElement {
	req := r.LevelsRequest(p, 0)
	if len(req.GetElements()) == 0 || r.changed != nil {
		return nil
	}
	res, err := scoring.LevelsIn(r.season, nil, req)
	if err != nil {
		return nil // Decide let only good ones in; the codes stand without their reasons
	}
	out := map[int32]*pb.CalledElement{}
	i := 0
	for _, e := range p.Elements {
		if e.Skated != nil {
			call := res.GetElements()[i]
			if code, _ := event.FoundCode(call); code == e.Code {
				out[e.Number] = call
			}
			i++
		}
	}
	return out
}
