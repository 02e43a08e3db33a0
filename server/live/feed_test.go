package live_test

import (
	"context"
	"sync/atomic"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/live"
	"github.com/rinktally/rinktally/server/store"
)

// patchy is a log that cannot be read once, when that is asked for.
type patchy struct {
	store.Log

	away atomic.Bool
}

func (l *patchy) Read(ctx context.Context, stream string, after uint64, limit int) ([]store.Record, error) {
	if l.away.Swap(false) {
		return nil, store.ErrUnavailable
	}
	return l.Log.Read(ctx, stream, after, limit)
}

// A watcher sees what came while the log could not be read, without another hint
// and without coming back.
func TestWatchOutlivesALogThatWasAway(t *testing.T) {
	h := newHall(t, 0)
	log := &patchy{Log: h.log}
	hub := live.NewHub(host.NewBook(log, nil), embedded(), nil)
	t.Cleanup(hub.Close)
	w := must(hub.JoinBoard(t.Context(), cup, nil, false))
	defer w.Leave()
	w.Next()
	log.away.Store(true)
	seq := h.change(t, "Another Club")
	select {
	case <-w.Woke:
	case <-w.Cut:
		t.Fatal(w.Err())
	case <-time.After(time.Minute):
		t.Fatal("the watcher was forgotten")
	}
	if f := w.Next(); f == nil || f.Seq != seq || log.away.Load() {
		t.Errorf("the next frame is %v, want the one of %d", f, seq)
	}
}
