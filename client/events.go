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
	EventCalls

	// WatchEvent yields what the token may read of an event as it is now, or what
	// follows the request's AfterSequence, and then what changes of it, each as
	// WatchEventResponse says; after one with Reset_ what was before is void. It goes on
	// over lost connections and ends as WatchScoreboard does.
	WatchEvent(context.Context, *pb.WatchEventRequest, ...WatchOption) iter.Seq2[*pb.WatchEventResponse, error]
}

var _ Events = (*Client)(nil)

// WatchEvent implements Events.
func (c *Client) WatchEvent(ctx context.Context, req *pb.WatchEventRequest, opts ...WatchOption) iter.Seq2[*pb.WatchEventResponse, error] {
	return func(yield func(*pb.WatchEventResponse, error) bool) {
		watchAll(ctx, c, req.AfterSequence, opts, yield, func(ctx context.Context, after *uint64) (grpc.ServerStreamingClient[pb.WatchEventResponse], error) {
			req := proto.CloneOf(req)
			req.AfterSequence = after
			return c.event.WatchEvent(ctx, req)
		}, func(answer *pb.WatchEventResponse) (uint64, *pb.WatchEventResponse) {
			if proto.Equal(answer, &pb.WatchEventResponse{Sequence: answer.GetSequence()}) {
				return answer.GetSequence(), nil // a heartbeat
			}
			return answer.GetSequence(), answer
		})
	}
}
