package events_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// followed is what a follower of a scoreboard has seen.
type followed struct {
	boards []uint64 // sequence numbers, in the order they came
	joined int      // how often it had to begin to watch, but for being too slow
	resets int
}

// follow watches a scoreboard from the event's first fact until everything is
// official. When the stream breaks it comes back behind the last board that it
// has, as a careful client does.
func follow(t testing.TB, conn grpc.ClientConnInterface, event string) <-chan followed {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	out := make(chan followed, 1)
	var wait sync.WaitGroup
	wait.Go(func() {
		f, last, slow := followed{}, uint64(0), false
		for ctx.Err() == nil {
			if !slow { // a busy machine may let it fall behind, and it is cut then
				f.joined++
			}
			stream, err := pb.NewScoreboardServiceClient(conn).WatchScoreboard(ctx, &pb.WatchScoreboardRequest{Event: event, AfterSequence: &last})
			for err == nil {
				var res *pb.WatchScoreboardResponse
				if res, err = stream.Recv(); err != nil || res.GetScoreboard() == nil {
					continue
				}
				last = res.GetScoreboard().GetSequence()
				f.boards = append(f.boards, last)
				if res.GetReset_() {
					f.resets++
				}
				if official(res.GetScoreboard()) {
					out <- f
					return
				}
			}
			slow = reason(err) == pb.ErrorReason_WATCHER_TOO_SLOW.String()
			pause(ctx)
		}
	})
	t.Cleanup(func() {
		cancel()
		wait.Wait()
	})
	return out
}

// pause leaves the processor to others before something is tried again.
func pause(ctx context.Context) {
	select {
	case <-ctx.Done():
	case <-time.After(20 * time.Millisecond):
	}
}

func official(b *pb.Scoreboard) bool {
	return len(b.GetSegments()) > 0 && !slices.ContainsFunc(b.GetSegments(), func(s *pb.ScoreboardSegment) bool { return s.GetStatus() != pb.ResultStatus_OFFICIAL })
}

// sights are the sequence numbers at which something changed that can be seen on a
// scoreboard, as somebody finds who asks for the whole of it after each call.
type sights struct {
	seqs []uint64
	last []byte
}

// uncounted is what is not seen: where the event is, and how many judges have marked.
var uncounted = regexp.MustCompile(`"(sequence|time)":"[^"]*",?|"marksGiven":\d+,?`)

// look asks for the scoreboard; before there is an event, there is none.
func (l *sights) look(t testing.TB, s *server, event string) {
	t.Helper()
	res := must(http.Get("http://" + s.HTTPAddr() + "/v1/events/" + event + "/scoreboard"))
	defer res.Body.Close()
	body := must(io.ReadAll(res.Body))
	var at struct {
		Scoreboard struct{ Sequence string }
	}
	if res.StatusCode == http.StatusNotFound {
		return
	}
	if err := json.Unmarshal(body, &at); err != nil {
		t.Fatal(err)
	}
	if seen := uncounted.ReplaceAll(body, nil); !bytes.Equal(seen, l.last) {
		l.last = seen
		l.seqs = append(l.seqs, must(strconv.ParseUint(at.Scoreboard.Sequence, 10, 64)))
	}
}

// checkFollowed checks that a follower saw every commit that can be seen once, in
// order. The facts are those of the played event.
func checkFollowed(t testing.TB, who string, following <-chan followed, facts []*pb.EventFact) followed {
	t.Helper()
	var f followed
	select {
	case f = <-following:
	case <-time.After(patience):
		t.Fatalf("%s has not seen the end", who)
	}
	play := played(t)
	if len(facts) != len(play.facts) || len(play.visible) == 0 {
		t.Fatalf("%s: %d facts, want %d, of which some can be seen", who, len(facts), len(play.facts))
	}
	if f.resets > 0 || !slices.Equal(f.boards, play.visible) {
		t.Errorf("%s has seen %d boards with %d resets, not each of the %d that differ once: %v", who, len(f.boards), f.resets, len(play.visible), f.boards)
	}
	return f
}

// undisturbed is the played event on one server where nothing goes wrong.
type undisturbed struct {
	facts   []*pb.EventFact
	visible []uint64 // sequence numbers at which the scoreboard looked different
}

var (
	playing sync.Once
	once    undisturbed
)

func played(t testing.TB) undisturbed {
	t.Helper()
	playing.Do(func() {
		s := start(t)
		d := newDesk("desk", s.admin, s.conn(t))
		var seen sights
		event := "demo-cup"
		d.before = func(int) { seen.look(t, s, event) }
		if id := play(t, d); id != event {
			t.Fatalf("the played event is %s, want %s", id, event)
		}
		seen.look(t, s, event)
		once = undisturbed{facts(t, s.conn(t), s.admin, event), seen.seqs}
	})
	return once
}

// checkFacts checks that what went wrong left no trace: the same facts by the same
// requests as where nothing does, in the same order.
func checkFacts(t testing.TB, name string, got []*pb.EventFact) {
	t.Helper()
	want := played(t).facts
	if len(got) != len(want) {
		t.Errorf("%s: %d facts, want %d", name, len(got), len(want))
	}
	for i := range min(len(got), len(want)) {
		a, b := proto.CloneOf(got[i]), proto.CloneOf(want[i])
		a.Time, b.Time = nil, nil
		if !proto.Equal(a, b) {
			t.Fatalf("%s: fact %d is %v, want %v", name, i+1, a, b)
		}
	}
}
