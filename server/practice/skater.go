package practice

import (
	"context"
	"fmt"
	"slices"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/store/books"
)

const (
	maxKey     = 60 // characters of a season's or a category's key
	maxPlanned = 30 // elements of a planned program
)

// AddSkater adds a skater.
func (s *Service) AddSkater(ctx context.Context, req *pb.AddSkaterRequest) (*pb.AddSkaterResponse, error) {
	var faults rules.FieldErrors
	request := s.requestOf(&faults, req)
	skater := &pb.Skater{
		Name: required(&faults, "name", req.GetName(), maxName), Season: ask.Text(&faults, "season", req.GetSeason(), maxKey),
		Category: ask.Text(&faults, "category", req.GetCategory(), maxKey), Programs: s.programs(&faults, "programs", req.GetPrograms()),
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	body, err := proto.Marshal(skater)
	if err != nil {
		return nil, errs.From(err, req)
	}
	added, err := s.store.AddSkater(ctx, req.GetBook(), request, body)
	if err != nil {
		return nil, fault(err, req, "skaters")
	}
	now, err := s.skater(ctx, books.Key{Book: req.GetBook(), Skater: added.First})
	if err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.AddSkaterResponse{Skater: now}, nil
}

// ListSkaters lists the skaters of a book.
func (s *Service) ListSkaters(ctx context.Context, req *pb.ListSkatersRequest) (*pb.ListSkatersResponse, error) {
	kept, err := s.store.Skaters(ctx, req.GetBook())
	if err != nil {
		return nil, fault(err, req, "")
	}
	res := &pb.ListSkatersResponse{Skaters: make([]*pb.Skater, len(kept))}
	for i := range kept {
		if res.Skaters[i], err = fromSkater(&kept[i]); err != nil {
			return nil, errs.From(err, req)
		}
	}
	return res, nil
}

func (s *Service) skater(ctx context.Context, key books.Key) (*pb.Skater, error) {
	kept, err := s.store.Skater(ctx, key)
	if err != nil {
		return nil, err
	}
	return fromSkater(&kept)
}

func fromSkater(kept *books.Skater) (*pb.Skater, error) {
	skater := &pb.Skater{}
	if err := proto.Unmarshal(kept.Body, skater); err != nil {
		return nil, fmt.Errorf("skater %d: %w", kept.ID, err)
	}
	skater.Skater, skater.Attempts = idOf(kept.ID), int32(kept.Attempts)
	if !kept.Last.IsZero() {
		skater.LastTime = timestamppb.New(kept.Last)
	}
	return skater, nil
}

// UpdateSkater changes what a skater is called and plans.
func (s *Service) UpdateSkater(ctx context.Context, req *pb.UpdateSkaterRequest) (*pb.UpdateSkaterResponse, error) {
	var faults rules.FieldErrors
	to := &pb.Skater{
		Season: ask.Text(&faults, "season", req.GetSeason(), maxKey), Category: ask.Text(&faults, "category", req.GetCategory(), maxKey),
		Programs: s.programs(&faults, "programs.programs", req.GetPrograms().GetPrograms()),
	}
	if req.Name != nil {
		to.Name = required(&faults, "name", req.GetName(), maxName)
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	err := s.store.SetSkater(ctx, keyOf(req), change(func(skater *pb.Skater) error {
		if req.Name != nil {
			skater.Name = to.GetName()
		}
		if req.Season != nil {
			skater.Season = to.GetSeason()
		}
		if req.Category != nil {
			skater.Category = to.GetCategory()
		}
		if req.GetPrograms() != nil {
			skater.Programs = to.GetPrograms()
		}
		return nil
	}))
	if err != nil {
		return nil, fault(err, req, "")
	}
	skater, err := s.skater(ctx, keyOf(req))
	if err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.UpdateSkaterResponse{Skater: skater}, nil
}

// DeleteSkater deletes a skater with all attempts and changes.
func (s *Service) DeleteSkater(ctx context.Context, req *pb.DeleteSkaterRequest) (*pb.DeleteSkaterResponse, error) {
	if err := s.store.DeleteSkater(ctx, keyOf(req)); err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.DeleteSkaterResponse{}, nil
}

// programs takes planned programs, one a segment. Whether they are legal is for
// CheckProgram.
func (s *Service) programs(faults *rules.FieldErrors, field string, given []*pb.SkaterProgram) []*pb.SkaterProgram {
	var list []*pb.SkaterProgram
	var seen []string
	for i, p := range given {
		at := fmt.Sprintf("%s[%d]", field, i)
		switch segment := p.GetSegment(); {
		case !slices.Contains(rules.SegmentKeys, segment):
			faults.Add(at+".segment", rules.ReasonSegmentUnknown, "is no segment; segments are: %s", rules.AllowList(rules.SegmentKeys))
		case slices.Contains(seen, segment):
			faults.Add(at+".segment", rules.ReasonFieldInvalid, "has a program already; each segment has one")
		default:
			seen = append(seen, segment)
		}
		if n := len(p.GetElements()); n > maxPlanned {
			faults.Add(at+".elements", rules.ReasonTooManyItems, "has %d elements; %s are kept", n, rules.Allow("at most %d", maxPlanned))
			continue
		}
		to := &pb.SkaterProgram{Segment: p.GetSegment()}
		for j, e := range p.GetElements() {
			element := fmt.Sprintf("%s.elements[%d]", at, j)
			planned := &pb.PlannedElement{Code: s.code(faults, element+".code", e.GetCode()), SecondHalf: e.GetSecondHalf()}
			if e.Grade != nil {
				planned.Grade = gradeOf(grade(faults, element+".grade", e.GetGrade()))
			}
			to.Elements = append(to.Elements, planned)
		}
		list = append(list, to)
	}
	return list
}
