package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/internal/group"
)

// columns of a record, in the order in which scan reads them.
const columns = "stream, seq, kind, body, actor, request_id, recorded_at, hash"

const (
	insertRecord  = "INSERT INTO log (" + columns + ") VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
	selectRecords = "SELECT " + columns + " FROM log WHERE stream = ? AND seq > ? ORDER BY seq LIMIT ?"
	// Without statistics SQLite would go through the whole stream.
	selectRequest = "SELECT " + columns + " FROM log INDEXED BY log_request WHERE stream = ? AND request_id = ? ORDER BY seq"
	selectHead    = "SELECT seq, recorded_at, hash FROM log WHERE stream = ? ORDER BY seq DESC LIMIT 1"
	selectStreams = "SELECT stream FROM log WHERE seq = 1 AND stream > ? ORDER BY stream LIMIT ?"
	selectFound   = "SELECT min(seq), max(seq) FROM log WHERE stream = ? AND request_id = ?"
)

// Read is store.Log.Read.
func (l *Log) Read(ctx context.Context, stream string, after uint64, limit int) ([]store.Record, error) {
	limit, err := store.CheckRead(stream, limit)
	if err != nil {
		return nil, err
	}
	if err := l.usable(ctx); err != nil {
		return nil, err
	}
	ctx = l.reading(ctx)
	rows, err := l.read.QueryContext(ctx, selectRecords, stream, int64(min(after, maxSeq)), limit)
	if err != nil {
		return nil, l.fault(ctx, err)
	}
	records, err := scan(rows, store.Limits.Page)
	if err != nil {
		return nil, l.fault(ctx, err)
	}
	if len(records) == 0 {
		// No more, or no such stream?
		_, err = l.Last(ctx, stream)
	}
	return records, err
}

// maxSeq is the greatest number that a column holds.
const maxSeq = 1<<63 - 1

// reading keeps the only connection of a log in memory from being given up, and
// all facts with it, when a caller's context ends.
func (l *Log) reading(ctx context.Context) context.Context {
	if l.path == Memory {
		return context.WithoutCancel(ctx)
	}
	return ctx
}

// Last is store.Log.Last.
func (l *Log) Last(ctx context.Context, stream string) (uint64, error) {
	if err := store.CheckStream(stream); err != nil {
		return 0, err
	}
	if err := l.usable(ctx); err != nil {
		return 0, err
	}
	head, err := head(l.read.QueryRowContext(l.reading(ctx), selectHead, stream))
	if err == nil && head.Seq == 0 {
		return 0, fmt.Errorf("%w: %s", store.ErrStreamUnknown, store.Brief(stream))
	}
	return head.Seq, l.fault(ctx, err)
}

// Find is store.Log.Find.
func (l *Log) Find(ctx context.Context, stream, requestID string) (store.Result, error) {
	if err := store.CheckFind(stream, requestID); err != nil {
		return store.Result{}, err
	}
	if err := l.usable(ctx); err != nil {
		return store.Result{}, err
	}
	var first, last sql.Null[int64]
	err := l.read.QueryRowContext(l.reading(ctx), selectFound, stream, requestID).Scan(&first, &last)
	if err == nil && !first.Valid {
		return store.Result{}, fmt.Errorf("%w: %s", store.ErrRequestUnknown, store.Brief(requestID))
	}
	return store.Result{First: uint64(first.V), Last: uint64(last.V), Replayed: err == nil}, l.fault(ctx, err)
}

// Streams is store.Log.Streams.
func (l *Log) Streams(ctx context.Context, after string, limit int) ([]string, error) {
	limit, err := store.CheckStreams(after, limit)
	if err != nil {
		return nil, err
	}
	if err := l.usable(ctx); err != nil {
		return nil, err
	}
	rows, err := l.read.QueryContext(l.reading(ctx), selectStreams, after, limit)
	if err != nil {
		return nil, l.fault(ctx, err)
	}
	defer func() { _ = rows.Close() }() // rows.Err tells
	var streams []string
	for rows.Next() {
		var stream string
		if err := rows.Scan(&stream); err != nil {
			return nil, l.fault(ctx, err)
		}
		streams = append(streams, stream)
	}
	return streams, l.fault(ctx, rows.Err())
}

