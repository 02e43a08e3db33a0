package storetest

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// RunBenchmark measures how many facts a second a store takes, by callers that
// each wait for the answer on a stream of their own, and by one caller that
// brings several facts at once. The metric raw-ratio compares with what the same
// disk does just before and after, when a program writes the bytes of one fact
// to a file and syncs it, one after the other: 1.00 is the speed of that.
func RunBenchmark(b *testing.B, kind Kind) {
	for _, c := range []struct{ callers, facts int }{{1, 1}, {10, 1}, {100, 1}, {1, 10}, {1, 100}} {
		b.Run(fmt.Sprintf("callers=%d/facts=%d", c.callers, c.facts), func(b *testing.B) {
			log := open(b, kind)
			fact := store.Fact{Kind: "MarksGiven", Body: noise(1)[:120], Actor: "judge 3"}
			raw := rawSyncs(b, len(fact.Body))
			b.ResetTimer()
			burden(b, log, c.callers, slices.Repeat([]store.Fact{fact}, c.facts))
			b.StopTimer()
			rate := float64(b.N*c.facts) / b.Elapsed().Seconds()
			raw = (raw + rawSyncs(b, len(fact.Body))) / 2
			b.ReportMetric(rate, "facts/s")
			b.ReportMetric(rate/raw, "raw-ratio")
		})
	}
}

// burden makes b.N appends, shared out among callers.
func burden(b *testing.B, log store.Log, callers int, facts []store.Fact) {
	b.Helper()
	requests := make(chan int, callers)
	var wait sync.WaitGroup
	for caller := range callers {
		wait.Go(func() {
			stream := fmt.Sprint("events/", caller)
			seq := uint64(0)
			for i := range requests {
				result, err := log.Append(b.Context(), stream, seq, fmt.Sprint(i), facts)
				if err != nil {
					b.Error(err)
					continue
				}
				seq = result.Last
			}
		})
	}
	for i := range b.N {
		requests <- i
	}
	close(requests)
	wait.Wait()
}

// rawSyncs returns how often a second this disk writes and syncs so many bytes.
func rawSyncs(b *testing.B, bytes int) float64 {
	b.Helper()
	file, err := os.Create(filepath.Join(b.TempDir(), "raw"))
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = file.Close() }() // it is thrown away
	block := noise(2)[:bytes]
	n := 0
	began := time.Now()
	for time.Since(began) < 300*time.Millisecond {
		if _, err := file.Write(block); err != nil {
			b.Fatal(err)
		}
		if err := file.Sync(); err != nil {
			b.Fatal(err)
		}
		n++
	}
	return float64(n) / time.Since(began).Seconds()
}
