// Package hints hands out the hints of a store to its subscribers. Nobody waits
// for a subscriber: what it has not taken yet is joined, one hint for a stream.
package hints

import (
	"context"
	"sync"

	"github.com/rinktally/rinktally/server/store"
)

// Hints knows the subscribers. The zero value is not usable; see New.
type Hints struct {
	mu          sync.Mutex
	subscribers map[*subscriber]struct{}
	closed      chan struct{}
}

type subscriber struct {
	waiting map[string]uint64 // guarded by Hints.mu
	wake    chan struct{}     // holds one: something waits
}

// New returns Hints without subscribers.
func New() *Hints {
	return &Hints{subscribers: map[*subscriber]struct{}{}, closed: make(chan struct{})}
}

// Subscribe is store.Log.Subscribe.
func (h *Hints) Subscribe(ctx context.Context) <-chan store.Hint {
	s := &subscriber{waiting: map[string]uint64{}, wake: make(chan struct{}, 1)}
	h.mu.Lock()
	h.subscribers[s] = struct{}{}
	h.mu.Unlock()
	out := make(chan store.Hint)
	go func() {
		defer close(out)
		defer h.leave(s)
		h.deliver(ctx, s, out)
	}()
	return out
}

func (h *Hints) leave(s *subscriber) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.subscribers, s)
}

func (h *Hints) deliver(ctx context.Context, s *subscriber, out chan<- store.Hint) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-h.closed:
			return
		case <-s.wake:
		}
		for _, hint := range h.take(s) {
			select {
			case <-ctx.Done():
				return
			case <-h.closed:
				return
			case out <- hint:
			}
		}
	}
}

func (h *Hints) take(s *subscriber) []store.Hint {
	h.mu.Lock()
	defer h.mu.Unlock()
	taken := make([]store.Hint, 0, len(s.waiting))
	for stream, last := range s.waiting {
		taken = append(taken, store.Hint{Stream: stream, Last: last})
	}
	clear(s.waiting)
	return taken
}

// Publish hints all subscribers. It never waits for them.
func (h *Hints) Publish(hints []store.Hint) {
	if len(hints) == 0 {
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	for s := range h.subscribers {
		for _, hint := range hints {
			s.waiting[hint.Stream] = max(s.waiting[hint.Stream], hint.Last)
		}
		select {
		case s.wake <- struct{}{}:
		default: // it is awake already
		}
	}
}

// Close ends all subscriptions, and later ones at once.
func (h *Hints) Close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	select {
	case <-h.closed:
	default:
		close(h.closed)
	}
}
