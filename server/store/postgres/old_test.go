package postgres_test

import (
	"fmt"
	"os"
	"reflect"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"github.com/rinktally/rinktally/server/store"
)

// oldInsert is how a server of the first version writes a fact.
const oldInsert = `INSERT INTO log (stream, seq, kind, body, actor, request_id, recorded_at, hash)
	VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`

// A database of the first version is read with the same hashes and goes on, also
// while a server of that version still writes: the ends are kept for it too.
func TestOldDatabase(t *testing.T) {
	url := newURL(t)
	first, err := os.ReadFile("migrations/0001_log.sql")
	if err != nil {
		t.Fatal(err)
	}
	admin(t, url, "CREATE TABLE log_version (version integer NOT NULL)", "INSERT INTO log_version VALUES (1)", string(first))
	old, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer old.Close(t.Context())
	var head store.Head
	var was []store.Record
	write := func() {
		i := len(was)
		r := store.Record{
			Fact: store.Fact{Kind: "k", Body: fmt.Append(nil, i), Actor: "judge 3"}, Stream: "events/old", Seq: uint64(i + 1),
			RequestID: fmt.Sprint(i), RecordedAt: time.Date(2026, 1, 17, 8, 30, i, 0, time.UTC),
		}
		r.Hash = r.Link(head.Hash)
		head, was = r.Head(), append(was, r)
		if _, err := old.Exec(t.Context(), oldInsert, r.Stream, r.Seq, r.Kind, r.Body, r.Actor, r.RequestID, r.RecordedAt, r.Hash[:]); err != nil {
			t.Fatal(err)
		}
	}
	for range 3 {
		write()
	}
	log := openLog(t, url)
	for range 2 {
		if _, err := store.Verify(t.Context(), log, "events/old"); err != nil {
			t.Error(err)
		}
		if is := records(t, log, "events/old"); !reflect.DeepEqual(was, is) {
			t.Errorf("was %+v, is %+v", was, is)
		}
		if kept, err := log.Head(t.Context(), "events/old"); err != nil || kept != head {
			t.Errorf("the end is kept as %+v, %v; want %+v", kept, err, head)
		}
		write()
	}
	if _, err := log.Append(t.Context(), "events/old", head.Seq, "new", fact("x")); err != nil {
		t.Error(err)
	}
}
