package api

import (
	"context"
	"errors"
	"math/rand/v2"
	"strings"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/host"
)

// command is a call that changes an event: the roles that may make it, how it is
// decided, and what it answers. Without roles it is open to everybody.
type command struct {
	roles  []pb.Role_Value
	decide func(event.Decision, proto.Message) ([]proto.Message, error)
	answer func(*after, proto.Message) error
}

// commands is every call that changes an event. ADMIN stands for ORGANISER
// everywhere and is not named beside it.
//
// The organiser can do what a volunteer at one laptop must do for everybody:
// enter calls and marks from paper. Confirming, signing and correcting is the
// referee's alone. That a judge sets only the own marks is decided with the marks.
var commands = map[string]command{
	pb.EventService_CreateEvent_FullMethodName:       {only(admin), by(event.Decision.CreateEvent), wholeEvent},
	pb.EventService_UpdateEvent_FullMethodName:       {only(organiser), by(event.Decision.UpdateEvent), wholeEvent},
	pb.EventService_SetCategory_FullMethodName:       {only(organiser), by(event.Decision.SetCategory), wholeEvent},
	pb.EventService_RemoveCategory_FullMethodName:    {only(organiser), by(event.Decision.RemoveCategory), wholeEvent},
	pb.EventService_SetPanel_FullMethodName:          {only(organiser, referee), by(event.Decision.SetPanel), wholeEvent},
	pb.EventService_SetAbsentJudges_FullMethodName:   {only(organiser, referee), by(event.Decision.SetAbsentJudges), wholeEvent},
	pb.EventService_AddEntry_FullMethodName:          {only(organiser), by(event.Decision.AddEntry), newEntry},
	pb.EventService_UpdateEntry_FullMethodName:       {only(organiser), by(event.Decision.UpdateEntry), entry},
	pb.EventService_ImportEntries_FullMethodName:     {only(organiser), by(event.Decision.ImportEntries), imported},
	pb.EventService_WithdrawEntry_FullMethodName:     {only(organiser, referee), by(event.Decision.WithdrawEntry), entry},
	pb.EventService_ReinstateEntry_FullMethodName:    {only(organiser, referee), by(event.Decision.ReinstateEntry), entry},
	pb.EventService_ErasePerson_FullMethodName:       {only(organiser), by(event.Decision.ErasePerson), entry},
	pb.EventService_DrawStartingOrder_FullMethodName: {only(organiser, referee), by(event.Decision.DrawStartingOrder), wholeEvent},

	pb.EventService_StartSegment_FullMethodName:      {only(organiser, referee), by(event.Decision.StartSegment), wholeEvent},
	pb.EventService_CallSkater_FullMethodName:        {only(organiser, referee, technical, announcer), by(event.Decision.CallSkater), calledSkater},
	pb.EventService_CallElement_FullMethodName:       {only(organiser, technical), by(event.Decision.CallElement), calledElement},
	pb.EventService_ReviseElement_FullMethodName:     {only(organiser, technical), by(event.Decision.ReviseElement), performance},
	pb.EventService_RemoveElement_FullMethodName:     {only(organiser, technical), by(event.Decision.RemoveElement), performance},
	pb.EventService_ReviewElement_FullMethodName:     {only(organiser, technical), by(event.Decision.ReviewElement), performance},
	pb.EventService_EndProgram_FullMethodName:        {only(organiser, referee, technical, announcer), by(event.Decision.EndProgram), performance},
	pb.EventService_SetElementMarks_FullMethodName:   {only(organiser, judge), by(event.Decision.SetElementMarks), performance},
	pb.EventService_SetComponentMarks_FullMethodName: {only(organiser, judge), by(event.Decision.SetComponentMarks), performance},
	pb.EventService_SetDeductions_FullMethodName:     {only(organiser, referee, technical), by(event.Decision.SetDeductions), performance},
	pb.EventService_ConfirmSkater_FullMethodName:     {only(referee), by(event.Decision.ConfirmSkater), performance},
	pb.EventService_CorrectResult_FullMethodName:     {only(referee), by(event.Decision.CorrectResult), performance},
	pb.EventService_PublishSegment_FullMethodName:    {only(referee), by(event.Decision.PublishSegment), segmentStanding},

	pb.EventService_CreateToken_FullMethodName: {only(organiser), by(event.Decision.CreateToken), newToken},
	pb.EventService_RevokeToken_FullMethodName: {only(organiser), by(event.Decision.RevokeToken), token},

	pb.EventService_CreateSeatCode_FullMethodName: {only(organiser), by(event.Decision.CreateSeatCode), newSeat},
	pb.EventService_TakeSeat_FullMethodName:       {nil, by(event.Decision.TakeSeat), newToken},
}

