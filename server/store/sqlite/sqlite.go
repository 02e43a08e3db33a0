// Package sqlite keeps the log in one SQLite file, or in memory for tests and
// demonstrations. The driver is pure Go, so nothing needs to be installed.
//
// An append is acknowledged after its commit has reached the disk (write-ahead
// log, synchronous FULL). One process at a time may write; a second one is
// refused by a lock file beside the database.
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"github.com/gofrs/flock"
	_ "modernc.org/sqlite" // the driver, registered as "sqlite"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/internal/group"
	"github.com/rinktally/rinktally/server/store/internal/hints"
)

// Memory is the path of a log that is kept in memory and ends with Close.
const Memory = ":memory:"

// readers is the number of connections that read at the same time.
const readers = 4

// Options say what to open.
type Options struct {
	Path     string      // the database file, or Memory
	Clock    store.Clock // nil: time.Now
	ReadOnly bool        // look at a file that a running server may be writing
}

// Log is a store.Log in SQLite.
type Log struct {
	path   string
	read   *sql.DB
	write  *sql.DB      // one connection; nil when opened for reading only
	lock   *flock.Flock // nil in memory and when reading only
	writer *group.Writer
	hints  *hints.Hints
	closed atomic.Bool

	reads      reads      // on read
	statements statements // on write
}

var _ store.Log = (*Log)(nil)

// Open opens a log and creates the file and its tables if they are missing. The
// folder must exist. If another process has it open for writing, the error is
// store.ErrLocked.
func Open(ctx context.Context, options Options) (*Log, error) {
	if options.Clock == nil {
		options.Clock = time.Now
	}
	log := &Log{path: options.Path, hints: hints.New()}
	if err := log.open(ctx, options); err != nil {
		return nil, errors.Join(fmt.Errorf("open %s: %w", options.Path, fault(err)), log.release())
	}
	return log, nil
}

func (l *Log) open(ctx context.Context, options Options) error {
	if options.ReadOnly {
		var err error
		if l.read, err = openToRead(ctx, l.path); err != nil {
			return err
		}
		return l.reads.prepare(ctx, l.read)
	}
	if l.path != Memory {
		var err error
		if l.lock, err = takeLock(l.path); err != nil {
			return err
		}
		if err := makeFile(l.path); err != nil {
			return err
		}
	}
	l.write = pool(l.path, 1)
	l.read = l.write // each connection to memory would have a database of its own
	if l.path != Memory {
		l.read = pool(l.path, readers, "query_only(1)")
	}
	if err := logSchema.migrate(ctx, l.write); err != nil {
		return err
	}
	if err := errors.Join(l.statements.prepare(ctx, l.write), l.reads.prepare(ctx, l.read)); err != nil {
		return err
	}
	l.writer = group.NewWriter(l.transact, l.hints.Publish, options.Clock)
	return nil
}

// private is the mode of what holds hashes of tokens and marks: the account's own.
const private = 0o600

// makeFile makes an empty file, if there is none, that only the account can read.
// SQLite would let everybody, and sets the files beside the database to the database's
// mode. One that an earlier program made for everybody is taken from those who are
// not in its group, who may make copies.
func makeFile(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE, private)
	if err != nil {
		return err
	}
	const others = 0o007
	for _, name := range []string{path, path + "-wal", path + "-shm"} {
		if info, err := os.Stat(name); err == nil && info.Mode()&others != 0 {
			_ = os.Chmod(name, info.Mode().Perm()&^others) // only its owner can
		}
	}
	return f.Close()
}

// pool returns connections that sync every commit to the disk and, before they
// write, take the write lock instead of finding out at the commit. What they delete
// they overwrite.
func pool(path string, most int, pragmas ...string) *sql.DB {
	return connect(address(path, url.Values{"_txlock": {"immediate"}}), most, append([]string{
		"busy_timeout(5000)", "journal_mode(WAL)", "synchronous(FULL)", "secure_delete(ON)",
		"journal_size_limit(67108864)", // a long backup lets the write-ahead log grow; shrink it after
	}, pragmas...)...)
}

