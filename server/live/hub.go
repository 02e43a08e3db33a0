// Package live shows events to those who watch them: the scoreboard to the hall, and
// to the desks of each role what that role may read. Each commit is looked at once for
// each of them; what is sent is encoded once, however many watch, and only where
// something visible has changed.
package live

import (
	"cmp"
	"context"
	"errors"
	"maps"
	"slices"
	"sync"

	"go.uber.org/zap"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/copies"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/tables"
)

// Hub shows events to their watchers. The book of events shows it every commit of
// this server as it is written; hints of the log are for those of other servers. It
// is never needed for correctness.
type Hub struct {
	book    *host.Book
	seasons *tables.Archive
	faults  *zap.Logger
	copies  Copies

	mu     sync.Mutex
	feeds  map[string]*feed // of the events that somebody watches
	closed bool
	done   chan struct{}
	stop   context.CancelFunc
}

// NewHub makes a hub that follows the events of a book until it is closed. A nil
// logger logs nothing.
func NewHub(book *host.Book, seasons *tables.Archive, faults *zap.Logger) *Hub {
	if faults == nil {
		faults = zap.NewNop()
	}
	ctx, stop := context.WithCancel(context.Background())
	h := &Hub{
		book: book, seasons: seasons, faults: faults, copies: noCopies{},
		feeds: map[string]*feed{}, done: make(chan struct{}), stop: stop,
	}
	hints := book.Log().Subscribe(ctx)
	go func() {
		defer close(h.done)
		for hint := range hints {
			h.wake(hint.Stream)
		}
	}()
	return h
}

// Close ends all watches; their watchers learn that the server stops.
func (h *Hub) Close() {
	h.mu.Lock()
	h.closed = true
	h.mu.Unlock()
	for _, f := range h.all() {
		f.close(stopping())
		h.book.Unfollow(f.name, f)
	}
	h.stop()
	<-h.done
}

// Recall ends the watches of an event's desks, so that they come again and see where
// they belong now; with all those of boards too.
func (h *Hub) Recall(name string, all bool) {
	h.mu.Lock()
	f := h.feeds[name]
	h.mu.Unlock()
	if f != nil {
		f.recall(all)
	}
}

func stopping() error {
	return errs.New(pb.ErrorReason_SERVER_STOPPING, "the server is stopping: watch again after the last sequence number seen")
}

// Watchers returns how many watch scoreboards now.
func (h *Hub) Watchers() int { return h.count(func(v view) bool { return v == hall{} }) }

// Desks returns how many desks are open now.
func (h *Hub) Desks() int { return h.count(func(v view) bool { return v != hall{} }) }

func (h *Hub) count(of func(view) bool) int {
	n := 0
	for _, f := range h.all() {
		n += f.count(of)
	}
	return n
}

// all returns the feeds. What asks a feed must not hold the hub's lock, since a
// feed can be long in reading the log.
func (h *Hub) all() []*feed {
	h.mu.Lock()
	defer h.mu.Unlock()
	return slices.Collect(maps.Values(h.feeds))
}

// wake lets the feed of an event read on; all of them when the event is "".
func (h *Hub) wake(name string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if name != "" {
		if f := h.feeds[name]; f != nil {
			f.wake()
		}
		return
	}
	for _, f := range h.feeds {
		f.wake()
	}
}

// JoinBoard begins to watch the scoreboard of an event behind a sequence number; nil
// begins with the present board. With changes the frames are of the changed members
// alone. Who watches is the actor of the context. The watcher must leave.
func (h *Hub) JoinBoard(ctx context.Context, name string, after *uint64, changes bool) (*Watcher, error) {
	return h.join(ctx, name, hall{}, after, changes)
}

// JoinDesk begins to watch all that the actor of the context may read of an event, as
// JoinBoard does with the scoreboard.
func (h *Hub) JoinDesk(ctx context.Context, name string, after *uint64) (*Watcher, error) {
	if board := h.copies.Board(name); board != nil {
		return nil, copies.Refused(name, board.GetPlace(), "Only its scoreboard can be watched here.")
	}
	return h.join(ctx, name, deskOf(access.From(ctx)), after, true)
}

func (h *Hub) join(ctx context.Context, name string, v view, after *uint64, changes bool) (*Watcher, error) {
	for {
		f, err := h.feed(name)
		if err != nil {
			return nil, err
		}
		w, err := f.join(ctx, v, after, changes)
		if errors.Is(err, errFeedEnded) {
			h.book.Unfollow(name, f)
			continue // its last watcher left a moment ago
		}
		if err != nil {
			h.leave(f)
			return nil, cmp.Or(errs.Context(ctx), errs.From(err, nil))
		}
		return w, nil
	}
}

func (h *Hub) feed(name string) (*feed, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return nil, stopping()
	}
	f := h.feeds[name]
	if f == nil {
		f = newFeed(h, name)
		h.feeds[name] = f
		if board := h.copies.Board(name); board != nil {
			f.replayed = true // there is no log to look for earlier steps in
			f.copy(board)
		} else {
			go f.follow()
		}
	}
	return f, nil
}

// read shows what an event shows now. Where somebody watches it, that is what was made
// for them, so that readers do not have it made again while they hold the event. It
// is to be used inside show only; the messages that it returns may be kept.
func (h *Hub) read(ctx context.Context, name string, show func(*parts) error) error {
	if board := h.copies.Board(name); board != nil {
		return show(h.copyParts(board))
	}
	h.mu.Lock()
	f := h.feeds[name]
	h.mu.Unlock()
	return h.book.View(ctx, name, func(s *event.State) error {
		now := newParts(s, h.seasons)
		if f == nil {
			return show(now)
		}
		f.mu.Lock()
		defer f.mu.Unlock()
		if f.seq == s.Seq && f.parts.alike(now) {
			now = f.parts
		}
		return show(now)
	})
}

// leave ends a feed that nobody watches any more.
func (h *Hub) leave(f *feed) {
	if !f.endIfAlone() {
		return
	}
	h.book.Unfollow(f.name, f)
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.feeds[f.name] == f {
		delete(h.feeds, f.name)
	}
}
