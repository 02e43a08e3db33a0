package practice

import (
	"context"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/store/books"
)

const maxChange = 200 // characters of what was changed

// AddChange notes what was changed in practice, and when.
func (s *Service) AddChange(ctx context.Context, req *pb.AddChangeRequest) (*pb.AddChangeResponse, error) {
	var faults rules.FieldErrors
	request := s.requestOf(&faults, req)
	c := books.Change{Text: required(&faults, "text", req.GetText(), maxChange)}
	if req.GetCode() != "" {
		c.Code = s.code(&faults, "code", req.GetCode())
	}
	if req.GetTime() != nil {
		c.Time = s.time(&faults, "time", req.GetTime())
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	added, err := s.store.AddChange(ctx, keyOf(req), request, c)
	if err != nil {
		return nil, fault(err, req, "changes")
	}
	if c.ID = added.First; c.Time.IsZero() {
		c.Time = added.At
	}
	return &pb.AddChangeResponse{Change: fromChange(&c)}, nil
}

func fromChange(c *books.Change) *pb.Change {
	return &pb.Change{Change: idOf(c.ID), Time: timestamppb.New(c.Time), Text: c.Text, Code: c.Code}
}

// ListChanges lists the changes, the newest first.
func (s *Service) ListChanges(ctx context.Context, req *pb.ListChangesRequest) (*pb.ListChangesResponse, error) {
	if _, err := s.store.Revision(ctx, keyOf(req)); err != nil {
		return nil, fault(err, req, "")
	}
	kept, err := s.store.Changes(ctx, keyOf(req))
	if err != nil {
		return nil, fault(err, req, "")
	}
	res := &pb.ListChangesResponse{Changes: make([]*pb.Change, len(kept))}
	for i := range kept {
		res.Changes[i] = fromChange(&kept[i])
	}
	return res, nil
}

// DeleteChange takes a change out.
func (s *Service) DeleteChange(ctx context.Context, req *pb.DeleteChangeRequest) (*pb.DeleteChangeResponse, error) {
	if err := s.store.DeleteChange(ctx, keyOf(req), number(req.GetChange())); err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.DeleteChangeResponse{}, nil
}
