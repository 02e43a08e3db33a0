package books

import (
	"context"
	"database/sql"
	"errors"

	"github.com/rinktally/rinktally/server/store"
)

// CreateBook keeps a new book. Its id is one that nobody has.
func (s *Store) CreateBook(ctx context.Context, b *Book) error {
	return s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO book (book, token, created, added, body) VALUES ($1, $2, $3, 0, $4)",
			b.ID, b.Token, micro(b.Created), bytes(b.Body))
		return err
	})
}

// Book returns a book.
func (s *Store) Book(ctx context.Context, id string) (b Book, err error) {
	err = s.read(ctx, func(ctx context.Context, db *sql.DB) error {
		b, err = scanBook(db.QueryRowContext(ctx, selectBooks+" WHERE book = $1", id))
		return one(err, ErrBookUnknown)
	})
	return b, err
}

// Books returns all books, the oldest first.
func (s *Store) Books(ctx context.Context) (list []Book, err error) {
	err = s.read(ctx, func(ctx context.Context, db *sql.DB) error {
		rows, err := db.QueryContext(ctx, selectBooks+" ORDER BY created, book")
		list, err = collect(rows, err, func(rows *sql.Rows) (Book, error) { return scanBook(rows) })
		return err
	})
	return list, err
}

const selectBooks = "SELECT book, token, created, body, (SELECT count(*) FROM skater WHERE skater.book = book.book) FROM book"

func scanBook(row interface{ Scan(...any) error }) (b Book, err error) {
	var created int64
	err = row.Scan(&b.ID, &b.Token, &created, &b.Body, &b.Skaters)
	b.Created = at(created)
	return b, err
}

// SetBook changes what a book says of itself, from what it says now.
func (s *Store) SetBook(ctx context.Context, id string, change func(body []byte) ([]byte, error)) error {
	return s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		var body []byte
		// An update that changes nothing locks the row.
		err := tx.QueryRowContext(ctx, "UPDATE book SET added = added WHERE book = $1 RETURNING body", id).Scan(&body)
		if err == nil {
			body, err = change(body)
		}
		if err == nil {
			_, err = tx.ExecContext(ctx, "UPDATE book SET body = $2 WHERE book = $1", id, bytes(body))
		}
		return one(err, ErrBookUnknown)
	})
}

// SetToken gives a book another token, by its hash.
func (s *Store) SetToken(ctx context.Context, id string, hash []byte) error {
	return s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		var is string
		err := tx.QueryRowContext(ctx, "UPDATE book SET token = $2 WHERE book = $1 RETURNING book", id, hash).Scan(&is)
		return one(err, ErrBookUnknown)
	})
}

// DeleteBook deletes a book with all that is in it, and its bytes from the files of the
// tables.
func (s *Store) DeleteBook(ctx context.Context, id string) error {
	return s.erase(ctx, func(ctx context.Context, tx *sql.Tx) error {
		var is string
		if err := tx.QueryRowContext(ctx, "DELETE FROM book WHERE book = $1 RETURNING book", id).Scan(&is); err != nil {
			return one(err, ErrBookUnknown)
		}
		for _, table := range []string{"skater", "attempt", "change", "request"} {
			if _, err := tx.ExecContext(ctx, "DELETE FROM "+table+" WHERE book = $1", id); err != nil { //nolint:gosec // names of this package
				return err
			}
		}
		return nil
	})
}

// erase deletes rows and then their bytes. That the bytes are to be erased is kept with
// the deletion, so that a crash between the two is made good at the next start.
func (s *Store) erase(ctx context.Context, do func(context.Context, *sql.Tx) error) error {
	err := s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		if err := do(ctx, tx); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "UPDATE erasing SET due = due + 1")
		return err
	})
	if err != nil {
		return err
	}
	return s.finishErasing(ctx)
}

// finishErasing takes the bytes of deleted rows out of the files, if there are any.
func (s *Store) finishErasing(ctx context.Context) error {
	due, err := s.erasing(ctx)
	if err != nil || due == 0 {
		return err
	}
	if err := s.db.Fault(s.db.Erase(context.WithoutCancel(ctx))); err != nil {
		return err
	}
	return s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE erasing SET due = 0 WHERE due = $1", due)
		return err
	})
}

// erasing returns how many deletions have left bytes that are still to be erased.
func (s *Store) erasing(ctx context.Context) (due int64, err error) {
	err = s.read(ctx, func(ctx context.Context, db *sql.DB) error {
		return db.QueryRowContext(ctx, "SELECT due FROM erasing").Scan(&due)
	})
	return due, err
}

// bytes returns what a column that must not be NULL holds.
func bytes(b []byte) []byte {
	if b == nil {
		return []byte{}
	}
	return b
}

// repeated finds what an earlier request of the same id has added; ok is false where
// there is none. The transaction has locked what it adds to.
func repeated(ctx context.Context, tx *sql.Tx, key Key, r *Request) (added Added, ok bool, err error) {
	if r.ID == "" {
		return Added{}, false, nil
	}
	var digest []byte
	var when int64
	err = tx.QueryRowContext(ctx, "SELECT digest, first, made FROM request WHERE book = $1 AND skater = $2 AND request = $3",
		key.Book, key.Skater, r.ID).Scan(&digest, &added.First, &when)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return Added{}, false, nil
	case err != nil:
		return Added{}, false, err
	case string(digest) != string(r.Digest):
		return Added{}, false, store.ErrRequestReused
	}
	added.At, added.Again = at(when), true
	return added, true, nil
}

// remember keeps what a request has added.
func remember(ctx context.Context, tx *sql.Tx, key Key, r *Request, first int64) error {
	if r.ID == "" {
		return nil
	}
	_, err := tx.ExecContext(ctx, "INSERT INTO request (book, skater, request, digest, first, made) VALUES ($1, $2, $3, $4, $5, $6)",
		key.Book, key.Skater, r.ID, r.Digest, first, micro(r.At))
	return err
}
