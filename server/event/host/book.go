// Package host keeps events: the log of each with the state that it folds to. What
// is decided is for package event; nothing is acknowledged that is not in the log.
package host

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/store"
)

// Book keeps the states of events together with their log. A state that it shows
// is as new as the log was when the call began, whichever server wrote there.
type Book struct {
	log   store.Log
	clock store.Clock
	full  atomic.Bool // the last change found no room

	mu    sync.Mutex
	pages map[string]*page // by event
}

// page is one event's state. It is read and folded on under its lock.
type page struct {
	mu        sync.Mutex
	state     *event.State
	followers map[Follower]bool
	folded    []store.Record // of the present commit, of which the followers do not know yet
}

// Follower is shown an event after each commit, whichever server wrote it, in the
// order of the log. Commits can be shown again after a fault: what a follower has
// seen already it leaves alone.
type Follower interface {
	// Committed shows the state after a commit and the records of that. Both may be
	// read only inside, and must not be changed. It holds up whoever uses the event.
	Committed(s *event.State, commit []store.Record)
}

// NewBook makes a book over a log. A nil clock is the system's.
func NewBook(log store.Log, clock store.Clock) *Book {
	if clock == nil {
		clock = time.Now
	}
	return &Book{log: log, clock: clock, pages: map[string]*page{}}
}

// Log returns the log that the book is over.
func (b *Book) Log() store.Log { return b.log }

// View shows the state of an event. The state may be read only inside show, and
// must not be changed. An event that does not exist is EVENT_UNKNOWN.
func (b *Book) View(ctx context.Context, id string, show func(*event.State) error) error {
	if !event.IsID(id) {
		return errs.UnknownEvent(id)
	}
	return b.locked(ctx, id, func(p *page) error {
		if p.state.Data == nil {
			return errs.UnknownEvent(id)
		}
		return show(p.state)
	})
}

// locked brings an event's state up to date and passes it on under its lock.
func (b *Book) locked(ctx context.Context, stream string, do func(*page) error) error {
	b.mu.Lock()
	p := b.pages[stream]
	if p == nil {
		p = &page{state: &event.State{ID: stream}}
		b.pages[stream] = p
	}
	b.mu.Unlock()
	p.mu.Lock()
	defer p.mu.Unlock()
	// Names that nobody wrote to are not kept, or asking for many would fill the
	// memory.
	defer func() {
		if p.state.Seq == 0 && len(p.followers) == 0 {
			b.forget(stream, p)
		}
	}()
	if err := b.catchUp(ctx, p); err != nil {
		return err
	}
	return do(p)
}

// Follow adds a follower to an event. begin shows it the state that the first
// commit follows. An event that does not exist is EVENT_UNKNOWN.
func (b *Book) Follow(ctx context.Context, id string, f Follower, begin func(*event.State)) error {
	if !event.IsID(id) {
		return errs.UnknownEvent(id)
	}
	return b.locked(ctx, id, func(p *page) error {
		if p.state.Data == nil {
			return errs.UnknownEvent(id)
		}
		if p.followers == nil {
			p.followers = map[Follower]bool{}
		}
		p.followers[f] = true
		begin(p.state)
		return nil
	})
}

// Unfollow takes a follower off an event.
func (b *Book) Unfollow(id string, f Follower) {
	b.mu.Lock()
	p := b.pages[id]
	b.mu.Unlock()
	if p != nil {
		p.mu.Lock()
		delete(p.followers, f)
		p.mu.Unlock()
	}
}

// Full reports whether the last change was refused because the store was full.
func (b *Book) Full() bool { return b.full.Load() }

// Open returns how many events the book has in memory.
func (b *Book) Open() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	open := len(b.pages)
	if b.pages[ServerStream] != nil {
		open--
	}
	return open
}

func (b *Book) forget(stream string, p *page) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.pages[stream] == p {
		delete(b.pages, stream)
	}
}

// catchUp folds what the log has after the state's sequence number. When the log
// cannot be read, what was folded before stays. A partly applied page cannot be
// trusted: its state is dropped, and the next call folds again from the log.
func (b *Book) catchUp(ctx context.Context, p *page) error {
	for record, err := range store.All(ctx, b.log, p.state.ID, p.state.Seq) {
		if errors.Is(err, store.ErrStreamUnknown) {
			return nil
		}
		if err != nil {
			return err
		}
		if len(p.folded) > 0 && p.folded[0].RequestID != record.RequestID {
			p.show()
		}
		if err := p.state.Apply(&record); err != nil {
			p.state, p.folded = &event.State{ID: p.state.ID}, nil
			return err
		}
		if len(p.followers) > 0 {
			p.folded = append(p.folded, record)
		}
	}
	p.show()
	return nil
}

