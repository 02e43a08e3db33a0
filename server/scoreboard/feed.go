package scoreboard

import (
	"context"
	"errors"
	"strconv"
	"sync"

	"go.uber.org/zap"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/store"
)

// buffered is how many frames a watcher may be behind before it is cut off.
const buffered = 16

// errFeedEnded tells that a feed was given up between its look-up and its use.
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
	// Frames has the frames behind the first ones, in order and without gaps. It
	// is closed when the watch ends; Err then says why.
	Frames <-chan *Frame
	// Cut is closed together with Frames. It is seen also by who is busy sending.
	Cut <-chan struct{}

	feed   *feed
	cut    chan struct{}
	frames chan *Frame
	last   uint64 // sequence number of the last frame put into the channel
	err    error
}

// Err says why the watch ended: the watcher was too slow, or the server stops.
// It is to be asked after Frames was closed.
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
			// The watchers stay; the next hint or the next one to join tries again.
			f.hub.faults.Error("a scoreboard could not be read", zap.String("event", f.name), zap.Error(err))
		}
	}
}

// join adds a watcher. The feed reads on first, so that the watcher misses
// nothing that was acknowledged before it came.
func (f *feed) join(ctx context.Context, after *uint64) (*Watcher, []*Frame, bool, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.ended {
		return nil, nil, false, errFeedEnded
	}
	if err := f.read(ctx); err != nil {
		return nil, nil, false, err
	}
	if f.state.Data == nil {
		return nil, nil, false, errs.UnknownEvent(f.name)
	}
	frames := make(chan *Frame, buffered)
	cut := make(chan struct{})
	w := &Watcher{Frames: frames, Cut: cut, feed: f, cut: cut, frames: frames, last: f.state.Seq}
	f.watchers[w] = true
	first, reset := f.since(after)
	return w, first, reset, nil
}

// since gives the frames behind a sequence number, or the present one with reset
// when those are no longer kept or the number is not of this log.
func (f *feed) since(after *uint64) ([]*Frame, bool) {
	now := f.frames[len(f.frames)-1]
	switch {
	case after == nil:
		return []*Frame{now}, false
	case *after == now.Seq:
		return nil, false
	case *after > now.Seq || *after < f.frames[0].ahead:
		return []*Frame{now}, true
	}
	for i, frame := range f.frames {
		if frame.Seq > *after {
			return append([]*Frame(nil), f.frames[i:]...), false
		}
	}
	return nil, false
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
		ahead := f.state.Seq
		for j := range commit {
			if err := f.state.Apply(&commit[j]); err != nil {
				f.state, f.frames = &event.State{ID: f.name}, nil
				return err
			}
		}
		if f.state.Data != nil && i >= len(commits)-kept {
			f.publish(newFrame(f.hub.board(f.state), ahead))
		}
	}
	return nil
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

// publish keeps a frame and hands it to the watchers. One that is behind by more
// than its buffer is cut off; it can come back and resume.
func (f *feed) publish(frame *Frame) {
	f.frames = append(f.frames, frame)
	if len(f.frames) > kept {
		f.frames = append([]*Frame(nil), f.frames[len(f.frames)-kept:]...)
	}
	for w := range f.watchers {
		select {
		case w.frames <- frame:
			w.last = frame.Seq
		default:
			w.err = errs.Refuse(pb.ErrorReason_WATCHER_TOO_SLOW,
				"the watcher was slower than the scoreboard: watch again after the last sequence number seen",
				"after_sequence", strconv.FormatUint(w.last, 10))
			f.drop(w)
		}
	}
}

func (f *feed) drop(w *Watcher) {
	delete(f.watchers, w)
	close(w.frames)
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
		w.err = why
		f.drop(w)
	}
}
