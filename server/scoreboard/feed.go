package scoreboard

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strconv"
	"sync"
	"time"

	"go.uber.org/zap"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/store"
)

// kept is how many frames of an event are kept: for watchers that are behind, and
// for those that come back. One that was away for longer receives the present board,
// marked as a reset.
const kept = 256

// mostBehind is how many frames a watcher may be behind before it is cut off. It is
// less than are kept, so that one that comes back soon goes on without a reset.
const mostBehind = kept / 2

// retryDelay is the pause after a failed read.
const retryDelay = time.Second

// errFeedEnded says that a feed was given up between its look-up and its use.
var errFeedEnded = errors.New("the feed has ended")

// feed follows one event for its watchers.
type feed struct {
	hub  *Hub
	name string
	woke chan struct{}   // holds one hint; more would say the same
	ctx  context.Context //nolint:containedctx // of the feed's own goroutine
	end  context.CancelFunc

	mu       sync.Mutex // held while reading the log, so that frames stay in order
	state    *event.State
	frames   []*Frame // the latest, oldest first
	watchers map[*Watcher]bool
	ended    bool
}

// Watcher is somebody who watches an event.
type Watcher struct {
	// Woke has something whenever there are frames to take.
	Woke <-chan struct{}
	// Cut is closed when the watch has ended; Err then says why.
	Cut <-chan struct{}

	feed  *feed
	woke  chan struct{} // holds one signal; more would say the same
	cut   chan struct{}
	seen  uint64 // sequence number of the last frame taken
	anew  bool   // the present frame is to be taken, whatever was seen
	reset bool   // that frame does not follow what the watcher has
	err   error
}

// Next gives the frame that follows the one taken last, nil when there is none yet
// or the watch has ended. The first one may be a reset: it replaces all that the
// watcher has. Frames are taken one by one, so that a slow watcher holds only one.
func (w *Watcher) Next() (frame *Frame, reset bool) {
	f := w.feed
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.watchers[w] {
		return nil, false
	}
	next, _ := slices.BinarySearchFunc(f.frames, w.seen+1, func(frame *Frame, seq uint64) int { return cmp.Compare(frame.Seq, seq) })
	if w.anew && len(f.frames) > 0 {
		next, reset, w.anew = len(f.frames)-1, w.reset, false
	}
	if next == len(f.frames) {
		return nil, false
	}
	frame = f.frames[next]
	w.seen = frame.Seq
	return frame, reset
}

// Err says why the watch ended: the watcher was too slow, who may watch has
// changed, or the server stops.
// It is to be asked after Cut was closed.
func (w *Watcher) Err() error { return w.err }

// Leave ends the watch.
func (w *Watcher) Leave() {
	w.feed.mu.Lock()
	delete(w.feed.watchers, w)
	w.feed.mu.Unlock()
	w.feed.hub.leave(w.feed)
}

func newFeed(h *Hub, name string) *feed {
	ctx, end := context.WithCancel(context.Background())
	return &feed{
		hub: h, name: name, woke: make(chan struct{}, 1), ctx: ctx, end: end,
		state: &event.State{ID: name}, watchers: map[*Watcher]bool{},
	}
}

func (f *feed) wake() {
	select {
	case f.woke <- struct{}{}:
	default:
	}
}

// follow reads on whenever the feed is woken.
func (f *feed) follow() {
	for {
		select {
		case <-f.ctx.Done():
			return
		case <-f.woke:
		}
		f.mu.Lock()
		err := f.read(f.ctx)
		f.mu.Unlock()
		if err != nil && f.ctx.Err() == nil {
			// The watchers stay, and see what they missed when it can be read.
			f.hub.faults.Error("a scoreboard could not be read", zap.String("event", f.name), zap.Error(err))
			time.AfterFunc(retryDelay, f.wake)
		}
	}
}

