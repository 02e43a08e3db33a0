package events_test

import (
	"context"
	"slices"
	"testing"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/demo"
)

// play runs the invented event of two categories and twelve skaters through a desk
// to its signed results, and returns its id. Who wants to know the id before the
// first skater is called says so.
func play(t testing.TB, d *desk, started ...func(event string)) string {
	t.Helper()
	id := ""
	demo := &demo.Event{Service: d, Seed: 7, Today: day(), Started: func(e string) {
		id = e
		for _, tell := range started {
			tell(e)
		}
	}}
	if err := demo.Play(t.Context()); err != nil {
		t.Fatal(err)
	}
	return id
}

// A whole event run by script through the public API, by everybody's own token,
// ends with the results that segments:score and results:rank give from its calls
// and marks. Where it comes in makes no difference.
func TestWholeEvent(t *testing.T) {
	s := start(t)
	var results []*pb.FinalStanding
	for name, conn := range map[string]grpc.ClientConnInterface{"REST": s.rest(), "gRPC": s.conn(t)} {
		t.Run(name, func(t *testing.T) {
			d := newDesk(name, s.admin, conn)
			id := play(t, d)
			results = append(results, checkResults(t, conn, id)...)
			t.Logf("%d calls", d.calls)
		})
	}
	// The same seed makes the same event.
	for i := range len(results) / 2 {
		one, other := results[i].GetPlaces(), results[i+len(results)/2].GetPlaces()
		if !slices.EqualFunc(one, other, func(a, b *pb.FinalPlace) bool {
			return a.GetName() == b.GetName() && a.GetTotalScore() == b.GetTotalScore()
		}) {
			t.Errorf("results differ: %v, %v", one, other)
		}
	}
}

// checkResults calculates a finished event again through the public API, from what
// anybody can read of it.
func checkResults(t testing.TB, conn grpc.ClientConnInterface, id string) []*pb.FinalStanding {
	t.Helper()
	ctx := context.Background()
	events, scoring, results := pb.NewEventServiceClient(conn), pb.NewScoringServiceClient(conn), pb.NewResultServiceClient(conn)
	whole, err := events.GetEvent(ctx, &pb.GetEventRequest{Event: id})
	if err != nil {
		t.Fatal(err)
	}
	season := whole.GetEvent().GetRules()
	var standings []*pb.FinalStanding
	sheets := 0
	for _, c := range whole.GetEvent().GetCategories() {
		rank := &pb.RankEventRequest{Season: season.GetSeason(), Category: c.GetRulesCategory()}
		competitors := map[string]*pb.Competitor{}
		for _, g := range c.GetSegments() {
			for _, place := range g.GetOrder() {
				got, err := events.GetPerformance(ctx, &pb.GetPerformanceRequest{Event: id, Category: c.GetCategory(), Segment: g.GetSegment(), Entry: place.GetEntry()})
				if err != nil {
					t.Fatal(err)
				}
				p := got.GetPerformance()
				want, err := scoring.ScoreSegment(ctx, asked(season, c, p))
				if err != nil {
					t.Fatalf("%s: %v", p.GetName(), err)
				}
				sheets++
				if p.GetSegmentScore() == "" || p.GetSegmentScore() != want.GetSegmentScore() || p.GetElementScore() != want.GetElementScore() ||
					p.GetComponentScore() != want.GetComponentScore() || p.GetTotalDeductions() != want.GetTotalDeductions() {
					t.Errorf("%s, %s: %s = %s + %s - %s, segments:score says %s = %s + %s - %s", p.GetName(), p.GetSegment(),
						p.GetSegmentScore(), p.GetElementScore(), p.GetComponentScore(), p.GetTotalDeductions(),
						want.GetSegmentScore(), want.GetElementScore(), want.GetComponentScore(), want.GetTotalDeductions())
				}
				of := competitors[p.GetEntry()]
				if of == nil {
					of = &pb.Competitor{Id: p.GetEntry()}
					competitors[p.GetEntry()], rank.Competitors = of, append(rank.GetCompetitors(), of)
				}
				of.Segments = append(of.GetSegments(), &pb.SegmentScore{
					Segment: p.GetSegment(), SegmentScore: p.GetSegmentScore(), ElementScore: p.GetElementScore(), ComponentScore: p.GetComponentScore(),
				})
			}
		}
		want, err := results.RankEvent(ctx, rank)
		if err != nil {
			t.Fatal(err)
		}
		got, err := events.GetFinalStanding(ctx, &pb.GetFinalStandingRequest{Event: id, Category: c.GetCategory()})
		if err != nil {
			t.Fatal(err)
		}
		checkPlaces(t, c.GetCategory(), got.GetStanding(), want)
		standings = append(standings, got.GetStanding())
	}
	if sheets != 24 {
		t.Errorf("%d sheets, want 24", sheets)
	}
	return standings
}

// asked writes a sheet as a request to score it.
func asked(season *pb.RulesInfo, c *pb.EventCategory, p *pb.Performance) *pb.ScoreSegmentRequest {
	req := &pb.ScoreSegmentRequest{
		Season: season.GetSeason(), Revision: season.GetRevision(), Category: c.GetRulesCategory(), Segment: p.GetSegment(), AbsentJudges: p.GetAbsentJudges(),
	}
	for _, from := range p.GetElements() {
		e := &pb.MarkedElement{Code: from.GetCode(), SecondHalf: from.GetSecondHalf()}
		for _, m := range from.GetMarks() {
			e.Marks = append(e.Marks, m.GetMark())
		}
		req.Elements = append(req.Elements, e)
	}
	for _, from := range p.GetComponents() {
		c := &pb.MarkedComponent{Component: from.GetComponent()}
		for _, m := range from.GetMarks() {
			c.Marks = append(c.Marks, m.GetMark())
		}
		req.Components = append(req.Components, c)
	}
	for _, d := range p.GetDeductions() {
		req.Deductions = append(req.Deductions, &pb.Deduction{Kind: d.GetKind(), Count: new(d.GetCount())})
	}
	return req
}

func checkPlaces(t testing.TB, category string, got *pb.FinalStanding, want *pb.RankEventResponse) {
	t.Helper()
	if got.GetStatus() != pb.ResultStatus_OFFICIAL || len(got.GetPlaces()) != 6 || len(want.GetCompetitors()) != 6 {
		t.Fatalf("%s: %s, %d places, results:rank gives %d", category, got.GetStatus(), len(got.GetPlaces()), len(want.GetCompetitors()))
	}
	for _, p := range got.GetPlaces() {
		i := slices.IndexFunc(want.GetCompetitors(), func(c *pb.RankedCompetitor) bool { return c.GetId() == p.GetEntry() })
		if w := want.GetCompetitors()[i]; p.GetPlace() == 0 || p.GetPlace() != w.GetPlace() || p.GetTotalScore() != w.GetTotalScore() {
			t.Errorf("%s: %s is %d. with %s, results:rank says %d. with %s", category, p.GetName(), p.GetPlace(), p.GetTotalScore(), w.GetPlace(), w.GetTotalScore())
		}
	}
}