const (
	admin     = pb.Role_ADMIN
	organiser = pb.Role_ORGANISER
	technical = pb.Role_TECHNICAL_PANEL
	judge     = pb.Role_JUDGE
	referee   = pb.Role_REFEREE
	announcer = pb.Role_ANNOUNCER
)

func only(roles ...pb.Role_Value) []pb.Role_Value { return roles }

// by is a decision for the table, whose requests are of many types.
func by[Req proto.Message](decide func(event.Decision, Req) ([]proto.Message, error)) func(event.Decision, proto.Message) ([]proto.Message, error) {
	return func(d event.Decision, req proto.Message) ([]proto.Message, error) { return decide(d, req.(Req)) }
}

// Needs is what each call of EventService asks of its caller.
func Needs() access.Needs {
	needs := access.Needs{
		pb.EventService_ListEvents_FullMethodName: {Open: true}, // leaves restricted events out itself
		pb.EventService_ListFacts_FullMethodName:  {Roles: only(organiser, referee)},
		pb.EventService_ListTokens_FullMethodName: {Roles: only(organiser, referee, announcer)}, // who waits for a desk

		pb.EventService_BeginRehearsal_FullMethodName: {Roles: only(organiser)},
		pb.EventService_EndRehearsal_FullMethodName:   {Roles: only(organiser)},
		// Like the correction itself.
		pb.EventService_PreviewCorrection_FullMethodName: {Roles: only(referee)},
	}
	for _, method := range []string{
		pb.EventService_GetEvent_FullMethodName, pb.EventService_GetCaller_FullMethodName,
		pb.EventService_WatchEvent_FullMethodName, // shows what the calls beside it would
		pb.EventService_ListEntries_FullMethodName, pb.EventService_ExportEntries_FullMethodName,
		pb.EventService_GetPerformance_FullMethodName, // hides marks itself
		pb.EventService_GetSegmentStanding_FullMethodName, pb.EventService_GetFinalStanding_FullMethodName,
		pb.EventService_GetDocument_FullMethodName,
	} {
		needs[method] = access.Need{Read: true}
	}
	for method, c := range commands {
		needs[method] = access.Need{Open: c.roles == nil, Roles: c.roles}
	}
	return needs
}

// commandOf finds the command of a request, which is named after its call.
func commandOf(req proto.Message) (command, bool) {
	call, _ := strings.CutSuffix(string(req.ProtoReflect().Descriptor().Name()), "Request")
	c, ok := commands["/"+pb.EventService_ServiceDesc.ServiceName+"/"+call]
	return c, ok
}

// Decide decides a request on a state by the table of commands. The error is what
// the decision returns, or a status.
func Decide(s *event.State, c *event.Command, req proto.Message) ([]proto.Message, error) {
	command, ok := commandOf(req)
	if !ok {
		return nil, errs.Internal(errors.New(string(req.ProtoReflect().Descriptor().FullName()) + " is not in the table of commands"))
	}
	if _, creates := req.(*pb.CreateEventRequest); !creates && s.Data == nil {
		return nil, errs.UnknownEvent(s.ID)
	}
	return command.decide(event.Decision{State: s, Command: c}, req)
}

// changing is a request that changes an event.
type changing interface {
	reading
	GetRequestId() string
}

