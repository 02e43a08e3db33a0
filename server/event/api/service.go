// Package api answers EventService: the calls that change events stand in the table
// of commands, those that read beside it, and a Reader makes what they show.
package api

import (
	"context"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/tables"
)

// Service implements EventService.
type Service struct {
	pb.UnimplementedEventServiceServer

	book    *host.Book
	seasons *tables.Archive
	papers  *papers

	// Others are events that only lists show, as copies of other servers' events; nil
	// is none. It is set before the service is used.
	Others Others
	// Rehearsals are those of the events here; nil is none. It is set before the service
	// is used.
	Rehearsals Rehearsals
}

// Others are events that are not in the book.
type Others interface {
	// Names returns their ids, in order.
	Names() []string
	// Summary returns one of them as lists show it, nil when it is gone.
	Summary(event string) *pb.EventSummary
}

// New makes the service over the states of events and the tables that they pin.
func New(book *host.Book, seasons *tables.Archive) *Service {
	return &Service{book: book, seasons: seasons, papers: newPapers()}
}

// View shows an event to an actor. The reader and what it returns are to be used
// inside show only.
func (v *Service) View(ctx context.Context, id string, actor access.Actor, show func(*Reader) error) error {
	return v.book.View(ctx, id, func(s *event.State) error {
		return show(NewReader(s, v.seasons, actor))
	})
}

// reading is a request that reads an event.
type reading interface {
	proto.Message
	GetEvent() string
}

// view shows the event of a request to its caller and returns the status of what
// went wrong.
func (v *Service) view(ctx context.Context, req reading, show func(*Reader) error) error {
	return errs.From(v.View(ctx, req.GetEvent(), access.From(ctx), show), req)
}
