package postgres

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/internal/group"
)

// The columns of a record in the order in which scan reads them, with what stands
// apart from it.
const (
	columns = "stream, seq, kind, body, actor, request_id, recorded_at, hash, seal"
	from    = `SELECT log.stream, log.seq, kind, log.body, actor, request_id, recorded_at, hash, seal, log_apart.body AS apart
		FROM log LEFT JOIN log_apart ON log_apart.stream = log.stream AND log_apart.seq = log.seq`
)

const (
	selectRecords = from + " WHERE log.stream = $1 AND log.seq > $2 ORDER BY log.seq LIMIT $3"
	selectHead    = "SELECT seq, recorded_at, hash FROM log_head WHERE stream = $1"
	selectStreams = `SELECT stream FROM log WHERE seq = 1 AND stream > $1
		UNION SELECT stream FROM log_head WHERE stream > $1 ORDER BY stream LIMIT $2`
	selectFound = "SELECT min(seq), max(seq) FROM log WHERE stream = $1 AND request_id = $2"

	lockStreams = "SELECT pg_advisory_xact_lock(k) FROM unnest($1::bigint[]) AS k"
	// The ends of streams with the hash of the last record, NULL when that is missing.
	selectHeads = `SELECT log_head.stream, log_head.seq, log_head.recorded_at, log_head.hash, log.hash
		FROM unnest($1::text[]) AS named (stream) JOIN log_head ON log_head.stream = named.stream
		LEFT JOIN log ON log.stream = log_head.stream AND log.seq = log_head.seq`
	// Request by request: planned as a join while the table is small, it would
	// still go through the whole table when that has grown.
	selectRequests = `SELECT found.* FROM unnest($1::text[], $2::text[]) AS named (stream, request_id)
		CROSS JOIN LATERAL (` + from + `
			WHERE log.stream = named.stream AND request_id = named.request_id ORDER BY log.seq OFFSET 0) AS found`
	insertRecords = "INSERT INTO log (" + columns + `)
		SELECT * FROM unnest($1::text[], $2::bigint[], $3::text[], $4::bytea[], $5::text[], $6::text[], $7::timestamptz[], $8::bytea[], $9::bytea[])`
	insertApart = "INSERT INTO log_apart (stream, seq, body) SELECT * FROM unnest($1::text[], $2::bigint[], $3::bytea[])"
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
	within, cancel := context.WithTimeout(ctx, reading)
	defer cancel()
	rows, err := l.pool.Query(within, selectRecords, stream, int64(min(after, maxSeq)), limit)
	if err != nil {
		return nil, l.fault(ctx, err)
	}
	records, err := scan(rows, store.Limits.Page)
	return records, l.fault(ctx, err)
}

// maxSeq is the greatest number that a column holds.
const maxSeq = 1<<63 - 1

// Head is store.Log.Head.
func (l *Log) Head(ctx context.Context, stream string) (store.Head, error) {
	if err := store.CheckStream(stream); err != nil {
		return store.Head{}, err
	}
	if err := l.usable(ctx); err != nil {
		return store.Head{}, err
	}
	var seq int64
	var at time.Time
	var hash []byte
	within, cancel := context.WithTimeout(ctx, reading)
	defer cancel()
	err := l.pool.QueryRow(within, selectHead, stream).Scan(&seq, &at, &hash)
	if errors.Is(err, pgx.ErrNoRows) {
		return store.Head{}, fmt.Errorf("%w: %s", store.ErrStreamUnknown, store.Brief(stream))
	}
	return headOf(seq, at, hash), l.fault(ctx, err)
}

func headOf(seq int64, at time.Time, hash []byte) store.Head {
	head := store.Head{Seq: uint64(seq), RecordedAt: at.UTC()}
	copy(head.Hash[:], hash)
	return head
}

// Find is store.Log.Find.
func (l *Log) Find(ctx context.Context, stream, requestID string) (store.Result, error) {
	if err := store.CheckFind(stream, requestID); err != nil {
		return store.Result{}, err
	}
	if err := l.usable(ctx); err != nil {
		return store.Result{}, err
	}
	var first, last *int64
	within, cancel := context.WithTimeout(ctx, reading)
	defer cancel()
	if err := l.pool.QueryRow(within, selectFound, stream, requestID).Scan(&first, &last); err != nil {
		return store.Result{}, l.fault(ctx, err)
	}
	if first == nil {
		return store.Result{}, fmt.Errorf("%w: %s", store.ErrRequestUnknown, store.Brief(requestID))
	}
	return store.Result{First: uint64(*first), Last: uint64(*last), Replayed: true}, nil
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
	within, cancel := context.WithTimeout(ctx, reading)
	defer cancel()
	rows, err := l.pool.Query(within, selectStreams, after, limit)
	if err != nil {
		return nil, l.fault(ctx, err)
	}
	streams, err := pgx.CollectRows(rows, pgx.RowTo[string])
	return streams, l.fault(ctx, err)
}

// transaction is a group.Tx.
type transaction struct {
	tx    pgx.Tx
	moved map[string]uint64 // streams and their last numbers, for the notification
}

