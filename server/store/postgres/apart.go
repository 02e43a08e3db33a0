package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"github.com/rinktally/rinktally/server/store"
)

// Erase is store.Log.Erase. Deleted rows stay in the table's file until it is
// written again, which VACUUM FULL does; the table is small. PostgreSQL's own
// write-ahead log is its operator's matter.
func (l *Log) Erase(ctx context.Context, stream string, seqs []uint64) error {
	if err := l.usable(ctx); err != nil {
		return err
	}
	numbers := make([]int64, len(seqs))
	for i, seq := range seqs {
		numbers[i] = int64(seq)
	}
	within, cancel := context.WithTimeout(ctx, writing)
	defer cancel()
	_, err := l.pool.Exec(within, "DELETE FROM log_apart WHERE stream = $1 AND seq = ANY($2)", stream, numbers)
	if err == nil {
		_, err = l.pool.Exec(within, "VACUUM FULL log_apart")
	}
	return l.fault(ctx, err)
}

// Keep is store.Log.Keep.
func (l *Log) Keep(ctx context.Context, name string, data []byte) error {
	if err := store.CheckFile(name, data); err != nil {
		return err
	}
	if err := l.usable(ctx); err != nil {
		return err
	}
	within, cancel := context.WithTimeout(ctx, writing)
	defer cancel()
	_, err := l.pool.Exec(within, "INSERT INTO log_file (name, body) VALUES ($1, $2) ON CONFLICT DO NOTHING", name, append([]byte{}, data...)) // nil would be NULL
	return l.fault(ctx, err)
}

// Kept is store.Log.Kept.
func (l *Log) Kept(ctx context.Context, name string) ([]byte, error) {
	if err := l.usable(ctx); err != nil {
		return nil, err
	}
	within, cancel := context.WithTimeout(ctx, reading)
	defer cancel()
	var data []byte
	err := l.pool.QueryRow(within, "SELECT body FROM log_file WHERE name = $1", name).Scan(&data)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, fmt.Errorf("%w: %s", store.ErrFileUnknown, store.Brief(name))
	}
	return data, l.fault(ctx, err)
}

// Files is store.Log.Files.
func (l *Log) Files(ctx context.Context) ([]string, error) {
	if err := l.usable(ctx); err != nil {
		return nil, err
	}
	within, cancel := context.WithTimeout(ctx, reading)
	defer cancel()
	rows, err := l.pool.Query(within, "SELECT name FROM log_file ORDER BY name")
	if err != nil {
		return nil, l.fault(ctx, err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	return names, l.fault(ctx, err)
}