// mutate decides a request on its event, writes the facts, and answers with what
// the table says and the sequence number. c has what the decision needs besides
// request, caller and time.
func mutate[Res any, P interface {
	*Res
	proto.Message
}](ctx context.Context, v *Service, req changing, c *event.Command) (P, error) {
	c.Actor, c.Chance = access.From(ctx), rand.Uint64() //nolint:gosec // the seed is public
	switch of, ok := commandOf(req); {
	case ok && of.roles == nil:
		c.Actor = access.Actor{} // a token that comes along may be another event's
	case c.Actor.Role == pb.Role_ROLE_UNSPECIFIED:
		return nil, errs.New(pb.ErrorReason_UNAUTHENTICATED, "whatever changes an event needs a token")
	}
	if !event.IsID(req.GetEvent()) {
		return nil, errs.UnknownEvent(req.GetEvent())
	}
	_, erases := proto.Message(req).(*pb.ErasePersonRequest)
	res, pins := P(new(Res)), c.Season == nil // the event's own table is read from the state that is decided on
	err := v.book.Do(ctx, &host.Change{
		Event: req.GetEvent(), RequestID: req.GetRequestId(), Request: req, Expected: expectedOf(req), Actor: c.Actor, Erases: erases,
		Decide: func(s *event.State, now time.Time) ([]proto.Message, error) {
			c.Time = now
			if pins {
				c.Season = func() (*rules.Season, error) { return pinned(v.seasons, s.Data) }
			}
			return Decide(s, c, req)
		},
		Show: func(s *event.State, done event.Span) error {
			command, _ := commandOf(req) // it was decided
			set(res, "sequence", protoreflect.ValueOfUint64(done.Last))
			return command.answer(&after{NewReader(s, v.seasons, c.Actor), done, req, c}, res)
		},
	})
	if err != nil {
		return nil, errs.From(err, req)
	}
	return res, nil
}

// expectedOf returns the sequence number that a request expects, or nil.
func expectedOf(req proto.Message) *uint64 {
	m := req.ProtoReflect()
	field := m.Descriptor().Fields().ByName("expected_sequence")
	if field == nil || !m.Has(field) {
		return nil
	}
	return new(m.Get(field).Uint())
}

// CreateEvent makes an event.
func (v *Service) CreateEvent(ctx context.Context, req *pb.CreateEventRequest) (*pb.CreateEventResponse, error) {
	season := asked(v.seasons, req.GetSeason(), req.GetRevision())
	ids, faults := event.IDsFor(req)
	if len(faults) > 0 {
		var others rules.FieldErrors
		if _, err := Decide(&event.State{}, &event.Command{Season: season}, req); errors.As(err, &others) {
			faults = append(faults, others...)
		}
		return nil, errs.From(faults, req)
	}
	var err error
	for _, id := range ids {
		named := proto.CloneOf(req)
		named.Event = id
		var res *pb.CreateEventResponse
		res, err = mutate[pb.CreateEventResponse](ctx, v, named, &event.Command{Season: season})
		switch errs.Reason(err) {
		case "":
			return res, err
		case pb.ErrorReason_EVENT_EXISTS.String(), pb.ErrorReason_REQUEST_ID_REUSED.String():
			// Taken. Where the id was made from the name there is another to try.
		default:
			return nil, err
		}
	}
	return nil, err
}

// UpdateEvent changes an event.
func (v *Service) UpdateEvent(ctx context.Context, req *pb.UpdateEventRequest) (*pb.UpdateEventResponse, error) {
	command := &event.Command{}
	if req.Season != nil {
		command.Season = asked(v.seasons, req.GetSeason(), "")
	}
	return mutate[pb.UpdateEventResponse](ctx, v, req, command)
}

// CreateToken makes a token.
func (v *Service) CreateToken(ctx context.Context, req *pb.CreateTokenRequest) (*pb.CreateTokenResponse, error) {
	return mutate[pb.CreateTokenResponse](ctx, v, req, &event.Command{Token: access.NewToken(req.GetEvent())})
}

