package live

import (
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/api"
)

// upcoming is how many skaters who are next are shown.
const upcoming = 3

// board makes the scoreboard of an event. The parts are nobody's, since everybody
// sees the board; marks of single judges are never on it.
func (p *parts) board() *pb.Scoreboard {
	if p.copied != nil {
		return p.copied
	}
	r := p.reader
	out := &pb.Scoreboard{
		Event: r.ID, Name: r.Data.GetName(), Place: r.Data.GetPlace(),
		Sequence: r.Seq, Time: timestamppb.New(r.Time), Segments: p.segmentsPart(), Warnings: r.Warnings(),
	}
	g := r.Focus
	if g == nil {
		return out
	}
	out.Segment = segment(g)
	out.Standing, out.FinalStanding = p.shortPart()
	for _, next := range g.Next(upcoming) {
		out.Next = append(out.Next, api.StartingPlace(next))
	}
	if of := latest(r.State); of != nil {
		out.Skater = p.skater(of)
	}
	return out
}

func segment(g *event.Segment) *pb.ScoreboardSegment {
	out := &pb.ScoreboardSegment{
		Category: g.Category.ID, CategoryTitle: g.Category.Title, Segment: g.Key, SegmentTitle: g.Title,
		State: g.State(), Status: pb.ResultStatus_PROVISIONAL, OrderSequence: g.Drawn,
	}
	if g.Published {
		out.Status = pb.ResultStatus_OFFICIAL
	}
	for _, p := range g.Performances {
		switch p.State() {
		case pb.PerformanceState_OUT:
			continue
		case pb.PerformanceState_CONFIRMED:
			out.Confirmed++
		}
		out.Performances++
	}
	return out
}

func (p *parts) skater(of *event.Performance) *pb.ScoreboardSkater {
	out := &pb.ScoreboardSkater{Performance: p.reader.Performance(of)}
	for _, e := range out.GetPerformance().GetElements() {
		e.Marks, e.Call = nil, nil
	}
	for _, c := range out.GetPerformance().GetComponents() {
		c.Marks = nil
	}
	out.GetPerformance().Missing = nil // the panel's matter
	switch of.State() {
	case pb.PerformanceState_CONFIRMED:
		for _, place := range p.standingPart().GetPlaces() {
			if place.GetEntry() == of.Entry.GetEntry() {
				out.Place = place.GetPlace()
			}
		}
		for _, place := range p.finalPart().GetPlaces() {
			if place.GetEntry() == of.Entry.GetEntry() {
				out.FinalPlace = place.GetPlace()
			}
		}
	case pb.PerformanceState_ON_ICE, pb.PerformanceState_REVIEW:
		out.Lead = lead(p.reader, of, p.finalPart())
	}
	return out
}

// lead says what a skater needs to lead. Who leads is the first of those who
// have skated this segment; before there is one, nobody can be overtaken.
func lead(r *api.Reader, p *event.Performance, final *pb.FinalStanding) *pb.Lead {
	places := final.GetPlaces()
	if len(places) == 0 || places[0].GetPlace() != 1 {
		return nil
	}
	first := places[0]
	skated, own := false, 1
	for _, s := range first.GetSegments() {
		skated = skated || s.GetSegment() == p.Segment.Key
	}
	for _, place := range places {
		if place.GetEntry() == p.Entry.GetEntry() {
			own += len(place.GetSegments())
		}
	}
	// Who has skated more segments stands in front, whatever the points.
	total, err := rules.ParsePoints(first.GetTotalScore())
	if !skated || err != nil || own != len(first.GetSegments()) {
		return nil
	}
	return &pb.Lead{
		Entry: first.GetEntry(), Name: first.GetName(), TotalScore: first.GetTotalScore(),
		SegmentScoreToExceed: (total - r.ScoredBefore(p)).String(),
	}
}
