package event

import (
	"context"
	"math/rand/v2"
	"time"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/tables"
)

// Service implements EventService.
type Service struct {
	pb.UnimplementedEventServiceServer

	book    *Book
	seasons *tables.Archive
}

// New makes the service over the states of events and the tables that they pin.
func New(book *Book, seasons *tables.Archive) *Service {
	return &Service{book: book, seasons: seasons}
}

// View shows an event to an actor. The reader and what it gives are to be used
// inside show only.
func (v *Service) View(ctx context.Context, event string, actor access.Actor, show func(*Reader) error) error {
	return v.book.View(ctx, event, func(s *State) error {
		return show(NewReader(s, v.seasons, actor))
	})
}

// reading is a request that reads an event.
type reading interface {
	proto.Message
	GetEvent() string
}

// view shows the event of a request to its caller and gives the status of what
// went wrong.
func (v *Service) view(ctx context.Context, req reading, show func(*Reader) error) error {
	return errs.Of(v.View(ctx, req.GetEvent(), access.From(ctx), show), req)
}

// changing is a request that changes an event.
type changing interface {
	reading
	GetRequestId() string
}

// change decides a request on its event and shows the event after it.
func (v *Service) change(ctx context.Context, req changing, show func(r *Reader, seq uint64) error) error {
	return v.decide(ctx, req, &Command{}, func(r *Reader, done Span) error { return show(r, done.Last) })
}

// decide is change for a command that needs more than its request.
func (v *Service) decide(ctx context.Context, req changing, c *Command, show func(*Reader, Span) error) error {
	actor := access.From(ctx)
	if actor.Role == pb.Role_ROLE_UNSPECIFIED {
		return errs.Refuse(pb.ErrorReason_UNAUTHENTICATED, "whatever changes an event needs a token")
	}
	if !eventID.MatchString(req.GetEvent()) || len(req.GetEvent()) > maxEventID {
		return errs.UnknownEvent(req.GetEvent())
	}
	c.Request, c.Actor, c.Chance = req, actor, rand.Uint64() //nolint:gosec // the seed is public
	err := v.book.Do(ctx, &Change{
		Event: req.GetEvent(), RequestID: req.GetRequestId(), Request: req, Expected: expectedOf(req), Actor: actor,
		Decide: func(s *State, now time.Time) ([]proto.Message, error) {
			c.Time = now
			if c.Season == nil {
				c.Season = func() (*rules.Season, error) { return pinned(v.seasons, s.Data) }
			}
			return Decide(s, c)
		},
		Show: func(s *State, done Span) error { return show(NewReader(s, v.seasons, actor), done) },
	})
	return errs.Of(err, req)
}

// expectedOf gives the sequence number that a request expects, or nil.
func expectedOf(req proto.Message) *uint64 {
	m := req.ProtoReflect()
	field := m.Descriptor().Fields().ByName("expected_sequence")
	if field == nil || !m.Has(field) {
		return nil
	}
	return new(m.Get(field).Uint())
}
