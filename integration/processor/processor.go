// Package processor measures for benchmarks what computing costs.
package processor

import (
	"syscall"
	"testing"
	"time"
)

// Used returns the time that this process has computed. On a machine shared with
// others it is a steadier measure than the clock.
func Used(t testing.TB) time.Duration {
	t.Helper()
	var usage syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &usage); err != nil {
		t.Fatal(err)
	}
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}
