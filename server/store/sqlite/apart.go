package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/internal/group"
)

// Erase is store.Log.Erase.
func (l *Log) Erase(ctx context.Context, stream string, seqs []uint64) error {
	if err := l.writable(ctx); err != nil {
		return err
	}
	err := l.transact(func(ctx context.Context, tx group.Tx) error {
		for _, seq := range seqs {
			_, err := tx.(transaction).tx.ExecContext(ctx, "DELETE FROM log_apart WHERE stream = ? AND seq = ?", stream, int64(seq))
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return l.fault(ctx, eraseBytes(l.reading(ctx), l.write))
}

// eraseBytes takes the bytes of what was deleted out of a database's files. SQLite
// overwrites what it deletes, but leaves copies where it has moved rows about; so the
// file is written again without them, and the write-ahead log, which still has what was
// written earlier, is emptied.
func eraseBytes(ctx context.Context, db *sql.DB) error {
	if _, err := db.ExecContext(ctx, "VACUUM"); err != nil {
		return err
	}
	var busy, pages, moved int
	err := db.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &pages, &moved)
	if err == nil && busy != 0 {
		return fmt.Errorf("%w: another program reads the file, so the erased bytes are still beside it", store.ErrUnavailable)
	}
	return err
}

// Keep is store.Log.Keep.
func (l *Log) Keep(ctx context.Context, name string, data []byte) error {
	if err := store.CheckFile(name, data); err != nil {
		return err
	}
	if err := l.writable(ctx); err != nil {
		return err
	}
	ctx = l.reading(ctx)
	_, err := l.write.ExecContext(ctx, "INSERT INTO log_file (name, body) VALUES (?, ?) ON CONFLICT DO NOTHING", name, append([]byte{}, data...)) // nil would be NULL
	return l.fault(ctx, err)
}

// Kept is store.Log.Kept.
func (l *Log) Kept(ctx context.Context, name string) ([]byte, error) {
	if err := l.usable(ctx); err != nil {
		return nil, err
	}
	ctx = l.reading(ctx)
	var data []byte
	err := l.read.QueryRowContext(ctx, "SELECT body FROM log_file WHERE name = ?", name).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%w: %s", store.ErrFileUnknown, store.Brief(name))
	}
	return data, l.fault(ctx, err)
}

// Files is store.Log.Files.
func (l *Log) Files(ctx context.Context) ([]string, error) {
	if err := l.usable(ctx); err != nil {
		return nil, err
	}
	ctx = l.reading(ctx)
	rows, err := l.read.QueryContext(ctx, "SELECT name FROM log_file ORDER BY name")
	if err != nil {
		return nil, l.fault(ctx, err)
	}
	names, err := texts(rows)
	return names, l.fault(ctx, err)
}

// writable refuses calls on a log that is opened for reading only, or not usable.
func (l *Log) writable(ctx context.Context) error {
	if l.writer == nil {
		return store.ErrReadOnly
	}
	return l.usable(ctx)
}

// texts reads rows of one text each, and closes them.
func texts(rows *sql.Rows) ([]string, error) {
	defer func() { _ = rows.Close() }() // rows.Err returns what went wrong
	var list []string
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		list = append(list, text)
	}
	return list, rows.Err()
}
