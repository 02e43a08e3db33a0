package postgres

import (
	"context"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5/stdlib"

	"github.com/rinktally/rinktally/server/store/books"
)

// BookSchema is the schema that books of attempts stand in.
const BookSchema = "practice"

// bookTables are the tables with what people have written.
var bookTables = []string{"book", "skater", "attempt", "change", "request"}

// OpenBooks connects and creates the tables of books of attempts if they are missing.
// Errors are those of Open.
func OpenBooks(ctx context.Context, url string) (*books.Store, error) {
	config, err := configOf(url)
	if err != nil {
		return nil, err
	}
	config.ConnConfig.RuntimeParams["search_path"] = BookSchema
	pool, err := connect(ctx, config, bookSchema)
	if err != nil {
		return nil, err
	}
	db := stdlib.OpenDBFromPool(pool)
	s, err := books.New(ctx, books.Database{
		Read: db, Write: db, Fault: fault,
		Reading: func(ctx context.Context) (context.Context, context.CancelFunc) {
			return context.WithTimeout(ctx, reading)
		},
		Writing: func(ctx context.Context) (context.Context, context.CancelFunc) {
			return context.WithTimeout(ctx, writing)
		},
		// Deleted rows stay in the files of tables until these are written again.
		// PostgreSQL's own write-ahead log is its operator's matter.
		Erase: func(ctx context.Context) error {
			_, err := db.ExecContext(ctx, "VACUUM FULL "+strings.Join(bookTables, ", "))
			return err
		},
		Close: func() error {
			err := db.Close()
			pool.Close()
			return err
		},
	})
	if err != nil {
		pool.Close()
		return nil, fmt.Errorf("open %s: %w", config.ConnConfig.Database, fault(err))
	}
	return s, nil
}
