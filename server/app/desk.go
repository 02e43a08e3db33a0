package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/inproc"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/tables"
)

// Desk is the events of a data folder or database for commands, without a server.
type Desk struct {
	Log  store.Log
	Book *host.Book

	archive *tables.Archive
	service *api.Service
}

// OpenDesk opens the events that a server with the settings would serve. To read
// only works beside a running server; to write needs a database, or a data folder
// that no server uses.
func OpenDesk(ctx context.Context, c config.Config, readOnly bool) (*Desk, error) {
	t, err := loadTables(c.Rules, nil)
	if err != nil {
		return nil, err
	}
	if !readOnly {
		if err := makeData(c); err != nil {
			return nil, err
		}
	}
	log, err := openLog(ctx, c, nil, readOnly)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("--data: no events are kept in %s; name the folder or --store that the server was started with", c.Data)
	}
	if err != nil {
		return nil, err
	}
	e := newEvents(c, t, log, nil)
	return &Desk{Log: log, Book: e.book, archive: e.archive, service: e.service}, nil
}

// KeepTables keeps the season tables that an event of another desk was made with,
// where that desk has them.
func (d *Desk) KeepTables(ctx context.Context, from *Desk, id string) error {
	var season *rules.Season
	err := from.Book.View(ctx, id, func(s *event.State) (err error) {
		season, err = from.archive.Season(s.Data.GetSeason(), s.Data.GetRevision())
		return err
	})
	if err != nil {
		return err
	}
	return d.archive.Keep(season)
}

// Events calls EventService as the administrator.
func (d *Desk) Events() pb.EventServiceClient {
	conn := inproc.New(func(ctx context.Context, req any, _ *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
		return handler(access.WithActor(ctx, access.Actor{Role: pb.Role_ADMIN, Token: "command"}), req)
	})
	pb.RegisterEventServiceServer(conn, d.service)
	return pb.NewEventServiceClient(conn)
}

// Public calls EventService as everybody may.
func (d *Desk) Public() grpc.ClientConnInterface {
	conn := inproc.New(access.NewGuard(d.Book, nil, api.Needs()).Unary)
	pb.RegisterEventServiceServer(conn, d.service)
	return conn
}

// Close frees the log.
func (d *Desk) Close() error { return d.Log.Close() }

// Backup copies the data folder, also while a server writes there. The copy is a
// data folder of its own: a server can be started on it. It appears under its name
// only when it is whole. Certificates are not copied.
func Backup(ctx context.Context, c config.Config, to string) error {
	if c.Store != "" {
		return errors.New("--store: a database is copied by its own means, such as pg_dump; \"rinktally events export\" writes its events to a file")
	}
	to = filepath.Clean(to) // a slash at the end would put the copy under way into itself
	if _, err := os.Lstat(to); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s exists already; give a new name", to)
	}
	partial := to + ".partial"
	if err := os.RemoveAll(partial); err != nil { // of a copy that was cut short
		return err
	}
	if err := os.MkdirAll(partial, private); err != nil {
		return err
	}
	err := sqlite.Backup(ctx, inData(c, logFile), filepath.Join(partial, logFile))
	if err == nil {
		err = copyFolder(inData(c, tablesFolder), filepath.Join(partial, tablesFolder))
	}
	if err == nil {
		err = os.Rename(partial, to)
	}
	if err != nil {
		return errors.Join(err, os.RemoveAll(partial))
	}
	return nil
}

// copyFolder copies a folder, if there is one.
func copyFolder(from, to string) error {
	if _, err := os.Stat(from); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return os.CopyFS(to, os.DirFS(from))
}
