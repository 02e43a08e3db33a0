package store

import (
	"context"
	"errors"
)

// Recovery is what Recover did with a stream.
type Recovery int

// What Recover can do.
const (
	Stayed   Recovery = iota // it is whole here and has all of the copy
	Brought                  // it was not here
	Replaced                 // it was damaged here
)

// Recover brings a stream of a copy into a log: one that is missing there, or is
// damaged. What the log itself has behind the copy, and what fits it, stays. A
// stream that is whole in the log and does not have the copy's records is a
// *ConflictError; last is the stream's end afterwards.
func Recover(ctx context.Context, log Log, records []Record) (did Recovery, last uint64, err error) {
	if err := CheckRestore(records); err != nil {
		return 0, 0, err
	}
	stream, end := records[0].Stream, records[len(records)-1].Head()
	whole, err := Verify(ctx, log, stream)
	switch {
	case errors.Is(err, ErrStreamUnknown):
		return Brought, end.Seq, log.Restore(ctx, records)
	case errors.Is(err, ErrDamaged):
		records = append(records, behind(ctx, log, end, stream)...)
		return Replaced, records[len(records)-1].Seq, log.Replace(ctx, records)
	case err != nil:
		return 0, 0, err
	}
	page, err := log.Read(ctx, stream, end.Seq-1, 1)
	if err == nil && (len(page) == 0 || page[0].Hash != end.Hash) {
		err = &ConflictError{Stream: stream, Expected: end.Seq, Actual: whole.Seq}
	}
	return Stayed, whole.Seq, err
}

// behind returns the records of a stream that follow a head, up to the first that
// does not fit.
func behind(ctx context.Context, log Log, head Head, stream string) []Record {
	var fitting []Record
	for record, err := range All(ctx, log, stream, head.Seq) {
		if err != nil || record.Follows(head) != nil {
			break
		}
		fitting, head = append(fitting, record), record.Head()
	}
	return fitting
}