// address returns a file, or Memory, as SQLite opens it.
func address(path string, query url.Values) string {
	if path == Memory {
		return "file::memory:?" + query.Encode()
	}
	if absolute, err := filepath.Abs(path); err == nil {
		path = absolute
	}
	return (&url.URL{Scheme: "file", Path: filepath.ToSlash(path), RawQuery: query.Encode()}).String()
}

// connect returns connections to an address, each with the pragmas.
func connect(address string, most int, pragmas ...string) *sql.DB {
	db, err := sql.Open("sqlite", address+"&"+url.Values{"_pragma": pragmas}.Encode())
	if err != nil {
		panic(err) // only if the driver is not registered
	}
	db.SetMaxOpenConns(most)
	db.SetMaxIdleConns(most)
	return db
}

// takeLock keeps every other process from writing a file.
func takeLock(path string) (*flock.Flock, error) {
	lock := flock.New(path + ".lock")
	got, err := lock.TryLock()
	if err != nil {
		return nil, err
	}
	if !got {
		return nil, fmt.Errorf("%w: stop it, or give this one another folder (the lock is %s)", store.ErrLocked, lock.Path())
	}
	return lock, nil
}

// Append is store.Log.Append.
func (l *Log) Append(ctx context.Context, stream string, expected uint64, requestID string, facts []store.Fact) (store.Result, error) {
	if l.writer == nil {
		return store.Result{}, store.ErrReadOnly
	}
	return l.writer.Append(ctx, stream, expected, requestID, facts)
}

// Restore is store.Log.Restore.
func (l *Log) Restore(ctx context.Context, records []store.Record) error {
	return l.bring(ctx, records, group.Restore)
}

// Replace is store.Log.Replace.
func (l *Log) Replace(ctx context.Context, records []store.Record) error {
	return l.bring(ctx, records, group.Replace)
}

// bring writes a whole stream.
func (l *Log) bring(ctx context.Context, records []store.Record, how func(context.Context, group.Tx, []store.Record) error) error {
	if err := l.writable(ctx); err != nil {
		return err
	}
	if err := store.CheckRestore(records); err != nil {
		return err
	}
	err := l.transact(func(ctx context.Context, tx group.Tx) error { return how(ctx, tx, records) })
	if err != nil {
		return err
	}
	end := records[len(records)-1]
	l.hints.Publish([]store.Hint{{Stream: end.Stream, Last: end.Seq}})
	return nil
}

// Subscribe is store.Log.Subscribe.
func (l *Log) Subscribe(ctx context.Context) <-chan store.Hint { return l.hints.Subscribe(ctx) }

// Ready is store.Log.Ready.
func (l *Log) Ready(ctx context.Context) error {
	if err := l.usable(ctx); err != nil {
		return err
	}
	_, err := logSchema.version(l.reading(ctx), l.read)
	return l.fault(ctx, err)
}

// usable refuses calls after Close and of a context that has ended.
func (l *Log) usable(ctx context.Context) error {
	if l.closed.Load() {
		return group.Closed()
	}
	return ctx.Err()
}

// fault is the function fault for a call that its context, or Close, may have
// overtaken.
func (l *Log) fault(ctx context.Context, err error) error {
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil:
		return ctx.Err()
	case l.closed.Load():
		return group.Closed()
	}
	return fault(err)
}

// Close is store.Log.Close.
func (l *Log) Close() error {
	if l.closed.Swap(true) {
		return nil
	}
	if l.writer != nil {
		l.writer.Close()
	}
	l.hints.Close()
	return l.release()
}

// release frees what open has taken, the lock last.
func (l *Log) release() error {
	var errs []error
	if l.read != nil && l.read != l.write {
		errs = append(errs, l.read.Close())
	}
	if l.write != nil {
		errs = append(errs, l.write.Close())
	}
	if l.lock != nil {
		errs = append(errs, l.lock.Close())
	}
	return errors.Join(errs...)
}

// exists reports whether something has this name already.
func exists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}
