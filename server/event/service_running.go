package event

import (
	"context"
	"errors"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// sheet gives the performance that a request was about.
func (r *Reader) sheet(req place) *pb.Performance {
	p, err := r.find().performance(req)
	if err != nil {
		return nil // it was drawn anew since; there is nothing to show
	}
	return r.Performance(p)
}

// StartSegment opens a segment.
func (v *Service) StartSegment(ctx context.Context, req *pb.StartSegmentRequest) (*pb.StartSegmentResponse, error) {
	res := &pb.StartSegmentResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Event, res.Sequence = r.Event(), seq
		return nil
	})
	return res, err
}

// CallSkater calls a skater to the ice.
func (v *Service) CallSkater(ctx context.Context, req *pb.CallSkaterRequest) (*pb.CallSkaterResponse, error) {
	res := &pb.CallSkaterResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		g, err := r.find().segment(req.GetCategory(), req.GetSegment())
		if err != nil {
			return err
		}
		for _, p := range g.Performances {
			if p.called == seq {
				res.Performance, res.Sequence = r.Performance(p), seq
				return nil
			}
		}
		return errors.New("the call is not in the log")
	})
	return res, err
}

// CallElement adds an element.
func (v *Service) CallElement(ctx context.Context, req *pb.CallElementRequest) (*pb.CallElementResponse, error) {
	res := &pb.CallElementResponse{}
	err := v.decide(ctx, req, &Command{}, func(r *Reader, done Span) error {
		res.Sequence = done.Last
		p, err := r.find().performance(req)
		if err != nil {
			return err
		}
		res.Performance = r.Performance(p)
		for _, e := range p.Elements {
			if e.Seq >= done.First && e.Seq <= done.Last { // others may have been revised behind it
				res.Element = e.Number
			}
		}
		return nil
	})
	return res, err
}

// ReviseElement changes an element.
func (v *Service) ReviseElement(ctx context.Context, req *pb.ReviseElementRequest) (*pb.ReviseElementResponse, error) {
	res := &pb.ReviseElementResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Performance, res.Sequence = r.sheet(req), seq
		return nil
	})
	return res, err
}

// RemoveElement takes an element out.
func (v *Service) RemoveElement(ctx context.Context, req *pb.RemoveElementRequest) (*pb.RemoveElementResponse, error) {
	res := &pb.RemoveElementResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Performance, res.Sequence = r.sheet(req), seq
		return nil
	})
	return res, err
}

// ReviewElement marks an element to be looked at again.
func (v *Service) ReviewElement(ctx context.Context, req *pb.ReviewElementRequest) (*pb.ReviewElementResponse, error) {
	res := &pb.ReviewElementResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Performance, res.Sequence = r.sheet(req), seq
		return nil
	})
	return res, err
}

// EndProgram says that the skater has finished.
func (v *Service) EndProgram(ctx context.Context, req *pb.EndProgramRequest) (*pb.EndProgramResponse, error) {
	res := &pb.EndProgramResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Performance, res.Sequence = r.sheet(req), seq
		return nil
	})
	return res, err
}

// SetElementMarks gives one judge's marks for elements.
func (v *Service) SetElementMarks(ctx context.Context, req *pb.SetElementMarksRequest) (*pb.SetElementMarksResponse, error) {
	res := &pb.SetElementMarksResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Performance, res.Sequence = r.sheet(req), seq
		return nil
	})
	return res, err
}

// SetComponentMarks gives one judge's marks for components.
func (v *Service) SetComponentMarks(ctx context.Context, req *pb.SetComponentMarksRequest) (*pb.SetComponentMarksResponse, error) {
	res := &pb.SetComponentMarksResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Performance, res.Sequence = r.sheet(req), seq
		return nil
	})
	return res, err
}

// SetDeductions says what is taken off.
func (v *Service) SetDeductions(ctx context.Context, req *pb.SetDeductionsRequest) (*pb.SetDeductionsResponse, error) {
	res := &pb.SetDeductionsResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Performance, res.Sequence = r.sheet(req), seq
		return nil
	})
	return res, err
}

// ConfirmSkater confirms a performance.
func (v *Service) ConfirmSkater(ctx context.Context, req *pb.ConfirmSkaterRequest) (*pb.ConfirmSkaterResponse, error) {
	res := &pb.ConfirmSkaterResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Performance, res.Sequence = r.sheet(req), seq
		return nil
	})
	return res, err
}

// CorrectResult changes a confirmed performance.
func (v *Service) CorrectResult(ctx context.Context, req *pb.CorrectResultRequest) (*pb.CorrectResultResponse, error) {
	res := &pb.CorrectResultResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Performance, res.Sequence = r.sheet(req), seq
		return nil
	})
	return res, err
}

// PublishSegment signs a segment's result.
func (v *Service) PublishSegment(ctx context.Context, req *pb.PublishSegmentRequest) (*pb.PublishSegmentResponse, error) {
	res := &pb.PublishSegmentResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		g, err := r.find().segment(req.GetCategory(), req.GetSegment())
		if err != nil {
			return err
		}
		res.Standing, res.Sequence = r.SegmentStanding(g), seq
		return nil
	})
	return res, err
}
