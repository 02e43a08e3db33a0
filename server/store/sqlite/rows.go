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

// The tables beside log that a record comes from, and its columns in the order in
// which scan reads them.
const (
	columns = "stream, seq, kind, body, actor, request_id, recorded_at, hash, seal"
	from    = "SELECT log.stream, log.seq, kind, log.body, actor, request_id, recorded_at, hash, seal, log_apart.body FROM log"
	apart   = " LEFT JOIN log_apart ON log_apart.stream = log.stream AND log_apart.seq = log.seq"
)

const (
	insertRecord  = "INSERT INTO log (" + columns + ") VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"
	insertApart   = "INSERT INTO log_apart (stream, seq, body) VALUES (?, ?, ?)"
	selectRecords = from + apart + " WHERE log.stream = ? AND log.seq > ? ORDER BY log.seq LIMIT ?"
	// Without statistics SQLite would go through the whole stream.
	selectRequest = from + " INDEXED BY log_request" + apart + " WHERE log.stream = ? AND request_id = ? ORDER BY log.seq"
	selectHead    = "SELECT seq, recorded_at, hash, hash FROM log_head WHERE stream = ?"
	// The end of a stream with the hash of its last record, NULL when that is missing.
	selectEnd = `SELECT log_head.seq, log_head.recorded_at, log_head.hash, log.hash FROM log_head
		LEFT JOIN log ON log.stream = log_head.stream AND log.seq = log_head.seq WHERE log_head.stream = ?`
	selectStreams = `SELECT stream FROM log WHERE seq = 1 AND stream > ?1
		UNION SELECT stream FROM log_head WHERE stream > ?1 ORDER BY stream LIMIT ?2`
	selectFound = "SELECT min(seq), max(seq) FROM log WHERE stream = ? AND request_id = ?"
)

// Read is store.Log.Read.
func (l *Log) Read(ctx context.Context, stream string, after uint64, limit int) ([]store.Record, error) {
	limit, err := store.CheckRead(stream, limit)
	if err != nil {
		return nil, err
	}
	return group.Read(stream, after, func() ([]store.Record, error) { return l.page(ctx, stream, after, limit) },
		func() (store.Head, error) { return l.Head(ctx, stream) })
}

