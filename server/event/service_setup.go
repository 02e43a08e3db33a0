package event

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
)

// CreateEvent makes an event.
func (v *Service) CreateEvent(ctx context.Context, req *pb.CreateEventRequest) (*pb.CreateEventResponse, error) {
	season := asked(v.seasons, req.GetSeason(), req.GetRevision())
	ids, faults := idsFor(req)
	if len(faults) > 0 {
		var others rules.FieldErrors
		if _, err := Decide(&State{}, &Command{Request: req, Season: season}); errors.As(err, &others) {
			faults = append(faults, others...)
		}
		return nil, errs.Of(faults, req)
	}
	var err error
	for _, id := range ids {
		res := &pb.CreateEventResponse{}
		named := proto.CloneOf(req)
		named.Event = id
		err = v.decide(ctx, named, &Command{Season: season}, func(r *Reader, done Span) error {
			res.Event, res.Sequence = r.Event(), done.Last
			return nil
		})
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

// idsFor gives the ids to try for a new event: the request's own, or those made
// from its name.
func idsFor(req *pb.CreateEventRequest) ([]string, rules.FieldErrors) {
	const tries = 50
	if id := req.GetEvent(); id != "" {
		var faults rules.FieldErrors
		identifier(&faults, "event", id, eventID, minEventID, maxEventID, "small letters, digits and single hyphens, beginning with a letter")
		return []string{id}, faults
	}
	id := slug(req.GetName(), maxEventID-len("-50"))
	if len(id) < minEventID {
		id = "event-" + id
	}
	id = strings.Trim(id, "-")
	ids := []string{id}
	for n := 2; n <= tries; n++ {
		ids = append(ids, fmt.Sprintf("%s-%d", id, n))
	}
	return ids, nil
}

// slug makes an id from a name: "Spring Cup 2026" is spring-cup-2026.
func slug(name string, most int) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToLower(name)) {
		switch {
		case b.Len() >= most:
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9' && b.Len() > 0:
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r): // the accent of the letter before
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.Trim(b.String(), "-")
}

// GetEvent shows an event.
func (v *Service) GetEvent(ctx context.Context, req *pb.GetEventRequest) (*pb.GetEventResponse, error) {
	res := &pb.GetEventResponse{}
	err := v.view(ctx, req, func(r *Reader) error {
		res.Event = r.Event()
		return nil
	})
	return res, err
}

// GetCaller tells what the caller may do in an event.
func (v *Service) GetCaller(ctx context.Context, req *pb.GetCallerRequest) (*pb.GetCallerResponse, error) {
	res := &pb.GetCallerResponse{}
	err := v.view(ctx, req, func(*Reader) error {
		caller := access.From(ctx)
		res.Role, res.Judge = caller.Role, caller.Judge
		return nil
	})
	return res, err
}

// ListEvents lists events.
func (v *Service) ListEvents(ctx context.Context, req *pb.ListEventsRequest) (*pb.ListEventsResponse, error) {
	size, err := pageSize(req.GetPageSize())
	if err != nil {
		return nil, errs.Of(err, req)
	}
	after, err := base64.RawURLEncoding.DecodeString(req.GetPageToken())
	if err != nil || len(after) > 0 && !eventID.Match(after) {
		return nil, errs.Of(rules.FieldErrors{{
			Field: "pageToken", Reason: rules.Reason(pb.ErrorReason_PAGE_TOKEN_INVALID.String()),
			Message: "is not a token of this list; take nextPageToken of the answer before",
		}}, req)
	}
	res := &pb.ListEventsResponse{}
	last := string(after)
	for {
		// One more than asked tells whether there is a next page.
		names, err := v.book.log.Streams(ctx, last, size+1)
		if err != nil {
			return nil, errs.Of(err, req)
		}
		if len(names) == 0 {
			return res, nil
		}
		for _, name := range names {
			if len(res.GetEvents()) == size {
				res.NextPageToken = base64.RawURLEncoding.EncodeToString([]byte(res.GetEvents()[size-1].GetEvent()))
				return res, nil
			}
			last = name
			if err := v.list(ctx, name, res); err != nil {
				return nil, errs.Of(err, req)
			}
		}
	}
}

// list adds an event to a list, if the caller may know of it.
func (v *Service) list(ctx context.Context, name string, res *pb.ListEventsResponse) error {
	actor := access.From(ctx)
	err := v.View(ctx, name, actor, func(r *Reader) error {
		if !r.Data.GetRestricted() || actor.Role == pb.Role_ADMIN || actor.Event == name {
			res.Events = append(res.Events, r.Summary())
		}
		return nil
	})
	switch reason := errs.Reason(errs.Of(err, nil)); {
	case reason == pb.ErrorReason_EVENT_UNKNOWN.String():
		return nil // a stream of the server's own
	case reason == pb.ErrorReason_INTERNAL.String() && ctx.Err() == nil:
		// One event that cannot be read keeps nobody from the others.
		if actor.Role == pb.Role_ADMIN {
			res.Events = append(res.Events, &pb.EventSummary{Event: name, Name: name, Unreadable: true})
		}
		return nil
	default:
		return err
	}
}

// pageSize gives how many items a page has.
func pageSize(asked int32) (int, error) {
	const standard, most = 100, 1000
	switch {
	case asked < 0:
		return 0, rules.Fault("pageSize", rules.ReasonFieldInvalid, "is %d; allowed is %s", asked, rules.Allowed("0 or more"))
	case asked == 0:
		return standard, nil
	default:
		return min(int(asked), most), nil
	}
}

// UpdateEvent changes an event.
func (v *Service) UpdateEvent(ctx context.Context, req *pb.UpdateEventRequest) (*pb.UpdateEventResponse, error) {
	res := &pb.UpdateEventResponse{}
	command := &Command{}
	if req.Season != nil {
		command.Season = asked(v.seasons, req.GetSeason(), "")
	}
	err := v.decide(ctx, req, command, func(r *Reader, done Span) error {
		res.Event, res.Sequence = r.Event(), done.Last
		return nil
	})
	return res, err
}

// SetCategory adds or changes a category.
func (v *Service) SetCategory(ctx context.Context, req *pb.SetCategoryRequest) (*pb.SetCategoryResponse, error) {
	res := &pb.SetCategoryResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Event, res.Sequence = r.Event(), seq
		return nil
	})
	return res, err
}

