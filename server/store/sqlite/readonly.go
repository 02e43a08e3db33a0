package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"github.com/rinktally/rinktally/server/store"
)

// openToRead opens a file without writing anything, neither to it nor beside it
// where that is not allowed. A file of an older version is read through a copy in
// memory that has the tables of this one.
func openToRead(ctx context.Context, path string) (*sql.DB, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, err
	}
	query := url.Values{"mode": {"ro"}}
	db := connect(address(path, query), readers, "busy_timeout(5000)", "query_only(1)")
	is, err := logSchema.version(ctx, db)
	if problem := (*driver.Error)(nil); errors.As(err, &problem) &&
		(problem.Code()&0xff == codes.SQLITE_CANTOPEN || problem.Code()&0xff == codes.SQLITE_READONLY) {
		// On a write-protected disk SQLite cannot make the index of the write-ahead
		// log, which it needs unless it knows that nobody writes.
		if log, err := os.Stat(path + "-wal"); err == nil && log.Size() > 0 {
			return nil, errors.Join(db.Close(),
				fmt.Errorf("%w: its last facts are in %s-wal, which can be read only where its folder can be written: copy the folder to such a place", store.ErrReadOnly, filepath.Base(path)))
		}
		query.Set("immutable", "1")
		_ = db.Close() // it has opened nothing
		db = connect(address(path, query), readers, "query_only(1)")
		is, err = logSchema.version(ctx, db)
	}
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	steps, err := logSchema.steps()
	if err != nil || is == len(steps) {
		return db, err
	}
	return upgraded(ctx, address(path, query), steps[:is], db.Close())
}

// upgraded copies a file whose tables came from the given steps into memory and
// brings the copy to the version of this program.
func upgraded(ctx context.Context, from string, steps []string, err error) (*sql.DB, error) {
	db := pool(Memory, 1)
	if err == nil {
		err = copyTables(ctx, db, from, steps)
	}
	if err == nil {
		err = logSchema.migrate(ctx, db)
	}
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

func copyTables(ctx context.Context, db *sql.DB, from string, steps []string) error {
	if _, err := db.ExecContext(ctx, "ATTACH ? AS old", from); err != nil {
		return err
	}
	if _, err := db.ExecContext(ctx, strings.Join(steps, "\n")+logSchema.setVersion(len(steps))); err != nil {
		return err
	}
	rows, err := db.QueryContext(ctx, "SELECT name FROM old.sqlite_schema WHERE type = 'table'")
	if err != nil {
		return err
	}
	copies, err := texts(rows)
	if err != nil {
		return err
	}
	for _, table := range copies {
		if _, err := db.ExecContext(ctx, fmt.Sprintf("INSERT INTO main.%[1]s SELECT * FROM old.%[1]s", table)); err != nil {
			return err
		}
	}
	_, err = db.ExecContext(ctx, "DETACH old")
	return err
}
