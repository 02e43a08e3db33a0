package events_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/server/config"
)

// A watcher goes on where it was, also at a server that has started again on the same
// data. One that missed more than is kept, or that comes with a number of another
// log, is reset. It makes no difference whether it comes over SSE or over gRPC.
func TestWatchersComeBack(t *testing.T) {
	data := t.TempDir()
	kept := func(c *config.Config) { c.Data = data }
	s := start(t, kept)
	g := newSegment(t, newDesk("before", s.admin, s.conn(t)))
	p := g.call()
	element := g.element(p, "3F")
	g.mark(p, element, 2, 0) // from here on each mark of the first judge can be seen
	first := g.mark(p, element, 1, 1)
	watches := func(seq uint64) map[string]stream {
		t.Helper()
		list := map[string]stream{
			"SSE":  must(watchSSE(s.HTTPAddr(), watched, fmt.Sprint(seq))),
			"gRPC": must(watchGRPC(s.conn(t), watched, &seq)),
		}
		for _, w := range list {
			t.Cleanup(w.close)
		}
		return list
	}
	before := watches(first - 1)
	for name, w := range before {
		if seen, err := drain(t, w, first, first); err != nil {
			t.Fatalf("%s: at %d: %v", name, seen, err)
		}
	}
	s.stop()
	for name, w := range before {
		if u, err := w.next(); err == nil {
			t.Errorf("%s: from a server that has stopped comes %v", name, u)
		}
	}

	admin := s.admin
	s = start(t, kept)
	g.desk = newDesk("after", admin, s.conn(t))
	after := watches(first)
	next := g.mark(p, element, 1, 0)
	last := next
	for i := range int32(9) {
		last = g.mark(p, element, 1, (i+1)%2)
	}
	for name, w := range after {
		if seen, err := drain(t, w, next, last); err != nil {
			t.Errorf("%s: back again, it comes to %d: %v", name, seen, err)
		}
	}
	reset := func(why string, seq uint64) {
		t.Helper()
		for name, w := range watches(seq) {
			if u, err := w.next(); err != nil || u.kind != "reset" || u.seq != last {
				t.Errorf("%s, %s: %s %d, %v; want a reset to %d", name, why, u.kind, u.seq, err, last)
			}
		}
	}
	reset("from the future", last+1000)
	for i := range int32(300) {
		last = g.mark(p, element, 1, i%2)
	}
	reset("away for too long", first)
	// Who has everything gets nothing until something happens.
	now := watches(last)
	last = g.mark(p, element, 1, 5)
	for name, w := range now {
		if u, err := w.next(); err != nil || u.kind != "scoreboard" || u.seq != last {
			t.Errorf("%s: behind the end comes %s %d, %v; want %d", name, u.kind, u.seq, err, last)
		}
	}
}

// What is no sequence number is refused before the stream begins.
func TestWrongLastEventID(t *testing.T) {
	s := start(t)
	newSegment(t, newDesk("wrong", s.admin, s.conn(t)))
	for _, id := range []string{"yesterday", "-1", "1.5", "0x10", "1 2", "18446744073709551616", strings.Repeat("9", 1000)} {
		_, err := watchSSE(s.HTTPAddr(), watched, id)
		if err == nil || !strings.Contains(err.Error(), "HTTP 400") || !strings.Contains(err.Error(), "FIELD_INVALID") || !strings.Contains(err.Error(), "Last-Event-ID") || len(err.Error()) > 1000 {
			t.Errorf("Last-Event-ID %.30q: %v", id, err)
		}
	}
	if _, err := watchSSE(s.HTTPAddr(), "no-cup", "1"); err == nil || !strings.Contains(err.Error(), "HTTP 404") {
		t.Errorf("an event that is not there: %v", err)
	}
}

// A watch says that it lives while nothing happens, over SSE and over gRPC.
func TestHeartbeats(t *testing.T) {
	t.Parallel() // what it waits for takes a quarter of a minute
	s := start(t)
	d := newDesk("beats", s.admin, s.conn(t))
	now := newSegment(t, d).now()
	list := map[string]stream{"SSE": must(watchSSE(s.HTTPAddr(), watched, "")), "gRPC": must(watchGRPC(s.conn(t), watched, nil))}
	for name, w := range list {
		defer w.close()
		if u, err := w.next(); err != nil || u.seq != now {
			t.Errorf("%s begins with %d, %v; want %d", name, u.seq, err, now)
		}
	}
	for name, w := range list {
		u, err := w.next()
		if err != nil || u.kind != "heartbeat" || name == "gRPC" && u.seq != now || name == "SSE" && string(u.board) != fmt.Sprintf(`{"sequence":"%d","copy":null}`, now) {
			t.Errorf("%s: then comes %s %d %s, %v", name, u.kind, u.seq, u.board, err)
		}
	}
}
