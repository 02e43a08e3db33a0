package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"github.com/gofrs/flock"

	"github.com/rinktally/rinktally/server/store/books"
)

// OpenBooks opens the file of books of attempts, or Memory, and creates it and its
// tables if they are missing. The folder must exist. If another process has it open,
// the error is store.ErrLocked.
func OpenBooks(ctx context.Context, path string) (*books.Store, error) {
	f := &bookFile{path: path}
	err := f.open(ctx)
	var s *books.Store
	if err == nil {
		s, err = books.New(ctx, books.Database{
			Read: f.read, Write: f.write, Reading: f.within, Writing: f.within, Fault: fault, Close: f.close,
			Erase: func(ctx context.Context) error { return eraseBytes(ctx, f.write) },
		})
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open %s: %w", path, fault(err)), f.close())
	}
	return s, nil
}

// bookFile is an open file of books.
type bookFile struct {
	path        string
	read, write *sql.DB
	lock        *flock.Flock // nil in memory
}

func (f *bookFile) open(ctx context.Context) error {
	if f.path != Memory {
		var err error
		if f.lock, err = takeLock(f.path); err != nil {
			return err
		}
		if err := makeFile(f.path); err != nil {
			return err
		}
	}
	f.write = pool(f.path, 1)
	f.read = f.write // each connection to memory would have a database of its own
	if f.path != Memory {
		f.read = pool(f.path, readers, "query_only(1)")
	}
	return bookSchema.migrate(ctx, f.write)
}

// within sets no limit of its own. The only connection to memory must not be given up
// when a caller's context ends.
func (f *bookFile) within(ctx context.Context) (context.Context, context.CancelFunc) {
	if f.path == Memory {
		ctx = context.WithoutCancel(ctx)
	}
	return context.WithCancel(ctx)
}

// close frees what open has taken, the lock last.
func (f *bookFile) close() error {
	var errs []error
	if f.read != nil && f.read != f.write {
		errs = append(errs, f.read.Close())
	}
	if f.write != nil {
		errs = append(errs, f.write.Close())
	}
	if f.lock != nil {
		errs = append(errs, f.lock.Close())
	}
	return errors.Join(errs...)
}
