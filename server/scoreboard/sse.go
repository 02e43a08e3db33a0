package scoreboard

import (
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

// SSEPath is where the Server-Sent Events are, as net/http writes patterns.
const SSEPath = "GET /v1/events/{event}/scoreboard:watch"

// writeTime is how long one write may take before a connection is given up. It is
// less than a server takes to stop, so that who reads nothing does not hold it up.
const writeTime = 5 * time.Second

// reconnect is how long a browser waits at least before it comes back; at most it
// is twice as long, so that not all come back at once when a server has stopped.
const reconnect = 2 * time.Second

// SSE gives the handler of the Server-Sent Events: "scoreboard" with the board as
// JSON after every change, "reset" with a board that replaces everything,
// "heartbeat" while nothing changes. The id of each is the sequence number, which
// a browser sends back as Last-Event-ID. refuse answers what goes wrong before
// the stream begins.
func (s *Service) SSE(guard *access.Guard, refuse func(http.ResponseWriter, *http.Request, error)) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := r.PathValue("event")
		token, err := access.HTTPToken(r)
		var actor access.Actor
		if err == nil {
			actor, err = guard.Check(r.Context(), pb.ScoreboardService_WatchScoreboard_FullMethodName, name, token)
		}
		var after *uint64
		if err == nil {
			after, err = lastSeen(r)
		}
		var watcher *Watcher
		if err == nil {
			watcher, err = s.hub.Join(access.WithActor(r.Context(), actor), name, after)
		}
		if err != nil {
			refuse(w, r, errs.From(err, nil))
			return
		}
		defer watcher.Leave()
		out := &sse{w: w, control: http.NewResponseController(w)}
		if out.begin() == nil {
			ctx, end := actor.Until(r.Context())
			defer end()
			// However it ends, the browser comes back by itself.
			_ = s.send(ctx, watcher, out.frame, out.beat)
			out.patience() // for the end of the answer
		}
	})
}

// lastSeen gives the sequence number to go on behind: of the header that a
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
	o.w.WriteHeader(http.StatusOK)
	wait := reconnect + rand.N(reconnect) //nolint:gosec // no secret
	return o.write(fmt.Appendf(nil, "retry: %d\n\n", wait.Milliseconds()))
}

func (o *sse) frame(f *Frame, reset bool) error {
	data, err := f.SSE(reset)
	if err != nil {
		return err
	}
	return o.write(data)
}

func (o *sse) beat(seq uint64) error {
	return o.write(fmt.Appendf(nil, "event: heartbeat\ndata: {\"sequence\":\"%d\"}\n\n", seq))
}

func (o *sse) write(data []byte) error {
	o.patience()
	if _, err := o.w.Write(data); err != nil { //nolint:gosec // an event stream, which no browser takes for a page
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
