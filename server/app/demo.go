package app

import (
	"context"
	"errors"
	"time"

	"go.uber.org/zap"

	"github.com/rinktally/rinktally/server/demo"
)

// demoSeed makes the demo the same every time.
const demoSeed = 20260314

// playDemo lets the invented event play itself, so many times faster than normal.
func (a *App) playDemo(ctx context.Context, started func(event string)) {
	play := demo.Event{
		Service: a.events.service, Seed: demoSeed, Today: time.Now(), Started: started,
		Pause: func(ctx context.Context, long time.Duration) error {
			timer := time.NewTimer(time.Duration(float64(long) / a.config.DemoSpeed))
			defer timer.Stop()
			select {
			case <-ctx.Done():
				return ctx.Err()
			case <-timer.C:
				return nil
			}
		},
	}
	if err := play.Play(ctx); err != nil && !errors.Is(err, context.Canceled) {
		a.log.Error("the demo has ended early", zap.Error(err))
	}
}
