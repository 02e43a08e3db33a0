package api

import (
	"context"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/event"
)

// ListEntries lists the competitors.
func (v *Service) ListEntries(ctx context.Context, req *pb.ListEntriesRequest) (*pb.ListEntriesResponse, error) {
	res := &pb.ListEntriesResponse{}
	err := v.view(ctx, req, func(r *Reader) error {
		list, err := r.asked(req.GetCategory())
		for _, e := range list {
			res.Entries = append(res.Entries, r.Competitor(e))
		}
		return err
	})
	return res, err
}

// asked returns the entries of a category that a request names; "" means all.
func (r *Reader) asked(category string) ([]*event.Entry, error) {
	if category != "" {
		if _, err := r.FindCategory(category); err != nil {
			return nil, err
		}
	}
	return r.EntriesOf(category), nil
}

// ExportEntries returns the competitors as CSV.
func (v *Service) ExportEntries(ctx context.Context, req *pb.ExportEntriesRequest) (*pb.ExportEntriesResponse, error) {
	res := &pb.ExportEntriesResponse{}
	err := v.view(ctx, req, func(r *Reader) error {
		list, err := r.asked(req.GetCategory())
		if err != nil {
			return err
		}
		name := r.ID
		if req.GetCategory() != "" {
			name += "-" + req.GetCategory()
		}
		res.File = &pb.File{Filename: name + "-entries.csv", ContentType: "text/csv; charset=utf-8", Data: event.EntriesCSV(list)}
		return nil
	})
	return res, err
}
