package api

import (
	"context"
	"encoding/base64"
	"slices"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
)

// GetEvent shows an event.
func (v *Service) GetEvent(ctx context.Context, req *pb.GetEventRequest) (*pb.GetEventResponse, error) {
	res := &pb.GetEventResponse{}
	err := v.view(ctx, req, func(r *Reader) error {
		res.Event = r.Event()
		return nil
	})
	return res, err
}

// GetCaller shows what the caller may do in an event.
func (v *Service) GetCaller(ctx context.Context, req *pb.GetCallerRequest) (*pb.GetCallerResponse, error) {
	res := &pb.GetCallerResponse{}
	err := v.view(ctx, req, func(*Reader) error {
		caller := access.From(ctx)
		res.Role, res.Judge = caller.Role, caller.Judge
		if v.Rehearsals != nil && caller.Role != pb.Role_ROLE_UNSPECIFIED {
			res.Rehearsal = v.Rehearsals.Of(req.GetEvent())
		}
		return nil
	})
	return res, err
}

// ListEvents lists events.
func (v *Service) ListEvents(ctx context.Context, req *pb.ListEventsRequest) (*pb.ListEventsResponse, error) {
	var faults rules.FieldErrors
	size := ask.PageSize(req.GetPageSize(), &faults)
	after, err := base64.RawURLEncoding.DecodeString(req.GetPageToken())
	if err != nil || len(after) > 0 && !event.IsID(string(after)) {
		faults.Add("pageToken", ask.ReasonPageToken, "is not a token of this list; take nextPageToken of the answer before")
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	res := &pb.ListEventsResponse{}
	last := string(after)
	for {
		// One more than asked tells whether there is a next page.
		names, err := v.names(ctx, last, size+1)
		if err != nil {
			return nil, errs.From(err, req)
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
				return nil, errs.From(err, req)
			}
		}
	}
}

// names returns the ids behind one, at most so many: of events in the log and others.
func (v *Service) names(ctx context.Context, after string, most int) ([]string, error) {
	names, err := v.book.Log().Streams(ctx, after, most)
	if err != nil || v.Others == nil {
		return names, err
	}
	for _, other := range v.Others.Names() {
		if other > after && !slices.Contains(names, other) {
			names = append(names, other)
		}
	}
	slices.Sort(names)
	return names[:min(len(names), most)], nil
}

// list adds an event to a list, if the caller may know of it.
func (v *Service) list(ctx context.Context, name string, res *pb.ListEventsResponse) error {
	if v.Others != nil {
		if other := v.Others.Summary(name); other != nil {
			res.Events = append(res.Events, other)
			return nil
		}
	}
	actor := access.From(ctx)
	err := v.View(ctx, name, actor, func(r *Reader) error {
		if !r.Data.GetRestricted() || actor.Role == pb.Role_ADMIN || actor.Event == name {
			res.Events = append(res.Events, r.Summary())
		}
		return nil
	})
	reason := errs.Reason(errs.From(err, nil))
	damaged := reason == pb.ErrorReason_EVENT_DAMAGED.String()
	switch {
	case reason == pb.ErrorReason_EVENT_UNKNOWN.String():
		return nil // a stream of the server's own
	case (damaged || reason == pb.ErrorReason_INTERNAL.String()) && ctx.Err() == nil:
		// One event that cannot be read keeps nobody from the others.
		if actor.Role == pb.Role_ADMIN {
			res.Events = append(res.Events, &pb.EventSummary{Event: name, Name: name, Unreadable: true, Damaged: damaged})
		}
		return nil
	default:
		return err
	}
}

// ListTokens lists tokens.
func (v *Service) ListTokens(ctx context.Context, req *pb.ListTokensRequest) (*pb.ListTokensResponse, error) {
	res := &pb.ListTokensResponse{Now: timestamppb.New(v.book.Now())}
	err := v.view(ctx, req, func(r *Reader) error {
		for _, t := range r.Tokens {
			info := t.Info()
			if called := v.book.LastCall(r.ID, t.GetId()); !called.IsZero() {
				info.LastCallTime = timestamppb.New(called)
			}
			res.Tokens = append(res.Tokens, info)
		}
		return nil
	})
	return res, err
}
