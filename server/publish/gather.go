package publish

import (
	"context"
	"fmt"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/copies"
	"github.com/rinktally/rinktally/server/errs"
)

// round gathers what public calls answer now.
type round struct {
	*publication

	ctx     context.Context //nolint:containedctx // of one round
	answers []*pb.CopiedAnswer
	err     error
}

// gather makes the public calls: all of them, or those about the performance that runs.
func (e *publication) gather(ctx context.Context, whole bool) ([]*pb.CopiedAnswer, error) {
	r := &round{publication: e, ctx: ctx}
	if p := e.board.GetSkater().GetPerformance(); !whole {
		if p != nil {
			r.performance(p.GetCategory(), p.GetSegment(), p.GetEntry())
		}
		return r.answers, r.err
	}
	of := &pb.GetEventResponse{}
	r.ask("GetEvent", &pb.GetEventRequest{Event: e.event}, of)
	r.ask("GetCaller", &pb.GetCallerRequest{Event: e.event}, &pb.GetCallerResponse{})
	r.entries("")
	for _, c := range of.GetEvent().GetCategories() {
		r.entries(c.GetCategory())
		r.ask("GetFinalStanding", &pb.GetFinalStandingRequest{Event: e.event, Category: c.GetCategory()}, &pb.GetFinalStandingResponse{})
		r.paper(c.GetCategory(), "", pb.Document_FINAL_RESULT)
		for _, g := range c.GetSegments() {
			r.ask("GetSegmentStanding", &pb.GetSegmentStandingRequest{Event: e.event, Category: c.GetCategory(), Segment: g.GetSegment()}, &pb.GetSegmentStandingResponse{})
			for _, document := range []pb.Document_Value{pb.Document_STARTING_ORDER, pb.Document_SEGMENT_RESULT, pb.Document_SCORE_SHEETS} {
				r.paper(c.GetCategory(), g.GetSegment(), document)
			}
			for _, place := range g.GetOrder() {
				r.performance(c.GetCategory(), g.GetSegment(), place.GetEntry())
			}
		}
	}
	return r.answers, r.err
}

func (r *round) entries(category string) {
	r.ask("ListEntries", &pb.ListEntriesRequest{Event: r.event, Category: category}, &pb.ListEntriesResponse{})
	r.ask("ExportEntries", &pb.ExportEntriesRequest{Event: r.event, Category: category}, &pb.ExportEntriesResponse{})
}

func (r *round) paper(category, segment string, document pb.Document_Value) {
	for _, format := range []pb.DocumentFormat_Value{pb.DocumentFormat_PDF, pb.DocumentFormat_CSV} {
		r.ask("GetDocument", &pb.GetDocumentRequest{Event: r.event, Category: category, Segment: segment, Document: document, Format: format}, &pb.GetDocumentResponse{})
	}
}

func (r *round) performance(category, segment, entry string) {
	r.ask("GetPerformance", &pb.GetPerformanceRequest{Event: r.event, Category: category, Segment: segment, Entry: entry}, &pb.GetPerformanceResponse{})
}

// ask makes a call and keeps its answer. What is refused, such as the paper of an order
// that is not drawn, is not in the copy either.
func (r *round) ask(call string, req, res proto.Message) {
	if r.err != nil {
		return
	}
	err := r.Conn.Invoke(r.ctx, copies.Method(call), req, res)
	switch errs.Code(err) {
	case codes.OK:
	case codes.FailedPrecondition, codes.NotFound, codes.InvalidArgument:
		return
	default:
		r.err = err
		return
	}
	a, err := copies.Pack(call, req, res)
	if err != nil {
		r.err = fmt.Errorf("%s: %w", call, err)
		return
	}
	r.answers = append(r.answers, a)
}
