package api_test

import (
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/demo"
	"github.com/rinktally/rinktally/server/result"
)

// The results of a whole event of two categories and twelve skaters are those
// that the calculation alone gives from its calls and marks.
func TestWholeEventEqualsTheCalculation(t *testing.T) {
	r := newRink(t)
	ctx := t.Context()
	id := ""
	demo := &demo.Event{Service: r, Seed: 7, Today: day, Started: func(e string) { id = e }}
	if err := demo.Play(ctx); err != nil {
		t.Fatal(err)
	}
	whole, err := r.GetEvent(ctx, &pb.GetEventRequest{Event: id})
	if err != nil {
		t.Fatal(err)
	}
	if got := len(whole.GetEvent().GetCategories()); got != 2 {
		t.Fatalf("%d categories, want 2", got)
	}
	performances := 0
	for _, c := range whole.GetEvent().GetCategories() {
		competitors := map[string]*pb.Competitor{}
		for _, g := range c.GetSegments() {
			if g.GetState() != pb.SegmentState_OFFICIAL {
				t.Errorf("%s of %s is %s", g.GetSegment(), c.GetCategory(), g.GetState())
			}
			for _, s := range g.GetOrder() {
				res, err := r.GetPerformance(ctx, &pb.GetPerformanceRequest{Event: id, Category: c.GetCategory(), Segment: g.GetSegment(), Entry: s.GetEntry()})
				if err != nil {
					t.Fatal(err)
				}
				p := res.GetPerformance()
				checkScore(t, r, whole.GetEvent(), c, p)
				performances++
				if competitors[s.GetEntry()] == nil {
					competitors[s.GetEntry()] = &pb.Competitor{Id: s.GetEntry()}
				}
				competitors[s.GetEntry()].Segments = append(competitors[s.GetEntry()].GetSegments(), &pb.SegmentScore{
					Segment: g.GetSegment(), SegmentScore: p.GetSegmentScore(), ElementScore: p.GetElementScore(), ComponentScore: p.GetComponentScore(),
				})
			}
		}
		checkFinal(t, r, whole.GetEvent(), c, competitors)
	}
	if performances != 24 {
		t.Errorf("%d performances, want 24", performances)
	}
}

// checkScore scores a sheet again through ScoringService.
func checkScore(t *testing.T, r *rink, e *pb.Event, c *pb.EventCategory, p *pb.Performance) {
	t.Helper()
	req := &pb.ScoreSegmentRequest{
		Season: e.GetRules().GetSeason(), Revision: e.GetRules().GetRevision(), Category: c.GetRulesCategory(), Segment: p.GetSegment(),
		AbsentJudges: p.GetAbsentJudges(),
	}
	for _, g := range c.GetSegments() {
		if g.GetSegment() == p.GetSegment() {
			req.Scope = g.GetScope()
		}
	}
	for _, from := range p.GetElements() {
		to := &pb.MarkedElement{Code: from.GetCode(), SecondHalf: from.GetSecondHalf()}
		for _, m := range from.GetMarks() {
			to.Marks = append(to.Marks, m.GetMark())
		}
		req.Elements = append(req.Elements, to)
	}
	for _, from := range p.GetComponents() {
		to := &pb.MarkedComponent{Component: from.GetComponent()}
		for _, m := range from.GetMarks() {
			to.Marks = append(to.Marks, m.GetMark())
		}
		req.Components = append(req.Components, to)
	}
	for _, d := range p.GetDeductions() {
		req.Deductions = append(req.Deductions, &pb.Deduction{Kind: d.GetKind(), Count: new(d.GetCount())})
	}
	want, err := r.scoring().ScoreSegment(t.Context(), req)
	if err != nil {
		t.Fatalf("%s: %v", p.GetName(), err)
	}
	for name, pair := range map[string][2]string{
		"element score":   {p.GetElementScore(), want.GetElementScore()},
		"component score": {p.GetComponentScore(), want.GetComponentScore()},
		"deductions":      {p.GetTotalDeductions(), want.GetTotalDeductions()},
		"segment score":   {p.GetSegmentScore(), want.GetSegmentScore()},
	} {
		if pair[0] != pair[1] || pair[0] == "" {
			t.Errorf("%s, %s: %s is %q, the calculation says %q", p.GetName(), p.GetSegment(), name, pair[0], pair[1])
		}
	}
	for i, e := range p.GetElements() {
		w := want.GetElements()[i]
		if e.GetBaseValue() != w.GetBaseValue() || e.GetGoe() != w.GetGoe() || e.GetScore() != w.GetScore() {
			t.Errorf("%s, %s: %v, the calculation says %v", p.GetName(), e.GetCode(), e, w)
		}
	}
	for i, c := range p.GetComponents() {
		w := want.GetComponents()[i]
		if c.GetPanelScore() != w.GetPanelScore() || c.GetScore() != w.GetScore() || c.GetFactor() != w.GetFactor() {
			t.Errorf("%s, %s: %v, the calculation says %v", p.GetName(), c.GetName(), c, w)
		}
	}
}

// checkFinal ranks a category again through ResultService.
func checkFinal(t *testing.T, r *rink, e *pb.Event, c *pb.EventCategory, competitors map[string]*pb.Competitor) {
	t.Helper()
	req := &pb.RankEventRequest{Season: e.GetRules().GetSeason(), Category: c.GetRulesCategory()}
	for _, competitor := range competitors {
		req.Competitors = append(req.Competitors, competitor)
	}
	want, err := result.New(r.tables.Tables()).RankEvent(t.Context(), req)
	if err != nil {
		t.Fatal(err)
	}
	got, err := r.GetFinalStanding(t.Context(), &pb.GetFinalStandingRequest{Event: e.GetEvent(), Category: c.GetCategory()})
	if err != nil {
		t.Fatal(err)
	}
	if got.GetStanding().GetStatus() != pb.ResultStatus_OFFICIAL {
		t.Errorf("%s: final result is %s", c.GetCategory(), got.GetStanding().GetStatus())
	}
	if len(got.GetStanding().GetPlaces()) != len(want.GetCompetitors()) || len(want.GetCompetitors()) != 6 {
		t.Fatalf("%s: %d places, ranking says %d", c.GetCategory(), len(got.GetStanding().GetPlaces()), len(want.GetCompetitors()))
	}
	places := map[string]*pb.RankedCompetitor{}
	for _, w := range want.GetCompetitors() {
		places[w.GetId()] = w
	}
	for _, p := range got.GetStanding().GetPlaces() {
		w := places[p.GetEntry()]
		if p.GetPlace() != w.GetPlace() || p.GetTotalScore() != w.GetTotalScore() || p.GetPlace() == 0 {
			t.Errorf("%s: place %d with %s, ranking says %d with %s", p.GetName(), p.GetPlace(), p.GetTotalScore(), w.GetPlace(), w.GetTotalScore())
		}
		for i, s := range p.GetSegments() {
			if w.GetSegments()[i].GetPlace() != s.GetPlace() {
				t.Errorf("%s: place %d in %s, ranking says %d", p.GetName(), s.GetPlace(), s.GetSegment(), w.GetSegments()[i].GetPlace())
			}
		}
	}
}
