package store

import (
	"errors"
	"fmt"
	"io/fs"
)

// What can go wrong, for errors.Is. The types below carry the particulars.
var (
	// ErrInvalid is a fault of the arguments; see InvalidError.
	ErrInvalid = errors.New("not storable")
	// ErrConflict means that a stream ends elsewhere than expected; see ConflictError.
	ErrConflict = errors.New("the stream has moved")
	// ErrRequestReused means that an earlier request has the same id on the same
	// stream, but other facts.
	ErrRequestReused = errors.New("the request id was used before with other facts")
	// ErrRequestUnknown means that a stream has no facts of a request.
	ErrRequestUnknown = errors.New("no such request")
	// ErrStreamUnknown means that a stream has no facts.
	ErrStreamUnknown = errors.New("no such stream")
	// ErrFileUnknown means that no file has a name. It matches fs.ErrNotExist too.
	ErrFileUnknown = fmt.Errorf("not kept in the store: %w", fs.ErrNotExist)
	// ErrStoreFull means that the disk takes no more: there is no room left on it,
	// a quota or a limit is reached, it is read-only, or it fails. Nothing was written.
	// Once it can be written, the same call works.
	ErrStoreFull = errors.New("the disk of the store takes no more: free some space on it or make it writable")
	// ErrUnavailable means that the database cannot be reached now, or that the
	// log is closed. The outcome of a write is open; repeat it with the same id.
	ErrUnavailable = errors.New("the store cannot be reached now")
	// ErrLocked means that another process has the data open for writing.
	ErrLocked = errors.New("another process uses this data")
	// ErrReadOnly means that the log was opened for reading only.
	ErrReadOnly = errors.New("the store was opened for reading only")
	// ErrSchema means that the database is of a newer program, or not of this one.
	ErrSchema = errors.New("the database does not fit this program")
	// ErrDamaged means that stored or exported records do not fit each other; see
	// DamagedError.
	ErrDamaged = errors.New("the records are damaged")
)

// ConflictError says where a stream really ends. It matches ErrConflict.
type ConflictError struct {
	Stream           string
	Expected, Actual uint64 // 0: the stream does not exist
}

func (e *ConflictError) Error() string {
	return fmt.Sprintf("stream %s: expected to end with %d, but ends with %d", Brief(e.Stream), e.Expected, e.Actual)
}

// Unwrap makes the error match ErrConflict.
func (*ConflictError) Unwrap() error { return ErrConflict }

// InvalidError says which argument does not fit and what is allowed. It matches
// ErrInvalid.
type InvalidError struct {
	Field  string // path of the argument, such as facts[2].kind
	Fault  string // what was found
	Allows string // what is allowed
}

func (e *InvalidError) Error() string {
	return fmt.Sprintf("%s: %s; allowed: %s", e.Field, e.Fault, e.Allows)
}

// Unwrap makes the error match ErrInvalid.
func (*InvalidError) Unwrap() error { return ErrInvalid }

// DamagedError says where records stop to fit. It matches ErrDamaged.
type DamagedError struct {
	Stream string
	Seq    uint64 // the record at fault; 0 where no record can be named
	Line   int    // of an export; 0 elsewhere
	Fault  string
}

func (e *DamagedError) Error() string {
	where := ""
	if e.Line > 0 {
		where = fmt.Sprintf("line %d: ", e.Line)
	}
	if e.Stream != "" {
		where += "stream " + Brief(e.Stream) + ": "
	}
	if e.Seq > 0 {
		where += fmt.Sprintf("record %d: ", e.Seq)
	}
	return where + e.Fault
}

// Unwrap makes the error match ErrDamaged.
func (*DamagedError) Unwrap() error { return ErrDamaged }

// CutOff says that a stream has records up to have only, of the last that were
// written.
func CutOff(stream string, have, last uint64) error {
	return &DamagedError{Stream: stream, Seq: have + 1, Fault: fmt.Sprintf("is missing: the stream had %d records", last)}
}

// Brief quotes a text for a message, cut to a length that fits one.
func Brief(text string) string {
	const most = 40
	if len(text) <= most {
		return fmt.Sprintf("%q", text)
	}
	return fmt.Sprintf("%q…", text[:most])
}
