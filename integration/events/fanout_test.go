package events_test

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"testing"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/event"
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
	m := marking{desk: newDesk("fan-out", s.admin, s.conn(b))}
	m.prepare(b, s)
	// A watcher of our own lets the server keep as many boards as it ever will.
	own := must(watchGRPC(s.conn(b), m.event, nil))
	b.Cleanup(own.close)
	go func() {
		for err := error(nil); err == nil; _, err = own.next() {
		}
	}()
	for range 300 {
		m.mark(b)
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
		seq := m.mark(b)
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

// marking is the event of two categories and twelve skaters, in which somebody
// skates and a judge changes the same mark again and again.
type marking struct {
	*desk

	event   string
	request *pb.SetElementMarksRequest
}

// prepare plays the event until four have skated and the fifth is on the ice.
func (m *marking) prepare(b *testing.B, s *server) {
	b.Helper()
	enough := errors.New("enough")
	const pauses = 48 // of one short program
	left := 4*pauses + 31
	demo := &event.Demo{Service: m.desk, Seed: 7, Today: day(), Started: func(e string) { m.event = e }, Pause: func(context.Context, time.Duration) error {
		if left--; left == 0 {
			return enough
		}
		return nil
	}}
	if err := demo.Play(b.Context()); !errors.Is(err, enough) {
		b.Fatalf("the event ended with %v", err)
	}
	_, board := boards(b, s, m.event)
	p := board.GetSkater().GetPerformance()
	m.request = &pb.SetElementMarksRequest{
		Event: m.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(), Judge: 1,
		Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32(5))}},
	}
}

// mark changes the mark and gives the sequence number of that.
func (m *marking) mark(b *testing.B) uint64 {
	b.Helper()
	mark := m.request.GetMarks()[0]
	mark.Mark = new(-mark.GetMark())
	ctx := access.WithActor(b.Context(), access.Actor{Event: m.event, Role: pb.Role_JUDGE, Judge: m.request.GetJudge()})
	res, err := m.SetElementMarks(ctx, m.request)
	if err != nil {
		b.Fatal(err)
	}
	return res.GetSequence()
}
