package books

import (
	"context"
	"database/sql"
	"fmt"
	"strconv"
	"strings"
	"time"
)

const (
	insertAttempt = `INSERT INTO attempt (book, skater, attempt, time, planned, outcome, run_through, rest)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`
	attemptColumns = "attempt, time, outcome, run_through, rest"
)

// AddAttempts adds attempts to a skater, all or none. Those without a time have that of
// the request.
func (s *Store) AddAttempts(ctx context.Context, key Key, r Request, attempts []Attempt) (added Added, err error) {
	err = s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		if err := lockSkater(ctx, tx, key); err != nil {
			return err
		}
		if before, again, err := repeated(ctx, tx, key, &r); again || err != nil {
			added = before
			return err
		}
		first, err := insertAttempts(ctx, tx, key, attempts, r.At)
		if err != nil {
			return err
		}
		added = Added{First: first, At: r.At}
		return remember(ctx, tx, key, &r, first)
	})
	return added, err
}

// ImportAttempts adds the attempts that are not there already, all or none, and returns
// how many it has added. One with the same time, plan and outcome is there already; each
// stands for one.
func (s *Store) ImportAttempts(ctx context.Context, key Key, attempts []Attempt) (added int, err error) {
	err = s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		if err := lockSkater(ctx, tx, key); err != nil {
			return err
		}
		rows, err := tx.QueryContext(ctx, "SELECT time, outcome FROM attempt WHERE book = $1 AND skater = $2", key.Book, key.Skater)
		type same struct {
			time          int64
			planned, came string
			fall          bool
		}
		there := map[same]int{}
		_, err = collect(rows, err, func(rows *sql.Rows) (struct{}, error) {
			var when int64
			var text string
			err := rows.Scan(&when, &text)
			if err == nil {
				o := outcomeOf(text)
				there[same{when, o.Planned, o.Came, o.Fall}]++
			}
			return struct{}{}, err
		})
		if err != nil {
			return err
		}
		fresh := make([]Attempt, 0, len(attempts))
		for i := range attempts {
			a := &attempts[i]
			if one := (same{micro(a.Time), a.Planned, a.Came, a.Fall}); there[one] > 0 {
				there[one]--
				continue
			}
			fresh = append(fresh, *a)
		}
		if added = len(fresh); added == 0 {
			return nil
		}
		_, err = insertAttempts(ctx, tx, key, fresh, time.Time{})
		return err
	})
	return added, err
}

// lockSkater lets no other transaction change what belongs to a skater until this one
// ends.
func lockSkater(ctx context.Context, tx *sql.Tx, key Key) error {
	var skater int64
	err := tx.QueryRowContext(ctx, "UPDATE skater SET revision = revision + 1 WHERE book = $1 AND skater = $2 RETURNING skater",
		key.Book, key.Skater).Scan(&skater)
	return one(err, ErrSkaterUnknown)
}

// insertAttempts gives attempts their numbers, and returns the first.
func insertAttempts(ctx context.Context, tx *sql.Tx, key Key, attempts []Attempt, now time.Time) (int64, error) {
	var last, have int64
	err := tx.QueryRowContext(ctx, `UPDATE skater SET added = added + $3 WHERE book = $1 AND skater = $2
		RETURNING added, (SELECT count(*) FROM attempt WHERE attempt.book = skater.book AND attempt.skater = skater.skater)`,
		key.Book, key.Skater, len(attempts)).Scan(&last, &have)
	if err != nil {
		return 0, err
	}
	if have+int64(len(attempts)) > int64(Limits.Attempts) {
		return 0, ErrFull
	}
	insert, err := tx.PrepareContext(ctx, insertAttempt)
	if err != nil {
		return 0, err
	}
	defer func() { _ = insert.Close() }() // it ends with the transaction
	first := last - int64(len(attempts)) + 1
	for i := range attempts {
		a := &attempts[i]
		when := a.Time
		if when.IsZero() {
			when = now
		}
		_, err := insert.ExecContext(ctx, key.Book, key.Skater, first+int64(i), micro(when), a.Planned, a.Outcome.text(), a.RunThrough, bytes(a.Rest))
		if err != nil {
			return 0, err
		}
	}
	return first, nil
}

// where returns the condition of a filter, and what it names.
func (f *Filter) where(key Key) (string, []any) {
	text, args := "book = $1 AND skater = $2", []any{key.Book, key.Skater}
	add := func(condition string, value any) {
		args = append(args, value)
		text += fmt.Sprintf(" AND "+condition, len(args))
	}
	if !f.From.IsZero() {
		add("time >= $%d", micro(f.From))
	}
	if !f.To.IsZero() {
		add("time < $%d", micro(f.To))
	}
	if f.Planned != "" {
		add("planned = $%d", f.Planned)
	}
	if f.RunThrough != "" {
		add("run_through = $%d", f.RunThrough)
	}
	if f.InPrograms {
		text += " AND run_through <> ''"
	}
	if f.WithRest {
		text += " AND length(rest) > 0"
	}
	return text, args
}

// Page is a part of a list.
type Page struct{ Skip, Most int }

