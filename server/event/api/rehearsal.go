package api

import (
	"context"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// Rehearsals are the rehearsals of events.
type Rehearsals interface {
	// Of returns the id of the rehearsal of an event, "" when there is none.
	Of(event string) string
	// Begin makes the rehearsal of an event as it is now, unless there is one, and
	// returns its id.
	Begin(ctx context.Context, event string, data *logv1.EventData) (string, error)
	// End ends the rehearsal of an event, if there is one.
	End(event string) error
}

// BeginRehearsal makes the rehearsal of an event.
func (v *Service) BeginRehearsal(ctx context.Context, req *pb.BeginRehearsalRequest) (*pb.BeginRehearsalResponse, error) {
	if v.Rehearsals == nil {
		return v.UnimplementedEventServiceServer.BeginRehearsal(ctx, req)
	}
	var data *logv1.EventData
	err := v.view(ctx, req, func(r *Reader) error {
		if of := r.Data.GetRehearsalOf(); of != "" {
			return r.NotNow(pb.SegmentState_PLANNED, "EndRehearsal", "this is a rehearsal already, of event %s", of)
		}
		for _, c := range r.Categories {
			for _, g := range c.Segments {
				if g.Started {
					return r.NotNow(g.State(), "CallSkater", "%s of %s has started: an event is rehearsed before", g.Title, c.Title)
				}
			}
		}
		data = r.Data
		return nil
	})
	if err != nil {
		return nil, err
	}
	id, err := v.Rehearsals.Begin(ctx, req.GetEvent(), data)
	return &pb.BeginRehearsalResponse{Rehearsal: id}, errs.From(err, req)
}

// EndRehearsal ends the rehearsal of an event.
func (v *Service) EndRehearsal(ctx context.Context, req *pb.EndRehearsalRequest) (*pb.EndRehearsalResponse, error) {
	if v.Rehearsals == nil {
		return v.UnimplementedEventServiceServer.EndRehearsal(ctx, req)
	}
	return &pb.EndRehearsalResponse{}, errs.From(v.Rehearsals.End(req.GetEvent()), req)
}
