package postgres

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"

	"github.com/rinktally/rinktally/server/store"
)

// fault turns an error of PostgreSQL, or of the way to it, into what it means for a
// caller. Errors that have one stay as they are.
func fault(err error) error {
	var meaning error
	var said *pgconn.PgError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &said):
		meaning = meaningOf(said.Code)
	case broken(err), errors.Is(err, context.DeadlineExceeded): // the log's own deadline
		meaning = store.ErrUnavailable
	}
	if meaning == nil {
		return err
	}
	return fmt.Errorf("%w (%w)", meaning, err)
}

// broken reports whether the connection failed.
func broken(err error) bool {
	var connecting *pgconn.ConnectError
	var network net.Error
	return errors.As(err, &connecting) || errors.As(err, &network) || pgconn.SafeToRetry(err) || errors.Is(err, driver.ErrBadConn) ||
		errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed)
}

// meaningOf an SQLSTATE, https://www.postgresql.org/docs/current/errcodes-appendix.html.
func meaningOf(code string) error {
	switch {
	case code == "53100": // disk_full
		return store.ErrStoreFull
	case code == "42P01", code == "42703", code == "42P07": // undefined or duplicate table or column
		return store.ErrSchema
	case code == "XX001", code == "XX002": // corrupted data or index
		return store.ErrDamaged
	case code == "25006", // a standby that only reads
		strings.HasPrefix(code, "08"), // connection
		strings.HasPrefix(code, "40"), // rolled back, such as by a deadlock
		strings.HasPrefix(code, "53"), // resources
		strings.HasPrefix(code, "55"), // in use, such as by a lock
		strings.HasPrefix(code, "57"), // shutting down, starting, cancelled
		strings.HasPrefix(code, "58"): // the machine's input and output
		return store.ErrUnavailable
	}
	return nil
}
