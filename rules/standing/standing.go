// Package standing makes places from segment scores: in one segment and over
// an event, with ties broken as the season's table says.
package standing

import (
	"cmp"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// MaxEntries is the largest number of competitors that are ranked at once.
const MaxEntries = 1000

// Status reports whether a competitor takes a place.
type Status string

// The statuses.
const (
	Competing    Status = ""
	Withdrawn    Status = "WITHDRAWN"
	Disqualified Status = "DISQUALIFIED"
)

// Score is a competitor's score of one segment.
type Score struct {
	Segment        string
	SegmentScore   rules.Points
	ElementScore   rules.Points
	ComponentScore rules.Points
	Status         Status
}

// Place is what a competitor reached. Number 0 means none: withdrawn,
// disqualified, or not skated.
type Place struct {
	Number int
	// Broken names what decided against an equal score beside this one:
	// element_score, component_score or a segment; empty when nothing had to.
	Broken string
	// Shared says that nothing in the rules parts this place from another's.
	Shared bool
}

// Segment returns the place of each score of one segment, in the order of scores.
func Segment(season *rules.Season, segment string, scores []Score) []Place {
	keys := make([]key, len(scores))
	for i, s := range scores {
		if s.Status == Competing {
			keys[i] = key{ranked: true, points: append([]rules.Points{s.SegmentScore}, s.deciders(season, segment)...)}
		}
	}
	return places(keys, append([]string{""}, deciders...))
}

// deciders names what can decide between equal scores of one segment.
var deciders = []string{string(rules.ByElementScore), string(rules.ByComponentScore)}

// deciders returns for each the points that count in the segment, or 0.
func (s Score) deciders(season *rules.Season, segment string) []rules.Points {
	switch season.Standing.Segments[segment] {
	case rules.ByElementScore:
		return []rules.Points{s.ElementScore, 0}
	case rules.ByComponentScore:
		return []rules.Points{0, s.ComponentScore}
	default:
		return []rules.Points{0, 0}
	}
}

// Competitor is someone with the scores of the segments skated so far.
type Competitor struct {
	Status Status
	Scores []Score
}

// Event is a competitor's standing over an event.
type Event struct {
	Place
	Total    rules.Points     // sum of the segment scores
	Segments map[string]Place // place in each segment skated
}

// Final ranks competitors over the segments of an event. Those who skated more
// segments stand before those who skated fewer (who did not reach the free
// skating, say); within them the total decides, and between equal totals the
// segments that the season's table names; between those who skated a single one,
// what breaks its ties. A disqualified competitor loses the places in the segments
// too (from memory of ISU Rule 353); who withdrew keeps those of the segments skated.
func Final(season *rules.Season, competitors []Competitor) []Event {
	ties := season.Standing.Final.By
	names := slices.Concat([]string{"", ""}, ties, deciders)
	events := make([]Event, len(competitors))
	keys := make([]key, len(competitors))
	for i, c := range competitors {
		out := Event{Segments: map[string]Place{}}
		k := key{ranked: c.Status == Competing && len(c.Scores) > 0, points: make([]rules.Points, len(names))}
		for _, s := range c.Scores {
			if s.Status != Competing {
				k.ranked = false
				continue
			}
			k.points[0]++ // segments skated
			out.Total += s.SegmentScore
			if t := slices.Index(ties, s.Segment); t >= 0 {
				k.points[2+t] = s.SegmentScore
			}
			if len(c.Scores) == 1 {
				copy(k.points[2+len(ties):], s.deciders(season, s.Segment))
			}
		}
		k.points[1] = out.Total
		events[i], keys[i] = out, k
	}
	for i, p := range places(keys, names) {
		events[i].Place = p
	}
	for _, segment := range segmentsOf(competitors) {
		segmentPlaces(season, segment, competitors, events)
	}
	return events
}

func segmentsOf(competitors []Competitor) []string {
	var list []string
	for _, c := range competitors {
		for _, s := range c.Scores {
			if !slices.Contains(list, s.Segment) {
				list = append(list, s.Segment)
			}
		}
	}
	return list
}

func segmentPlaces(season *rules.Season, segment string, competitors []Competitor, events []Event) {
	var scores []Score
	var owner []int
	for i, c := range competitors {
		for _, s := range c.Scores {
			if s.Segment != segment {
				continue
			}
			if c.Status == Disqualified {
				s.Status = Disqualified
			}
			scores, owner = append(scores, s), append(owner, i)
		}
	}
	for j, p := range Segment(season, segment, scores) {
		events[owner[j]].Segments[segment] = p
	}
}

// key is what a competitor is compared by, the gravest first.
type key struct {
	ranked bool
	points []rules.Points
}

// places sorts keys and numbers them; equal keys share a place and the next
// place is left out. names says for each point of a key what it is called when
// it decides between equal ones before it.
func places(keys []key, names []string) []Place {
	order := make([]int, 0, len(keys))
	for i := range keys {
		if keys[i].ranked {
			order = append(order, i)
		}
	}
	compare := func(a, b int) (int, int) {
		for n := range keys[a].points {
			if c := cmp.Compare(keys[b].points[n], keys[a].points[n]); c != 0 {
				return c, n
			}
		}
		return 0, -1
	}
	slices.SortStableFunc(order, func(a, b int) int { c, _ := compare(a, b); return c })
	out := make([]Place, len(keys))
	broken := map[int]string{} // by place number: all who share a place have the same
	for n, i := range order {
		out[i].Number = n + 1
		if n == 0 {
			continue
		}
		before := order[n-1]
		c, at := compare(before, i)
		switch {
		case c == 0:
			out[i].Number = out[before].Number
			out[i].Shared, out[before].Shared = true, true
		case names[at] != "":
			broken[out[i].Number], broken[out[before].Number] = names[at], names[at]
		}
	}
	for i := range out {
		out[i].Broken = broken[out[i].Number]
	}
	return out
}
