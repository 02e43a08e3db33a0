package event

import (
	"context"
	"errors"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// AddEntry adds a competitor.
func (v *Service) AddEntry(ctx context.Context, req *pb.AddEntryRequest) (*pb.AddEntryResponse, error) {
	res := &pb.AddEntryResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		for _, e := range r.Entries {
			if e.Seq == seq {
				res.Entry, res.Sequence = r.Competitor(e), seq
				return nil
			}
		}
		return errors.New("the new entry is not in the log")
	})
	return res, err
}

// UpdateEntry changes how a competitor is printed.
func (v *Service) UpdateEntry(ctx context.Context, req *pb.UpdateEntryRequest) (*pb.UpdateEntryResponse, error) {
	res := &pb.UpdateEntryResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Entry, res.Sequence = r.Competitor(r.State.Entry(req.GetEntry())), seq
		return nil
	})
	return res, err
}

// WithdrawEntry takes a competitor out.
func (v *Service) WithdrawEntry(ctx context.Context, req *pb.WithdrawEntryRequest) (*pb.WithdrawEntryResponse, error) {
	res := &pb.WithdrawEntryResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Entry, res.Sequence = r.Competitor(r.State.Entry(req.GetEntry())), seq
		return nil
	})
	return res, err
}

// ReinstateEntry takes a withdrawal back.
func (v *Service) ReinstateEntry(ctx context.Context, req *pb.ReinstateEntryRequest) (*pb.ReinstateEntryResponse, error) {
	res := &pb.ReinstateEntryResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Entry, res.Sequence = r.Competitor(r.State.Entry(req.GetEntry())), seq
		return nil
	})
	return res, err
}

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

// asked gives the entries of a category that a request names; "" means all.
func (r *Reader) asked(category string) ([]*Entry, error) {
	if category != "" {
		if _, err := r.find().category(category); err != nil {
			return nil, err
		}
	}
	return r.EntriesOf(category), nil
}

// find gives the look-ups whose errors say what there is.
func (r *Reader) find() decision { return decision{State: r.State} }

// ImportEntries adds and changes competitors from CSV.
func (v *Service) ImportEntries(ctx context.Context, req *pb.ImportEntriesRequest) (*pb.ImportEntriesResponse, error) {
	res := &pb.ImportEntriesResponse{}
	err := v.decide(ctx, req, &Command{}, func(r *Reader, done Span) error {
		res.Sequence = done.Last
		for _, e := range r.Entries {
			if e.Seq >= done.First && e.Seq <= done.Last {
				res.Added++
			}
		}
		res.Changed = number(int(done.Last+1-done.First)) - res.GetAdded()
		return nil
	})
	return res, err
}

// ExportEntries gives the competitors as CSV.
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
		res.File = &pb.File{Filename: name + "-entries.csv", ContentType: "text/csv; charset=utf-8", Data: entriesCSV(list)}
		return nil
	})
	return res, err
}
