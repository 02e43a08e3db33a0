package rulesvc

import (
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
)

func fromHeading(h rules.Heading) *pb.SeasonSummary {
	out := &pb.SeasonSummary{Season: h.Season, Title: h.Title, Revision: h.Revision, ValidFrom: h.ValidFrom, ValidTo: h.ValidTo}
	for _, d := range h.Disciplines {
		out.Disciplines = append(out.Disciplines, string(d))
	}
	return out
}

func fromSeason(s *rules.Season) *pb.Season {
	out := &pb.Season{
		Season: s.Params.Season, Title: s.Title, Revision: s.Revision,
		ValidFrom: s.ValidFrom, ValidTo: s.ValidTo, Extends: s.Extends,
		Goe:            &pb.GoeScale{Min: small(s.GOE.Min), Max: small(s.GOE.Max), PercentPerGrade: small(s.GOE.PercentPerGrade)},
		ComponentMarks: &pb.ComponentScale{Min: decimal(s.ComponentMarks.Min), Max: decimal(s.ComponentMarks.Max), Step: decimal(s.ComponentMarks.Step)},
		Panel: &pb.Panel{
			MinJudges: small(s.Panel.MinJudges), MaxJudges: small(s.Panel.MaxJudges),
			TrimFrom: small(s.Panel.TrimFrom), Trim: small(s.Panel.Trim), Draw: s.Panel.Draw,
		},
		Deductions: fromDeductions(s.Deductions),
	}
	for _, key := range rules.SortedKeys(s.Categories) {
		out.Categories = append(out.Categories, fromCategory(s, key))
	}
	for _, sign := range rules.SortedKeys(s.Signs) {
		rule := s.Signs[sign]
		out.Signs = append(out.Signs, &pb.SignRule{Sign: sign, Value: string(rule.Value), Percent: small(int(rule.Percent))})
	}
	for _, d := range rules.Disciplines {
		if table := s.Table(d); table != nil {
			out.ValueSources = append(out.ValueSources, &pb.ValueSource{
				Discipline: string(d), Source: table.Source,
				Elements: small(len(entriesOf(s, []rules.Discipline{d}))),
			})
		}
	}
	for r := range s.EachRule() {
		out.Rules = append(out.Rules, &pb.Rule{Key: r.Key, Title: r.Title, Value: r.Value, Source: r.Source, Confidence: string(r.Confidence), Note: r.Note})
	}
	for _, f := range level.Features(s.Levels) {
		out.LevelFeatures = append(out.LevelFeatures, &pb.LevelFeature{
			Feature: pb.Feature_Value(pb.Feature_Value_value[f.Feature]), Title: f.Title, Short: f.Short,
			Kinds: f.Kinds, Positions: f.Positions, Reach: f.Reach, Reported: f.Reported,
		})
	}
	return out
}

func fromCategory(s *rules.Season, key string) *pb.Category {
	c := s.Categories[key]
	out := &pb.Category{
		Category: key, Title: c.Title, Discipline: string(c.Discipline), Level: c.Level, MaxLevel: small(c.MaxLevel),
		Deductions: fromDeductions(c.Deductions),
	}
	for _, k := range rules.SegmentKeys {
		if g := c.Segments[k]; g != nil {
			out.Segments = append(out.Segments, fromSegment(s, k, g))
		}
	}
	return out
}

func fromSegment(s *rules.Season, key string, g *rules.Segment) *pb.Segment {
	half := &g.SecondHalf
	out := &pb.Segment{
		Segment: key, Title: g.Title,
		SecondHalf: &pb.SecondHalf{Which: half.Which, Last: small(half.Last), Kinds: half.Kinds, Text: halfWords(s, half)},
	}
	if half.Which != "none" && half.Which != "" {
		out.SecondHalf.Percent = small(int(s.BaseValue.SecondHalf.Percent))
		if len(half.Kinds) == 0 {
			out.SecondHalf.Kinds = []string{"jump"}
		}
	}
	for _, c := range g.Panel {
		out.Components = append(out.Components, &pb.SegmentComponent{
			Component: pb.Component_Value(pb.Component_Value_value[c.Key]), Name: c.Name, Factor: c.Factor.String(),
		})
	}
	return out
}

func fromDeductions(all map[string]*rules.DeductionRule) []*pb.DeductionRule {
	var out []*pb.DeductionRule
	for _, kind := range rules.SortedKeys(all) {
		rule := all[kind]
		steps := rule.Steps
		if len(steps) == 0 {
			steps = []rules.Points{rule.Each}
		}
		to := &pb.DeductionRule{Kind: pb.DeductionKind_Value(pb.DeductionKind_Value_value[kind]), Note: rule.Note}
		for _, p := range steps {
			to.Points = append(to.Points, (-p).String())
		}
		out = append(out, to)
	}
	return out
}

func fromEntry(s *rules.Season, e entry) *pb.Element {
	out := &pb.Element{
		Code: e.row.Code, Name: e.element.Describe(), Kind: e.kind().String(), Discipline: string(e.discipline),
		BaseValue: e.row.Base.String(), Source: e.row.Source, Scope: e.row.Scope,
		Confidence: string(sure(e.row.BaseInferred)),
	}
	for mark := s.GOE.Min; mark <= s.GOE.Max; mark++ {
		if points, known, inferred := e.row.GOE(mark); known {
			out.GoePoints = append(out.GoePoints, &pb.GoePoints{Mark: small(mark), Points: points.String(), Confidence: string(sure(inferred))})
		}
	}
	for _, r := range e.reduced {
		out.ReducedForms = append(out.ReducedForms, &pb.ReducedForm{Code: r.Code, BaseValue: r.Base.String()})
	}
	return out
}

func sure(inferred bool) rules.Confidence {
	if inferred {
		return rules.Inferred
	}
	return rules.High
}

// small narrows what a table bounds far below the type.
func small(n int) int32 { return int32(n) }

// decimal returns a mark as a JSON number; quarters are exact.
func decimal(p rules.Points) float64 { return float64(p) / float64(rules.Point) }
