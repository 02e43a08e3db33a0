package app

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"sync"
	"time"

	"go.uber.org/zap"

	"github.com/rinktally/rinktally/server/store"
)

const (
	// healthEvery is how often the health is brought up to date.
	healthEvery = 5 * time.Second
	// tablesEvery is how often the --rules folder is looked at for changes.
	tablesEvery = time.Second
)

// Run answers until the context ends or a port fails, then stops.
func (a *App) Run(ctx context.Context) error {
	a.health.Update(ctx) // before anyone can ask
	failed := make(chan error, 3)
	go func() { failed <- a.grpc.Serve(callers{a.onGRPC, unreadTime}) }()
	serve := func(s *http.Server, port net.Listener) {
		err := s.Serve(port)
		if errors.Is(err, http.ErrServerClosed) {
			err = nil
		}
		failed <- err
	}
	go serve(a.http, a.onHTTP)
	if a.metrics != nil {
		go serve(a.metrics, a.onMetrics)
	}
	watching, stopWatching := context.WithCancel(ctx)
	defer stopWatching()
	go a.health.Watch(watching, healthEvery)
	if a.config.Rules != "" {
		go a.watchTables(watching)
	}
	var playing sync.WaitGroup
	playing.Go(func() { a.checkEvents(watching) })
	if a.publisher != nil {
		playing.Go(func() { a.publisher.Run(watching) })
	}
	if a.config.Demo {
		playing.Go(func() { a.playDemo(watching, a.demo) })
	}

	var err error
	select {
	case <-ctx.Done():
	case err = <-failed:
	}
	stopWatching()
	playing.Wait()
	return errors.Join(err, a.stop())
}

// watchTables reloads the tables of the --rules folder when they change or when
// the program is asked to. A broken file leaves the last good tables serving.
func (a *App) watchTables(ctx context.Context) {
	ticker := time.NewTicker(tablesEvery)
	defer ticker.Stop()
	a.tables.Watch(ctx, ticker.C, a.reload, func(err error) {
		if err != nil {
			a.log.Error("the changed season tables have faults; the last good ones go on serving", zap.Error(err))
			return
		}
		a.log.Info("season tables reloaded", zap.String("rules", a.config.Rules), zap.Int("seasons", len(a.tables.Catalog().Keys())))
		a.health.Update(ctx)
	})
}

// checkEvents reads all events once, so that damage is known before it is met; again
// while the store is away.
func (a *App) checkEvents(ctx context.Context) {
	for start := time.Now(); ; {
		err := a.events.book.Check(ctx)
		switch {
		case ctx.Err() != nil:
			return
		case err == nil:
			a.log.Info("events checked", zap.Int("damaged", len(a.events.book.Damaged())), zap.Duration("took", time.Since(start)))
			return
		case !errors.Is(err, store.ErrUnavailable):
			a.log.Error("not every event could be checked", zap.Error(err))
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(healthEvery):
		}
	}
}

// lastRead is how long a stopping server waits for answers to be read when no call
// is under way any more: as long as a write to a watcher may take.
const lastRead = 5 * time.Second

// stop takes the server apart in reverse: nobody is sent here any more, watchers
// are asked to come back, calls under way may end and their answers be read, what is
// left is cut, and the log is closed last. All of it has one deadline, which callers
// that read nothing do not use up.
func (a *App) stop() error {
	start := time.Now()
	ctx, cancel := context.WithTimeout(context.Background(), a.config.StopTimeout)
	defer cancel()
	a.health.Stop()
	a.hub.Close()

	calls, unread := context.WithCancel(ctx)
	defer unread()
	go func() {
		if a.underway.Idle(calls, lastRead) {
			unread()
		}
	}()
	drained := make(chan struct{})
	go func() {
		a.grpc.GracefulStop()
		close(drained)
	}()
	var faults []error
	if err := a.http.Shutdown(calls); err != nil {
		faults = append(faults, a.http.Close())
		if ctx.Err() != nil {
			faults = append(faults, fmt.Errorf("HTTP calls were cut: %w", err))
		}
	}
	select {
	case <-drained:
	case <-calls.Done():
		a.grpc.Stop()
		if ctx.Err() != nil {
			faults = append(faults, errors.New("gRPC calls were cut: they did not end in time"))
		}
	}
	if a.metrics != nil {
		faults = append(faults, a.metrics.Close())
	}
	faults = append(faults, a.traces.Stop(ctx), a.books.Close(), a.events.log.Close())
	err := errors.Join(faults...)
	a.log.Info("stopped", zap.Duration("took", time.Since(start)), zap.Error(err))
	return err
}

// close frees what New opened before it failed.
func (a *App) close() {
	for _, port := range []net.Listener{a.onMetrics, a.onHTTP, a.onGRPC} {
		if port != nil {
			_ = port.Close()
		}
	}
	_ = a.traces.Stop(context.Background())
	if a.hub != nil {
		a.hub.Close()
	}
	if a.books != nil {
		_ = a.books.Close()
	}
	if a.events != nil {
		_ = a.events.log.Close()
	}
}
