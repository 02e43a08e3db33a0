package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/books"
	"github.com/rinktally/rinktally/server/store/postgres"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/tables"
)

// What the data folder holds.
const (
	logFile      = "events.db"   // the events, unless --store names a database
	bookFile     = "practice.db" // the books of attempts, likewise
	tablesFolder = "tables"      // where earlier programs kept the season tables of events
	tlsFolder    = "tls"         // the certificate of --tls-self
	copiesFolder = "copies"      // what rinks have sent of their events
)

// private is the mode of the data folder: tokens' hashes and marks are in it.
const private = 0o700

// makeData makes the data folder.
func makeData(c config.Config) error {
	if c.Data == "" {
		return nil
	}
	if err := os.MkdirAll(c.Data, private); err != nil {
		return fmt.Errorf("--data: %w", err)
	}
	return nil
}

// inData returns the path of something in the data folder, "" when nothing is kept.
func inData(c config.Config, name string) string {
	if c.Data == "" {
		return ""
	}
	return filepath.Join(c.Data, name)
}

// CertificateFile is where the certificate of --tls-self is kept.
func CertificateFile(c config.Config) string { return filepath.Join(c.Data, tlsFolder, certFile) }

// openLog opens the log of events: the database that --store names, else the file
// in the data folder, else one in memory.
func openLog(ctx context.Context, c config.Config, clock store.Clock, readOnly bool) (store.Log, error) {
	if c.Store != "" {
		log, err := postgres.Open(ctx, postgres.Options{URL: c.Store, Clock: clock})
		if err != nil {
			return nil, fmt.Errorf("--store: %w", err)
		}
		return log, nil
	}
	path := inData(c, logFile)
	if path == "" {
		path = sqlite.Memory
	}
	log, err := sqlite.Open(ctx, sqlite.Options{Path: path, Clock: clock, ReadOnly: readOnly})
	if err != nil {
		return nil, fmt.Errorf("--data: %w", err)
	}
	return log, nil
}

// OpenBooks opens the books of attempts that are kept already, for commands: in a database,
// or in a data folder that no server uses.
func OpenBooks(ctx context.Context, c config.Config) (*books.Store, error) {
	if err := bookFileIn(c); err != nil {
		return nil, err
	}
	return openBooks(ctx, c)
}

// BackupBooks copies the books of attempts of a data folder into a new file, also while a
// server writes there. Put into a data folder under the name practice.db, it is what a
// server there keeps.
func BackupBooks(ctx context.Context, c config.Config, to string) error {
	if c.Store != "" {
		return errors.New("--store: a database is copied by its own means, such as pg_dump --schema=" + postgres.BookSchema)
	}
	if err := bookFileIn(c); err != nil {
		return err
	}
	return sqlite.BackupBooks(ctx, inData(c, bookFile), to)
}

// bookFileIn says where no books are kept: opening them would make a file.
func bookFileIn(c config.Config) error {
	if c.Store != "" {
		return nil
	}
	if _, err := os.Stat(inData(c, bookFile)); err != nil {
		return fmt.Errorf("--data: no books of attempts are kept in %s; name the folder or --store that the server was started with", c.Data)
	}
	return nil
}

// openBooks opens the books of attempts: in the database that --store names, else the
// file in the data folder, else in memory.
func openBooks(ctx context.Context, c config.Config) (*books.Store, error) {
	if c.Store != "" {
		s, err := postgres.OpenBooks(ctx, c.Store)
		if err != nil {
			return nil, fmt.Errorf("--store: %w", err)
		}
		return s, nil
	}
	path := inData(c, bookFile)
	if path == "" {
		path = sqlite.Memory
	}
	s, err := sqlite.OpenBooks(ctx, path)
	if err != nil {
		return nil, fmt.Errorf("--data: %w", err)
	}
	return s, nil
}

// events is what a server or a command knows of events.
type events struct {
	log     store.Log
	archive *tables.Archive
	book    *host.Book
	service *api.Service
}

func newEvents(c config.Config, t *tables.Tables, log store.Log, clock store.Clock) *events {
	archive := tables.NewArchive(t, log, inData(c, tablesFolder))
	book := host.NewBook(log, clock)
	return &events{log: log, archive: archive, book: book, service: api.New(book, archive)}
}

// has reports whether there is an event with an id in the log.
func (e *events) has(ctx context.Context, id string) (bool, error) {
	_, err := e.book.Restricted(ctx, id)
	if errs.Reason(errs.From(err, nil)) == pb.ErrorReason_EVENT_UNKNOWN.String() {
		return false, nil
	}
	return true, err
}