// RemoveCategory takes a category out.
func (v *Service) RemoveCategory(ctx context.Context, req *pb.RemoveCategoryRequest) (*pb.RemoveCategoryResponse, error) {
	res := &pb.RemoveCategoryResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Event, res.Sequence = r.Event(), seq
		return nil
	})
	return res, err
}

// SetPanel says who judges.
func (v *Service) SetPanel(ctx context.Context, req *pb.SetPanelRequest) (*pb.SetPanelResponse, error) {
	res := &pb.SetPanelResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Event, res.Sequence = r.Event(), seq
		return nil
	})
	return res, err
}

// SetAbsentJudges says which judges are absent.
func (v *Service) SetAbsentJudges(ctx context.Context, req *pb.SetAbsentJudgesRequest) (*pb.SetAbsentJudgesResponse, error) {
	res := &pb.SetAbsentJudgesResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Event, res.Sequence = r.Event(), seq
		return nil
	})
	return res, err
}

// DrawStartingOrder makes a starting order.
func (v *Service) DrawStartingOrder(ctx context.Context, req *pb.DrawStartingOrderRequest) (*pb.DrawStartingOrderResponse, error) {
	res := &pb.DrawStartingOrderResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Event, res.Sequence = r.Event(), seq
		return nil
	})
	return res, err
}

// CreateToken makes a token.
func (v *Service) CreateToken(ctx context.Context, req *pb.CreateTokenRequest) (*pb.CreateTokenResponse, error) {
	res := &pb.CreateTokenResponse{}
	token := access.NewToken(req.GetEvent())
	hash := access.Hash(token)
	err := v.decide(ctx, req, &Command{Hash: hash}, func(r *Reader, done Span) error {
		t := r.tokenAt(done.Last)
		if t == nil {
			return errors.New("the new token is not in the log")
		}
		res.Info, res.Sequence = tokenOf(t), done.Last
		if string(t.GetHash()) == string(hash) {
			res.Token = token
		}
		return nil
	})
	return res, err
}

// ListTokens lists tokens.
func (v *Service) ListTokens(ctx context.Context, req *pb.ListTokensRequest) (*pb.ListTokensResponse, error) {
	res := &pb.ListTokensResponse{}
	err := v.view(ctx, req, func(r *Reader) error {
		for _, t := range r.Tokens {
			res.Tokens = append(res.Tokens, tokenOf(t))
		}
		return nil
	})
	return res, err
}

// RevokeToken ends a token.
func (v *Service) RevokeToken(ctx context.Context, req *pb.RevokeTokenRequest) (*pb.RevokeTokenResponse, error) {
	res := &pb.RevokeTokenResponse{}
	err := v.change(ctx, req, func(r *Reader, seq uint64) error {
		res.Info, res.Sequence = tokenOf(r.State.Token(req.GetToken())), seq
		return nil
	})
	return res, err
}
