package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/types/known/timestamppb"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/api/document"
	"github.com/rinktally/rinktally/server/store"
)

// GetPerformance shows a score sheet.
func (v *Service) GetPerformance(ctx context.Context, req *pb.GetPerformanceRequest) (*pb.GetPerformanceResponse, error) {
	res := &pb.GetPerformanceResponse{}
	err := v.view(ctx, req, func(r *Reader) error {
		p, err := r.FindPerformance(req)
		if err != nil {
			return err
		}
		res.Performance, res.Sequence = r.Performance(p), r.Seq
		return nil
	})
	return res, err
}

// GetSegmentStanding shows the places of a segment.
func (v *Service) GetSegmentStanding(ctx context.Context, req *pb.GetSegmentStandingRequest) (*pb.GetSegmentStandingResponse, error) {
	res := &pb.GetSegmentStandingResponse{}
	err := v.view(ctx, req, func(r *Reader) error {
		g, err := r.FindSegment(req.GetCategory(), req.GetSegment())
		if err != nil {
			return err
		}
		res.Standing, res.Sequence = r.SegmentStanding(g), r.Seq
		return nil
	})
	return res, err
}

// GetFinalStanding shows the result over a category's segments.
func (v *Service) GetFinalStanding(ctx context.Context, req *pb.GetFinalStandingRequest) (*pb.GetFinalStandingResponse, error) {
	res := &pb.GetFinalStandingResponse{}
	err := v.view(ctx, req, func(r *Reader) error {
		c, err := r.FindCategory(req.GetCategory())
		if err != nil {
			return err
		}
		res.Standing, res.Sequence = r.FinalStanding(c), r.Seq
		return nil
	})
	return res, err
}

// GetDocument returns a document to print or to calculate with.
func (v *Service) GetDocument(ctx context.Context, req *pb.GetDocumentRequest) (*pb.GetDocumentResponse, error) {
	write := document.Document.PDF
	switch req.GetFormat() {
	case pb.DocumentFormat_DOCUMENT_FORMAT_UNSPECIFIED, pb.DocumentFormat_PDF:
	case pb.DocumentFormat_CSV:
		write = document.Document.CSV
	default:
		return nil, errs.From(rules.Fault("format", rules.ReasonFieldInvalid, "is %d; allowed are %s", req.GetFormat(), rules.Allowed("PDF, CSV")), req)
	}
	if err := v.papers.take(ctx); err != nil {
		return nil, err
	}
	defer v.papers.leave()
	file, err := v.paper(ctx, req, write)
	if err != nil {
		return nil, err
	}
	return &pb.GetDocumentResponse{File: file}, nil
}

// document gathers what a document shows.
func (r *Reader) document(req *pb.GetDocumentRequest) (document.Document, error) {
	c, err := r.FindCategory(req.GetCategory())
	if err != nil {
		return nil, err
	}
	head := document.Head{Event: r.Event(), Category: c.Title, Time: r.Time, Status: official(c.Official())}
	if req.GetDocument() == pb.Document_FINAL_RESULT {
		for _, g := range c.Segments {
			head.Segments = append(head.Segments, document.Segment{Key: g.Key, Title: g.Title})
		}
		return &document.FinalResult{Head: head, Standing: r.FinalStanding(c)}, nil
	}
	g, err := r.FindSegment(req.GetCategory(), req.GetSegment())
	if err != nil {
		return nil, err
	}
	head.Segment, head.Status = g.Title, official(g.Published)
	switch req.GetDocument() {
	case pb.Document_STARTING_ORDER:
		if err := r.drawn(g); err != nil {
			return nil, err
		}
		head.Status = pb.ResultStatus_RESULT_STATUS_UNSPECIFIED // an order is no result
		return &document.StartingOrder{Head: head, Segment: r.SegmentOf(g)}, nil
	case pb.Document_PANEL_SHEETS:
		if err := r.drawn(g); err != nil {
			return nil, err
		}
		head.Status = pb.ResultStatus_RESULT_STATUS_UNSPECIFIED
		skaters, err := r.toSkate(g, req)
		return &document.PanelSheets{Head: head, Skaters: skaters, Judges: r.judgeCount(g)}, err
	case pb.Document_SEGMENT_RESULT:
		return &document.SegmentResult{Head: head, Standing: r.SegmentStanding(g)}, nil
	case pb.Document_SCORE_SHEETS:
		sheets, err := r.sheets(g, req)
		return &document.ScoreSheets{Head: head, Standing: r.SegmentStanding(g), Sheets: sheets, Judges: r.judgeCount(g)}, err
	default:
		return nil, rules.Fault("document", rules.ReasonFieldInvalid, "is %s; allowed are %s", req.GetDocument(),
			rules.Allowed("STARTING_ORDER, SEGMENT_RESULT, SCORE_SHEETS, FINAL_RESULT, PANEL_SHEETS"))
	}
}

