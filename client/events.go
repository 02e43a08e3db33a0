package client

import (
	"context"
	"iter"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Events runs competitions on a server: entries, starting orders, calls, marks,
// confirmation, results. There is none offline, since what several desks write
// needs one place that keeps it.
//
// What changes an event needs a token (WithToken, ContextWithToken) and may be
// called again when its outcome is unknown: where a request has no RequestId, the
// client sends one of its own with all attempts of the call. A program that wants
// to repeat a call itself, also after it was restarted, sets RequestId. Requests
// are not changed. All methods may be called concurrently.
type Events interface {
	// CreateEvent makes an event and pins the season's table.
	CreateEvent(context.Context, *pb.CreateEventRequest) (*pb.CreateEventResponse, error)
	// GetEvent shows an event with its categories, segments, panels and starting
	// orders.
	GetEvent(context.Context, *pb.GetEventRequest) (*pb.GetEventResponse, error)
	// WatchEvent yields what the token may read of an event as it is now, or what
	// follows the request's AfterSequence, and then what changes of it, each as
	// WatchEventResponse says; after one with Reset_ what was before is void. It goes on
	// over lost connections and ends as WatchScoreboard does.
	WatchEvent(context.Context, *pb.WatchEventRequest, ...WatchOption) iter.Seq2[*pb.WatchEventResponse, error]
	// GetCaller shows what the caller's token is for.
	GetCaller(context.Context, *pb.GetCallerRequest) (*pb.GetCallerResponse, error)
	// ListEvents lists the events by id, page by page.
	ListEvents(context.Context, *pb.ListEventsRequest) (*pb.ListEventsResponse, error)
	// UpdateEvent changes what an event is called and when it is; before the first
	// segment starts also its season.
	UpdateEvent(context.Context, *pb.UpdateEventRequest) (*pb.UpdateEventResponse, error)
	// SetCategory adds a category, or changes one that has no starting order yet.
	SetCategory(context.Context, *pb.SetCategoryRequest) (*pb.SetCategoryResponse, error)
	// RemoveCategory removes a category without entries.
	RemoveCategory(context.Context, *pb.RemoveCategoryRequest) (*pb.RemoveCategoryResponse, error)
	// SetPanel says who judges the whole event, or one segment.
	SetPanel(context.Context, *pb.SetPanelRequest) (*pb.SetPanelResponse, error)
	// SetAbsentJudges says which judges of a segment are absent, from the next
	// confirmation on.
	SetAbsentJudges(context.Context, *pb.SetAbsentJudgesRequest) (*pb.SetAbsentJudgesResponse, error)

	// AddEntry adds a competitor, until the result of the category's first segment
	// is signed.
	AddEntry(context.Context, *pb.AddEntryRequest) (*pb.AddEntryResponse, error)
	// UpdateEntry changes how a competitor is printed.
	UpdateEntry(context.Context, *pb.UpdateEntryRequest) (*pb.UpdateEntryResponse, error)
	// ListEntries lists the competitors.
	ListEntries(context.Context, *pb.ListEntriesRequest) (*pb.ListEntriesResponse, error)
	// ImportEntries adds competitors from CSV, all or none.
	ImportEntries(context.Context, *pb.ImportEntriesRequest) (*pb.ImportEntriesResponse, error)
	// ExportEntries returns the competitors as CSV that ImportEntries reads.
	ExportEntries(context.Context, *pb.ExportEntriesRequest) (*pb.ExportEntriesResponse, error)
	// WithdrawEntry withdraws or disqualifies a competitor; confirmed scores stay.
	WithdrawEntry(context.Context, *pb.WithdrawEntryRequest) (*pb.WithdrawEntryResponse, error)
	// ReinstateEntry undoes a withdrawal.
	ReinstateEntry(context.Context, *pb.ReinstateEntryRequest) (*pb.ReinstateEntryResponse, error)
	// ErasePerson erases name, club and reason of withdrawal of a competitor; scores
	// and places stay.
	ErasePerson(context.Context, *pb.ErasePersonRequest) (*pb.ErasePersonResponse, error)
	// DrawStartingOrder makes the starting order of a segment, drawn or as given.
	DrawStartingOrder(context.Context, *pb.DrawStartingOrderRequest) (*pb.DrawStartingOrderResponse, error)

	// StartSegment opens a segment that has a starting order and a panel.
	StartSegment(context.Context, *pb.StartSegmentRequest) (*pb.StartSegmentResponse, error)
	// CallSkater calls the next skater to the ice.
	CallSkater(context.Context, *pb.CallSkaterRequest) (*pb.CallSkaterResponse, error)
	// CallElement adds an element: by its code, or by what was skated, from which
	// the level is found.
	CallElement(context.Context, *pb.CallElementRequest) (*pb.CallElementResponse, error)
	// ReviseElement changes an element; marks that it has stay.
	ReviseElement(context.Context, *pb.ReviseElementRequest) (*pb.ReviseElementResponse, error)
	// RemoveElement removes an element, the last one when none is named.
	RemoveElement(context.Context, *pb.RemoveElementRequest) (*pb.RemoveElementResponse, error)
	// ReviewElement marks an element to be looked at again, or clears that.
	ReviewElement(context.Context, *pb.ReviewElementRequest) (*pb.ReviewElementResponse, error)
	// EndProgram says that the skater has finished; calls and marks stay open.
	EndProgram(context.Context, *pb.EndProgramRequest) (*pb.EndProgramResponse, error)
	// SetElementMarks sets one judge's marks for elements; a later mark replaces an
	// earlier one.
	SetElementMarks(context.Context, *pb.SetElementMarksRequest) (*pb.SetElementMarksResponse, error)
	// SetComponentMarks sets one judge's marks for components; a later mark
	// replaces an earlier one.
	SetComponentMarks(context.Context, *pb.SetComponentMarksRequest) (*pb.SetComponentMarksResponse, error)
	// SetDeductions says what is taken off; it replaces what was said before.
	SetDeductions(context.Context, *pb.SetDeductionsRequest) (*pb.SetDeductionsResponse, error)
	// ConfirmSkater confirms a performance, from which it has its score.
	ConfirmSkater(context.Context, *pb.ConfirmSkaterRequest) (*pb.ConfirmSkaterResponse, error)
	// CorrectResult changes a confirmed performance, with a reason that is kept and
	// shown.
	CorrectResult(context.Context, *pb.CorrectResultRequest) (*pb.CorrectResultResponse, error)
	// PublishSegment is the referee's signature: the segment's result is official.
	PublishSegment(context.Context, *pb.PublishSegmentRequest) (*pb.PublishSegmentResponse, error)

	// GetPerformance shows the score sheet of one entry in one segment.
	GetPerformance(context.Context, *pb.GetPerformanceRequest) (*pb.GetPerformanceResponse, error)
	// GetSegmentStanding shows the places of a segment.
	GetSegmentStanding(context.Context, *pb.GetSegmentStandingRequest) (*pb.GetSegmentStandingResponse, error)
	// GetFinalStanding shows the result over a category's segments.
	GetFinalStanding(context.Context, *pb.GetFinalStandingRequest) (*pb.GetFinalStandingResponse, error)
	// GetDocument returns a starting order, result or score sheets as CSV or PDF.
	GetDocument(context.Context, *pb.GetDocumentRequest) (*pb.GetDocumentResponse, error)
	// ListFacts shows the log of an event: who did what when.
	ListFacts(context.Context, *pb.ListFactsRequest) (*pb.ListFactsResponse, error)

	// CreateToken makes a token. Its secret is shown this once, so the call is not
	// repeated by itself.
	CreateToken(context.Context, *pb.CreateTokenRequest) (*pb.CreateTokenResponse, error)
	// ListTokens lists the tokens of an event, without their secrets.
	ListTokens(context.Context, *pb.ListTokensRequest) (*pb.ListTokensResponse, error)
	// RevokeToken ends a token at once.
	RevokeToken(context.Context, *pb.RevokeTokenRequest) (*pb.RevokeTokenResponse, error)
}

var _ Events = (*Client)(nil)

// CreateEvent implements Events.
func (c *Client) CreateEvent(ctx context.Context, req *pb.CreateEventRequest) (*pb.CreateEventResponse, error) {
	return c.events.CreateEvent(ctx, req)
}

// GetEvent implements Events.
func (c *Client) GetEvent(ctx context.Context, req *pb.GetEventRequest) (*pb.GetEventResponse, error) {
	return c.events.GetEvent(ctx, req)
}

// WatchEvent implements Events.
func (c *Client) WatchEvent(ctx context.Context, req *pb.WatchEventRequest, opts ...WatchOption) iter.Seq2[*pb.WatchEventResponse, error] {
	return func(yield func(*pb.WatchEventResponse, error) bool) {
		watchAll(ctx, c, req.AfterSequence, opts, yield, func(ctx context.Context, after *uint64) (grpc.ServerStreamingClient[pb.WatchEventResponse], error) {
			req := proto.CloneOf(req)
			req.AfterSequence = after
			return c.events.WatchEvent(ctx, req)
		}, func(answer *pb.WatchEventResponse) (uint64, *pb.WatchEventResponse) {
			if proto.Equal(answer, &pb.WatchEventResponse{Sequence: answer.GetSequence()}) {
				return answer.GetSequence(), nil // a heartbeat
			}
			return answer.GetSequence(), answer
		})
	}
}

// GetCaller implements Events.
func (c *Client) GetCaller(ctx context.Context, req *pb.GetCallerRequest) (*pb.GetCallerResponse, error) {
	return c.events.GetCaller(ctx, req)
}

// ListEvents implements Events.
func (c *Client) ListEvents(ctx context.Context, req *pb.ListEventsRequest) (*pb.ListEventsResponse, error) {
	return c.events.ListEvents(ctx, req)
}

// UpdateEvent implements Events.
func (c *Client) UpdateEvent(ctx context.Context, req *pb.UpdateEventRequest) (*pb.UpdateEventResponse, error) {
	return c.events.UpdateEvent(ctx, req)
}

// SetCategory implements Events.
func (c *Client) SetCategory(ctx context.Context, req *pb.SetCategoryRequest) (*pb.SetCategoryResponse, error) {
	return c.events.SetCategory(ctx, req)
}

// RemoveCategory implements Events.
func (c *Client) RemoveCategory(ctx context.Context, req *pb.RemoveCategoryRequest) (*pb.RemoveCategoryResponse, error) {
	return c.events.RemoveCategory(ctx, req)
}

// SetPanel implements Events.
func (c *Client) SetPanel(ctx context.Context, req *pb.SetPanelRequest) (*pb.SetPanelResponse, error) {
	return c.events.SetPanel(ctx, req)
}

// SetAbsentJudges implements Events.
func (c *Client) SetAbsentJudges(ctx context.Context, req *pb.SetAbsentJudgesRequest) (*pb.SetAbsentJudgesResponse, error) {
	return c.events.SetAbsentJudges(ctx, req)
}

// AddEntry implements Events.
func (c *Client) AddEntry(ctx context.Context, req *pb.AddEntryRequest) (*pb.AddEntryResponse, error) {
	return c.events.AddEntry(ctx, req)
}

// UpdateEntry implements Events.
func (c *Client) UpdateEntry(ctx context.Context, req *pb.UpdateEntryRequest) (*pb.UpdateEntryResponse, error) {
	return c.events.UpdateEntry(ctx, req)
}

// ListEntries implements Events.
func (c *Client) ListEntries(ctx context.Context, req *pb.ListEntriesRequest) (*pb.ListEntriesResponse, error) {
	return c.events.ListEntries(ctx, req)
}

// ImportEntries implements Events.
func (c *Client) ImportEntries(ctx context.Context, req *pb.ImportEntriesRequest) (*pb.ImportEntriesResponse, error) {
	return c.events.ImportEntries(ctx, req)
}

// ExportEntries implements Events.
func (c *Client) ExportEntries(ctx context.Context, req *pb.ExportEntriesRequest) (*pb.ExportEntriesResponse, error) {
	return c.events.ExportEntries(ctx, req)
}

// WithdrawEntry implements Events.
func (c *Client) WithdrawEntry(ctx context.Context, req *pb.WithdrawEntryRequest) (*pb.WithdrawEntryResponse, error) {
	return c.events.WithdrawEntry(ctx, req)
}

// ReinstateEntry implements Events.
func (c *Client) ReinstateEntry(ctx context.Context, req *pb.ReinstateEntryRequest) (*pb.ReinstateEntryResponse, error) {
	return c.events.ReinstateEntry(ctx, req)
}

// ErasePerson implements Events.
func (c *Client) ErasePerson(ctx context.Context, req *pb.ErasePersonRequest) (*pb.ErasePersonResponse, error) {
	return c.events.ErasePerson(ctx, req)
}

// DrawStartingOrder implements Events.
func (c *Client) DrawStartingOrder(ctx context.Context, req *pb.DrawStartingOrderRequest) (*pb.DrawStartingOrderResponse, error) {
	return c.events.DrawStartingOrder(ctx, req)
}

// StartSegment implements Events.
func (c *Client) StartSegment(ctx context.Context, req *pb.StartSegmentRequest) (*pb.StartSegmentResponse, error) {
	return c.events.StartSegment(ctx, req)
}

// CallSkater implements Events.
func (c *Client) CallSkater(ctx context.Context, req *pb.CallSkaterRequest) (*pb.CallSkaterResponse, error) {
	return c.events.CallSkater(ctx, req)
}

// CallElement implements Events.
func (c *Client) CallElement(ctx context.Context, req *pb.CallElementRequest) (*pb.CallElementResponse, error) {
	return c.events.CallElement(ctx, req)
}

// ReviseElement implements Events.
func (c *Client) ReviseElement(ctx context.Context, req *pb.ReviseElementRequest) (*pb.ReviseElementResponse, error) {
	return c.events.ReviseElement(ctx, req)
}

// RemoveElement implements Events.
func (c *Client) RemoveElement(ctx context.Context, req *pb.RemoveElementRequest) (*pb.RemoveElementResponse, error) {
	return c.events.RemoveElement(ctx, req)
}

// ReviewElement implements Events.
func (c *Client) ReviewElement(ctx context.Context, req *pb.ReviewElementRequest) (*pb.ReviewElementResponse, error) {
	return c.events.ReviewElement(ctx, req)
}

// EndProgram implements Events.
func (c *Client) EndProgram(ctx context.Context, req *pb.EndProgramRequest) (*pb.EndProgramResponse, error) {
	return c.events.EndProgram(ctx, req)
}

// SetElementMarks implements Events.
func (c *Client) SetElementMarks(ctx context.Context, req *pb.SetElementMarksRequest) (*pb.SetElementMarksResponse, error) {
	return c.events.SetElementMarks(ctx, req)
}

// SetComponentMarks implements Events.
func (c *Client) SetComponentMarks(ctx context.Context, req *pb.SetComponentMarksRequest) (*pb.SetComponentMarksResponse, error) {
	return c.events.SetComponentMarks(ctx, req)
}

// SetDeductions implements Events.
func (c *Client) SetDeductions(ctx context.Context, req *pb.SetDeductionsRequest) (*pb.SetDeductionsResponse, error) {
	return c.events.SetDeductions(ctx, req)
}

// ConfirmSkater implements Events.
func (c *Client) ConfirmSkater(ctx context.Context, req *pb.ConfirmSkaterRequest) (*pb.ConfirmSkaterResponse, error) {
	return c.events.ConfirmSkater(ctx, req)
}

// CorrectResult implements Events.
func (c *Client) CorrectResult(ctx context.Context, req *pb.CorrectResultRequest) (*pb.CorrectResultResponse, error) {
	return c.events.CorrectResult(ctx, req)
}

// PublishSegment implements Events.
func (c *Client) PublishSegment(ctx context.Context, req *pb.PublishSegmentRequest) (*pb.PublishSegmentResponse, error) {
	return c.events.PublishSegment(ctx, req)
}

// GetPerformance implements Events.
func (c *Client) GetPerformance(ctx context.Context, req *pb.GetPerformanceRequest) (*pb.GetPerformanceResponse, error) {
	return c.events.GetPerformance(ctx, req)
}

// GetSegmentStanding implements Events.
func (c *Client) GetSegmentStanding(ctx context.Context, req *pb.GetSegmentStandingRequest) (*pb.GetSegmentStandingResponse, error) {
	return c.events.GetSegmentStanding(ctx, req)
}

// GetFinalStanding implements Events.
func (c *Client) GetFinalStanding(ctx context.Context, req *pb.GetFinalStandingRequest) (*pb.GetFinalStandingResponse, error) {
	return c.events.GetFinalStanding(ctx, req)
}

// GetDocument implements Events.
func (c *Client) GetDocument(ctx context.Context, req *pb.GetDocumentRequest) (*pb.GetDocumentResponse, error) {
	return c.events.GetDocument(ctx, req)
}

// ListFacts implements Events.
func (c *Client) ListFacts(ctx context.Context, req *pb.ListFactsRequest) (*pb.ListFactsResponse, error) {
	return c.events.ListFacts(ctx, req)
}

// CreateToken implements Events.
func (c *Client) CreateToken(ctx context.Context, req *pb.CreateTokenRequest) (*pb.CreateTokenResponse, error) {
	return c.events.CreateToken(ctx, req)
}

// ListTokens implements Events.
func (c *Client) ListTokens(ctx context.Context, req *pb.ListTokensRequest) (*pb.ListTokensResponse, error) {
	return c.events.ListTokens(ctx, req)
}

// RevokeToken implements Events.
func (c *Client) RevokeToken(ctx context.Context, req *pb.RevokeTokenRequest) (*pb.RevokeTokenResponse, error) {
	return c.events.RevokeToken(ctx, req)
}
