package app

import (
	"context"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/live"
	"github.com/rinktally/rinktally/server/rehearsal"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/sqlite"
)

// openMemory opens a log that is gone when it is closed.
func openMemory(ctx context.Context, clock store.Clock) (store.Log, error) {
	return sqlite.Open(ctx, sqlite.Options{Path: sqlite.Memory, Clock: clock})
}

// rehearsedBy returns the guard's view of rehearsals: whoever has a token of an event is
// the same in its rehearsal, and is heard of there.
func (a *App) rehearsedBy(rehearsals *rehearsal.Log) func(string, access.Actor) access.Actor {
	return func(event string, who access.Actor) access.Actor {
		if who.Event != "" && who.Event == rehearsals.Rehearsed(event) {
			who.Event = event
			a.events.book.Called(event, who.Token)
		}
		return who
	}
}

// stage is rehearsals together with those who watch. It implements api.Rehearsals.
type stage struct {
	*rehearsal.Log

	book *host.Book
	hub  *live.Hub
}

// Begin makes a rehearsal and lets the desks come again, to see that there is one.
func (s *stage) Begin(ctx context.Context, event string, data *logv1.EventData) (string, error) {
	id, err := s.Log.Begin(ctx, event, data)
	if err == nil {
		s.hub.Recall(event, false)
	}
	return id, err
}

// End ends a rehearsal and all watches of it.
func (s *stage) End(event string) error {
	id, err := s.Log.End(event)
	if id != "" {
		s.book.Drop(id)
		s.hub.Recall(id, true)
	}
	return err
}