// statements of a transaction, parsed once.
type statements struct{ head, request, insert *sql.Stmt }

func (s *statements) prepare(ctx context.Context, db *sql.DB) error {
	for text, statement := range map[string]**sql.Stmt{
		selectHead: &s.head, selectRequest: &s.request, insertRecord: &s.insert,
	} {
		var err error
		if *statement, err = db.PrepareContext(ctx, text); err != nil {
			return err
		}
	}
	return nil
}

// transaction is a group.Tx.
type transaction struct{ statements }

// transact is a group.Transact. It does not end with a caller's context: the
// transaction may be that of many callers.
func (l *Log) transact(do func(context.Context, group.Tx) error) error {
	ctx := context.Background()
	tx, err := l.write.BeginTx(ctx, nil)
	if err != nil {
		return l.fault(ctx, err)
	}
	bound := statements{
		tx.StmtContext(ctx, l.statements.head), tx.StmtContext(ctx, l.statements.request), tx.StmtContext(ctx, l.statements.insert),
	}
	if err := do(ctx, transaction{bound}); err != nil {
		_ = tx.Rollback() // it says only that SQLite has undone the transaction already
		return l.fault(ctx, err)
	}
	if err := tx.Commit(); err != nil {
		// A failed COMMIT may leave the transaction open on the connection, and the
		// only connection there is. The error of an undone one tells nothing.
		_, _ = l.write.ExecContext(ctx, "ROLLBACK")
		return l.fault(ctx, err)
	}
	return nil
}

// Heads is group.Tx.Heads; the transaction has locked the database already.
func (t transaction) Heads(ctx context.Context, streams []string) (map[string]store.Head, error) {
	heads := make(map[string]store.Head, len(streams))
	for _, stream := range streams {
		head, err := head(t.head.QueryRowContext(ctx, stream))
		if err != nil {
			return nil, err
		}
		heads[stream] = head
	}
	return heads, nil
}

// Requests is group.Tx.Requests.
func (t transaction) Requests(ctx context.Context, keys []group.Key) (map[group.Key][]store.Record, error) {
	found := make(map[group.Key][]store.Record, len(keys))
	for _, key := range keys {
		rows, err := t.request.QueryContext(ctx, key.Stream, key.RequestID)
		if err != nil {
			return nil, err
		}
		if found[key], err = scan(rows, maxSeq); err != nil {
			return nil, err
		}
	}
	return found, nil
}

// Insert is group.Tx.Insert.
func (t transaction) Insert(ctx context.Context, records []store.Record) error {
	for i := range records {
		r := &records[i]
		body := r.Body
		if body == nil {
			body = []byte{} // nil would be NULL
		}
		_, err := t.insert.ExecContext(ctx, r.Stream, int64(r.Seq), r.Kind, body, r.Actor, r.RequestID, r.RecordedAt.UnixMicro(), r.Hash[:])
		if err != nil {
			return err
		}
	}
	return nil
}

// head reads the end of a stream; without records it is the zero Head.
func head(row *sql.Row) (store.Head, error) {
	var seq, at int64
	var hash []byte
	err := row.Scan(&seq, &at, &hash)
	if errors.Is(err, sql.ErrNoRows) {
		return store.Head{}, nil
	}
	if err != nil {
		return store.Head{}, err
	}
	head := store.Head{Seq: uint64(seq), RecordedAt: time.UnixMicro(at).UTC()}
	copy(head.Hash[:], hash)
	return head, nil
}

// scan reads records until their bodies exceed page bytes, and closes rows.
func scan(rows *sql.Rows, page int) ([]store.Record, error) {
	defer func() { _ = rows.Close() }() // rows.Err tells
	var records []store.Record
	bytes := 0
	for rows.Next() {
		var r store.Record
		var seq, at int64
		var hash []byte
		if err := rows.Scan(&r.Stream, &seq, &r.Kind, &r.Body, &r.Actor, &r.RequestID, &at, &hash); err != nil {
			return nil, err
		}
		if bytes += len(r.Body); bytes > page && len(records) > 0 {
			break
		}
		r.Seq, r.RecordedAt = uint64(seq), time.UnixMicro(at).UTC()
		copy(r.Hash[:], hash)
		records = append(records, r)
	}
	return records, rows.Err()
}
