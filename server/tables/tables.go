// Package tables holds the season tables that a server answers from. They are
// immutable behind one atomic pointer: a reload compiles all of them or keeps
// the last good ones and says why.
package tables

import (
	"errors"
	"sync"
	"sync/atomic"
	"time"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/table"
)

// Current is the season key that stands for the table valid today.
const Current = table.Current

// ReasonRevisionMismatch says that a request pins another revision than the
// loaded table has. It equals the ErrorReason name of the public contract.
const ReasonRevisionMismatch rules.Reason = "REVISION_MISMATCH"

// Clock returns the time now. It decides what "current" means.
type Clock func() time.Time

// Tables finds seasons by key. It is safe for use by several goroutines.
type Tables struct {
	clock   Clock
	base    *table.Catalog
	layers  []table.Layer // over the base
	catalog atomic.Pointer[table.Catalog]

	reloading sync.Mutex // one reload at a time
	mu        sync.Mutex // guards state
	state     State
}

// State says how the last load went.
type State struct {
	Loaded time.Time // when the tables in use were loaded
	Tried  time.Time // when the last load was tried
	Err    error     // why the last load failed; nil when the tables in use are its result
}

// Over lays the layers over tables that do not change, in order. A nil clock is the
// system's. It compiles what the layers add and fails with all faults of that; a
// season of the base is compiled when it is first asked for.
func Over(base *table.Catalog, clock Clock, layers ...table.Layer) (*Tables, error) {
	if clock == nil {
		clock = time.Now
	}
	t := &Tables{clock: clock, base: base, layers: layers}
	if err := t.Reload(); err != nil {
		return nil, err
	}
	return t, nil
}

// Reload reads all layers again. It swaps in the new tables when every one of
// them is good; otherwise the tables in use stay and the faults are returned.
func (t *Tables) Reload() error { return t.reload(func() bool { return true }) }

// reload is Reload, which leaves the tables in use where the layers did not rest
// while they were read.
func (t *Tables) reload(rested func() bool) error {
	t.reloading.Lock()
	defer t.reloading.Unlock()
	catalog := t.base.Over(t.layers...)
	err := catalog.CompileAdded()
	switch {
	case !rested():
		return errWriting
	case err == nil:
		t.catalog.Store(catalog)
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.state.Tried, t.state.Err = t.clock(), err
	if err == nil {
		t.state.Loaded = t.state.Tried
	}
	return err
}

// errWriting says that a folder of tables changed while it was read.
var errWriting = errors.New("the folder of tables is being written; the tables in use stay until it has come to rest")

// State returns how the last load went.
func (t *Tables) State() State {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.state
}

// Catalog returns the tables in use.
func (t *Tables) Catalog() *table.Catalog { return t.catalog.Load() }

// Season finds a season by key or "current". The warning is set when no table
// is valid today and the newest one answers. A revision other than "" must be
// the table's.
func (t *Tables) Season(key, revision string) (*rules.Season, *rules.Warning, rules.FieldErrors) {
	return find(t.Catalog(), t.clock, key, revision, "season")
}

// Pair finds two seasons in the same catalog, for the fields "from" and "to".
// Errors of both come together.
func (t *Tables) Pair(from, to string) (a, b *rules.Season, warnings rules.Warnings, faults rules.FieldErrors) {
	catalog := t.Catalog()
	one := func(key, field string) *rules.Season {
		s, w, wrong := find(catalog, t.clock, key, "", field)
		if w != nil {
			warnings.Add(w, field)
		}
		faults = append(faults, wrong...)
		return s
	}
	a, b = one(from, "from"), one(to, "to")
	return a, b, warnings, faults
}

// Today returns the season that "current" stands for now.
func (t *Tables) Today() (rules.Heading, *rules.Warning) {
	return t.Catalog().Current(today(t.clock))
}

func today(clock Clock) string { return clock().UTC().Format(time.DateOnly) }

func find(catalog *table.Catalog, clock Clock, key, revision, field string) (*rules.Season, *rules.Warning, rules.FieldErrors) {
	var warning *rules.Warning
	switch key {
	case "":
		return nil, nil, fault(field, rules.ReasonFieldRequired, "is empty: give a season key such as 2025-26, or current")
	case Current:
		var heading rules.Heading
		heading, warning = catalog.Current(today(clock))
		key = heading.Season
	}
	season, err := catalog.Season(key)
	var unknown rules.FieldError
	switch {
	case errors.As(err, &unknown):
		unknown.Field = field
		return nil, nil, rules.FieldErrors{unknown}
	case err != nil:
		return nil, nil, fault(field, rules.ReasonRulesNotAvailable, "the table of season %s has faults: %v", rules.Quote(key), err)
	}
	if revision != "" && revision != season.Revision {
		return nil, nil, fault("revision", ReasonRevisionMismatch,
			"the request pins %s, but the table of season %s here is %s; leave revision out to take it as it is",
			rules.Quote(revision), season.Params.Season, rules.Allowed(season.Revision))
	}
	return season, warning, nil
}

func fault(field string, reason rules.Reason, format string, args ...any) rules.FieldErrors {
	return rules.FieldErrors{rules.Fault(field, reason, format, args...)}
}
