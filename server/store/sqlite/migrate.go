package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"

	"github.com/rinktally/rinktally/server/store"
)

//go:embed migrations/*.sql bookmigrations/*.sql
var migrations embed.FS

// schema is the tables of a kind of file.
type schema struct {
	folder string // with the statements that make them
	id     int    // marks a file as one of this kind, in its header
}

var (
	logSchema  = schema{"migrations", 0x52546c79}     // "RTly"
	bookSchema = schema{"bookmigrations", 0x52546c62} // "RTlb"
)

// steps returns the statements that lead from each version to the next, in order;
// a database of version n has seen the first n.
func (s schema) steps() ([]string, error) {
	names, err := fs.Glob(migrations, s.folder+"/*.sql") // sorted
	if err != nil {
		return nil, err
	}
	texts := make([]string, len(names))
	for i, name := range names {
		text, err := migrations.ReadFile(name)
		if err != nil {
			return nil, err
		}
		texts[i] = string(text)
	}
	return texts, nil
}

// migrate brings a database to the version of this program, all of it or
// nothing.
func (s schema) migrate(ctx context.Context, db *sql.DB) error {
	steps, err := s.steps()
	if err != nil {
		return err
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }() // without effect after the commit
	var tables int
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
		return err
	}
	from := 0
	if tables > 0 {
		if from, err = s.version(ctx, tx); err != nil {
			return err
		}
	}
	for _, step := range steps[from:] {
		if _, err := tx.ExecContext(ctx, step); err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, s.setVersion(len(steps))); err != nil {
		return err
	}
	return tx.Commit()
}

// setVersion returns the statements that mark a database as one of a version of ours;
// pragmas take no parameters.
func (s schema) setVersion(version int) string {
	return fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", version, s.id)
}

// version returns the version of a database of ours that this program can use;
// the error is store.ErrSchema for any other.
func (s schema) version(ctx context.Context, db interface {
	QueryRowContext(context.Context, string, ...any) *sql.Row
}) (int, error) {
	steps, err := s.steps()
	if err != nil {
		return 0, err
	}
	var is, id int
	row := db.QueryRowContext(ctx, "SELECT user_version, application_id FROM pragma_user_version, pragma_application_id")
	if err := row.Scan(&is, &id); err != nil {
		return 0, err
	}
	switch {
	case id != s.id:
		return 0, fmt.Errorf("%w: it is a database of another program", store.ErrSchema)
	case is > len(steps):
		return 0, fmt.Errorf("%w: it has version %d, this program knows up to %d; use a newer program", store.ErrSchema, is, len(steps))
	}
	return is, nil
}