func (l *Log) page(ctx context.Context, stream string, after uint64, limit int) ([]store.Record, error) {
	if err := l.usable(ctx); err != nil {
		return nil, err
	}
	ctx = l.reading(ctx)
	rows, err := l.reads.records.QueryContext(ctx, stream, int64(min(after, maxSeq)), limit)
	if err != nil {
		return nil, l.fault(ctx, err)
	}
	records, err := scan(rows, store.Limits.Page)
	return records, l.fault(ctx, err)
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

// Head is store.Log.Head.
func (l *Log) Head(ctx context.Context, stream string) (store.Head, error) {
	if err := store.CheckStream(stream); err != nil {
		return store.Head{}, err
	}
	if err := l.usable(ctx); err != nil {
		return store.Head{}, err
	}
	head, err := head(stream, l.reads.head.QueryRowContext(l.reading(ctx), stream))
	if err == nil && head.Seq == 0 {
		return head, fmt.Errorf("%w: %s", store.ErrStreamUnknown, store.Brief(stream))
	}
	return head, l.fault(ctx, err)
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
	streams, err := texts(rows)
	return streams, l.fault(ctx, err)
}

// statements of a transaction, parsed once.
type statements struct{ head, request, insert, apart *sql.Stmt }

func (s *statements) prepare(ctx context.Context, db *sql.DB) error {
	return prepare(ctx, db, map[string]**sql.Stmt{
		selectEnd: &s.head, selectRequest: &s.request, insertRecord: &s.insert, insertApart: &s.apart,
	})
}

// reads are what every call on a stream asks, parsed once for each connection.
type reads struct{ records, head *sql.Stmt }

func (r *reads) prepare(ctx context.Context, db *sql.DB) error {
	return prepare(ctx, db, map[string]**sql.Stmt{selectRecords: &r.records, selectHead: &r.head})
}

func prepare(ctx context.Context, db *sql.DB, texts map[string]**sql.Stmt) error {
	for text, statement := range texts {
		var err error
		if *statement, err = db.PrepareContext(ctx, text); err != nil {
			return err
		}
	}
	return nil
}

// transaction is a group.Tx.
type transaction struct {
	tx *sql.Tx
	statements
}

// transact is a group.Transact. It does not end with a caller's context: the
// transaction may be that of many callers.
func (l *Log) transact(do func(context.Context, group.Tx) error) error {
	ctx := context.Background()
	tx, err := l.write.BeginTx(ctx, nil)
	if err != nil {
		return l.fault(ctx, err)
	}
	bound := statements{
		tx.StmtContext(ctx, l.statements.head), tx.StmtContext(ctx, l.statements.request),
		tx.StmtContext(ctx, l.statements.insert), tx.StmtContext(ctx, l.statements.apart),
	}
	if err := do(ctx, transaction{tx, bound}); err != nil {
		_ = tx.Rollback() // it says only that SQLite has undone the transaction already
		return l.fault(ctx, err)
	}
	if err := tx.Commit(); err != nil {
		// A failed COMMIT may leave the transaction open on the connection, and the
		// only connection there is. The error of an undone one means nothing.
		_, _ = l.write.ExecContext(ctx, "ROLLBACK")
		return l.fault(ctx, err)
	}
	return nil
}

// Heads is group.Tx.Heads; the transaction has locked the database already.
func (t transaction) Heads(ctx context.Context, streams []string) (map[string]store.Head, error) {
	heads := make(map[string]store.Head, len(streams))
	for _, stream := range streams {
		head, err := head(stream, t.head.QueryRowContext(ctx, stream))
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
		_, err := t.insert.ExecContext(ctx, r.Stream, int64(r.Seq), r.Kind, body, r.Actor, r.RequestID, r.RecordedAt.UnixMicro(), r.Hash[:], sealOf(r))
		if err == nil && r.Apart != nil {
			_, err = t.apart.ExecContext(ctx, r.Stream, int64(r.Seq), r.Apart)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// sealOf returns a record's seal as its column holds it.
func sealOf(r *store.Record) []byte {
	if r.Seal == (store.Hash{}) {
		return nil
	}
	return r.Seal[:]
}

// Remove is group.Tx.Remove. What keeps facts from being deleted is off until the
// transaction ends.
func (t transaction) Remove(ctx context.Context, stream string) error {
	var keep string
	if err := t.tx.QueryRowContext(ctx, "SELECT sql FROM sqlite_schema WHERE name = 'log_keep_delete'").Scan(&keep); err != nil {
		return err
	}
	for _, step := range []struct {
		text string
		args []any
	}{
		{"DROP TRIGGER log_keep_delete", nil},
		{"DELETE FROM log WHERE stream = ?", []any{stream}},
		{"DELETE FROM log_apart WHERE stream = ?", []any{stream}},
		{"DELETE FROM log_head WHERE stream = ?", []any{stream}},
		{keep, nil},
	} {
		if _, err := t.tx.ExecContext(ctx, step.text, step.args...); err != nil {
			return err
		}
	}
	return nil
}

// head reads the end of a stream; without records it is the zero Head. It must be
// that of the last record.
func head(stream string, row *sql.Row) (store.Head, error) {
	var seq, at int64
	var hash, last []byte
	err := row.Scan(&seq, &at, &hash, &last)
	if errors.Is(err, sql.ErrNoRows) {
		return store.Head{}, nil
	}
	if err != nil {
		return store.Head{}, err
	}
	head := store.Head{Seq: uint64(seq), RecordedAt: time.UnixMicro(at).UTC()}
	copy(head.Hash[:], hash)
	return head, head.EndsWith(stream, last)
}

// scan reads records until their bodies exceed page bytes, and closes rows.
func scan(rows *sql.Rows, page int) ([]store.Record, error) {
	defer func() { _ = rows.Close() }() // rows.Err returns what went wrong
	var records []store.Record
	bytes := 0
	for rows.Next() {
		var r store.Record
		var seq, at int64
		var hash, seal []byte
		if err := rows.Scan(&r.Stream, &seq, &r.Kind, &r.Body, &r.Actor, &r.RequestID, &at, &hash, &seal, &r.Apart); err != nil {
			return nil, err
		}
		if bytes += len(r.Body); bytes > page && len(records) > 0 {
			break
		}
		r.Seq, r.RecordedAt = uint64(seq), time.UnixMicro(at).UTC()
		copy(r.Hash[:], hash)
		copy(r.Seal[:], seal)
		records = append(records, r)
	}
	return records, rows.Err()
}
