package events_test

import (
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/rinktally/rinktally/integration/processor"
	"github.com/rinktally/rinktally/server/config"
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
	here := func(start func()) { start() }
	for _, c := range []struct {
		name string
		n    kinds
	}{{"sse-2000", kinds{sse: 2000}}, {"sse-9900", kinds{sse: 9900}}, {"grpc-2000", kinds{streams: 2000}}, {"both-4000", kinds{sse: 2000, streams: 2000}}} {
		b.Run(c.name, func(b *testing.B) { benchFanOut(b, loopback, here, c.n) })
	}
}

const loopback = "127.0.0.1"

// benchFanOut measures watchers of a server at a host. there starts them where they are.
func benchFanOut(b *testing.B, host string, there func(start func()), n kinds) {
	b.Helper()
	s := start(b, func(c *config.Config) { c.HTTPAddr = host + ":0" })
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
	loop := newBareLoop(b, host)
	var c *crowdProcess
	there(func() { c = startCrowd(b, s.HTTPAddr(), s.GRPCAddr(), m.event, loop, n) })
	loop.accept(n.all())
	before := memory()
	c.join()
	c.await(b, "event", m.now())
	line := m.sent(s, n)
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
	median, plain := marks[len(marks)/2], bare[len(bare)/2]
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(calls[len(calls)/2].Microseconds())/1000, "ms/call")
	b.ReportMetric(float64(median.Microseconds())/1000, "ms/mark")
	b.ReportMetric(float64(marks[len(marks)*95/100].Microseconds())/1000, "ms/mark-95%")
	b.ReportMetric(float64(marks[len(marks)-1].Microseconds())/1000, "ms/mark-worst")
	b.ReportMetric(float64(plain.Microseconds())/1000, "ms/bare-loop")
	b.ReportMetric(float64(median)/float64(plain), "of-bare-loop")
	b.ReportMetric(float64(used[1])/float64(used[0]), "of-bare-loop-cpu")
	b.ReportMetric(float64(memory()-before)/float64(n.all()), "B/watcher")
	b.ReportMetric(float64(len(line)), "B/sent")
}

// sent returns what a watcher over SSE is sent of a mark.
func (m *marking) sent(s *server, n kinds) []byte {
	m.t.Helper()
	if n.changes == 0 {
		board, _ := boards(m.t, s, m.event)
		return board
	}
	w := must(watchChanges(s.HTTPAddr(), m.event))
	defer w.close()
	must(w.next()) // the whole
	m.mark()
	return must(w.next()).board
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
