// Package group is what both stores do alike when they write: it collects
// appends that arrive together into one transaction, because a commit waits
// for the disk and the wait is the same for one append and for a hundred.
package group

import (
	"context"
	"slices"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// Tx is a transaction of a store: the few statements that writing needs. The
// streams of a transaction are locked from Heads on until it ends.
type Tx interface {
	// Heads locks streams and returns their ends. A stream without records is left
	// out or has the zero Head.
	Heads(ctx context.Context, streams []string) (map[string]store.Head, error)
	// Requests returns the records of earlier requests, in order of their number.
	Requests(ctx context.Context, keys []Key) (map[Key][]store.Record, error)
	// Insert adds records, and what stands apart from them.
	Insert(ctx context.Context, records []store.Record) error
	// Remove deletes a whole stream.
	Remove(ctx context.Context, stream string) error
}

// Key names a request.
type Key struct{ Stream, RequestID string }

// Append is one waiting call, and its answer.
type Append struct {
	Key
	Expected uint64
	Facts    []store.Fact

	ctx    context.Context // the caller's: one that gave up need not be written
	result store.Result
	err    error
	done   chan struct{}
}

// write carries out appends in the order given, within a transaction. Each gets
// its own result or refusal; an error is a fault of the transaction as a whole.
func write(ctx context.Context, tx Tx, appends []*Append, now time.Time) error {
	keys := make([]Key, len(appends))
	streams := make([]string, len(appends))
	for i, a := range appends {
		keys[i], streams[i] = a.Key, a.Stream
	}
	slices.Sort(streams)
	heads, err := tx.Heads(ctx, slices.Compact(streams))
	if err != nil {
		return err
	}
	// The streams are locked now, so a request that is not seen here is in no
	// transaction of another server either.
	earlier, err := tx.Requests(ctx, keys)
	if err != nil {
		return err
	}
	if records := plan(appends, heads, earlier, now); len(records) > 0 {
		return tx.Insert(ctx, records)
	}
	return nil
}

// skew is how far the clocks of servers may be apart, so that the times of a stream
// are in order. Behind a record that is further ahead than that a clock was wrong:
// what follows has the time that it is now.
const skew = time.Minute

// plan decides each append and returns the records to insert. It keeps heads and
// earlier up to date, so that an append sees those before it in the group.
func plan(appends []*Append, heads map[string]store.Head, earlier map[Key][]store.Record, now time.Time) []store.Record {
	var records []store.Record
	for _, a := range appends {
		head := heads[a.Stream]
		if before := earlier[a.Key]; len(before) > 0 {
			a.result, a.err = replay(before, a.Facts)
			continue
		}
		if head.Seq != a.Expected {
			a.err = &store.ConflictError{Stream: a.Stream, Expected: a.Expected, Actual: head.Seq}
			continue
		}
		made := make([]store.Record, 0, len(a.Facts))
		for _, fact := range a.Facts {
			r := store.Record{Fact: fact, Stream: a.Stream, Seq: head.Seq + 1, RequestID: a.RequestID, RecordedAt: now, Seal: store.SealOf(fact.Apart)}
			if behind := head.RecordedAt.Sub(now); behind > 0 && behind <= skew {
				r.RecordedAt = head.RecordedAt
			}
			r.Hash = r.Link(head.Hash)
			head = r.Head()
			made = append(made, r)
		}
		heads[a.Stream], earlier[a.Key] = head, made
		a.result = store.Result{First: made[0].Seq, Last: head.Seq}
		records = append(records, made...)
	}
	return records
}

// Restore writes a stream as it was, within a transaction; see store.Log.Restore.
// The records have been checked.
func Restore(ctx context.Context, tx Tx, records []store.Record) error {
	stream, end := records[0].Stream, records[len(records)-1].Head()
	heads, err := tx.Heads(ctx, []string{stream})
	if err != nil {
		return err
	}
	switch head := heads[stream]; {
	case head.Seq == 0:
		return tx.Insert(ctx, records)
	case head.Hash == end.Hash: // equal to the last byte, says the chain
		return nil
	default:
		return &store.ConflictError{Stream: stream, Actual: head.Seq}
	}
}

// Replace writes a stream in place of what is there, within a transaction; see
// store.Log.Replace. The records have been checked.
func Replace(ctx context.Context, tx Tx, records []store.Record) error {
	if err := tx.Remove(ctx, records[0].Stream); err != nil {
		return err
	}
	return tx.Insert(ctx, records)
}

// replay answers a request whose records are there already.
func replay(before []store.Record, facts []store.Fact) (store.Result, error) {
	same := slices.EqualFunc(before, facts, func(r store.Record, f store.Fact) bool {
		return r.Kind == f.Kind && r.Actor == f.Actor && string(r.Body) == string(f.Body) && r.Seal == store.SealOf(f.Apart)
	})
	if !same {
		return store.Result{}, store.ErrRequestReused
	}
	return store.Result{First: before[0].Seq, Last: before[len(before)-1].Seq, Replayed: true}, nil
}
