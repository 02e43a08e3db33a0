// Package store keeps the facts of events in an append-only log. It says what
// a log promises; the packages sqlite and postgres keep the promise, and
// storetest checks both by one suite.
//
// A log has streams, one for each event. The facts of a stream are numbered
// 1, 2, 3 and so on without a gap; there is no order between streams. Facts are
// never changed or deleted. What may have to be erased, such as a person's name,
// stands apart from its fact, which has only a seal of it.
package store

import (
	"context"
	"errors"
	"iter"
	"time"
)

// Fact is something that happened, as the caller states it.
type Fact struct {
	Kind  string // what happened: the name of a message of the stored form
	Body  []byte // the message itself; may be empty
	Actor string // who did it; may be empty where nobody did
	// Apart is what can be erased without touching the fact; nil where there is
	// nothing. Its seal stays, so whoever appends puts chance into it that makes
	// guessing hopeless.
	Apart []byte
}

// Record is a fact as the log keeps it.
type Record struct {
	Fact
	Stream     string
	Seq        uint64    // 1 for the first fact of its stream
	RequestID  string    // of the append that brought it; its facts are neighbours
	RecordedAt time.Time // UTC, whole microseconds; in order, but behind a record whose clock was minutes ahead
	Hash       Hash      // of this record and, through the chain, of all ahead of it
	Seal       Hash      // of what stands apart, also when that was erased; zero where nothing does
}

// Result says where an append put its facts.
type Result struct {
	First, Last uint64 // sequence numbers, First <= Last
	Replayed    bool   // the facts were there already, from the same request
}

// Hint says that a stream has moved. It is a hint only: hints may be joined,
// repeated or late, so a reader always reads the log after the last sequence
// number that it has.
type Hint struct {
	Stream string // empty: hints may have been lost, any stream may have moved
	Last   uint64 // at least this sequence number can be read; 0 when Stream is empty
}

// Clock returns the time to record. Tests give one of their own.
type Clock func() time.Time

// Log is the append-only log. All methods may be called by several goroutines.
//
// Names are checked everywhere: one that does not fit is an *InvalidError.
//
// Every error matches, by errors.Is, one of the Err values of this package, or
// is the error of the caller's context, or is a fault that no caller can mend.
type Log interface {
	// Append adds facts to a stream: all of them or none, as neighbours, in the
	// order given. When it returns without error they survive a crash of the
	// program and of the machine.
	//
	// expected is the sequence number that the stream is thought to end with, 0
	// for a new stream. If it ends elsewhere, the error is a *ConflictError.
	//
	// requestID makes the call repeatable. If the stream already has facts of
	// this request, nothing is added, whatever expected says: the answer is the
	// first one with Replayed set, or ErrRequestReused if the facts differ. So
	// after any error that leaves the outcome open (ErrUnavailable, an ended
	// context) the same call may be made again, and neither loses nor doubles.
	// The same requestID on two streams is two requests.
	//
	// A fault of the arguments is an *InvalidError; Limits says what fits.
	// When storage is full, the error is ErrStoreFull, nothing is added, and
	// appending works again once there is room.
	Append(ctx context.Context, stream string, expected uint64, requestID string, facts []Fact) (Result, error)

	// Find says where an earlier request put its facts, with Replayed set. If
	// the stream has none of that request, the error is ErrRequestUnknown, for a
	// stream that does not exist too.
	Find(ctx context.Context, stream, requestID string) (Result, error)

	// Read returns records of a stream with a sequence number greater than after,
	// in order and without gap: at most limit, 0 meaning Limits.Read. It may give
	// fewer, so that large bodies do not fill the memory; only an empty answer
	// means that there are no more. It sees every append that was acknowledged
	// before the call. A stream without facts is ErrStreamUnknown; one whose last
	// facts are missing is a *DamagedError, in place of the empty answer.
	Read(ctx context.Context, stream string, after uint64, limit int) ([]Record, error)

	// Head returns the end of a stream as it is kept apart from its records. A
	// stream without facts is ErrStreamUnknown.
	Head(ctx context.Context, stream string) (Head, error)

	// Streams lists streams with a name greater than after, by the bytes of the
	// name: at most limit, 0 meaning Limits.Read. An empty answer means that
	// there are no more. A stream whose facts are missing is listed too.
	Streams(ctx context.Context, after string, limit int) ([]string, error)

	// Subscribe returns hints until the context or the log ends, which closes the
	// channel. Every append acknowledged after Subscribe has returned is covered
	// by a hint that comes after its commit, appends of other servers on the same
	// database too. A reader that is slow holds up nobody: its hints are joined.
	Subscribe(ctx context.Context) <-chan Hint

	// Restore writes a whole stream as it was: numbers, times and hashes too. The
	// records must be of one stream, numbered from 1, with a hash chain that
	// fits, else the error is a *DamagedError. If the stream exists, the error is
	// a *ConflictError, unless it holds exactly these records: then nothing is
	// done. All is written or nothing.
	Restore(ctx context.Context, records []Record) error

	// Replace writes a whole stream in place of the one of that name, whatever is
	// there. It is for a stream that is damaged; see Recover.
	Replace(ctx context.Context, records []Record) error

	// Erase deletes what stands apart from records of a stream. When it returns
	// without error the bytes are gone from the tables on the disk too, also when an
	// earlier call took them away and then failed.
	Erase(ctx context.Context, stream string, seqs []uint64) error

	// Keep stores a file that facts rest on. What stands under a name stays: a file
	// of that name that is there already is left as it is.
	Keep(ctx context.Context, name string, data []byte) error

	// Kept returns a file. One that was never stored is ErrFileUnknown.
	Kept(ctx context.Context, name string) ([]byte, error)

	// Files lists the names of files, by their bytes.
	Files(ctx context.Context) ([]string, error)

	// Ready reports whether the log can be read and has the tables that this
	// program needs.
	Ready(ctx context.Context) error

	// Close waits for appends that are under way and frees everything. Later
	// calls are ErrUnavailable. Closing twice does nothing.
	Close() error
}

// All returns every record of a stream after a sequence number, page by page. It
// ends with the last record or with the first error, which has no record; damage is
// a *DamagedError.
func All(ctx context.Context, log Log, stream string, after uint64) iter.Seq2[Record, error] {
	return func(yield func(Record, error) bool) {
		for {
			page, err := log.Read(ctx, stream, after, 0)
			var known *DamagedError
			if errors.Is(err, ErrDamaged) && !errors.As(err, &known) { // the pages of its file
				err = &DamagedError{Stream: stream, Seq: after + 1, Fault: err.Error()}
			}
			if err != nil {
				yield(Record{}, err)
				return
			}
			if len(page) == 0 {
				return
			}
			for _, record := range page {
				if !yield(record, nil) {
					return
				}
			}
			after = page[len(page)-1].Seq
		}
	}
}

// Whole is All, and checks that the last record is the end of the stream as it is
// kept apart. That each record follows the one ahead is the caller's to check.
func Whole(ctx context.Context, log Log, stream string, after uint64) iter.Seq2[Record, error] {
	return func(yield func(Record, error) bool) {
		end, err := log.Head(ctx, stream)
		if err != nil {
			yield(Record{}, err)
			return
		}
		for record, err := range All(ctx, log, stream, after) {
			if err == nil && record.Seq == end.Seq {
				err = end.EndsWith(stream, record.Hash[:])
			}
			if err != nil {
				record = Record{}
			}
			if !yield(record, err) || err != nil {
				return
			}
		}
	}
}
