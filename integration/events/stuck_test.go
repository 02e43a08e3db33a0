package events_test

import (
	"fmt"
	"io"
	"net/http"
	"runtime/pprof"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Watchers that stop reading are cut off after bounded buffering, over SSE and over
// gRPC, while the others get every change as it comes. Whoever was cut off goes on
// where it was, without a gap and without a reset.
func TestWatchersThatStopReading(t *testing.T) {
	const quick, stuck = 40, 200 // half of each over SSE
	s := start(t)
	m := newMarking(t, s)
	var readers crowd
	if err := readers.join(s.HTTPAddr(), s.GRPCAddr(), m.event, quick/2, quick/2); err != nil {
		t.Fatal(err)
	}
	readers.read()
	defer readers.leave()
	change := func() uint64 {
		seq := m.mark()
		readers.await(t, seq)
		return seq
	}
	begin := m.now()
	for range 300 { // as many boards are kept as ever will be
		begin = change()
	}
	before := memory()

	streams := make([]stream, stuck)
	// Left to itself, the client would open its windows ever wider.
	conn := dial(t, s.GRPCAddr(), grpc.WithStaticStreamWindowSize(64<<10), grpc.WithStaticConnWindowSize(1<<20))
	for i := range streams {
		if i%2 == 0 {
			streams[i] = must(watchSSE(s.HTTPAddr(), m.event, ""))
		} else {
			streams[i] = must(watchGRPC(conn, m.event, nil))
		}
		defer streams[i].close()
	}
	eventually(t, "all watch", func() bool { return watching(t, s) == quick+stuck })
	last, changes := uint64(0), 0
	for watching(t, s) > quick {
		if changes++; changes > 250 {
			t.Fatalf("after %d changes %d watch, want %d", changes, watching(t, s), quick)
		}
		last = change()
	}
	eventually(t, "the server serves nobody who is cut off", func() bool { return served() == quick })
	// Both ends are in this process, so that what waits at a client counts too.
	const most = 150 << 10
	held := (memory() - before) / stuck
	if held > most {
		t.Errorf("a stuck watcher holds %d bytes, want at most %d", held, most)
	}
	t.Logf("cut off after %d changes; %d bytes are held for each", changes, held)

	for i, from := range streams {
		seen, err := drain(t, from, begin, last)
		if i%2 == 1 && reason(err) != pb.ErrorReason_WATCHER_TOO_SLOW.String() {
			t.Fatalf("a stuck stream ends with: %v", err)
		}
		if seen < begin || seen == last {
			t.Fatalf("a stuck watcher saw %d, of %d to %d", seen, begin, last)
		}
		var back stream
		if i%2 == 0 {
			back = must(watchSSE(s.HTTPAddr(), m.event, fmt.Sprint(seen)))
		} else {
			back = must(watchGRPC(conn, m.event, &seen))
		}
		if seen, err = drain(t, back, seen+1, last); seen != last {
			t.Fatalf("back again, a watcher comes to %d, want %d: %v", seen, last, err)
		}
		back.close()
	}
	readers.leave()
	for _, w := range readers.watchers {
		if want := m.changes[len(m.changes)-len(w.seen):]; !slices.Equal(w.numbers(), want) || len(w.seen) < 300+changes {
			t.Fatalf("a reader saw %v, want %v", w.numbers(), want)
		}
	}
}

// drain reads a stream to an update or to its end. What comes must begin with one
// update and go on without a gap.
func drain(t testing.TB, s stream, first, last uint64) (seen uint64, err error) {
	t.Helper()
	for seen != last {
		u, err := s.next()
		if err != nil {
			return seen, err
		}
		if u.kind != "scoreboard" || seen == 0 && u.seq != first || seen != 0 && u.seq != seen+1 {
			t.Fatalf("after %d comes %s %d; the first should be %d", seen, u.kind, u.seq, first)
		}
		seen = u.seq
	}
	return seen, nil
}

// watching says how many watchers the server's metrics count.
func watching(t testing.TB, s *server) int {
	t.Helper()
	res := must(http.Get("http://" + s.HTTPAddr() + "/metrics"))
	defer res.Body.Close()
	_, after, _ := strings.Cut(string(must(io.ReadAll(res.Body))), "\nrinktally_scoreboard_watchers ")
	n := 0
	_ = must(fmt.Sscan(after, &n))
	return n
}

// served says how many watchers some goroutine is busy with.
func served() int {
	var all strings.Builder
	_ = pprof.Lookup("goroutine").WriteTo(&all, 2)
	return strings.Count(all.String(), "live.(*Service).send(")
}

// eventually waits until something holds.
func eventually(t testing.TB, what string, holds func() bool) {
	t.Helper()
	late := time.After(patience)
	again := time.NewTicker(20 * time.Millisecond)
	defer again.Stop()
	for !holds() {
		select {
		case <-again.C:
		case <-late:
			t.Fatalf("it did not come to pass that %s", what)
		}
	}
}
