package scoreboard

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
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/tables"
)

// Hub hands the boards of events to their watchers. It follows the log by
// itself, a hint only wakes it, so it is never needed for correctness.
type Hub struct {
	log     store.Log
	seasons *tables.Archive
	faults  *zap.Logger

	mu     sync.Mutex
	feeds  map[string]*feed // of the events that somebody watches
	closed bool
	done   chan struct{}
	stop   context.CancelFunc
}

// NewHub makes a hub that follows a log until it is closed. A nil logger logs
// nothing.
func NewHub(log store.Log, seasons *tables.Archive, faults *zap.Logger) *Hub {
	if faults == nil {
		faults = zap.NewNop()
	}
	ctx, stop := context.WithCancel(context.Background())
	h := &Hub{
		log: log, seasons: seasons, faults: faults,
		feeds: map[string]*feed{}, done: make(chan struct{}), stop: stop,
	}
	hints := log.Subscribe(ctx)
	go func() {
		defer close(h.done)
		for hint := range hints {
			h.wake(hint.Stream)
		}
	}()
	return h
}

// Close ends all watches; their watchers are told that the server stops.
func (h *Hub) Close() {
	h.mu.Lock()
	h.closed = true
	h.mu.Unlock()
	for _, f := range h.all() {
		f.close(stopping())
	}
	h.stop()
	<-h.done
}

func stopping() error {
	return errs.New(pb.ErrorReason_SERVER_STOPPING, "the server is stopping: watch again after the last sequence number seen")
}

// Watchers tells how many watch now.
func (h *Hub) Watchers() int {
	n := 0
	for _, f := range h.all() {
		n += f.count()
	}
	return n
}

// all gives the feeds. What asks a feed must not hold the hub's lock, since a
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

// Join begins to watch an event behind a sequence number; nil begins with the
// present board. Who watches is the actor of the context. The watcher must leave.
func (h *Hub) Join(ctx context.Context, name string, after *uint64) (*Watcher, error) {
	for {
		f, err := h.feed(name)
		if err != nil {
			return nil, err
		}
		w, err := f.join(ctx, after)
		if errors.Is(err, errFeedEnded) {
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
		go f.follow()
	}
	return f, nil
}

// leave ends a feed that nobody watches any more.
func (h *Hub) leave(f *feed) {
	if !f.endIfAlone() {
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.feeds[f.name] == f {
		delete(h.feeds, f.name)
	}
}

// board makes the board of a state, as nobody in particular sees it.
func (h *Hub) board(s *event.State) *pb.Scoreboard {
	return Board(api.NewReader(s, h.seasons, access.Actor{}))
}
