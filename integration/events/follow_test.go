package events_test

import (
	"context"
	"slices"
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

// checkFollowed checks that a follower saw every commit once, in order.
func checkFollowed(t testing.TB, who string, following <-chan followed, facts []*pb.EventFact) followed {
	t.Helper()
	var f followed
	select {
	case f = <-following:
	case <-time.After(patience):
		t.Fatalf("%s has not seen the end", who)
	}
	var commits []uint64
	for i, fact := range facts {
		if i+1 == len(facts) || facts[i+1].GetRequestId() != fact.GetRequestId() {
			commits = append(commits, fact.GetSequence())
		}
	}
	if f.resets > 0 || !slices.Equal(f.boards, commits) {
		t.Errorf("%s has seen %d boards with %d resets, not each of the %d commits once: %v", who, len(f.boards), f.resets, len(commits), f.boards)
	}
	return f
}

// undisturbed gives the facts of the played event on one server where nothing
// goes wrong.
var undisturbed = struct {
	once  sync.Once
	facts []*pb.EventFact
}{}

// checkFacts checks that what went wrong left no trace: the same facts by the same
// requests as where nothing does, in the same order.
func checkFacts(t testing.TB, name string, got []*pb.EventFact) {
	t.Helper()
	undisturbed.once.Do(func() {
		s := start(t)
		d := newDesk("desk", s.admin, s.conn(t))
		undisturbed.facts = facts(t, s.conn(t), s.admin, play(t, d))
	})
	want := undisturbed.facts
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