// show shows a whole commit to the followers.
func (p *page) show() {
	if len(p.folded) > 0 {
		for f := range p.followers {
			f.Committed(p.state, p.folded)
		}
	}
	p.folded = nil
}

// Change is a call that changes an event.
type Change struct {
	Event     string
	RequestID string        // the caller's; empty means that a repetition is a new call
	Request   proto.Message // tells repetitions from other requests with the same id
	Expected  *uint64       // sequence number that the caller has seen; nil accepts any
	Actor     access.Actor
	Decide    func(*event.State, time.Time) ([]proto.Message, error)
	// Show makes the answer from the state after the change.
	Show func(*event.State, event.Span) error
}

// maxTries limits how often a change is decided again because another server was
// quicker. On a busy machine one server can be quicker many times in a row; mostly
// it is the call's deadline that ends the tries.
const maxTries = 1000

// Do decides a change, writes its facts and shows the state after it. When
// another server was quicker, it decides again on what that one wrote, unless the
// caller expects a sequence number.
func (b *Book) Do(ctx context.Context, c *Change) error {
	id, err := c.id()
	if err != nil {
		return err
	}
	for range maxTries {
		err = b.locked(ctx, c.Event, func(p *page) error { return b.do(ctx, c, id, p) })
		again := errors.Is(err, store.ErrConflict) && c.Expected == nil || errors.Is(err, store.ErrRequestReused)
		if !again || ctx.Err() != nil {
			return err
		}
	}
	return err
}

func (b *Book) do(ctx context.Context, c *Change, id event.RequestID, p *page) error {
	if digest, span, done := p.state.Answered(id.Caller); done {
		if digest != id.Digest {
			return errs.New(pb.ErrorReason_REQUEST_ID_REUSED,
				"the request id was used for another request: take a new one for each", "field", "requestId")
		}
		return c.Show(p.state, span)
	}
	if c.Expected != nil && *c.Expected != p.state.Seq {
		return errs.Conflict(c.Event, *c.Expected, p.state.Seq)
	}
	decided, err := c.Decide(p.state, b.clock())
	if err != nil {
		return err
	}
	span := event.Span{First: p.state.Seq + 1, Last: p.state.Seq + uint64(len(decided))}
	if len(decided) == 0 && id.Caller != "" {
		// A call that changes nothing is remembered too: its repetition may come
		// after a change of somebody else, which it must not undo.
		decided = []proto.Message{&logv1.NothingChanged{}}
		span = event.Span{First: span.First + 1, Last: span.First}
	}
	if len(decided) > 0 {
		if err := b.append(ctx, c, id, p, decided); err != nil {
			return err
		}
	}
	return c.Show(p.state, span)
}

func (b *Book) append(ctx context.Context, c *Change, id event.RequestID, p *page, decided []proto.Message) error {
	list := make([]store.Fact, len(decided))
	for i, fact := range decided {
		var err error
		if list[i], err = event.Encode(fact, c.Actor.String()); err != nil {
			return err
		}
	}
	_, err := b.log.Append(ctx, c.Event, p.state.Seq, id.String(), list)
	if full := errors.Is(err, store.ErrStoreFull); full || err == nil {
		b.full.Store(full)
	}
	if err != nil {
		return fmt.Errorf("event %s: %w", c.Event, err)
	}
	return b.catchUp(ctx, p)
}

const digestBytes = 12

// id makes the id of the change as the log keeps it. Without the caller's it is
// random.
func (c *Change) id() (event.RequestID, error) {
	if c.RequestID == "" {
		random := make([]byte, digestBytes)
		_, _ = rand.Read(random) // never fails
		return event.RequestID{Digest: hex.EncodeToString(random)}, nil
	}
	if err := event.CheckRequestID(c.RequestID); err != nil {
		return event.RequestID{}, err
	}
	body, err := proto.MarshalOptions{Deterministic: true}.Marshal(c.Request)
	if err != nil {
		return event.RequestID{}, fmt.Errorf("request %T: %w", c.Request, err)
	}
	sum := sha256.New()
	sum.Write([]byte(c.Request.ProtoReflect().Descriptor().FullName()))
	sum.Write(body)
	return event.RequestID{Caller: c.RequestID, Digest: hex.EncodeToString(sum.Sum(nil)[:digestBytes])}, nil
}
