package event

import (
	"slices"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/standing"
)

// Placed is a performance with its place.
type Placed struct {
	*Performance
	standing.Place
}

// SegmentPlaces returns the places of a segment: confirmed performances in the
// order of places, then the others in starting order.
func SegmentPlaces(season *rules.Season, g *Segment) []Placed {
	list := make([]Placed, len(g.Performances))
	scores := make([]standing.Score, len(g.Performances))
	for i, p := range g.Performances {
		list[i].Performance, scores[i] = p, p.standing()
	}
	for i, place := range standing.Segment(season, g.Key, scores) {
		if g.Performances[i].Score != nil {
			list[i].Place = place
		}
	}
	slices.SortStableFunc(list, func(a, b Placed) int { return byPlace(a.Place, b.Place) })
	return list
}

// standing returns a performance as the ranking takes it. One that is not
// confirmed takes no place. Who withdraws later keeps the place in a segment that
// was skated, who is disqualified does not: from memory of the sport's practice.
func (p *Performance) standing() standing.Score {
	out := standing.Score{Segment: p.Segment.Key}
	if p.Score == nil {
		out.Status = standing.Withdrawn
		return out
	}
	if p.Entry.Status == standing.Disqualified {
		out.Status = standing.Disqualified
	}
	out.SegmentScore = rules.Points(p.Score.GetSegmentScore())
	out.ElementScore = rules.Points(p.Score.GetElementScore())
	out.ComponentScore = rules.Points(p.Score.GetComponentScore())
	return out
}

// WithScore returns a performance as it would be with a score, in a segment and a
// category of its own, so that its places can be found before it is confirmed.
func (p *Performance) WithScore(score *logv1.Score) *Performance {
	category, segment, scored := *p.Segment.Category, *p.Segment, *p
	scored.Segment, scored.Score = &segment, score
	segment.Category = &category
	segment.Performances = slices.Clone(segment.Performances)
	segment.Performances[slices.Index(segment.Performances, p)] = &scored
	category.Segments = slices.Clone(category.Segments)
	category.Segments[slices.Index(category.Segments, p.Segment)] = &segment
	return &scored
}

// Total is an entry with its result over the segments.
type Total struct {
	*Entry
	standing.Event
	Scored []*Performance // confirmed performances in the order of segments
}

// FinalPlaces returns the result over a category's segments so far: the entries in
// the order of places, then those without one as they were entered. Segments from
// the one with the key on are left out; "" takes all.
func FinalPlaces(season *rules.Season, s *State, c *Category, before string) []Total {
	scored := map[string][]*Performance{} // by entry
	for _, g := range c.Segments {
		if g.Key == before {
			break
		}
		for _, p := range g.Performances {
			if p.Score != nil {
				scored[p.Entry.GetEntry()] = append(scored[p.Entry.GetEntry()], p)
			}
		}
	}
	var list []Total
	var competitors []standing.Competitor
	for _, e := range s.EntriesOf(c.ID) {
		competitor := standing.Competitor{Status: e.Status}
		for _, p := range scored[e.GetEntry()] {
			competitor.Scores = append(competitor.Scores, p.standing())
		}
		list, competitors = append(list, Total{Entry: e, Scored: scored[e.GetEntry()]}), append(competitors, competitor)
	}
	for i, result := range standing.Final(season, competitors) {
		list[i].Event = result
	}
	slices.SortStableFunc(list, func(a, b Total) int { return byPlace(a.Place, b.Place) })
	return list
}

// byPlace puts places in order and who has none behind them.
func byPlace(a, b standing.Place) int {
	switch {
	case a.Number == b.Number:
		return 0
	case a.Number == 0:
		return 1
	case b.Number == 0:
		return -1
	default:
		return a.Number - b.Number
	}
}

// Official reports that the referee has signed every segment of a category.
func (c *Category) Official() bool {
	return len(c.Segments) > 0 && !slices.ContainsFunc(c.Segments, func(g *Segment) bool {
		return g.State() != pb.SegmentState_OFFICIAL
	})
}
