package books

import (
	"context"
	"database/sql"
)

// AddChange notes a change; one without a time has that of the request.
func (s *Store) AddChange(ctx context.Context, key Key, r Request, c Change) (added Added, err error) {
	err = s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		if err := lockSkater(ctx, tx, key); err != nil {
			return err
		}
		if before, again, err := repeated(ctx, tx, key, &r); again || err != nil {
			added = before
			return err
		}
		var next, have int64
		err := tx.QueryRowContext(ctx, `UPDATE skater SET changes = changes + 1 WHERE book = $1 AND skater = $2
			RETURNING changes, (SELECT count(*) FROM change WHERE change.book = skater.book AND change.skater = skater.skater)`,
			key.Book, key.Skater).Scan(&next, &have)
		switch {
		case err != nil:
			return err
		case have >= int64(Limits.Changes):
			return ErrFull
		}
		when := c.Time
		if when.IsZero() {
			when = r.At
		}
		_, err = tx.ExecContext(ctx, "INSERT INTO change (book, skater, change, time, code, text) VALUES ($1, $2, $3, $4, $5, $6)",
			key.Book, key.Skater, next, micro(when), c.Code, c.Text)
		if err != nil {
			return err
		}
		added = Added{First: next, At: r.At}
		return remember(ctx, tx, key, &r, next)
	})
	return added, err
}

// Changes returns the changes of a skater, the newest first.
func (s *Store) Changes(ctx context.Context, key Key) (list []Change, err error) {
	err = s.read(ctx, func(ctx context.Context, db *sql.DB) error {
		rows, err := db.QueryContext(ctx, "SELECT change, time, code, text FROM change WHERE book = $1 AND skater = $2 ORDER BY time DESC, change DESC",
			key.Book, key.Skater)
		list, err = collect(rows, err, func(rows *sql.Rows) (c Change, err error) {
			var when int64
			err = rows.Scan(&c.ID, &when, &c.Code, &c.Text)
			c.Time = at(when)
			return c, err
		})
		return err
	})
	return list, err
}

// DeleteChange deletes a change. One that was deleted before is no error.
func (s *Store) DeleteChange(ctx context.Context, key Key, id int64) error {
	return s.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		return deleteItem(ctx, tx, key, id, "change", "changes", ErrChangeUnknown)
	})
}
