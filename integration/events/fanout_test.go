package events_test

import (
	"fmt"
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/rinktally/rinktally/integration/processor"
)

// BenchmarkFanOut measures on a whole server the time from a judge's mark whose
// call has returned to the last of many watchers that has it, and what a watcher
// costs the server in memory. The watchers are in a process of their own, on the
// same machine. Beside it, in the same round, a bare loop writes as many bytes to
// as many sockets, read by the same code. What this process computes for the one and
// for the other, of-bare-loop-cpu, says more on a busy machine: the mark itself, its
// call and its commit are in it. 9,900 watchers and as many sockets are what a limit
// of 20,000 open files lets through.
func BenchmarkFanOut(b *testing.B) {
	for _, c := range []struct {
		name         string
		sse, streams int
	}{{"sse-2000", 2000, 0}, {"sse-9900", 9900, 0}, {"grpc-2000", 0, 2000}, {"both-4000", 2000, 2000}} {
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
	var calls, marks, bare []time.Duration
	var used [2]time.Duration // for the bare loop, for the marks
	for round := uint64(1); b.Loop(); round++ {
		begun, computed := time.Now(), processor.Used(b)
		go loop.write(round, line)
		bare = append(bare, c.await(b, "bare", round).Sub(begun))
		used[0] += processor.Used(b) - computed
		begun, computed = time.Now(), processor.Used(b)
		seq := m.mark()
		acknowledged := time.Now()
		calls = append(calls, acknowledged.Sub(begun))
		marks = append(marks, c.await(b, "event", seq).Sub(acknowledged))
		used[1] += processor.Used(b) - computed
	}
	b.StopTimer()
	slices.Sort(calls)
	slices.Sort(marks)
	slices.Sort(bare)
	median, worst, plain := marks[len(marks)/2], marks[len(marks)*95/100], bare[len(bare)/2]
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(calls[len(calls)/2].Microseconds())/1000, "ms/call")
	b.ReportMetric(float64(median.Microseconds())/1000, "ms/mark")
	b.ReportMetric(float64(worst.Microseconds())/1000, "ms/mark-95%")
	b.ReportMetric(float64(plain.Microseconds())/1000, "ms/bare-loop")
	b.ReportMetric(float64(median)/float64(plain), "of-bare-loop")
	b.ReportMetric(float64(used[1])/float64(used[0]), "of-bare-loop-cpu")
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
