package live_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/demo"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/live"
)

// looks is what can be seen on a board.
func looks(t testing.TB, b *pb.Scoreboard) string {
	t.Helper()
	b = proto.CloneOf(b)
	b.Sequence, b.Time = 0, nil
	for _, e := range b.GetSkater().GetPerformance().GetElements() {
		e.MarksGiven = 0
	}
	for _, c := range b.GetSkater().GetPerformance().GetComponents() {
		c.MarksGiven = 0
	}
	return string(must(proto.MarshalOptions{Deterministic: true}.Marshal(b)))
}

func boardOf(t testing.TB, f *live.Frame) *pb.Scoreboard {
	t.Helper()
	_, data, _ := strings.Cut(string(must(f.SSE())), "\ndata: ")
	b := &pb.Scoreboard{}
	if err := protojson.Unmarshal([]byte(data), b); err != nil {
		t.Fatal(err)
	}
	return b
}

// The whole event that plays itself makes no frame of the scoreboard on which nothing
// new is seen, and one for each change that is.
func TestDemoMakesNoFrameInVain(t *testing.T) {
	h := newHall(t, 0)
	var watcher *live.Watcher
	var id, seen, before string
	frames, vain, missed := 0, 0, 0
	look := func(ctx context.Context) {
		now := looks(t, must(h.board.GetScoreboard(ctx, &pb.GetScoreboardRequest{Event: id})).GetScoreboard())
		sent := false
		for f := watcher.Next(); f != nil; f = watcher.Next() {
			sent = true
			frames++
			was := seen
			if seen = looks(t, boardOf(t, f)); seen == was {
				vain++
			}
		}
		if now != before && !sent || seen != now {
			missed++
		}
		before = now
	}
	play := demo.Event{
		Service: h.Service, Seed: 20260314, Today: day,
		Started: func(started string) {
			id = started
			watcher = must(h.hub.JoinBoard(t.Context(), id, nil, false))
		},
		Pause: func(ctx context.Context, _ time.Duration) error { look(ctx); return nil },
	}
	if err := play.Play(t.Context()); err != nil {
		t.Fatal(err)
	}
	look(t.Context())
	watcher.Leave()
	var commits uint64
	must(0, h.book.View(t.Context(), id, func(s *event.State) error { commits = s.Seq; return nil }))
	if vain > 0 || missed > 0 || frames == 0 {
		t.Errorf("of %d frames %d show nothing new; %d changes were not shown", frames, vain, missed)
	}
	t.Logf("%d frames for %d facts", frames, commits)
}

// With 1,000 entries in one category every watcher has every change within a second
// of its call, desks and hall alike, and nobody is cut off or reset.
func TestThousandEntries(t *testing.T) {
	const entries, watchers, marks = 1000, 20, 300
	h := newHall(t, 0)
	var csv strings.Builder
	csv.WriteString("category,name\n")
	for i := range entries - 3 {
		fmt.Fprintf(&csv, "%s,Invented %d\n", category, i)
	}
	must(h.ImportEntries(as(t, pb.Role_ORGANISER), &pb.ImportEntriesRequest{Event: cup, Csv: csv.String()}))
	must(h.DrawStartingOrder(as(t, pb.Role_ORGANISER), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Seed: new(uint64(7))}))
	must(h.StartSegment(as(t, pb.Role_REFEREE), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
	p := must(h.CallSkater(as(t, pb.Role_TECHNICAL_PANEL), &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short})).GetPerformance()
	must(h.CallElement(as(t, pb.Role_TECHNICAL_PANEL), &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Code: "2A"}))
	set := func(judge, mark int32) {
		ctx := access.WithActor(t.Context(), access.Actor{Event: cup, Role: pb.Role_JUDGE, Judge: judge, Token: "1"})
		must(h.SetElementMarks(ctx, &pb.SetElementMarksRequest{
			Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Judge: judge, Marks: []*pb.GivenElementMark{{Element: 1, Mark: &mark}},
		}))
	}
	set(2, 0)
	conn := h.conn(t)
	type got struct {
		seq   uint64
		reset bool
	}
	arrived := make(chan got, watchers)
	for i := range watchers {
		if i%2 == 0 {
			stream := must(pb.NewScoreboardServiceClient(conn).WatchScoreboard(t.Context(), &pb.WatchScoreboardRequest{Event: cup, Changes: i%4 == 0}))
			go func() {
				for res, err := stream.Recv(); err == nil; res, err = stream.Recv() {
					arrived <- got{res.GetScoreboard().GetSequence(), res.GetReset_()}
				}
			}()
			continue
		}
		stream := must(pb.NewEventServiceClient(conn).WatchEvent(t.Context(), &pb.WatchEventRequest{Event: cup}))
		go func() {
			for res, err := stream.Recv(); err == nil; res, err = stream.Recv() {
				arrived <- got{res.GetSequence(), res.GetReset_()}
			}
		}()
	}
	wait := func() (resets int) {
		for range watchers {
			if g := <-arrived; g.reset {
				resets++
			}
		}
		return resets
	}
	resets := wait() // each begins
	took := make([]time.Duration, marks)
	for i := range took {
		begun := time.Now()
		set(1, int32(i)%2+1)
		resets += wait()
		took[i] = time.Since(begun)
	}
	slices.Sort(took)
	// On a machine that does other things some may be late by that alone, but not half.
	median, slowest := took[marks/2], took[marks-1]
	if resets > 0 || median > time.Second {
		t.Errorf("a mark takes %v to the last of %d watchers, want at most a second; %d resets", median, watchers, resets)
	}
	t.Logf("median %v, slowest %v", median, slowest)
}