// Attempts returns a page of attempts, the newest first.
func (s *Store) Attempts(ctx context.Context, key Key, f Filter, page Page) (list []Attempt, err error) {
	where, args := f.where(key)
	return s.attempts(ctx, where+fmt.Sprintf(" ORDER BY time DESC, attempt DESC LIMIT %d OFFSET %d", page.Most, page.Skip), args)
}

// AllAttempts returns attempts, the oldest first.
func (s *Store) AllAttempts(ctx context.Context, key Key, f Filter) (list []Attempt, err error) {
	where, args := f.where(key)
	return s.attempts(ctx, where+" ORDER BY time, attempt", args)
}

func (s *Store) attempts(ctx context.Context, where string, args []any) (list []Attempt, err error) {
	err = s.read(ctx, func(ctx context.Context, db *sql.DB) error {
		rows, err := db.QueryContext(ctx, "SELECT "+attemptColumns+" FROM attempt WHERE "+where, args...) //nolint:gosec // conditions of this package
		list, err = collect(rows, err, scanAttempt)
		return err
	})
	return list, err
}

// Count hands over when the attempts since a time were and what came, one after the
// other in any order.
func (s *Store) Count(ctx context.Context, key Key, since time.Time, do func(time.Time, *Outcome)) error {
	filter := Filter{From: since}
	where, args := filter.where(key)
	return s.read(ctx, func(ctx context.Context, db *sql.DB) error {
		rows, err := db.QueryContext(ctx, "SELECT time, outcome FROM attempt WHERE "+where, args...) //nolint:gosec // conditions of this package
		if err != nil {
			return err
		}
		defer func() { _ = rows.Close() }() // rows.Err returns what went wrong
		known := map[string]*Outcome{}      // there are few that differ
		var when int64
		var text sql.RawBytes
		for rows.Next() {
			if err := rows.Scan(&when, &text); err != nil {
				return err
			}
			o := known[string(text)]
			if o == nil {
				o = outcomeOf(string(text))
				known[string(text)] = o
			}
			do(at(when), o)
		}
		return rows.Err()
	})
}

// An outcome is kept as one text, since of very many rows a column costs more than what
// is in it: its parts with a tab behind each, which stands in no code and no cause.
const outcomeParts = 5

func (o *Outcome) text() string {
	fall, grade := "", ""
	if o.Fall {
		fall = "fall"
	}
	if o.Grade.Valid {
		grade = strconv.FormatInt(o.Grade.V, 10)
	}
	return strings.Join([]string{o.Planned, o.Came, o.Cause, fall, grade}, "\t")
}

func outcomeOf(text string) *Outcome {
	part := strings.SplitN(text, "\t", outcomeParts)
	if len(part) < outcomeParts {
		return &Outcome{Planned: part[0], Came: part[0]}
	}
	grade, err := strconv.ParseInt(part[4], 10, 64)
	return &Outcome{Planned: part[0], Came: part[1], Cause: part[2], Fall: part[3] != "", Grade: sql.Null[int64]{V: grade, Valid: err == nil}}
}

func scanAttempt(rows *sql.Rows) (a Attempt, err error) {
	var when int64
	var outcome string
	err = rows.Scan(&a.ID, &when, &outcome, &a.RunThrough, &a.Rest)
	a.Time, a.Outcome = at(when), *outcomeOf(outcome)
	return a, err
}

// SetAttempt changes an attempt, from what it is now.
func (s *Store) SetAttempt(ctx context.Context, key Key, id int64, change func(*Attempt) error) error {
	return s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		if err := lockSkater(ctx, tx, key); err != nil {
			return err
		}
		rows, err := tx.QueryContext(ctx, "SELECT "+attemptColumns+" FROM attempt WHERE book = $1 AND skater = $2 AND attempt = $3", key.Book, key.Skater, id)
		found, err := collect(rows, err, scanAttempt)
		switch {
		case err != nil:
			return err
		case len(found) == 0:
			return ErrAttemptUnknown
		}
		a := &found[0]
		if err := change(a); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE attempt SET time = $4, planned = $5, outcome = $6, run_through = $7, rest = $8
			WHERE book = $1 AND skater = $2 AND attempt = $3`,
			key.Book, key.Skater, id, micro(a.Time), a.Planned, a.Outcome.text(), a.RunThrough, bytes(a.Rest))
		return err
	})
}

// DeleteAttempt deletes an attempt. One that was deleted before is no error.
func (s *Store) DeleteAttempt(ctx context.Context, key Key, id int64) error {
	return s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		return deleteItem(ctx, tx, key, id, "attempt", "added", ErrAttemptUnknown)
	})
}

// deleteItem deletes one of the numbered items of a skater.
func deleteItem(ctx context.Context, tx *sql.Tx, key Key, id int64, table, counter string, unknown error) error {
	if err := lockSkater(ctx, tx, key); err != nil {
		return err
	}
	var added int64
	err := tx.QueryRowContext(ctx, "SELECT "+counter+" FROM skater WHERE book = $1 AND skater = $2", key.Book, key.Skater).Scan(&added)
	switch {
	case err != nil:
		return err
	case id < 1 || id > added:
		return unknown
	}
	_, err = tx.ExecContext(ctx, strings.ReplaceAll("DELETE FROM # WHERE book = $1 AND skater = $2 AND # = $3", "#", table), key.Book, key.Skater, id)
	return err
}