// Heads is group.Tx.Heads.
func (t transaction) Heads(ctx context.Context, streams []string) (map[string]store.Head, error) {
	// In one order for all servers, so that no two wait for each other.
	locks := make([]int64, len(streams))
	for i, stream := range streams {
		sum := fnv.New64a()
		sum.Write([]byte("rinktally log "))
		sum.Write([]byte(stream))
		locks[i] = int64(sum.Sum64())
	}
	slices.Sort(locks)
	if _, err := t.tx.Exec(ctx, lockStreams, locks); err != nil {
		return nil, err
	}
	rows, err := t.tx.Query(ctx, selectHeads, streams)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	heads := make(map[string]store.Head, len(streams))
	for rows.Next() {
		var stream string
		var seq int64
		var at time.Time
		var hash, last []byte
		if err := rows.Scan(&stream, &seq, &at, &hash, &last); err != nil {
			return nil, err
		}
		heads[stream] = headOf(seq, at, hash)
		if err := heads[stream].EndsWith(stream, last); err != nil {
			return nil, err
		}
	}
	return heads, rows.Err()
}

// Requests is group.Tx.Requests.
func (t transaction) Requests(ctx context.Context, keys []group.Key) (map[group.Key][]store.Record, error) {
	// Once each: a key that is named twice would give its records twice.
	named := map[group.Key]bool{}
	var streams, ids []string
	for _, key := range keys {
		if !named[key] {
			named[key] = true
			streams, ids = append(streams, key.Stream), append(ids, key.RequestID)
		}
	}
	rows, err := t.tx.Query(ctx, selectRequests, streams, ids)
	if err != nil {
		return nil, err
	}
	records, err := scan(rows, maxSeq)
	if err != nil {
		return nil, err
	}
	found := make(map[group.Key][]store.Record, len(keys))
	for _, r := range records {
		key := group.Key{Stream: r.Stream, RequestID: r.RequestID}
		found[key] = append(found[key], r)
	}
	return found, nil
}

// Insert is group.Tx.Insert: one statement, so one trip to the database.
func (t transaction) Insert(ctx context.Context, records []store.Record) error {
	n := len(records)
	streams, kinds, actors, requests := make([]string, n), make([]string, n), make([]string, n), make([]string, n)
	seqs, times := make([]int64, n), make([]time.Time, n)
	bodies, hashes, seals := make([][]byte, n), make([][]byte, n), make([][]byte, n)
	var apart struct {
		streams []string
		seqs    []int64
		bodies  [][]byte
	}
	for i := range records {
		r := &records[i]
		streams[i], kinds[i], actors[i], requests[i] = r.Stream, r.Kind, r.Actor, r.RequestID
		seqs[i], times[i], bodies[i], hashes[i] = int64(r.Seq), r.RecordedAt, r.Body, r.Hash[:]
		if r.Body == nil {
			bodies[i] = []byte{} // nil would be NULL
		}
		if r.Seal != (store.Hash{}) {
			seals[i] = r.Seal[:]
		}
		if r.Apart != nil {
			apart.streams, apart.seqs, apart.bodies = append(apart.streams, r.Stream), append(apart.seqs, seqs[i]), append(apart.bodies, r.Apart)
		}
		t.moved[r.Stream] = r.Seq
	}
	_, err := t.tx.Exec(ctx, insertRecords, streams, seqs, kinds, bodies, actors, requests, times, hashes, seals)
	if err == nil && len(apart.seqs) > 0 {
		_, err = t.tx.Exec(ctx, insertApart, apart.streams, apart.seqs, apart.bodies)
	}
	return err
}

// Remove is group.Tx.Remove. What keeps facts from being deleted is off until the
// transaction ends.
func (t transaction) Remove(ctx context.Context, stream string) error {
	if _, err := t.tx.Exec(ctx, "ALTER TABLE log DISABLE TRIGGER log_keep"); err != nil {
		return err
	}
	for _, table := range []string{"log", "log_apart", "log_head"} {
		if _, err := t.tx.Exec(ctx, "DELETE FROM "+table+" WHERE stream = $1", stream); err != nil {
			return err
		}
	}
	_, err := t.tx.Exec(ctx, "ALTER TABLE log ENABLE TRIGGER log_keep")
	return err
}

// scan reads records until their bodies exceed page bytes, and closes rows.
func scan(rows pgx.Rows, page int) ([]store.Record, error) {
	defer rows.Close()
	var records []store.Record
	bytes := 0
	for rows.Next() {
		var r store.Record
		var seq int64
		var hash, seal []byte
		if err := rows.Scan(&r.Stream, &seq, &r.Kind, &r.Body, &r.Actor, &r.RequestID, &r.RecordedAt, &hash, &seal, &r.Apart); err != nil {
			return nil, err
		}
		if bytes += len(r.Body); bytes > page && len(records) > 0 {
			break
		}
		r.Seq, r.RecordedAt = uint64(seq), r.RecordedAt.UTC()
		copy(r.Hash[:], hash)
		copy(r.Seal[:], seal)
		records = append(records, r)
	}
	rows.Close()
	return records, rows.Err()
}
