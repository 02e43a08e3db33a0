package events_test

import (
	"fmt"
	"runtime"
	"slices"
	"testing"
	"time"
)

// BenchmarkFanOut measures on a whole server the time from a judge's mark whose
// call has returned to the last of many watchers that has it, and what a watcher
// costs the server in memory. The watchers are in a process of their own, on the
// same machine. Beside it, in the same round, a bare loop writes as many bytes to
// as many sockets, read by the same code.
func BenchmarkFanOut(b *testing.B) {
	for _, c := range []struct {
		name         string
		sse, streams int
	}{{"sse-2000", 2000, 0}, {"grpc-2000", 0, 2000}, {"both-4000", 2000, 2000}} {
		b.Run(c.name, func(b *testing.B) { benchFanOut(b, c.sse, c.streams) })
	}
}

func benchFanOut(b *testing.B, sse, streams int) {
	b.Helper()
	watchers := sse + streams
	s := start(b)
	m := newMarking(b, s)
	// A watcher of our own lets the server keep as many boards as it ever will.
	own := must(watchGRPC(s.conn(b), m.event, nil))
	b.Cleanup(own.close)
	go func() {
		for err := error(nil); err == nil; _, err = own.next() {
		}
	}()
	for range 300 {
		m.mark()
	}
	loop := newBareLoop(b)
	c := startCrowd(b, fmt.Sprintf("%s %s %s %s %d %d", s.HTTPAddr(), s.GRPCAddr(), loop.port.Addr(), m.event, sse, streams))
	loop.accept(watchers)
	before := memory()
	c.join()
	c.await(b, "event", m.now())
	line, _ := boards(b, s, m.event)
	var marks, bare []time.Duration
	for round := uint64(1); b.Loop(); round++ {
		begun := time.Now()
		go loop.write(round, line)
		bare = append(bare, c.await(b, "bare", round).Sub(begun))
		seq := m.mark()
		acknowledged := time.Now()
		marks = append(marks, c.await(b, "event", seq).Sub(acknowledged))
	}
	b.StopTimer()
	slices.Sort(marks)
	slices.Sort(bare)
	median, worst, plain := marks[len(marks)/2], marks[len(marks)*95/100], bare[len(bare)/2]
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(median.Microseconds())/1000, "ms/mark")
	b.ReportMetric(float64(worst.Microseconds())/1000, "ms/mark-95%")
	b.ReportMetric(float64(plain.Microseconds())/1000, "ms/bare-loop")
	b.ReportMetric(float64(median)/float64(plain), "of-bare-loop")
	b.ReportMetric(float64(memory()-before)/float64(watchers), "B/watcher")
	b.ReportMetric(float64(len(line)), "B/board")
}

// memory is what lives on the heap and in goroutines' stacks. The kernel's buffers
// of sockets are not in it.
func memory() int64 {
	runtime.GC()
	runtime.GC() // what pools held is gone only now
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc + m.StackInuse)
}
