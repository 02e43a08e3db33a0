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
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/ask"
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

	// Report is called when the log of an event is found damaged, and without damage
	// when it is whole again; nil is not called. It is set before the book is used.
	Report func(event string, damage *store.DamagedError)

	mu      sync.Mutex
	pages   map[string]*page               // by event
	damaged map[string]*store.DamagedError // by event
	calls   map[holderKey]time.Time        // when the holders of tokens called last
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
	return &Book{log: log, clock: clock, pages: map[string]*page{}, damaged: map[string]*store.DamagedError{}, calls: map[holderKey]time.Time{}}
}

// Log returns the log that the book is over.
func (b *Book) Log() store.Log { return b.log }

// View shows the state of an event. The state may be read only inside show, and
// must not be changed. An event that does not exist is EVENT_UNKNOWN. Of one whose
// log is damaged it is the state before the damage, which it says.
func (b *Book) View(ctx context.Context, id string, show func(*event.State) error) error {
	if !event.IsID(id) {
		return errs.UnknownEvent(id)
	}
	return b.locked(ctx, id, func(p *page) error {
		switch {
		case p.state.Data != nil:
			return show(p.state)
		case p.state.Damage != nil:
			return p.state.Damage
		default:
			return errs.UnknownEvent(id)
		}
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

// Drop forgets an event that is in the log no more.
func (b *Book) Drop(id string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	delete(b.pages, id)
	delete(b.damaged, id)
}

func (b *Book) forget(stream string, p *page) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.pages[stream] == p {
		delete(b.pages, stream)
	}
}

// catchUp folds what the log has after the state's sequence number. When the log
// cannot be read, what was folded before stays. Where it is damaged, the state says
// so and stays as it was before the damage. A partly applied page cannot be
// trusted: its state is dropped, and the next call folds again from the log.
func (b *Book) catchUp(ctx context.Context, p *page) error {
	damage, err := fold(ctx, b.log, p.state, p.gather)
	b.mark(p.state.ID, damage, err)
	p.folded = slices.DeleteFunc(p.folded, func(r store.Record) bool { return r.Seq > p.state.Seq })
	if err == nil {
		p.state.Damage = damage
		p.show()
	}
	return err
}

// gather keeps a record that is about to be folded, for the followers. They are shown
// a commit when the next one begins.
func (p *page) gather(r *store.Record) {
	if len(p.folded) > 0 && p.folded[0].RequestID != r.RequestID {
		p.show()
	}
	if len(p.followers) > 0 {
		p.folded = append(p.folded, *r)
	}
}

// fold applies the records behind a state to it, and returns where the log is
// damaged. next is given each record before it is applied.
func fold(ctx context.Context, log store.Log, s *event.State, next func(*store.Record)) (*store.DamagedError, error) {
	read := store.All
	if s.Seq == 0 || s.Damage != nil { // from the beginning, or again behind damage
		read = store.Whole
	}
	for record, err := range read(ctx, log, s.ID, s.Seq) {
		if err == nil {
			next(&record)
			err = apply(s, &record)
		}
		var damage *store.DamagedError
		switch {
		case err == nil:
		case s.Seq == 0 && errors.Is(err, store.ErrStreamUnknown):
			return nil, nil
		case errors.As(err, &damage):
			return damage, nil
		default:
			return nil, err
		}
	}
	return nil, nil
}

// apply folds one record; a state that it leaves half done becomes the empty one.
func apply(s *event.State, r *store.Record) error {
	err := s.Apply(r)
	if err != nil && !errors.Is(err, store.ErrDamaged) {
		*s = event.State{ID: s.ID}
	}
	return err
}

// mark keeps which events are damaged, and reports what has changed.
func (b *Book) mark(stream string, damage *store.DamagedError, err error) {
	if err != nil {
		return // nothing new is known
	}
	b.mu.Lock()
	changed := (b.damaged[stream] == nil) != (damage == nil)
	if damage == nil {
		delete(b.damaged, stream)
	} else {
		b.damaged[stream] = damage
	}
	b.mu.Unlock()
	if changed && b.Report != nil {
		b.Report(stream, damage)
	}
}

// Damaged returns the events whose log was found damaged, by their ids.
func (b *Book) Damaged() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Sorted(maps.Keys(b.damaged))
}

// Check reads every event once, without keeping it in memory, so that damage is
// known before somebody asks for the event. What a crash has left of persons who
// were being erased, it erases.
func (b *Book) Check(ctx context.Context) error {
	names, err := store.Names(ctx, b.log)
	if err != nil {
		return err
	}
	var faults []error
	for _, name := range names {
		p := &page{state: &event.State{ID: name}}
		if err := b.catchUp(ctx, p); err != nil {
			faults = append(faults, fmt.Errorf("event %s: %w", name, err))
			continue
		}
		if err := b.erase(ctx, p); err != nil {
			faults = append(faults, fmt.Errorf("event %s: erase: %w", name, err))
		}
	}
	return errors.Join(faults...)
}

// erase removes from the log what stands apart of persons who were erased.
func (b *Book) erase(ctx context.Context, p *page) error {
	if len(p.state.Unerased) == 0 {
		return nil
	}
	err := b.log.Erase(ctx, p.state.ID, p.state.Unerased)
	if err == nil {
		p.state.Unerased = nil
	}
	return err
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
	Request   proto.Message // sets repetitions apart from other requests with the same id
	Expected  *uint64       // sequence number that the caller has seen; nil accepts any
	Actor     access.Actor
	// Erases says that the call ends only when what stands apart of persons who were
	// erased is gone. Other calls leave what an earlier one could not erase, such as
	// while another program reads the file, to its repetition and the next start.
	Erases bool
	Decide func(*event.State, time.Time) ([]proto.Message, error)
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
	if c.RequestID != "" {
		if err := ask.CheckRequestID(c.RequestID); err != nil {
			return err
		}
	}
	var err error
	for range maxTries {
		err = b.locked(ctx, c.Event, func(p *page) error {
			err := b.do(ctx, c, p)
			if err == nil && c.Erases {
				err = b.erase(ctx, p)
			}
			return err
		})
		again := errors.Is(err, store.ErrConflict) && c.Expected == nil || errors.Is(err, store.ErrRequestReused)
		if !again || ctx.Err() != nil {
			return err
		}
	}
	return err
}

func (b *Book) do(ctx context.Context, c *Change, p *page) error {
	if p.state.Damage != nil {
		return p.state.Damage
	}
	if seen, done := p.state.Answered(c.RequestID); done {
		digest, err := c.digest(seen.Salts)
		if err != nil {
			return err
		}
		if digest != seen.Digest && !seen.Erased {
			return errs.New(pb.ErrorReason_REQUEST_ID_REUSED,
				"the request id was used for another request: take a new one for each", "field", "requestId")
		}
		return c.Show(p.state, seen.Span)
	}
	if c.Expected != nil && *c.Expected != p.state.Seq {
		return errs.Conflict(c.Event, *c.Expected, p.state.Seq)
	}
	decided, err := c.Decide(p.state, b.clock())
	if err != nil {
		return err
	}
	span := event.Span{First: p.state.Seq + 1, Last: p.state.Seq + uint64(len(decided))}
	if len(decided) == 0 && c.RequestID != "" {
		// A call that changes nothing is remembered too: its repetition may come
		// after a change of somebody else, which it must not undo.
		decided = []proto.Message{&logv1.NothingChanged{}}
		span = event.Span{First: span.First + 1, Last: span.First}
	}
	if len(decided) > 0 {
		if err := b.append(ctx, c, p, decided); err != nil {
			return err
		}
	}
	return c.Show(p.state, span)
}

func (b *Book) append(ctx context.Context, c *Change, p *page, decided []proto.Message) error {
	list := make([]store.Fact, len(decided))
	var salts []byte // of the facts that have something apart
	for i, fact := range decided {
		salt := chance(event.SaltBytes)
		var err error
		if list[i], err = event.Encode(fact, c.Actor.String(), salt); err != nil {
			return err
		}
		if list[i].Apart != nil {
			salts = append(salts, salt...)
		}
	}
	digest, err := c.digest(salts)
	if err != nil {
		return err
	}
	id := event.RequestID{Caller: c.RequestID, Digest: digest}
	_, err = b.log.Append(ctx, c.Event, p.state.Seq, id.String(), list)
	if full := errors.Is(err, store.ErrStoreFull); full || err == nil {
		b.full.Store(full)
	}
	if err != nil {
		return fmt.Errorf("event %s: %w", c.Event, err)
	}
	return b.catchUp(ctx, p)
}

func chance(bytes int) []byte {
	random := make([]byte, bytes)
	_, _ = rand.Read(random) // never fails
	return random
}

const digestBytes = 12

// digest differs between requests with the same id. Without the caller's id it
// is random.
func (c *Change) digest(salts []byte) (string, error) {
	if c.RequestID == "" {
		return hex.EncodeToString(chance(digestBytes)), nil
	}
	body, err := proto.MarshalOptions{Deterministic: true}.Marshal(c.Request)
	if err != nil {
		return "", fmt.Errorf("request %T: %w", c.Request, err)
	}
	sum := sha256.New()
	sum.Write(salts)
	sum.Write([]byte(c.Request.ProtoReflect().Descriptor().FullName()))
	sum.Write(body)
	return hex.EncodeToString(sum.Sum(nil)[:digestBytes]), nil
}
