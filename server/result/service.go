// Package result answers ResultService: places in a segment and over an event.
package result

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/standing"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/tables"
)

// Service implements ResultService over season tables. It keeps nothing.
type Service struct {
	tables *tables.Tables
}

// New makes the service.
func New(t *tables.Tables) *Service { return &Service{tables: t} }

// RankSegment returns the places of one segment.
func (s *Service) RankSegment(_ context.Context, req *pb.RankSegmentRequest) (*pb.RankSegmentResponse, error) {
	season, warning, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err != nil {
		return nil, errs.From(err, req)
	}
	var faults rules.FieldErrors
	segment := req.GetSegment()
	switch {
	case segment == "":
		faults.Add("segment", rules.ReasonFieldRequired, "is empty; the segments are: %s", rules.AllowList(rules.SegmentKeys))
	case !slices.Contains(rules.SegmentKeys, segment):
		faults.Add("segment", rules.ReasonSegmentUnknown, "is %s; the segments are: %s", rules.Quote(segment), rules.AllowList(rules.SegmentKeys))
	}
	checkCount(&faults, "entries", len(req.GetEntries()))
	scores := make([]standing.Score, 0, len(req.GetEntries()))
	ids := ids{}
	for i, e := range req.GetEntries() {
		if len(faults) > maxFaults {
			break
		}
		at := fmt.Sprintf("entries[%d]", i)
		ids.add(&faults, at+".id", e.GetId())
		scores = append(scores, score(&faults, at, segment, e))
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	places := standing.Segment(season, segment, scores)
	out := &pb.RankSegmentResponse{Rules: answer.RulesInfo(season)}
	for i, e := range req.GetEntries() {
		out.Entries = append(out.Entries, &pb.RankedEntry{
			Id: e.GetId(), Place: int32(places[i].Number), SegmentScore: scores[i].SegmentScore.String(),
			TieBrokenBy: places[i].Broken, Shared: places[i].Shared,
		})
	}
	slices.SortStableFunc(out.Entries, func(a, b *pb.RankedEntry) int { return byPlace(a.GetPlace(), b.GetPlace()) })
	var found rules.Warnings
	for i, place := range places {
		if w := season.Standing.InSegment.Warn; w != nil && tied(place) {
			found.Add(w, fmt.Sprintf("entries[%d]", i))
		}
	}
	out.Warnings = answer.Warnings(warning, found)
	return out, nil
}

// RankEvent returns the places of each segment and the result over all.
func (s *Service) RankEvent(_ context.Context, req *pb.RankEventRequest) (*pb.RankEventResponse, error) {
	season, warning, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err != nil {
		return nil, errs.From(err, req)
	}
	var faults rules.FieldErrors
	var category *rules.Category
	if key := req.GetCategory(); key != "" {
		category, faults = season.Category(key)
	}
	checkCount(&faults, "competitors", len(req.GetCompetitors()))
	competitors := competitors(&faults, category, req.GetCompetitors())
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	final := standing.Final(season, competitors)
	out := &pb.RankEventResponse{Rules: answer.RulesInfo(season)}
	var found rules.Warnings
	for i, c := range req.GetCompetitors() {
		f := final[i]
		if w := season.Standing.Final.Warn; w != nil && tied(f.Place) && len(f.Segments) > 1 {
			found.Add(w, fmt.Sprintf("competitors[%d]", i))
		}
		ranked := &pb.RankedCompetitor{
			Id: c.GetId(), Place: int32(f.Number), TotalScore: f.Total.String(), TieBrokenBy: f.Broken, Shared: f.Shared,
		}
		for _, sc := range competitors[i].Scores {
			ranked.Segments = append(ranked.Segments, &pb.RankedSegment{
				Segment: sc.Segment, Place: int32(f.Segments[sc.Segment].Number), SegmentScore: sc.SegmentScore.String(),
			})
		}
		out.Competitors = append(out.Competitors, ranked)
	}
	slices.SortStableFunc(out.Competitors, func(a, b *pb.RankedCompetitor) int { return byPlace(a.GetPlace(), b.GetPlace()) })
	out.Warnings = answer.Warnings(warning, found)
	return out, nil
}

// maxFaults is where reading a request that is wrong throughout stops.
const maxFaults = 100

func competitors(faults *rules.FieldErrors, category *rules.Category, list []*pb.Competitor) []standing.Competitor {
	out := make([]standing.Competitor, 0, len(list))
	ids := ids{}
	for i, c := range list {
		if len(*faults) > maxFaults {
			break
		}
		at := fmt.Sprintf("competitors[%d]", i)
		ids.add(faults, at+".id", c.GetId())
		one := standing.Competitor{Status: statusOf(faults, at, c.GetStatus())}
		if n, most := len(c.GetSegments()), len(rules.SegmentKeys); n > most {
			faults.Add(at+".segments", rules.ReasonTooManyItems, "has %d; allowed is one for each segment, %s", n, rules.Allow("at most %d", most))
			continue
		}
		for j, sc := range c.GetSegments() {
			path := fmt.Sprintf("%s.segments[%d]", at, j)
			segment := sc.GetSegment()
			switch {
			case !slices.Contains(rules.SegmentKeys, segment):
				faults.Add(path+".segment", rules.ReasonSegmentUnknown, "is %s; the segments are: %s", rules.Quote(segment), rules.AllowList(rules.SegmentKeys))
			case category != nil && category.Segments[segment] == nil:
				faults.Add(path+".segment", rules.ReasonSegmentUnknown, "%s has no segment %s; it has: %s", category.Title, segment, rules.AllowList(rules.SortedKeys(category.Segments)))
			case slices.ContainsFunc(one.Scores, func(s standing.Score) bool { return s.Segment == segment }):
				faults.Add(path+".segment", rules.ReasonFieldInvalid, "%s stands twice for this competitor", segment)
			}
			one.Scores = append(one.Scores, score(faults, path, segment, sc))
		}
		out = append(out, one)
	}
	return out
}

// scored is what both kinds of entry have.
type scored interface {
	GetSegmentScore() string
	GetElementScore() string
	GetComponentScore() string
	GetStatus() pb.CompetitorStatus_Value
}

func score(faults *rules.FieldErrors, at, segment string, in scored) standing.Score {
	out := standing.Score{Segment: segment, Status: statusOf(faults, at, in.GetStatus())}
	for _, f := range []struct {
		field, text string
		into        *rules.Points
		required    bool
	}{
		{"segmentScore", in.GetSegmentScore(), &out.SegmentScore, out.Status == standing.Competing},
		{"elementScore", in.GetElementScore(), &out.ElementScore, false},
		{"componentScore", in.GetComponentScore(), &out.ComponentScore, false},
	} {
		if f.text == "" {
			if f.required {
				faults.Add(at+"."+f.field, rules.ReasonFieldRequired, "is empty: give the points as text with at most two decimals, such as \"61.25\"")
			}
			continue
		}
		p, err := rules.ParsePoints(f.text)
		if err != nil {
			faults.Add(at+"."+f.field, rules.ReasonFieldInvalid, "%v", err)
		}
		*f.into = p
	}
	return out
}

// ids finds competitors named twice.
type ids map[string]bool

func (seen ids) add(faults *rules.FieldErrors, at, id string) {
	switch {
	case id == "":
		faults.Add(at, rules.ReasonFieldRequired, "is empty: give your own name for the competitor")
	case seen[id]:
		faults.Add(at, rules.ReasonFieldInvalid, "%s stands twice", rules.Quote(id))
	}
	seen[id] = true
}

func checkCount(faults *rules.FieldErrors, field string, n int) {
	switch {
	case n == 0:
		faults.Add(field, rules.ReasonFieldRequired, "is empty: give at least one")
	case n > standing.MaxEntries:
		faults.Add(field, rules.ReasonTooManyItems, "has %d; ranked in one call are %s", n, rules.Allow("at most %d", standing.MaxEntries))
	}
}

func statusOf(faults *rules.FieldErrors, at string, s pb.CompetitorStatus_Value) standing.Status {
	switch s {
	case pb.CompetitorStatus_WITHDRAWN:
		return standing.Withdrawn
	case pb.CompetitorStatus_DISQUALIFIED:
		return standing.Disqualified
	case pb.CompetitorStatus_COMPETING, pb.CompetitorStatus_COMPETITOR_STATUS_UNSPECIFIED:
	default:
		faults.Add(at+".status", rules.ReasonFieldInvalid, "is %d; allowed are: %s", s, rules.Allowed("COMPETING, WITHDRAWN, DISQUALIFIED"))
	}
	return standing.Competing
}

// tied reports whether the season's rule for ties, which may not be fully sure, made
// a place.
func tied(p standing.Place) bool { return p.Broken != "" || p.Shared }

// byPlace orders places; those without one come last.
func byPlace(a, b int32) int {
	if (a == 0) != (b == 0) {
		return cmp.Compare(b, a)
	}
	return cmp.Compare(a, b)
}
