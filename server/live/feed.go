package live

import (
	"context"
	"errors"
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

// retryDelay is the pause after a failed read.
const retryDelay = time.Second

// errFeedEnded says that a feed was given up between its look-up and its use.
var errFeedEnded = errors.New("the feed has ended")

// feed shows one event to its audiences. It has no state of its own: the book of
// events shows it each commit.
type feed struct {
	hub  *Hub
	name string
	woke chan struct{}   // holds one hint; more would say the same
	ctx  context.Context //nolint:containedctx // of the feed's own goroutine
	end  context.CancelFunc

	// Whoever holds the event in the book may wait for mu, never the other way round.
	mu         sync.Mutex
	seq        uint64 // of the state that was shown last; 0 before the first
	restricted bool
	copied     bool // of another server
	parts      *parts
	audiences  map[view]*audience
	ended      bool

	replaying sync.Mutex // held while steps of the hall from before the feed are looked for
	replayed  bool
}

func newFeed(h *Hub, name string) *feed {
	ctx, end := context.WithCancel(context.Background())
	return &feed{hub: h, name: name, woke: make(chan struct{}, 1), ctx: ctx, end: end, audiences: map[view]*audience{}}
}

func (f *feed) wake() {
	select {
	case f.woke <- struct{}{}:
	default:
	}
}

// follow lets the book read on whenever the feed is woken: what another server wrote
// is shown by that.
func (f *feed) follow() {
	for {
		select {
		case <-f.ctx.Done():
			return
		case <-f.woke:
		}
		if err := f.hub.book.View(f.ctx, f.name, func(*event.State) error { return nil }); err != nil && f.ctx.Err() == nil {
			// The watchers stay, and see what they missed when it can be read.
			f.hub.faults.Error("an event could not be read for its watchers", zap.String("event", f.name), zap.Error(err))
			time.AfterFunc(retryDelay, f.wake)
		}
	}
}

// start lets the book show the event to the feed, once.
func (f *feed) start(ctx context.Context) error {
	f.mu.Lock()
	started := f.seq > 0
	f.mu.Unlock()
	if started {
		return nil
	}
	return f.hub.book.Follow(ctx, f.name, f, f.begin)
}

// begin takes the state that the first commit follows.
func (f *feed) begin(s *event.State) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.seq > 0 {
		return // somebody else started it
	}
	f.seq, f.restricted, f.parts = s.Seq, s.Data.GetRestricted(), newParts(s, f.hub.seasons)
}

// Committed shows a commit to all audiences. See host.Follower.
func (f *feed) Committed(s *event.State, commit []store.Record) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.ended || f.seq == 0 || s.Seq <= f.seq || s.Data == nil {
		return
	}
	f.seq = s.Seq
	f.admit(s, commit)
	f.parts = f.parts.after(s, commit, f.hub.seasons)
	for _, a := range f.audiences {
		a.look(f.parts)
	}
}

// tokenRevoked is the kind of the fact that ends a token.
var tokenRevoked = event.Kind(&logv1.TokenRevoked{})

// admit cuts off who may no longer watch. When who may see the board is another
// matter since, all of the hall have to show again that they may; those who may come
// back.
func (f *feed) admit(s *event.State, commit []store.Record) {
	revoked := false
	for i := range commit {
		revoked = revoked || commit[i].Kind == tokenRevoked
	}
	began := s.Data.GetRestricted() && !f.restricted
	f.restricted = s.Data.GetRestricted()
	if !revoked && !began {
		return
	}
	for v, a := range f.audiences {
		for w := range a.watchers {
			if v == (hall{}) && f.restricted || !admits(s, v, w.who) {
				a.drop(w, f.accessChanged())
			}
		}
	}
}

// admits reports whether somebody who was let in a moment ago still may watch. What
// a desk is shown rests on its token also where everybody may see the board.
func admits(s *event.State, v view, who access.Actor) bool {
	if s == nil { // a copy
		return v == (hall{})
	}
	if s.Data.GetRehearsalOf() != "" { // whoever may, by a token of the event itself
		return true
	}
	if who.Role == pb.Role_ADMIN {
		return true
	}
	if token := s.Token(who.Token); token != nil {
		return !token.Revoked || v == (hall{}) && !s.Data.GetRestricted()
	}
	return !s.Data.GetRestricted()
}

