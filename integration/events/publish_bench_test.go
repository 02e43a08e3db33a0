package events_test

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rinktally/rinktally/integration/built"
)

// BenchmarkPublished measures on built programs what a judge's mark costs the rink's
// server in processor time, and how long its call takes: while nobody watches, while one
// board is open, while one or 2,000 watch the copy that it sends to another server, and
// while they watch it itself. Marks come at one pace in all of them, so that what a
// server does beside them weighs the same.
// Servers and watchers are processes on the same machine.
func BenchmarkPublished(b *testing.B) {
	p := program{built.New(b)}
	const pace = 60 * time.Millisecond
	alone := 0.0 // of a mark that nobody watches, in ms
	for _, c := range []struct {
		name     string
		copied   bool
		watchers int
	}{{"alone", false, 0}, {"1-at-the-rink", false, 1}, {"1-at-the-copy", true, 1}, {"2000-at-the-copy", true, 2000}, {"2000-at-the-rink", false, 2000}} {
		b.Run(c.name, func(b *testing.B) {
			far := p.serve(b, "--data", b.TempDir(), "--accept-publish-token", publishToken)
			data := b.TempDir()
			admin := p.Admin(b, "--data", data)
			arguments := []string{"--data", data}
			if c.copied {
				arguments = append(arguments, "--publish-to", far.HTTP, "--publish-token", publishToken)
			}
			near := p.serve(b, arguments...)
			g := newSegment(b, newDesk("marking", admin, dial(b, near.GRPC)))
			skater := g.call()
			element := g.element(skater, "3Lz+3T")
			mark := func(i int) uint64 { return g.mark(skater, element, 1, int32(i%2)*2-1) }
			g.mark(skater, element, 2, 0)
			var crowd *crowdProcess
			if c.watchers > 0 {
				at := near
				if c.copied {
					awaitSame(b, near, far, watched)
					at = far
				}
				loop := newBareLoop(b, loopback)
				crowd = startCrowd(b, strings.TrimPrefix(at.HTTP, "http://"), at.GRPC, watched, loop, kinds{sse: c.watchers})
				loop.accept(c.watchers)
				crowd.join()
				crowd.await(b, "event", mark(1))
			}
			var calls, ways []time.Duration
			used, n := cpu(b, near), 0
			for b.Loop() {
				begun := time.Now()
				seq := mark(n)
				acknowledged := time.Now()
				calls = append(calls, acknowledged.Sub(begun))
				if crowd != nil {
					ways = append(ways, crowd.await(b, "event", seq).Sub(acknowledged))
				}
				n++
				time.Sleep(time.Until(begun.Add(pace)))
			}
			each := (cpu(b, near) - used).Seconds() * 1000 / float64(n)
			b.StopTimer()
			if alone == 0 {
				alone = each
			}
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(each, "rink-cpu-ms/mark")
			b.ReportMetric(each/alone, "of-alone")
			slices.Sort(calls)
			b.ReportMetric(float64(calls[len(calls)/2].Microseconds())/1000, "call-ms/mark")
			if ways != nil {
				slices.Sort(ways)
				b.ReportMetric(float64(ways[len(ways)/2].Microseconds())/1000, "last-watcher-ms/mark")
			}
		})
	}
}

// cpu returns the processor time that a server has used.
func cpu(b *testing.B, s *process) time.Duration {
	b.Helper()
	// man 5 proc: utime and stime are fields 14 and 15, behind the name in brackets, in
	// hundredths of a second.
	text := string(must(os.ReadFile(fmt.Sprintf("/proc/%d/stat", s.Cmd.Process.Pid))))
	fields := strings.Fields(text[strings.LastIndexByte(text, ')')+1:])
	ticks := must(strconv.Atoi(fields[11])) + must(strconv.Atoi(fields[12]))
	return time.Duration(ticks) * 10 * time.Millisecond
}