// join adds a watcher. The feed reads on first, so that the watcher misses
// nothing that was acknowledged before it came.
func (f *feed) join(ctx context.Context, after *uint64) (*Watcher, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.ended {
		return nil, errFeedEnded
	}
	if err := f.read(ctx); err != nil {
		return nil, err
	}
	if f.state.Data == nil {
		return nil, errs.UnknownEvent(f.name)
	}
	if !f.admits(access.From(ctx)) {
		return nil, f.accessChanged()
	}
	woke, cut := make(chan struct{}, 1), make(chan struct{})
	w := &Watcher{Woke: woke, Cut: cut, feed: f, woke: woke, cut: cut, seen: f.state.Seq}
	switch {
	case after == nil:
		w.anew = true
	case *after > f.state.Seq || *after < f.frames[0].ahead:
		// Not of this log, or no longer kept.
		w.anew, w.reset = true, true
	default:
		w.seen = *after
	}
	f.watchers[w] = true
	return w, nil
}

// read folds what the log has behind the feed's state and makes a frame of each
// commit, of the latest ones where there are many. The lock is held.
func (f *feed) read(ctx context.Context) error {
	var records []store.Record
	for record, err := range store.All(ctx, f.hub.log, f.name, f.state.Seq) {
		if errors.Is(err, store.ErrStreamUnknown) {
			return nil
		}
		if err != nil {
			return err
		}
		records = append(records, record)
	}
	commits := commitsOf(records)
	for i, commit := range commits {
		ahead, restricted := f.state.Seq, f.state.Data.GetRestricted()
		for j := range commit {
			if err := f.state.Apply(&commit[j]); err != nil {
				f.state, f.frames = &event.State{ID: f.name}, nil
				return err
			}
			if f.state.Data.GetRestricted() && (!restricted || commit[j].Kind == tokenRevoked) {
				f.admitAnew()
			}
		}
		if f.state.Data != nil && i >= len(commits)-kept {
			f.publish(newFrame(f.hub.board(f.state), ahead))
		}
	}
	return nil
}

// tokenRevoked is the kind of the fact that ends a token.
var tokenRevoked = string((&logv1.TokenRevoked{}).ProtoReflect().Descriptor().Name())

// admitAnew cuts all watchers off. Those who may still watch come back.
func (f *feed) admitAnew() {
	for w := range f.watchers {
		f.drop(w, f.accessChanged())
	}
}

// admits tells whether somebody who was let in a moment ago still may watch.
func (f *feed) admits(who access.Actor) bool {
	if !f.state.Data.GetRestricted() || who.Role == pb.Role_ADMIN {
		return true
	}
	token := f.state.Token(who.Token)
	return token != nil && !token.Revoked
}

func (f *feed) accessChanged() error {
	return errs.New(pb.ErrorReason_ACCESS_CHANGED,
		"who may watch the event has changed: watch again after the last sequence number seen", "event", f.name)
}

// commitsOf parts records by the request that they came from.
func commitsOf(records []store.Record) [][]store.Record {
	var commits [][]store.Record
	first := 0
	for i := range records {
		if i+1 == len(records) || records[i+1].RequestID != records[i].RequestID {
			commits = append(commits, records[first:i+1])
			first = i + 1
		}
	}
	return commits
}

// publish keeps a frame and wakes the watchers. One that is too far behind is cut
// off; it can come back.
func (f *feed) publish(frame *Frame) {
	f.frames = append(f.frames, frame)
	f.frames = slices.Delete(f.frames, 0, max(0, len(f.frames)-kept))
	oldest := f.frames[max(0, len(f.frames)-mostBehind)].ahead
	for w := range f.watchers {
		if w.seen < oldest {
			f.drop(w, errs.New(pb.ErrorReason_WATCHER_TOO_SLOW,
				"the watcher was slower than the scoreboard: watch again after the last sequence number seen",
				"after_sequence", strconv.FormatUint(w.seen, 10)))
			continue
		}
		select {
		case w.woke <- struct{}{}:
		default:
		}
	}
}

func (f *feed) drop(w *Watcher, why error) {
	w.err = why
	delete(f.watchers, w)
	close(w.cut)
}

func (f *feed) count() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	return len(f.watchers)
}

// endIfAlone ends the feed when nobody watches.
func (f *feed) endIfAlone() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.watchers) > 0 {
		return false
	}
	f.ended = true
	f.end()
	return true
}

// close ends the feed and tells its watchers why.
func (f *feed) close(why error) {
	f.end()
	f.mu.Lock()
	defer f.mu.Unlock()
	f.ended = true
	for w := range f.watchers {
		f.drop(w, why)
	}
}