// recall ends the watches of the desks, or all.
func (f *feed) recall(all bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for v, a := range f.audiences {
		for w := range a.watchers {
			if all || v != (hall{}) {
				a.drop(w, f.accessChanged())
			}
		}
	}
}

func (f *feed) accessChanged() error {
	return errs.New(pb.ErrorReason_ACCESS_CHANGED,
		"who may watch the event has changed: watch again after the last sequence number seen", "event", f.name)
}

// join adds a watcher. The book reads on first, so that the watcher misses nothing
// that was acknowledged before it came.
func (f *feed) join(ctx context.Context, v view, after *uint64, changes bool) (*Watcher, error) {
	if err := f.start(ctx); err != nil {
		return nil, err
	}
	if v == (hall{}) && after != nil {
		if err := f.replay(ctx, *after); err != nil {
			return nil, err
		}
	}
	var w *Watcher
	err := f.now(ctx, func(s *event.State) error {
		f.mu.Lock()
		defer f.mu.Unlock()
		who := access.From(ctx)
		switch {
		case f.ended:
			return errFeedEnded
		case !admits(s, v, who):
			return f.accessChanged()
		}
		a := f.audience(v)
		woke, cut := make(chan struct{}, 1), make(chan struct{})
		w = &Watcher{Woke: woke, Cut: cut, feed: f, audience: a, who: who, changes: changes, woke: woke, cut: cut, seen: f.seq}
		switch {
		case after == nil:
			w.first = a.now(f.parts, f.seq, false)
		case *after > f.seq || *after < a.from:
			// Not of this log, or no longer kept.
			w.first = a.now(f.parts, f.seq, true)
		default:
			w.seen = *after
		}
		a.watchers[w] = true
		return nil
	})
	return w, err
}

// now shows the event as it is now; nil where it is only copied.
func (f *feed) now(ctx context.Context, show func(*event.State) error) error {
	f.mu.Lock()
	copied := f.copied
	f.mu.Unlock()
	if copied {
		return show(nil)
	}
	return f.hub.book.View(ctx, f.name, show)
}

// audience returns the audience of a view, which begins with what there is now. It is
// called while the book shows the event.
func (f *feed) audience(v view) *audience {
	a := f.audiences[v]
	if a == nil {
		a = &audience{view: v, seen: v.see(f.parts), began: f.seq, from: f.seq, watchers: map[*Watcher]bool{}}
		f.audiences[v] = a
	}
	return a
}

// inHall returns the audience of the hall, for whom the book shows the event only when it
// is a new one.
func (f *feed) inHall(ctx context.Context) (a *audience, err error) {
	f.mu.Lock()
	a = f.audiences[hall{}]
	f.mu.Unlock()
	if a != nil {
		return a, nil
	}
	err = f.now(ctx, func(*event.State) error {
		f.mu.Lock()
		defer f.mu.Unlock()
		a = f.audience(hall{})
		return nil
	})
	return a, err
}

// replay finds the steps of the hall that were before the feed began, for watchers
// that come back to a server that has just started. All of them wait for one look.
func (f *feed) replay(ctx context.Context, after uint64) error {
	f.replaying.Lock()
	defer f.replaying.Unlock()
	if f.replayed {
		return nil
	}
	a, err := f.inHall(ctx)
	if err != nil {
		return err
	}
	f.mu.Lock()
	until, full := a.from, a.from != a.began
	f.mu.Unlock()
	if full || after >= until {
		return nil
	}
	past, err := f.hub.past(ctx, f.name, until)
	if err != nil {
		return err
	}
	f.replayed = true
	f.mu.Lock()
	defer f.mu.Unlock()
	if a.from == until {
		a.steps = append(past.steps, a.steps...)
		a.from = past.from
		a.trim()
	}
	return nil
}

func (f *feed) count(of func(view) bool) int {
	f.mu.Lock()
	defer f.mu.Unlock()
	n := 0
	for v, a := range f.audiences {
		if of(v) {
			n += len(a.watchers)
		}
	}
	return n
}

// endIfAlone ends the feed when nobody watches.
func (f *feed) endIfAlone() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, a := range f.audiences {
		if len(a.watchers) > 0 {
			return false
		}
	}
	f.ended = true
	f.end()
	return true
}

// close ends the feed and says why to its watchers.
func (f *feed) close(why error) {
	f.end()
	f.mu.Lock()
	defer f.mu.Unlock()
	f.ended = true
	for _, a := range f.audiences {
		for w := range a.watchers {
			a.drop(w, why)
		}
	}
}
