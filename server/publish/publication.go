package publish

import (
	"context"
	"errors"
	"net/http"
	"sync"
	"time"

	"go.uber.org/zap"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/copies"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/live"
	"github.com/rinktally/rinktally/server/store"
)

// publication is one event that is sent.
type publication struct {
	*Publisher

	event string

	// What the copy holds, as far as is known: tags of answers by key. It is asked for
	// again after everything that went wrong.
	held  map[string]*pb.CopiedAnswer
	at    uint64
	board *pb.Scoreboard
	over  bool // the copy was taken off

	changed chan struct{} // holds one signal; more would say the same

	mu    sync.Mutex
	seq   uint64 // of the event
	whole bool   // more has changed since than the performance that runs
	sent  time.Time
	fault string
}

// Committed sees each commit. See host.Follower.
func (e *publication) Committed(s *event.State, commit []store.Record) {
	e.mu.Lock()
	e.seq = s.Seq
	e.whole = e.whole || !live.OnlyRunning(s, commit)
	e.mu.Unlock()
	select {
	case e.changed <- struct{}{}:
	default:
	}
}

// run sends the event until the context ends.
func (e *publication) run(ctx context.Context) {
	pause := firstPause
	for {
		before := e.state().GetSentTime().AsTime()
		err := e.session(ctx)
		if e.over {
			e.forget(e.event) // until everybody may read it again
		}
		if e.over || ctx.Err() != nil {
			return
		}
		if e.state().GetSentTime().AsTime().After(before) {
			pause = firstPause // it has worked meanwhile
		}
		e.report(err)
		select {
		case <-ctx.Done():
			return
		case <-time.After(pause):
		}
		pause = min(2*pause, longestPause)
	}
}

// report says once why sending does not work, and once that it works again.
func (e *publication) report(err error) {
	text := ""
	if err != nil {
		text = errs.Text(err)
	}
	e.mu.Lock()
	before := e.fault
	e.fault = text
	if err == nil {
		e.sent = time.Now()
	}
	e.mu.Unlock()
	switch {
	case before == text:
	case err == nil:
		e.Log.Info("the event is sent to the other server again", zap.String("event", e.event), zap.String("publish_to", e.to.Redacted()))
	default:
		e.Log.Warn("the event cannot be sent to the other server; it is tried again and again",
			zap.String("event", e.event), zap.String("publish_to", e.to.Redacted()), zap.String("error", text))
	}
}

// errOther says that a copy is not what was sent, so that it is compared again.
var errOther = errors.New("the copy is not what was sent")

// session asks what the copy holds and keeps it up to date until something goes wrong.
func (e *publication) session(ctx context.Context) error {
	restricted, err := e.Book.Restricted(ctx, e.event)
	if gone := errs.Reason(errs.From(err, nil)) == pb.ErrorReason_EVENT_UNKNOWN.String(); gone || restricted {
		err := e.call(ctx, http.MethodDelete, nil, &pb.RemoveCopyResponse{})
		e.over = err == nil
		return err
	}
	if err != nil {
		return err
	}
	copied := &pb.GetCopyResponse{}
	if err := e.call(ctx, http.MethodGet, nil, copied); err != nil {
		return err
	}
	e.at, e.board, e.held = copied.GetSequence(), nil, map[string]*pb.CopiedAnswer{}
	for _, a := range copied.GetAnswers() {
		e.held[copies.Key(a)] = a
	}
	if err := e.Book.Follow(ctx, e.event, e, func(s *event.State) {
		e.mu.Lock()
		e.seq, e.whole = s.Seq, true
		e.mu.Unlock()
	}); err != nil {
		return err
	}
	defer e.Book.Unfollow(e.event, e)
	w, err := e.Hub.JoinBoard(ctx, e.event, nil, false)
	if err != nil {
		return err
	}
	defer w.Leave()
	return e.follow(ctx, w)
}

