package api

import (
	"context"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/event"
)

// PreviewCorrection says what a correction would make of the score and the places.
// The decision is that of CorrectResult; its facts are not written.
func (v *Service) PreviewCorrection(ctx context.Context, req *pb.PreviewCorrectionRequest) (*pb.PreviewCorrectionResponse, error) {
	res := &pb.PreviewCorrectionResponse{}
	err := v.view(ctx, req, func(r *Reader) error {
		d := event.Decision{State: r.State, Command: &event.Command{
			Actor: r.actor, Season: func() (*rules.Season, error) { return pinned(v.seasons, r.Data) },
		}}
		before, after, err := d.Corrected(req)
		if err != nil {
			return err
		}
		res.Performance, res.ScoreBefore, res.Sequence = r.Performance(after), points(before.Score.GetSegmentScore()), r.Seq
		res.Places, res.Moved = r.changedPlaces(before, before.WithScore(after.Score))
		return nil
	})
	return res, err
}

// changedPlaces returns the places of a performance's entry with another score, and those
// of the others whose places change by it.
func (r *Reader) changedPlaces(before, after *event.Performance) (own *pb.ChangedPlaces, moved []*pb.ChangedPlaces) {
	was, is := r.places(before), r.places(after)
	for _, p := range event.SegmentPlaces(r.season, after.Segment) {
		entry := p.Entry.GetEntry()
		change := &pb.ChangedPlaces{
			Entry: entry, Name: p.Entry.GetName(),
			PlaceBefore: was[entry].segment, PlaceAfter: is[entry].segment,
			FinalPlaceBefore: was[entry].final, FinalPlaceAfter: is[entry].final,
		}
		switch {
		case p.Performance == after:
			own = change
		case was[entry] != is[entry]:
			moved = append(moved, change)
		}
	}
	return own, moved
}

// inPlaces is an entry's places in a segment and over the segments; 0 is none.
type inPlaces struct{ segment, final int32 }

// places returns the places of the segment and the category that a performance
// belongs to, by entry.
func (r *Reader) places(p *event.Performance) map[string]inPlaces {
	places := map[string]inPlaces{}
	for _, placed := range event.SegmentPlaces(r.season, p.Segment) {
		places[placed.Entry.GetEntry()] = inPlaces{segment: number(placed.Place.Number)}
	}
	for _, total := range event.FinalPlaces(r.season, r.State, p.Segment.Category, "") {
		at := places[total.GetEntry()]
		at.final = number(total.Number)
		places[total.GetEntry()] = at
	}
	return places
}
