// Package rehearsal lets an event be played before it counts: its facts are copied into
// a log in memory, under an id of its own, and forgotten at the end.
package rehearsal

import (
	"context"
	"errors"
	"strings"
	"sync"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/store"
)

// Log is a log with rehearsals beside it. Its lists, hints and files are those of the
// log alone.
type Log struct {
	store.Log

	open func(ctx context.Context) (store.Log, error)

	beginning sync.Mutex // held while a rehearsal is made

	mu   sync.RWMutex
	held map[string]*held // by the event that is rehearsed
}

// held is a rehearsal.
type held struct {
	id  string
	log store.Log
}

// New puts rehearsals beside a log. open opens a log in memory.
func New(log store.Log, open func(ctx context.Context) (store.Log, error)) *Log {
	return &Log{Log: log, open: open, held: map[string]*held{}}
}

// Of returns the id of the rehearsal of an event, "" when there is none.
func (l *Log) Of(id string) string {
	l.mu.RLock()
	defer l.mu.RUnlock()
	if h := l.held[id]; h != nil {
		return h.id
	}
	return ""
}

// Rehearsed returns the event that is rehearsed under an id, "" when none is.
func (l *Log) Rehearsed(id string) string {
	l.mu.RLock()
	defer l.mu.RUnlock()
	for of, h := range l.held {
		if h.id == id {
			return of
		}
	}
	return ""
}

// Begin copies an event up to now into a rehearsal and returns its id; that of the one
// that is there already. data is what the event is.
func (l *Log) Begin(ctx context.Context, of string, data *logv1.EventData) (string, error) {
	l.beginning.Lock()
	defer l.beginning.Unlock()
	if id := l.Of(of); id != "" {
		return id, nil
	}
	id, err := l.free(ctx, of)
	if err != nil {
		return "", err
	}
	log, err := l.open(ctx)
	if err != nil {
		return "", err
	}
	if err := l.fill(ctx, log, of, id, data); err != nil {
		return "", errors.Join(err, log.Close())
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.held[of] = &held{id, log}
	return id, nil
}

// free returns an id for the rehearsal of an event that neither an event nor the
// rehearsal of another one has.
func (l *Log) free(ctx context.Context, of string) (string, error) {
	for try := 1; ; try++ {
		id := event.RehearsalID(of, try)
		if l.Rehearsed(id) != "" {
			continue
		}
		switch _, err := l.Log.Head(ctx, id); {
		case errors.Is(err, store.ErrStreamUnknown):
			return id, nil
		case err != nil:
			return "", err
		}
	}
}

// fill writes the facts of an event under another id, and that it is a rehearsal.
func (l *Log) fill(ctx context.Context, to store.Log, of, id string, data *logv1.EventData) error {
	var seq uint64
	var commit []store.Fact
	var request string
	flush := func() error {
		if len(commit) == 0 {
			return nil
		}
		done, err := to.Append(ctx, id, seq, request, commit)
		seq, commit = done.Last, nil
		return err
	}
	for r, err := range store.All(ctx, l.Log, of, 0) {
		if err == nil && r.RequestID != request {
			err = flush()
		}
		if err != nil {
			return err
		}
		request, commit = r.RequestID, append(commit, r.Fact)
	}
	if err := flush(); err != nil {
		return err
	}
	data = proto.CloneOf(data)
	data.Name, data.Restricted, data.RehearsalOf = "Rehearsal: "+data.GetName(), true, of
	fact, err := event.Encode(&logv1.EventChanged{Event: data}, "", nil)
	if err != nil {
		return err
	}
	request, commit = event.RequestID{Digest: "rehearsal"}.String(), []store.Fact{fact}
	return flush()
}

// End forgets the rehearsal of an event and returns its id, "" when there was none.
func (l *Log) End(of string) (string, error) {
	l.mu.Lock()
	h := l.held[of]
	delete(l.held, of)
	l.mu.Unlock()
	if h == nil {
		return "", nil
	}
	return h.id, h.log.Close()
}

// log returns the log that has a stream.
func (l *Log) log(stream string) store.Log {
	if strings.HasSuffix(stream, event.RehearsalEnd) {
		l.mu.RLock()
		defer l.mu.RUnlock()
		for _, h := range l.held {
			if h.id == stream {
				return h.log
			}
		}
	}
	return l.Log
}

// Append implements store.Log.
func (l *Log) Append(ctx context.Context, stream string, expected uint64, requestID string, facts []store.Fact) (store.Result, error) {
	return l.log(stream).Append(ctx, stream, expected, requestID, facts)
}

// Find implements store.Log.
func (l *Log) Find(ctx context.Context, stream, requestID string) (store.Result, error) {
	return l.log(stream).Find(ctx, stream, requestID)
}

// Read implements store.Log.
func (l *Log) Read(ctx context.Context, stream string, after uint64, limit int) ([]store.Record, error) {
	return l.log(stream).Read(ctx, stream, after, limit)
}

// Head implements store.Log.
func (l *Log) Head(ctx context.Context, stream string) (store.Head, error) {
	return l.log(stream).Head(ctx, stream)
}

// Erase implements store.Log.
func (l *Log) Erase(ctx context.Context, stream string, seqs []uint64) error {
	return l.log(stream).Erase(ctx, stream, seqs)
}

// Close implements store.Log.
func (l *Log) Close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	var faults []error
	for of, h := range l.held {
		faults = append(faults, h.log.Close())
		delete(l.held, of)
	}
	return errors.Join(append(faults, l.Log.Close())...)
}
