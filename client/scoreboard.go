package client

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Scoreboards shows what watchers of an event see. It needs no token unless the
// event's reading is restricted.
type Scoreboards interface {
	ScoreboardCalls

	// WatchScoreboard yields the scoreboard as it is now, or what follows the
	// request's AfterSequence, and then the board after every change that can be seen
	// on it. Each is the whole board and replaces the one before; what has not changed
	// is shared with that and must not be written to. The request's Changes is the
	// client's own matter.
	//
	// The sequence goes on over a lost connection, a server that starts again and a
	// watcher that was too slow: it asks for what follows the last board, and pauses
	// longer and longer in between, up to 5 seconds. Boards that are too old to be
	// sent one by one are left out; Sequence shows how far a board is. A server that
	// is silent for 45 seconds counts as lost. OnConnection says how it stands.
	//
	// It ends with an *Error when the context ends, when the server refuses the
	// watch (no such event, no or another token), or when no server was heard in as
	// many attempts as WithRetry allows before the first board. To leave the range
	// ends the watch at once.
	WatchScoreboard(context.Context, *pb.WatchScoreboardRequest, ...WatchOption) iter.Seq2[*pb.Scoreboard, error]

	// AllPlaces returns all places behind the scoreboard, read page by page. It begins
	// again when a place has changed meanwhile, so that they are those of one moment.
	AllPlaces(ctx context.Context, event string) (*pb.ListPlacesResponse, error)
}

var _ Scoreboards = (*Client)(nil)

// WatchOption sets something of a watch.
type WatchOption func(*watchOptions)

type watchOptions struct{ connection func(error) }

// OnConnection calls f when a watch has lost its server or does not reach it, with the
// *Error that says why, before each new attempt; and with nil when it is heard. A
// display can then say whether it is up to date. f runs in the goroutine of the
// range and should return soon.
func OnConnection(f func(error)) WatchOption {
	return func(o *watchOptions) { o.connection = f }
}

// WatchScoreboard implements Scoreboards.
func (c *Client) WatchScoreboard(ctx context.Context, req *pb.WatchScoreboardRequest, opts ...WatchOption) iter.Seq2[*pb.Scoreboard, error] {
	return func(yield func(*pb.Scoreboard, error) bool) {
		var held *pb.Scoreboard
		watchAll(ctx, c, req.AfterSequence, opts, yield, func(ctx context.Context, after *uint64) (grpc.ServerStreamingClient[pb.WatchScoreboardResponse], error) {
			req := proto.CloneOf(req)
			// Changes alone are of use to who has a board, or is sent one first.
			req.AfterSequence, req.Changes = after, held != nil || after == nil
			return c.scoreboard.WatchScoreboard(ctx, req)
		}, func(answer *pb.WatchScoreboardResponse) (uint64, *pb.Scoreboard) {
			board := answer.GetScoreboard()
			switch {
			case board == nil:
				return answer.GetHeartbeat().GetSequence(), nil
			case len(answer.GetChanged()) > 0:
				board = changed(held, board, answer.GetChanged())
			}
			held = board
			return board.GetSequence(), board
		})
	}
}

// changed returns a board with the members of another that have changed, which are
// named as in JSON. Neither board is changed.
func changed(before, part *pb.Scoreboard, names []string) *pb.Scoreboard {
	out := &pb.Scoreboard{}
	to := out.ProtoReflect()
	before.ProtoReflect().Range(func(field protoreflect.FieldDescriptor, value protoreflect.Value) bool {
		if !slices.Contains(names, field.JSONName()) {
			to.Set(field, value)
		}
		return true
	})
	part.ProtoReflect().Range(func(field protoreflect.FieldDescriptor, value protoreflect.Value) bool {
		to.Set(field, value)
		return true
	})
	return out
}

// heartbeat is how long a server is silent at most; one that was silent for so many
// of them is lost, as after a pulled cable, which no error shows.
const (
	heartbeat = 15 * time.Second
	silences  = 3
)

var errSilent = errors.New("the server is silent")

// watch is one range over what an event's watchers are sent: answers A, of which
// values T are yielded.
type watch[A, T any] struct {
	watchOptions

	client *Client
	after  *uint64 // what was seen last
	open   func(ctx context.Context, after *uint64) (grpc.ServerStreamingClient[A], error)
	read   func(*A) (seq uint64, value *T) // nil is a heartbeat
	yield  func(*T, error) bool

	heard  bool // an answer has come, over whichever stream
	failed uint // streams that broke since the last answer
}

// watchAll watches over one stream after another, behind a sequence number.
func watchAll[A, T any](ctx context.Context, c *Client, after *uint64, opts []WatchOption, yield func(*T, error) bool,
	open func(context.Context, *uint64) (grpc.ServerStreamingClient[A], error), read func(*A) (uint64, *T),
) {
	w := watch[A, T]{watchOptions{func(error) {}}, c, after, open, read, yield, false, 0}
	for _, o := range opts {
		o(&w.watchOptions)
	}
	w.run(ctx)
}

// run watches over one stream after another.
func (w *watch[A, T]) run(ctx context.Context) {
	pause := w.client.retry.pause()
	for {
		err := w.stream(ctx)
		w.failed++
		switch {
		case err == nil:
			return
		case ctx.Err() != nil:
			err = FromError(ctx.Err())
		case mayPass(err) && (w.heard || w.failed < uint(w.client.retry.attempts)):
			w.connection(err)
			select {
			case <-ctx.Done():
			case <-time.After(pause(ctx, w.failed)):
			}
			continue
		}
		w.yield(nil, err)
		return
	}
}

// stream yields what one stream brings. It returns why the stream broke, nil when
// the range was left.
func (w *watch[A, T]) stream(ctx context.Context) error {
	ctx, end := context.WithCancelCause(ctx)
	defer end(nil)
	silence := time.AfterFunc(w.client.silence, func() { end(errSilent) })
	defer silence.Stop()
	stream, err := w.open(ctx, w.after)
	for err == nil {
		var answer *A
		if answer, err = stream.Recv(); err != nil {
			break
		}
		silence.Stop() // while the reader is busy; one that fires now breaks the next Recv
		if !w.take(answer) {
			return nil
		}
		silence.Reset(w.client.silence)
	}
	switch {
	case errors.Is(context.Cause(ctx), errSilent):
		return &Error{Code: codes.Unavailable, Message: fmt.Sprintf("the server was silent for %v: the connection seems to be lost", w.client.silence)}
	case errors.Is(err, io.EOF):
		return &Error{Code: codes.Unavailable, Message: "the server ended the watch"}
	}
	return err
}

// take yields what an answer brings and remembers how far the watch is. It reports
// whether the range goes on.
func (w *watch[A, T]) take(answer *A) bool {
	if w.failed > 0 {
		w.connection(nil)
	}
	w.heard, w.failed = true, 0
	seq, value := w.read(answer)
	w.after = &seq
	return value == nil || w.yield(value, nil)
}

// mayPass reports whether a watch that ended with the error may succeed later. A
// server that was broken off, or a proxy before it, has many codes for that; what
// the service refuses stays refused.
func mayPass(err error) bool {
	var e *Error
	if !errors.As(err, &e) {
		return false
	}
	switch e.Code {
	case codes.Unavailable, codes.Internal, codes.Unknown, codes.Canceled, codes.DeadlineExceeded, codes.Aborted, codes.ResourceExhausted:
		return true
	}
	return false
}
