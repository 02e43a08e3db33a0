package live

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
)

// mostPlaces is how many places of a standing the board holds as a matter of course.
// The largest segment of the published score sheets that the tables are checked with
// has 53. A place is about 250 bytes as JSON, and everybody who watches is sent all of
// them after every confirmation.
const mostPlaces = 60

// Of a standing with more places the board holds the first, and those on either side
// of who skates.
const (
	firstPlaces  = 20
	besidePlaces = 4
)

// place is a place of a standing.
type place interface{ GetEntry() string }

// shortPart returns both standings as the board holds them: whole where they are of
// ordinary size. Of a larger one it holds the places of everybody who is shown in
// either, so that a row can be made of both.
func (p *parts) shortPart() (*pb.SegmentStanding, *pb.FinalStanding) {
	standing, final := p.standingPart(), p.finalPart()
	if max(len(standing.GetPlaces()), len(final.GetPlaces())) <= mostPlaces {
		return standing, final
	}
	if p.short == nil {
		skater := ""
		if of := latest(p.reader.State); of != nil {
			skater = of.Entry.GetEntry()
		}
		shown := map[string]bool{}
		show(standing.GetPlaces(), skater, shown)
		show(final.GetPlaces(), skater, shown)
		p.short = &short{p.segmentPlaces(only(standing.GetPlaces(), shown)), p.finalPlaces(only(final.GetPlaces(), shown))}
	}
	return p.short.standing, p.short.final
}

// short are both standings as the board of a large category holds them.
type short struct {
	standing *pb.SegmentStanding
	final    *pb.FinalStanding
}

// show adds the entries of a standing that the board shows.
func show[P place](places []P, skater string, shown map[string]bool) {
	at := slices.IndexFunc(places, func(p P) bool { return p.GetEntry() == skater })
	for i, p := range places {
		beside := at >= 0 && max(i-at, at-i) <= besidePlaces
		if len(places) <= mostPlaces || i < firstPlaces || beside {
			shown[p.GetEntry()] = true
		}
	}
}

// only returns the places of these entries.
func only[P place](places []P, entries map[string]bool) []P {
	var list []P
	for _, p := range places {
		if entries[p.GetEntry()] {
			list = append(list, p)
		}
	}
	return list
}

// segmentPlaces returns the standing of the segment with some of its places.
func (p *parts) segmentPlaces(places []*pb.SegmentPlace) *pb.SegmentStanding {
	out := answer.Shallow(p.standingPart())
	if all := len(out.GetPlaces()); len(places) < all {
		out.Places, out.TotalPlaces, out.PlacesTag = places, new(int32(all)), &p.tagsPart().standing
	}
	return out
}

// finalPlaces returns the result over the segments with some of its places.
func (p *parts) finalPlaces(places []*pb.FinalPlace) *pb.FinalStanding {
	out := answer.Shallow(p.finalPart())
	if all := len(out.GetPlaces()); len(places) < all {
		out.Places, out.TotalPlaces, out.PlacesTag = places, new(int32(all)), &p.tagsPart().final
	}
	return out
}

// tags are fingerprints of all that the standings show.
type tags struct{ standing, final string }

func (p *parts) tagsPart() *tags {
	if p.tags == nil {
		p.tags = &tags{tagOf(p.standingPart()), tagOf(p.finalPart())}
	}
	return p.tags
}

func tagOf(m proto.Message) string {
	data, err := proto.MarshalOptions{Deterministic: true}.Marshal(m)
	if err != nil {
		return "" // only of text that is no UTF-8, which cannot be sent either
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:8])
}

// ListPlaces lists all places behind the board.
func (s *Service) ListPlaces(ctx context.Context, req *pb.ListPlacesRequest) (*pb.ListPlacesResponse, error) {
	var faults rules.FieldErrors
	size := ask.PageSize(req.GetPageSize(), &faults)
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	var res *pb.ListPlacesResponse
	err := s.hub.read(ctx, req.GetEvent(), func(p *parts) (err error) {
		res, err = p.page(req.GetPageToken(), size)
		return err
	})
	return res, errs.From(err, req)
}

// page returns the places of a page. Its token is bound to all that both standings
// show, so that pages of different standings are never put together.
func (p *parts) page(token string, size int) (*pb.ListPlacesResponse, error) {
	res := &pb.ListPlacesResponse{Sequence: p.reader.Seq}
	list := ask.ListOf(p.tagsPart().standing, p.tagsPart().final)
	from, ok := list.Start(token)
	if !ok {
		return nil, rules.FieldErrors{rules.Fault("pageToken", ask.ReasonPageToken,
			"is not a token of these places, which may have changed since the page before: begin again without one")}
	}
	standing, final := p.standingPart(), p.finalPart()
	if standing == nil {
		return res, nil
	}
	all := max(len(standing.GetPlaces()), len(final.GetPlaces()))
	res.Standing = p.segmentPlaces(pageOf(standing.GetPlaces(), from, size))
	res.FinalStanding = p.finalPlaces(pageOf(final.GetPlaces(), from, size))
	if from+size < all {
		res.NextPageToken = list.Token(from + size)
	}
	return res, nil
}

// pageOf returns so many items from one on, as many as there are.
func pageOf[T any](all []T, from, size int) []T {
	from = min(from, len(all))
	return all[from:min(from+size, len(all))]
}
