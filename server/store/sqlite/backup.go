package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
)

// Backup copies the log into a new file while it is in use; see the function of
// that name.
func (l *Log) Backup(ctx context.Context, to string) error {
	if err := l.usable(ctx); err != nil {
		return err
	}
	if l.path == Memory {
		return backup(to, func(partial string) error {
			_, err := l.write.ExecContext(context.WithoutCancel(ctx), "VACUUM INTO ?", partial)
			return err
		})
	}
	return Backup(ctx, l.path, to)
}

// Backup copies the database file from into a new file to, also while a server
// writes. The copy holds all streams as they were at one moment, opens like
// any other, and appears under its name only when it is whole and on the disk.
// An existing file is never overwritten.
func Backup(ctx context.Context, from, to string) error { return logSchema.backup(ctx, from, to) }

// BackupBooks is Backup for the file of books of attempts.
func BackupBooks(ctx context.Context, from, to string) error { return bookSchema.backup(ctx, from, to) }

func (s schema) backup(ctx context.Context, from, to string) error {
	if _, err := os.Stat(from); err != nil {
		return err
	}
	db := pool(from, 1)
	defer func() { _ = db.Close() }() // it has written nothing
	if _, err := s.version(ctx, db); err != nil {
		return fmt.Errorf("back up %s: %w", from, fault(err))
	}
	return backup(to, func(partial string) error {
		_, err := db.ExecContext(ctx, "VACUUM INTO ?", partial)
		return err
	})
}

func backup(to string, copyInto func(string) error) error {
	if exists(to) {
		return fmt.Errorf("back up to %s: it exists already; give a new name", to)
	}
	partial := to + ".partial"
	if err := os.RemoveAll(partial); err != nil { // of a backup that was cut short
		return err
	}
	err := makeFile(partial)
	if err == nil {
		err = copyInto(partial)
	}
	if err == nil {
		err = syncFile(partial)
	}
	if err == nil {
		err = os.Rename(partial, to)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("back up to %s: %w", to, fault(err)), os.RemoveAll(partial))
	}
	if runtime.GOOS == "windows" {
		return nil // folders cannot be synced there
	}
	return syncFile(filepath.Dir(to))
}

func syncFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	err = f.Sync()
	return errors.Join(err, f.Close())
}