// SetCategory adds or changes a category.
func (v *Service) SetCategory(ctx context.Context, req *pb.SetCategoryRequest) (*pb.SetCategoryResponse, error) {
	return mutate[pb.SetCategoryResponse](ctx, v, req, &event.Command{})
}

// RemoveCategory takes a category out.
func (v *Service) RemoveCategory(ctx context.Context, req *pb.RemoveCategoryRequest) (*pb.RemoveCategoryResponse, error) {
	return mutate[pb.RemoveCategoryResponse](ctx, v, req, &event.Command{})
}

// SetPanel says who judges.
func (v *Service) SetPanel(ctx context.Context, req *pb.SetPanelRequest) (*pb.SetPanelResponse, error) {
	return mutate[pb.SetPanelResponse](ctx, v, req, &event.Command{})
}

// SetAbsentJudges says which judges are absent.
func (v *Service) SetAbsentJudges(ctx context.Context, req *pb.SetAbsentJudgesRequest) (*pb.SetAbsentJudgesResponse, error) {
	return mutate[pb.SetAbsentJudgesResponse](ctx, v, req, &event.Command{})
}

// AddEntry adds a competitor.
func (v *Service) AddEntry(ctx context.Context, req *pb.AddEntryRequest) (*pb.AddEntryResponse, error) {
	return mutate[pb.AddEntryResponse](ctx, v, req, &event.Command{})
}

// UpdateEntry changes how a competitor is printed.
func (v *Service) UpdateEntry(ctx context.Context, req *pb.UpdateEntryRequest) (*pb.UpdateEntryResponse, error) {
	return mutate[pb.UpdateEntryResponse](ctx, v, req, &event.Command{})
}

// ImportEntries adds and changes competitors from CSV.
func (v *Service) ImportEntries(ctx context.Context, req *pb.ImportEntriesRequest) (*pb.ImportEntriesResponse, error) {
	return mutate[pb.ImportEntriesResponse](ctx, v, req, &event.Command{})
}

// WithdrawEntry takes a competitor out.
func (v *Service) WithdrawEntry(ctx context.Context, req *pb.WithdrawEntryRequest) (*pb.WithdrawEntryResponse, error) {
	return mutate[pb.WithdrawEntryResponse](ctx, v, req, &event.Command{})
}

// ReinstateEntry takes a withdrawal back.
func (v *Service) ReinstateEntry(ctx context.Context, req *pb.ReinstateEntryRequest) (*pb.ReinstateEntryResponse, error) {
	return mutate[pb.ReinstateEntryResponse](ctx, v, req, &event.Command{})
}

// ErasePerson erases who a competitor is.
func (v *Service) ErasePerson(ctx context.Context, req *pb.ErasePersonRequest) (*pb.ErasePersonResponse, error) {
	return mutate[pb.ErasePersonResponse](ctx, v, req, &event.Command{})
}

// DrawStartingOrder makes a starting order.
func (v *Service) DrawStartingOrder(ctx context.Context, req *pb.DrawStartingOrderRequest) (*pb.DrawStartingOrderResponse, error) {
	return mutate[pb.DrawStartingOrderResponse](ctx, v, req, &event.Command{})
}

// StartSegment opens a segment.
func (v *Service) StartSegment(ctx context.Context, req *pb.StartSegmentRequest) (*pb.StartSegmentResponse, error) {
	return mutate[pb.StartSegmentResponse](ctx, v, req, &event.Command{})
}

// CallSkater calls a skater to the ice.
func (v *Service) CallSkater(ctx context.Context, req *pb.CallSkaterRequest) (*pb.CallSkaterResponse, error) {
	return mutate[pb.CallSkaterResponse](ctx, v, req, &event.Command{})
}

// CallElement adds an element.
func (v *Service) CallElement(ctx context.Context, req *pb.CallElementRequest) (*pb.CallElementResponse, error) {
	return mutate[pb.CallElementResponse](ctx, v, req, &event.Command{})
}

