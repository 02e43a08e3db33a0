package live_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
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

// crowded is an event of many entries in one category, of whom the first is on the
// ice, with watchers of the board, half of them of its changes alone, and desks.
type crowded struct {
	*hall

	t     testing.TB
	entry string
	crowd []*seer
	came  chan struct{}
}

// seer is a watcher or a desk, and what it was sent.
type seer struct {
	changes bool // of the board alone

	mu      sync.Mutex
	seqs    []uint64
	resets  int
	largest int // bytes, of what followed the first
}

func newCrowded(t testing.TB, entries, watchers int) *crowded {
	t.Helper()
	c := &crowded{hall: newHall(t, 0), t: t, came: make(chan struct{}, 1)}
	c.enter(t, entries)
	c.entry = c.callNext(t)
	c.mark(2, 0)
	conn := c.conn(t)
	for i := range watchers {
		s := &seer{changes: i%4 == 0}
		c.crowd = append(c.crowd, s)
		if i%2 == 0 {
			stream := must(pb.NewScoreboardServiceClient(conn).WatchScoreboard(t.Context(), &pb.WatchScoreboardRequest{Event: cup, Changes: s.changes}))
			go func() {
				for res, err := stream.Recv(); err == nil; res, err = stream.Recv() {
					c.saw(s, res.GetScoreboard().GetSequence(), res.GetReset_(), res)
				}
			}()
			continue
		}
		stream := must(pb.NewEventServiceClient(conn).WatchEvent(t.Context(), &pb.WatchEventRequest{Event: cup}))
		go func() {
			for res, err := stream.Recv(); err == nil; res, err = stream.Recv() {
				c.saw(s, res.GetSequence(), res.GetReset_(), res)
			}
		}()
	}
	c.await(1)
	return c
}

func (c *crowded) saw(s *seer, seq uint64, reset bool, res proto.Message) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.seqs) > 0 {
		s.largest = max(s.largest, proto.Size(res))
	}
	s.seqs = append(s.seqs, seq)
	if reset {
		s.resets++
	}
	select {
	case c.came <- struct{}{}:
	default:
	}
}

// await waits until everybody has something of a sequence number or later.
func (c *crowded) await(seq uint64) {
	c.t.Helper()
	late := time.After(time.Minute)
	for _, s := range c.crowd {
		for {
			s.mu.Lock()
			n := len(s.seqs)
			there := n > 0 && s.seqs[n-1] >= seq
			s.mu.Unlock()
			if there {
				break
			}
			select {
			case <-c.came:
			case <-late:
				c.t.Fatalf("a watcher has not seen %d after a minute", seq)
			}
		}
	}
}

// mark lets a judge mark the element and returns the sequence number of that.
func (c *crowded) mark(judge, mark int32) uint64 {
	c.t.Helper()
	ctx := access.WithActor(c.t.Context(), access.Actor{Event: cup, Role: pb.Role_JUDGE, Judge: judge, Token: "1"})
	return must(c.SetElementMarks(ctx, &pb.SetElementMarksRequest{
		Event: cup, Category: category, Segment: short, Entry: c.entry, Judge: judge, Marks: []*pb.GivenElementMark{{Element: 1, Mark: &mark}},
	})).GetSequence()
}

// With 1,000 entries in one category every watcher has every change that can be seen,
// desks and hall alike, in order and without a reset, also when marks come faster than
// they are sent. A board stays small, and what is kept of it.
func TestThousandEntries(t *testing.T) {
	const entries, watchers, rounds, marks, largest = 1000, 20, 3, 100, 16 << 10
	c := newCrowded(t, entries, watchers)
	var want []uint64
	begun := time.Now()
	for range rounds {
		for i := range marks {
			want = append(want, c.mark(1, int32(i)%2+1))
		}
		c.await(want[len(want)-1])
	}
	t.Logf("%d marks to the last of %d watchers: %v", len(want), watchers, time.Since(begun))
	for i, s := range c.crowd {
		if !slices.Equal(s.seqs[1:], want) || s.resets > 0 {
			t.Errorf("watcher %d has %d of %d marks, %d resets", i, len(s.seqs)-1, len(want), s.resets)
		}
		if s.largest > largest {
			t.Errorf("watcher %d was sent %d bytes at once, want at most %d", i, s.largest, largest)
		}
	}
	// Places change as well, and the board with them; desks are sent all of them.
	for range 10 {
		c.finish(t, short, c.entry, 0)
		c.entry = c.callNext(t)
	}
	last := c.change(t, "Another Club")
	c.await(last)
	for i, s := range c.crowd {
		if hall := i%2 == 0; hall && s.largest > largest || s.resets > 0 {
			t.Errorf("watcher %d was sent %d bytes at once, want at most %d; %d resets", i, s.largest, largest, s.resets)
		}
	}
	if steps, bytes := c.hub.Kept(cup); bytes > live.KeptBytes || steps < 2*marks {
		t.Errorf("%d steps of the hall are kept, %d bytes of an audience, want at most %d", steps, bytes, live.KeptBytes)
	}
	whole := must(asREST.Marshal(c.snapshot(t)))
	if len(whole) > 2*largest {
		t.Errorf("the board is %d bytes as JSON, want at most %d", len(whole), 2*largest)
	}
	standing, final := c.standings(t, short)
	t.Logf("the board is %d bytes as JSON; with all places it would be %d more", len(whole),
		len(must(asREST.Marshal(standing)))+len(must(asREST.Marshal(final)))-
			len(must(asREST.Marshal(c.snapshot(t).GetStanding())))-len(must(asREST.Marshal(c.snapshot(t).GetFinalStanding()))))
}

// What was made for a crowd is kept for nobody once the last of it has gone.
func TestCrowdLeavesNothingBehind(t *testing.T) {
	h := newHall(t, 0)
	var crowd []*live.Watcher
	for i := range 50 {
		crowd = append(crowd, must(h.hub.JoinBoard(t.Context(), cup, nil, i%2 == 0)), must(h.hub.JoinDesk(as(t, pb.Role_REFEREE), cup, nil)))
	}
	for i := range 10 {
		h.change(t, fmt.Sprint("Place ", i))
	}
	for i, w := range crowd {
		if steps, bytes := h.hub.Kept(cup); steps != 10 || bytes == 0 || h.hub.Feeds() != 1 {
			t.Fatalf("after %d have gone %d steps are kept, %d bytes", i, steps, bytes)
		}
		w.Leave()
	}
	if n := h.hub.Feeds(); n != 0 {
		t.Errorf("%d events are kept for nobody", n)
	}
}

var asREST = protojson.MarshalOptions{EmitUnpopulated: true}

// BenchmarkEntries measures a mark to the last of 20 watchers and desks in an event of
// ordinary size and in a large one.
func BenchmarkEntries(b *testing.B) {
	for _, entries := range []int{30, 1000} {
		b.Run(fmt.Sprint(entries), func(b *testing.B) {
			c := newCrowded(b, entries, 20)
			for i := int32(0); b.Loop(); i++ {
				c.await(c.mark(1, i%2+1))
			}
		})
	}
}
