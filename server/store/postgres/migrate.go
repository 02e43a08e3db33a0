package postgres

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"

	"github.com/rinktally/rinktally/server/store"
)

//go:embed migrations/*.sql bookmigrations/*.sql
var migrations embed.FS

// schema is the tables of one kind in a database.
type schema struct {
	folder  string // with the statements that make them
	version string // the table with their version
	begin   string // what is made first
	lock    int64  // advisory lock of servers that start at the same time
}

var (
	logSchema = schema{"migrations", "log_version", "", 0x52546c79}
	// In a schema of its own, so that a dump can leave it out, or hold it alone.
	bookSchema = schema{"bookmigrations", BookSchema + ".version", "CREATE SCHEMA " + BookSchema + ";", 0x52546c62}
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

// migrate brings a database to the version of this program. One that has it
// already is only read, so that a server may run with fewer rights.
func (s schema) migrate(ctx context.Context, tx pgx.Tx) error {
	if _, err := tx.Exec(ctx, "SELECT pg_advisory_xact_lock($1)", s.lock); err != nil {
		return err
	}
	from, err := s.versionOf(ctx, tx)
	if err != nil && !errors.Is(err, errNoTables) {
		return err
	}
	steps, err := s.steps()
	if err != nil || from == len(steps) {
		return err
	}
	if from == 0 {
		steps[0] = s.begin + "CREATE TABLE " + s.version + " (version integer NOT NULL); INSERT INTO " + s.version + " VALUES (0);" + steps[0]
	}
	for _, step := range steps[from:] {
		if _, err := tx.Exec(ctx, step); err != nil {
			return err
		}
	}
	_, err = tx.Exec(ctx, "UPDATE "+s.version+" SET version = $1", len(steps))
	return err
}

var errNoTables = fmt.Errorf("%w: the tables are missing", store.ErrSchema)

// versionOf returns the version of a database that this program can use; the error
// is store.ErrSchema for any other.
func (s schema) versionOf(ctx context.Context, tx pgx.Tx) (int, error) {
	steps, err := s.steps()
	if err != nil {
		return 0, err
	}
	var exists bool
	if err := tx.QueryRow(ctx, "SELECT to_regclass($1) IS NOT NULL", s.version).Scan(&exists); err != nil {
		return 0, err
	}
	if !exists {
		return 0, errNoTables
	}
	var is int
	if err := tx.QueryRow(ctx, "SELECT version FROM "+s.version).Scan(&is); err != nil {
		return 0, err
	}
	if is > len(steps) {
		return 0, fmt.Errorf("%w: it has version %d, this program knows up to %d; use a newer program", store.ErrSchema, is, len(steps))
	}
	return is, nil
}