// ReviseElement changes an element.
func (v *Service) ReviseElement(ctx context.Context, req *pb.ReviseElementRequest) (*pb.ReviseElementResponse, error) {
	return mutate[pb.ReviseElementResponse](ctx, v, req, &event.Command{})
}

// RemoveElement takes an element out.
func (v *Service) RemoveElement(ctx context.Context, req *pb.RemoveElementRequest) (*pb.RemoveElementResponse, error) {
	return mutate[pb.RemoveElementResponse](ctx, v, req, &event.Command{})
}

// ReviewElement marks an element to be looked at again.
func (v *Service) ReviewElement(ctx context.Context, req *pb.ReviewElementRequest) (*pb.ReviewElementResponse, error) {
	return mutate[pb.ReviewElementResponse](ctx, v, req, &event.Command{})
}

// EndProgram says that the skater has finished.
func (v *Service) EndProgram(ctx context.Context, req *pb.EndProgramRequest) (*pb.EndProgramResponse, error) {
	return mutate[pb.EndProgramResponse](ctx, v, req, &event.Command{})
}

// SetElementMarks records one judge's marks for elements.
func (v *Service) SetElementMarks(ctx context.Context, req *pb.SetElementMarksRequest) (*pb.SetElementMarksResponse, error) {
	return mutate[pb.SetElementMarksResponse](ctx, v, req, &event.Command{})
}

// SetComponentMarks records one judge's marks for components.
func (v *Service) SetComponentMarks(ctx context.Context, req *pb.SetComponentMarksRequest) (*pb.SetComponentMarksResponse, error) {
	return mutate[pb.SetComponentMarksResponse](ctx, v, req, &event.Command{})
}

// SetDeductions says what is taken off.
func (v *Service) SetDeductions(ctx context.Context, req *pb.SetDeductionsRequest) (*pb.SetDeductionsResponse, error) {
	return mutate[pb.SetDeductionsResponse](ctx, v, req, &event.Command{})
}

// ConfirmSkater confirms a performance.
func (v *Service) ConfirmSkater(ctx context.Context, req *pb.ConfirmSkaterRequest) (*pb.ConfirmSkaterResponse, error) {
	return mutate[pb.ConfirmSkaterResponse](ctx, v, req, &event.Command{})
}

// CorrectResult changes a confirmed performance.
func (v *Service) CorrectResult(ctx context.Context, req *pb.CorrectResultRequest) (*pb.CorrectResultResponse, error) {
	return mutate[pb.CorrectResultResponse](ctx, v, req, &event.Command{})
}

// PublishSegment signs a segment's result.
func (v *Service) PublishSegment(ctx context.Context, req *pb.PublishSegmentRequest) (*pb.PublishSegmentResponse, error) {
	return mutate[pb.PublishSegmentResponse](ctx, v, req, &event.Command{})
}

// RevokeToken ends a token.
func (v *Service) RevokeToken(ctx context.Context, req *pb.RevokeTokenRequest) (*pb.RevokeTokenResponse, error) {
	return mutate[pb.RevokeTokenResponse](ctx, v, req, &event.Command{})
}

// CreateSeatCode makes a code for a desk.
func (v *Service) CreateSeatCode(ctx context.Context, req *pb.CreateSeatCodeRequest) (*pb.CreateSeatCodeResponse, error) {
	return mutate[pb.CreateSeatCodeResponse](ctx, v, req, &event.Command{Code: access.NewCode()})
}

// TakeSeat exchanges a code for a token.
func (v *Service) TakeSeat(ctx context.Context, req *pb.TakeSeatRequest) (*pb.TakeSeatResponse, error) {
	res, err := mutate[pb.TakeSeatResponse](ctx, v, req, &event.Command{Token: access.NewToken(req.GetEvent())})
	if err == nil {
		v.book.Called(req.GetEvent(), res.GetInfo().GetId())
	}
	return res, err
}
