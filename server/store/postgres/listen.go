package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"github.com/rinktally/rinktally/server/store"
)

const (
	// channel is the name of the notifications.
	channel = "rinktally_log"
	// longestNotice is what PostgreSQL takes: less than 8000 bytes.
	longestNotice = 7999
	// quiet is how long the listener waits before it asks whether the connection
	// still stands.
	quiet = 30 * time.Second
	// Pauses between attempts to connect again; each is twice the one before.
	firstPause, longestPause = 50 * time.Millisecond, 5 * time.Second
)

// notice is the text of a notification.
type notice struct {
	From  string            `json:"from"`            // the Log that sends it, which needs none
	Moved map[string]uint64 `json:"moved,omitempty"` // last numbers by stream; empty: too many to name
}

// notify sends one notification with the commit of tx.
func (l *Log) notify(ctx context.Context, tx pgx.Tx, moved map[string]uint64) error {
	if len(moved) == 0 {
		return nil
	}
	text, err := json.Marshal(notice{l.server, moved})
	if err == nil && len(text) > longestNotice {
		text, err = json.Marshal(notice{From: l.server})
	}
	if err != nil {
		return err
	}
	_, err = tx.Exec(ctx, "SELECT pg_notify($1, $2)", channel, string(text))
	return err
}

// listen hears the notifications of other servers until the context ends. Each
// time it has begun to listen, hints may have been missed before.
func (l *Log) listen(ctx context.Context) {
	defer close(l.listening)
	pause := firstPause
	for ctx.Err() == nil {
		if l.hear(ctx) {
			pause = firstPause
		}
		select {
		case <-ctx.Done():
		case <-time.After(pause):
		}
		pause = min(2*pause, longestPause)
	}
}

// hear listens on one connection until it fails, and reports whether it ever
// worked. The error itself helps nobody: the writer and the readers meet it too.
func (l *Log) hear(ctx context.Context) bool {
	connection, err := pgx.ConnectConfig(ctx, l.pool.Config().ConnConfig)
	if err != nil {
		return false
	}
	defer func() { _ = connection.Close(context.WithoutCancel(ctx)) }()
	if _, err := connection.Exec(ctx, "LISTEN "+channel); err != nil {
		return false
	}
	l.hints.Publish([]store.Hint{{}})
	for {
		waiting, cancel := context.WithTimeout(ctx, quiet)
		notification, err := connection.WaitForNotification(waiting)
		idle := errors.Is(waiting.Err(), context.DeadlineExceeded)
		cancel()
		switch {
		case err == nil:
			l.pass(notification.Payload)
		case ctx.Err() != nil || !idle:
			return true
		default: // a quiet half minute; is anybody there?
			asking, cancel := context.WithTimeout(ctx, connecting)
			err := connection.Ping(asking)
			cancel()
			if err != nil {
				return true
			}
		}
	}
}

// pass hands on what another server notifies.
func (l *Log) pass(text string) {
	var n notice
	if err := json.Unmarshal([]byte(text), &n); err != nil {
		n = notice{} // not ours; looking once too often does no harm
	}
	if n.From == l.server {
		return
	}
	if len(n.Moved) == 0 {
		l.hints.Publish([]store.Hint{{}})
		return
	}
	heard := make([]store.Hint, 0, len(n.Moved))
	for stream, last := range n.Moved {
		heard = append(heard, store.Hint{Stream: stream, Last: last})
	}
	l.hints.Publish(heard)
}
