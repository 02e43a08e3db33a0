package live

import (
	"context"
	"slices"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
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

// shorten returns both standings as the board holds them: whole where they are of
// ordinary size. Of a larger one it holds the places of everybody who is shown in
// either, so that a row can be made of both.
func shorten(standing *pb.SegmentStanding, final *pb.FinalStanding, skater string) (*pb.SegmentStanding, *pb.FinalStanding) {
	shown := map[string]bool{}
	show(standing.GetPlaces(), skater, shown)
	show(final.GetPlaces(), skater, shown)
	if len(standing.GetPlaces()) > mostPlaces {
		standing = segmentPart(standing, only(standing.GetPlaces(), shown))
	}
	if len(final.GetPlaces()) > mostPlaces {
		final = finalPart(final, only(final.GetPlaces(), shown))
	}
	return standing, final
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

// segmentPart returns a standing with some of its places.
func segmentPart(all *pb.SegmentStanding, places []*pb.SegmentPlace) *pb.SegmentStanding {
	out := copied(all)
	out.Places = places
	if n := len(all.GetPlaces()); len(places) < n {
		out.TotalPlaces = new(int32(n))
	}
	return out
}

// finalPart is segmentPart for the result over the segments.
func finalPart(all *pb.FinalStanding, places []*pb.FinalPlace) *pb.FinalStanding {
	out := copied(all)
	out.Places = places
	if n := len(all.GetPlaces()); len(places) < n {
		out.TotalPlaces = new(int32(n))
	}
	return out
}

// copied returns a message that shares its members with another.
func copied[M proto.Message](of M) M {
	out := of.ProtoReflect().New()
	of.ProtoReflect().Range(func(field protoreflect.FieldDescriptor, value protoreflect.Value) bool {
		out.Set(field, value)
		return true
	})
	return out.Interface().(M) //nolint:forcetypeassert // it was made as one
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
	list := p.placesPart()
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
	res.Standing = segmentPart(standing, pageOf(standing.GetPlaces(), from, size))
	res.FinalStanding = finalPart(final, pageOf(final.GetPlaces(), from, size))
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
