package books

import (
	"context"
	"database/sql"
)

// AddSkater adds a skater to a book.
func (s *Store) AddSkater(ctx context.Context, book string, r Request, body []byte) (added Added, err error) {
	key := Key{Book: book}
	err = s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		var next, have int64
		err := tx.QueryRowContext(ctx, `UPDATE book SET added = added + 1 WHERE book = $1
			RETURNING added, (SELECT count(*) FROM skater WHERE skater.book = book.book)`, book).Scan(&next, &have)
		if err != nil {
			return one(err, ErrBookUnknown)
		}
		if before, again, err := repeated(ctx, tx, key, &r); again || err != nil {
			added = before
			if again {
				_, err = tx.ExecContext(ctx, "UPDATE book SET added = added - 1 WHERE book = $1", book)
			}
			return err
		}
		if have >= int64(Limits.Skaters) {
			return ErrFull
		}
		_, err = tx.ExecContext(ctx, "INSERT INTO skater (book, skater, added, changes, revision, body) VALUES ($1, $2, 0, 0, 0, $3)",
			book, next, bytes(body))
		if err != nil {
			return err
		}
		added = Added{First: next, At: r.At}
		return remember(ctx, tx, key, &r, next)
	})
	return added, err
}

const selectSkaters = `SELECT skater, body, revision,
		(SELECT count(*) FROM attempt WHERE attempt.book = skater.book AND attempt.skater = skater.skater),
		(SELECT max(time) FROM attempt WHERE attempt.book = skater.book AND attempt.skater = skater.skater)
	FROM skater WHERE book = $1`

func scanSkater(row interface{ Scan(...any) error }) (Skater, error) {
	var s Skater
	var last sql.Null[int64]
	err := row.Scan(&s.ID, &s.Body, &s.Revision, &s.Attempts, &last)
	if last.Valid {
		s.Last = at(last.V)
	}
	return s, err
}

// Skaters returns the skaters of a book in the order added.
func (s *Store) Skaters(ctx context.Context, book string) (list []Skater, err error) {
	err = s.read(ctx, func(ctx context.Context, db *sql.DB) error {
		rows, err := db.QueryContext(ctx, selectSkaters+" ORDER BY skater", book)
		list, err = collect(rows, err, func(rows *sql.Rows) (Skater, error) { return scanSkater(rows) })
		return err
	})
	return list, err
}

// Skater returns a skater.
func (s *Store) Skater(ctx context.Context, key Key) (found Skater, err error) {
	err = s.read(ctx, func(ctx context.Context, db *sql.DB) error {
		found, err = scanSkater(db.QueryRowContext(ctx, selectSkaters+" AND skater = $2", key.Book, key.Skater))
		return one(err, ErrSkaterUnknown)
	})
	return found, err
}

// Revision returns a number that moves with each change of a skater's attempts.
func (s *Store) Revision(ctx context.Context, key Key) (revision int64, err error) {
	err = s.read(ctx, func(ctx context.Context, db *sql.DB) error {
		return one(db.QueryRowContext(ctx, "SELECT revision FROM skater WHERE book = $1 AND skater = $2", key.Book, key.Skater).Scan(&revision), ErrSkaterUnknown)
	})
	return revision, err
}

// SetSkater changes what a skater's page says of itself, from what it says now.
func (s *Store) SetSkater(ctx context.Context, key Key, change func(body []byte) ([]byte, error)) error {
	return s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		var body []byte
		err := tx.QueryRowContext(ctx, "UPDATE skater SET added = added WHERE book = $1 AND skater = $2 RETURNING body",
			key.Book, key.Skater).Scan(&body)
		if err == nil {
			body, err = change(body)
		}
		if err == nil {
			_, err = tx.ExecContext(ctx, "UPDATE skater SET body = $3 WHERE book = $1 AND skater = $2", key.Book, key.Skater, bytes(body))
		}
		return one(err, ErrSkaterUnknown)
	})
}

// DeleteSkater deletes a skater with all attempts and changes, and their bytes from the
// files of the tables. One that was deleted before is no error.
func (s *Store) DeleteSkater(ctx context.Context, key Key) error {
	return s.erase(ctx, func(ctx context.Context, tx *sql.Tx) error {
		var added int64
		err := tx.QueryRowContext(ctx, "UPDATE book SET added = added WHERE book = $1 RETURNING added", key.Book).Scan(&added)
		switch {
		case err != nil:
			return one(err, ErrBookUnknown)
		case key.Skater < 1 || key.Skater > added:
			return ErrSkaterUnknown
		}
		for _, table := range []string{"skater", "attempt", "change", "request"} {
			if _, err := tx.ExecContext(ctx, "DELETE FROM "+table+" WHERE book = $1 AND skater = $2", key.Book, key.Skater); err != nil { //nolint:gosec // names of this package
				return err
			}
		}
		// The request that added the skater has a digest of the name.
		_, err = tx.ExecContext(ctx, "DELETE FROM request WHERE book = $1 AND skater = 0 AND first = $2", key.Book, key.Skater)
		return err
	})
}
