package live

import (
	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/event/api"
)

// Events is EventService with the stream of the desks.
type Events struct {
	*api.Service

	live *Service
}

// NewEvents adds the stream to the service of events.
func NewEvents(events *api.Service, live *Service) *Events { return &Events{events, live} }

// WatchEvent sends what the caller may read of an event, and what changes of it.
func (e *Events) WatchEvent(req *pb.WatchEventRequest, stream grpc.ServerStreamingServer[pb.WatchEventResponse]) error {
	w, err := e.live.hub.JoinDesk(stream.Context(), req.GetEvent(), req.AfterSequence)
	if err != nil {
		return err
	}
	return e.live.stream(w, stream, func(beat *pb.Heartbeat) error {
		return stream.Send(&pb.WatchEventResponse{Sequence: beat.GetSequence()})
	})
}