// drawn refuses what needs a starting order that is not there yet.
func (r *Reader) drawn(g *event.Segment) error {
	if g.Draw == nil {
		return r.NotNow(g.State(), "DrawStartingOrder", "%s has no starting order yet", g.Title)
	}
	return nil
}

// toSkate returns who is still to skate in a segment, in starting order, or the one
// that a request names.
func (r *Reader) toSkate(g *event.Segment, req *pb.GetDocumentRequest) ([]*pb.Performance, error) {
	if req.GetEntry() != "" {
		p, err := r.FindPerformance(req)
		if err != nil {
			return nil, err
		}
		return []*pb.Performance{r.unwritten(p)}, nil
	}
	var list []*pb.Performance
	for _, p := range g.Performances {
		if state := p.State(); state == pb.PerformanceState_WAITING || state == pb.PerformanceState_ON_ICE {
			list = append(list, r.unwritten(p))
		}
	}
	return list, nil
}

// unwritten returns a performance without anything that a panel writes.
func (r *Reader) unwritten(p *event.Performance) *pb.Performance {
	whole := r.Performance(p)
	out := &pb.Performance{Entry: whole.GetEntry(), Name: whole.GetName(), Club: whole.GetClub(), Number: whole.GetNumber()}
	for _, c := range whole.GetComponents() {
		out.Components = append(out.Components, &pb.PerformedComponent{Component: c.GetComponent(), Name: c.GetName()})
	}
	return out
}

func (r *Reader) judgeCount(g *event.Segment) int {
	if panel := r.PanelOf(g); panel != nil {
		return int(panel.Judges)
	}
	return 0
}

// sheets returns the confirmed performances of a segment in the order of places, or
// the one that a request names.
func (r *Reader) sheets(g *event.Segment, req *pb.GetDocumentRequest) ([]*pb.Performance, error) {
	if req.GetEntry() != "" {
		p, err := r.FindPerformance(req)
		if err != nil {
			return nil, err
		}
		if p.Score == nil {
			return nil, r.NotNow(p.State(), "ConfirmSkater", "the score of %s is not confirmed yet", p.Entry.GetName())
		}
		return []*pb.Performance{r.Performance(p)}, nil
	}
	var list []*pb.Performance
	for _, placed := range event.SegmentPlaces(r.season, g) {
		if placed.Score != nil {
			list = append(list, r.Performance(placed.Performance))
		}
	}
	return list, nil
}

// ListFacts shows the log of an event.
func (v *Service) ListFacts(ctx context.Context, req *pb.ListFactsRequest) (*pb.ListFactsResponse, error) {
	var faults rules.FieldErrors
	size := ask.PageSize(req.GetPageSize(), &faults)
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	var whole uint64
	err := v.book.View(ctx, req.GetEvent(), func(s *event.State) error {
		whole = s.Seq
		return nil
	})
	if err != nil {
		return nil, errs.From(err, req)
	}
	records, err := v.book.Log().Read(ctx, req.GetEvent(), req.GetAfterSequence(), size)
	if err != nil && !errors.Is(err, store.ErrStreamUnknown) && !errors.Is(err, store.ErrDamaged) {
		return nil, errs.From(err, req)
	}
	res := &pb.ListFactsResponse{}
	for i := range records {
		if records[i].Seq > whole {
			break // damaged, or written a moment ago
		}
		fact, err := factOf(&records[i])
		if err != nil {
			return nil, errs.From(err, req)
		}
		res.Facts = append(res.Facts, fact)
	}
	return res, nil
}

func factOf(r *store.Record) (*pb.EventFact, error) {
	fact, err := event.Decode(&r.Fact)
	if err != nil {
		return nil, fmt.Errorf("event %s, record %d: %w", r.Stream, r.Seq, err)
	}
	switch secret := fact.(type) {
	case *logv1.TokenIssued:
		secret.Hash = nil
	case *logv1.SeatOffered:
		secret.Hash = nil
	}
	body, err := protojson.Marshal(fact)
	if err != nil {
		return nil, fmt.Errorf("event %s, record %d: %w", r.Stream, r.Seq, err)
	}
	var compact bytes.Buffer // protojson puts spaces in by chance
	if err := json.Compact(&compact, body); err != nil {
		return nil, fmt.Errorf("event %s, record %d: %w", r.Stream, r.Seq, err)
	}
	id, _ := event.ParseRequestID(r.RequestID)
	return &pb.EventFact{
		Sequence: r.Seq, Time: timestamppb.New(r.RecordedAt), Actor: r.Actor, Kind: r.Kind, Json: compact.String(), RequestId: id.Caller,
	}, nil
}
