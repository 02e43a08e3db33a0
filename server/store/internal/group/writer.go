package group

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"sync"

	"github.com/rinktally/rinktally/server/store"
)

// Most is the number of appends that share a commit at most. More gain little
// and make the first of them wait.
const Most = 128

// Writer carries out appends, one group after the other. There is one for a
// store, with one goroutine.
type Writer struct {
	transact  Transact
	committed func([]store.Hint)
	clock     store.Clock

	queue   chan *Append
	closing chan struct{}
	closed  chan struct{}
	once    sync.Once
}

// Transact runs do within one transaction and commits it. After an error the
// transaction must be undone, unless it is unknown whether the commit came
// through.
type Transact func(do func(context.Context, Tx) error) error

// NewWriter starts a writer. committed is told after each commit which streams
// have moved, before any of its callers is answered.
func NewWriter(transact Transact, committed func([]store.Hint), clock store.Clock) *Writer {
	w := &Writer{
		transact: transact, committed: committed, clock: clock,
		queue: make(chan *Append, Most), closing: make(chan struct{}), closed: make(chan struct{}),
	}
	go w.run()
	return w
}

// Append is store.Log.Append.
func (w *Writer) Append(ctx context.Context, stream string, expected uint64, requestID string, facts []store.Fact) (store.Result, error) {
	if err := store.CheckAppend(stream, requestID, facts); err != nil {
		return store.Result{}, err
	}
	if err := ctx.Err(); err != nil {
		return store.Result{}, err
	}
	a := &Append{
		Key: Key{stream, requestID}, Expected: expected, Facts: own(facts),
		ctx: ctx, done: make(chan struct{}),
	}
	select {
	case <-w.closing:
		return store.Result{}, Closed()
	case <-ctx.Done():
		return store.Result{}, ctx.Err()
	case w.queue <- a:
	}
	select {
	case <-a.done:
		return a.result, a.err
	case <-ctx.Done():
		// The append may be under way. It comes in whole or not at all; the
		// caller learns which by repeating it.
		return store.Result{}, ctx.Err()
	case <-w.closed:
		select {
		case <-a.done:
			return a.result, a.err
		default:
			return store.Result{}, Closed()
		}
	}
}

// own copies facts: a caller that gives up may use its memory again while the
// append is still under way.
func own(facts []store.Fact) []store.Fact {
	copies := make([]store.Fact, len(facts))
	for i, f := range facts {
		copies[i] = f
		copies[i].Body = append([]byte{}, f.Body...) // never nil: the column is not null
		copies[i].Apart = bytes.Clone(f.Apart)
	}
	return copies
}

// Close finishes the group under way and refuses the rest.
func (w *Writer) Close() {
	w.once.Do(func() { close(w.closing) })
	<-w.closed
}

// Closed is the error of a call after Close.
func Closed() error { return fmt.Errorf("%w: it was closed", store.ErrUnavailable) }

func (w *Writer) run() {
	defer close(w.closed)
	for {
		select {
		case <-w.closing:
			return
		case first := <-w.queue:
			w.commit(w.gather(first))
		}
	}
}

// gather takes what is waiting, and waits for nothing: while a commit is under
// way the next group gathers by itself.
func (w *Writer) gather(first *Append) []*Append {
	var group []*Append
	bytes := 0
	for a := first; ; {
		if a.ctx.Err() == nil { // nobody waits for the others
			group = append(group, a)
			for i := range a.Facts {
				bytes += len(a.Facts[i].Body)
			}
		}
		if len(group) >= Most || bytes > store.Limits.Append {
			return group
		}
		select {
		case a = <-w.queue:
		default:
			return group
		}
	}
}

// commit writes a group. Where it fails because of what is in it, such as one
// large body on a disk that is nearly full, each append is tried alone.
func (w *Writer) commit(group []*Append) {
	if len(group) == 0 {
		return
	}
	err := w.try(group)
	if err != nil && len(group) > 1 && !errors.Is(err, store.ErrUnavailable) {
		for _, a := range group {
			w.commit([]*Append{a})
		}
		return
	}
	var hints []store.Hint
	for _, a := range group {
		switch {
		case err != nil:
			a.result, a.err = store.Result{}, err
		case a.err == nil:
			// A replay is hinted again: the first answer may have been lost
			// together with its hint.
			hints = append(hints, store.Hint{Stream: a.Stream, Last: a.result.Last})
		}
	}
	w.committed(hints)
	for _, a := range group {
		close(a.done)
	}
}

func (w *Writer) try(group []*Append) error {
	for _, a := range group {
		a.result, a.err = store.Result{}, nil
	}
	return w.transact(func(ctx context.Context, tx Tx) error {
		return write(ctx, tx, group, store.Time(w.clock()))
	})
}
