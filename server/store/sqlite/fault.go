package sqlite

import (
	"errors"
	"fmt"
	"syscall"

	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"github.com/rinktally/rinktally/server/store"
)

// fault turns an error of SQLite into what it means for a caller. Errors that have one
// stay as they are.
func fault(err error) error {
	if errors.Is(err, syscall.ENOSPC) {
		return fmt.Errorf("%w (%w)", store.ErrStoreFull, err)
	}
	var problem *driver.Error
	if !errors.As(err, &problem) {
		return err
	}
	var meaning error
	switch code := problem.Code(); {
	case code == codes.SQLITE_IOERR_SHMSIZE, // the index of the write-ahead log could not grow
		code == codes.SQLITE_IOERR_WRITE: // SQLITE_FULL is a full disk only, not a quota or a limit
		meaning = store.ErrStoreFull
	default:
		meaning = meanings[code&0xff]
	}
	if meaning == nil {
		return err
	}
	return fmt.Errorf("%w (%w)", meaning, err)
}

// meanings of the primary result codes, https://www.sqlite.org/rescode.html.
var meanings = map[int]error{
	codes.SQLITE_FULL:     store.ErrStoreFull,
	codes.SQLITE_BUSY:     store.ErrUnavailable,
	codes.SQLITE_LOCKED:   store.ErrUnavailable,
	codes.SQLITE_CANTOPEN: store.ErrUnavailable,
	codes.SQLITE_IOERR:    store.ErrUnavailable,
	codes.SQLITE_READONLY: store.ErrUnavailable,
	codes.SQLITE_PERM:     store.ErrUnavailable,
	codes.SQLITE_CORRUPT:  store.ErrDamaged,
	codes.SQLITE_NOTADB:   store.ErrSchema,
}
