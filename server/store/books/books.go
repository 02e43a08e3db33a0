// Package books keeps books of attempts: what skaters meant to do in practice, and
// what came. Unlike the log of events it is changed in place, since who is in a book
// may ask for it to be forgotten.
//
// The statements are the same for every database; packages sqlite and postgres open
// one and say what differs (Database). Package bookstest checks both by one suite.
package books

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// What can go wrong beside the errors of package store, for errors.Is.
var (
	// ErrBookUnknown means that there is no book with an id.
	ErrBookUnknown = errors.New("no such book")
	// ErrSkaterUnknown means that a book never had a skater with an id.
	ErrSkaterUnknown = errors.New("no such skater")
	// ErrAttemptUnknown means that a skater never had an attempt with a number, or has
	// it no more.
	ErrAttemptUnknown = errors.New("no such attempt")
	// ErrChangeUnknown is the same for a change.
	ErrChangeUnknown = errors.New("no such change")
	// ErrFull means that a list has as many items as are kept.
	ErrFull = errors.New("as many as are kept")
)

// Limits are how many items are kept.
var Limits = struct {
	Skaters  int // of a book
	Attempts int // of a skater
	Changes  int // of a skater
}{1000, 500_000, 1000}

// Book is a book as it is kept. What it says of itself is the caller's matter.
type Book struct {
	ID      string
	Token   []byte // hash of its token
	Created time.Time
	Body    []byte
	Skaters int // how many there are
}

// Skater is a skater of a book.
type Skater struct {
	ID       int64 // from 1, in the order added
	Body     []byte
	Attempts int
	Last     time.Time // time of the newest attempt; zero where there is none
	Revision int64     // grows with every change of an attempt
}

// Key names a skater.
type Key struct {
	Book   string
	Skater int64
}

// Attempt is one attempt.
type Attempt struct {
	Outcome

	ID         int64 // from 1, for each skater
	Time       time.Time
	RunThrough string
	Rest       []byte // what is not counted, the caller's matter
}

// Outcome is what is counted of an attempt. Its texts have no control characters.
type Outcome struct {
	Planned, Came, Cause string
	Fall                 bool
	Grade                sql.Null[int64] // hundredths
}

// Change is something that was changed in practice.
type Change struct {
	ID   int64
	Time time.Time
	Code string
	Text string
}

// Request makes an addition repeatable. With an empty ID it is not.
type Request struct {
	ID     string
	Digest []byte    // of what is asked for, so that another request of the same id is noticed
	At     time.Time // when it came
}

// Added says where an addition has put its items.
type Added struct {
	First int64     // number of the first one; the others follow it
	At    time.Time // when the request came first
	Again bool      // they were there already, from the same request
}

// Filter says which attempts of a skater. Zero values select all.
type Filter struct {
	From, To   time.Time // from the first on, before the second
	Planned    string
	RunThrough string
	InPrograms bool // of a run-through, whichever
	WithRest   bool // that have something that is not counted
}

// Database is an open database of one kind, with the tables of books in it.
type Database struct {
	Read, Write *sql.DB
	// Reading and Writing limit how long a call may take, and keep a connection that
	// must not be given up from ending with a caller's context.
	Reading, Writing func(context.Context) (context.Context, context.CancelFunc)
	// Fault returns an error of the database with its meaning: one of package store.
	Fault func(error) error
	// Erase takes the bytes of deleted rows out of the files of the tables.
	Erase func(context.Context) error
	// Close frees everything.
	Close func() error
}

// Store keeps books. All methods may be called by several goroutines. When one that
// writes returns without error, what it wrote survives a crash of the program and of
// the machine; after any other outcome than one of the errors above it is open, and a
// call with a request id may be repeated.
type Store struct{ db Database }

// New returns the store in a database. Bytes that a crash has kept from being erased
// are erased first.
func New(ctx context.Context, db Database) (*Store, error) {
	s := &Store{db}
	return s, s.finishErasing(ctx)
}

// Close frees the database.
func (s *Store) Close() error { return s.db.Close() }

// Ready reports whether the books can be read.
func (s *Store) Ready(ctx context.Context) error {
	_, err := s.erasing(ctx)
	return err
}

// read runs a look into the database.
func (s *Store) read(ctx context.Context, do func(context.Context, *sql.DB) error) error {
	within, cancel := s.db.Reading(ctx)
	defer cancel()
	return s.fault(ctx, do(within, s.db.Read))
}

// write runs a transaction. It does not end with the caller's context: it may have been
// written already.
func (s *Store) write(ctx context.Context, do func(context.Context, *sql.Tx) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	within, cancel := s.db.Writing(context.WithoutCancel(ctx))
	defer cancel()
	tx, err := s.db.Write.BeginTx(within, nil)
	if err != nil {
		return s.db.Fault(err)
	}
	if err := do(within, tx); err != nil {
		_ = tx.Rollback() // what went wrong is known already
		return s.db.Fault(err)
	}
	return s.db.Fault(tx.Commit())
}

func (s *Store) fault(ctx context.Context, err error) error {
	if err != nil && ctx.Err() != nil {
		return ctx.Err()
	}
	return s.db.Fault(err)
}

// one turns the answer of a statement that found no row into an error of this package.
func one(err, missing error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return missing
	}
	return err
}

// collect reads rows and closes them.
func collect[T any](rows *sql.Rows, err error, scan func(*sql.Rows) (T, error)) ([]T, error) {
	if err != nil {
		return nil, err
	}
	defer func() { _ = rows.Close() }() // rows.Err returns what went wrong
	var list []T
	for rows.Next() {
		item, err := scan(rows)
		if err != nil {
			return nil, err
		}
		list = append(list, item)
	}
	return list, rows.Err()
}

// micro and at turn times into what columns hold: microseconds since 1970-01-01 UTC.
func micro(t time.Time) int64 { return t.UnixMicro() }

func at(micro int64) time.Time { return time.UnixMicro(micro).UTC() }