// follow sends what changes: the scoreboard at once, and the other answers a little
// later, so that they are made once for many marks.
func (e *publication) follow(ctx context.Context, w *live.Watcher) error {
	silent := time.NewTimer(beat)
	defer silent.Stop()
	others := time.NewTimer(0)
	defer others.Stop()
	waiting := true // for the others
	for {
		due := false // they are to be sent
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-w.Cut:
			return w.Err()
		case <-e.changed:
			if !waiting {
				waiting = true
				others.Reset(settle)
			}
			continue
		case <-w.Woke:
		case <-others.C:
			waiting, due = false, true
		case <-silent.C:
			if err := e.update(ctx, &pb.UpdateCopyRequest{}); err != nil {
				return err
			}
		}
		if err := e.sendBoard(ctx, w); err != nil {
			return err
		}
		if due { // behind the board, since they take a while
			if err := e.sendOthers(ctx, w); err != nil {
				return err
			}
		}
		e.report(nil)
		silent.Reset(beat)
	}
}

// shown returns the scoreboard as it is now, for the copy.
func (e *publication) shown(w *live.Watcher) (*pb.CopiedAnswer, error) {
	for f := w.Next(); f != nil; f = w.Next() {
		e.board = f.Board()
	}
	return copies.Pack(copies.Scoreboard, &pb.GetScoreboardRequest{Event: e.event}, &pb.GetScoreboardResponse{Scoreboard: e.board})
}

// sendBoard sends the scoreboard when it is another one.
func (e *publication) sendBoard(ctx context.Context, w *live.Watcher) error {
	board, err := e.shown(w)
	if err != nil || !e.differs(board) {
		return err
	}
	return e.update(ctx, &pb.UpdateCopyRequest{Answers: []*pb.CopiedAnswer{board}})
}

// Bounds of the answers of one call. As text they are a third more, and a server reads
// a megabyte and lists of 1,000.
const (
	portion  = 600 << 10 // bytes
	together = 500
)

// sendOthers sends all that is not live, so that the copy is up to date.
func (e *publication) sendOthers(ctx context.Context, w *live.Watcher) error {
	e.mu.Lock()
	seq, whole := e.seq, e.whole
	e.whole = false
	e.mu.Unlock()
	answers, err := e.gather(ctx, whole)
	if err != nil {
		return err
	}
	// Who has read the event behind a commit finds its scoreboard.
	board, err := e.shown(w)
	if err != nil {
		return err
	}
	next := &pb.UpdateCopyRequest{}
	size := 0
	there := map[string]bool{}
	for _, a := range append(answers, board) {
		there[copies.Key(a)] = true
		switch {
		case !e.differs(a):
			continue
		case len(a.GetAnswer()) > portion:
			e.Log.Warn("an answer is too large to be sent to the other server and is left out of the copy",
				zap.String("event", e.event), zap.String("call", a.GetCall()), zap.Int("bytes", len(a.GetAnswer())))
			continue
		case size+len(a.GetAnswer()) > portion, len(next.GetAnswers()) == together:
			if err := e.update(ctx, next); err != nil {
				return err
			}
			next, size = &pb.UpdateCopyRequest{}, 0
		}
		size += len(a.GetAnswer())
		next.Answers = append(next.Answers, a)
	}
	for key, a := range e.held {
		if !whole || there[key] {
			continue
		}
		if len(next.GetRemoved()) == together {
			if err := e.update(ctx, next); err != nil {
				return err
			}
			next = &pb.UpdateCopyRequest{}
		}
		next.Removed = append(next.Removed, &pb.CopiedAnswer{Call: a.GetCall(), Request: a.GetRequest()})
	}
	next.Sequence = seq
	return e.update(ctx, next)
}

// differs reports whether the copy does not hold an answer.
func (e *publication) differs(a *pb.CopiedAnswer) bool {
	return e.held[copies.Key(a)].GetTag() != copies.Tag(a.GetAnswer())
}

// update sends a part of what has changed, and checks that the copy is then what it
// should be.
func (e *publication) update(ctx context.Context, req *pb.UpdateCopyRequest) error {
	req.Event = e.event
	res := &pb.UpdateCopyResponse{}
	if err := e.call(ctx, http.MethodPost, req, res); err != nil {
		return err
	}
	for _, a := range req.GetRemoved() {
		delete(e.held, copies.Key(a))
	}
	for _, a := range req.GetAnswers() {
		e.held[copies.Key(a)] = &pb.CopiedAnswer{Call: a.GetCall(), Request: a.GetRequest(), Tag: copies.Tag(a.GetAnswer())}
	}
	if req.GetSequence() != 0 {
		e.at = req.GetSequence()
	}
	if res.GetTag() != copies.Digest(e.at, e.held) {
		return errOther
	}
	return nil
}
