package live

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"strconv"
	"strings"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
)

// writeTime is how long one write may take before a connection is given up. It is
// less than a server takes to stop, so that who reads nothing does not hold it up.
const writeTime = 5 * time.Second

// reconnect is how long a browser waits at least before it comes back; at most it
// is twice as long, so that not all come back at once when a server has stopped.
const reconnect = 2 * time.Second

// Refuse answers what goes wrong before a stream begins.
type Refuse = func(http.ResponseWriter, *http.Request, error)

// BoardSSE returns the handler of the scoreboard as Server-Sent Events: "scoreboard"
// with the board as JSON after every change that can be seen on it, or with
// ?changes=true the members of it that have changed, "reset" with a board that
// replaces everything, "heartbeat" while nothing changes. The id of each is the
// sequence number, which a browser sends back as Last-Event-ID. The event is the
// path value "event". refuse answers what goes wrong before the stream begins.
func (s *Service) BoardSSE(guard *access.Guard, refuse Refuse) http.Handler {
	return s.sse(guard, refuse, func(r *http.Request) (access.Actor, *Watcher, error) {
		token, err := access.HTTPToken(r)
		if err != nil {
			return access.Actor{}, nil, err
		}
		changes, err := wantsChanges(r)
		if err != nil {
			return access.Actor{}, nil, err
		}
		return enter(guard, r, pb.ScoreboardService_WatchScoreboard_FullMethodName, token, func(ctx context.Context, name string, after *uint64) (*Watcher, error) {
			return s.hub.JoinBoard(ctx, name, after, changes)
		})
	}, nil)
}

// EventSSE returns the handler of an event for its desks, as BoardSSE: "change" and
// "reset" with what WatchEvent answers as JSON, "heartbeat", and "end" with the error
// that ends the stream.
func (s *Service) EventSSE(guard *access.Guard, refuse Refuse) http.Handler {
	return s.sse(guard, refuse, func(r *http.Request) (access.Actor, *Watcher, error) {
		token, err := access.HeaderToken(r)
		if err != nil {
			return access.Actor{}, nil, err
		}
		return enter(guard, r, pb.EventService_WatchEvent_FullMethodName, token, s.hub.JoinDesk)
	}, ended)
}

// enter lets the caller of a stream in, if it may.
func enter(guard *access.Guard, r *http.Request, method, token string, join func(ctx context.Context, name string, after *uint64) (*Watcher, error)) (access.Actor, *Watcher, error) {
	name := r.PathValue("event")
	actor, err := guard.Check(r.Context(), method, name, token)
	if err != nil {
		return actor, nil, err
	}
	after, err := lastSeen(r)
	if err != nil {
		return actor, nil, err
	}
	w, err := join(access.WithActor(r.Context(), actor), name, after)
	return actor, w, err
}

// sse makes the handler of a stream that enter lets in. end writes why it was ended;
// nil writes nothing.
func (s *Service) sse(guard *access.Guard, refuse Refuse, enter func(*http.Request) (access.Actor, *Watcher, error), end func(error) []byte) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		actor, watcher, err := enter(r)
		if err != nil {
			refuse(w, r, errs.From(err, nil))
			return
		}
		defer watcher.Leave()
		out := &sse{w: w, control: http.NewResponseController(w)}
		if out.begin() == nil {
			ctx, done := guard.Until(r.Context(), actor)
			defer done()
			err := s.send(ctx, watcher, out.frame, out.beat)
			if r.Context().Err() == nil && end != nil && errs.Reason(err) != "" {
				_ = out.write(end(err))
			}
			// However it ends, the browser comes back by itself.
			out.patience() // for the end of the answer
		}
	})
}

// ended is the last event of a stream, with the error as other calls answer it.
func ended(err error) []byte {
	body, fault := encode(errs.Proto(err), nil)
	if fault != nil {
		return nil
	}
	return fmt.Appendf(nil, "event: end\ndata: %s\n\n", body)
}

// wantsChanges reads the query's changes.
func wantsChanges(r *http.Request) (bool, error) {
	switch text := r.URL.Query().Get("changes"); text {
	case "", "false":
		return false, nil
	case "true":
		return true, nil
	default:
		return false, rules.FieldErrors{rules.Fault("changes", rules.ReasonFieldInvalid, "is %s; allowed are %s", rules.Quote(text), rules.Allowed("true, false"))}
	}
}

// lastSeen returns the sequence number to go on behind: of the header that a
// browser sends when it comes back, or of the query.
func lastSeen(r *http.Request) (*uint64, error) {
	field, text := "Last-Event-ID", r.Header.Get("Last-Event-ID")
	if text == "" {
		field, text = "afterSequence", r.URL.Query().Get("afterSequence")
	}
	if text == "" {
		return nil, nil
	}
	seq, err := strconv.ParseUint(strings.TrimSpace(text), 10, 64)
	if err != nil {
		return nil, rules.FieldErrors{{Field: field, Reason: rules.ReasonFieldInvalid, Message: "is " + rules.Quote(text) + "; give a sequence number such as 117"}}
	}
	return &seq, nil
}

// sse writes a stream of Server-Sent Events.
type sse struct {
	w       http.ResponseWriter
	control *http.ResponseController
}

func (o *sse) begin() error {
	h := o.w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no") // reverse proxies must not hold events back
	// Without chunks an event is one write to the connection, also a large one.
	h.Set("Transfer-Encoding", "identity")
	o.w.WriteHeader(http.StatusOK)
	wait := reconnect + rand.N(reconnect) //nolint:gosec // no secret
	return o.write(fmt.Appendf(nil, "retry: %d\n\n", wait.Milliseconds()))
}

func (o *sse) frame(f *Frame) error {
	data, err := f.SSE()
	if err != nil {
		return err
	}
	return o.write(data)
}

func (o *sse) beat(beat *pb.Heartbeat) error {
	data, err := encode(beat, nil)
	if err != nil {
		return err
	}
	return o.write(fmt.Appendf(nil, "event: heartbeat\ndata: %s\n\n", data))
}

func (o *sse) write(data []byte) error {
	o.patience()
	if _, err := o.w.Write(data); err != nil {
		return err
	}
	if err := o.control.Flush(); err != nil {
		return err
	}
	// HTTP/2 ends a stream whose deadline passes even while nothing is written.
	_ = o.control.SetWriteDeadline(time.Time{})
	return nil
}

// patience lets a connection that takes nothing any more be given up. Where
// deadlines cannot be set there is none.
func (o *sse) patience() { _ = o.control.SetWriteDeadline(time.Now().Add(writeTime)) }
