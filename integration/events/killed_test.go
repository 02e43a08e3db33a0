package events_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"sync"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/integration/rounds"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// roundsName is the variable that says how often servers are killed.
const roundsName = "RINKTALLY_CRASH_ROUNDS"

// killed kills a server at a random moment while judges give marks, again and
// again, and starts it again. Where several servers share a store, the others go on
// meanwhile. After each kill the judges repeat what was not answered. Then every
// mark is in the log once: where its answer said, and in the order in which its
// judge gave them.
func killed(t *testing.T, p program, servers int, kept ...string) {
	admin := p.Admin(t, kept...)
	k := &killing{admin: admin, place: map[string]uint64{}}
	running := make([]*process, servers)
	conns := make([]*grpc.ClientConn, servers)
	serve := func(i int) {
		running[i] = p.serve(t, kept...)
		conns[i] = dial(t, running[i].GRPC)
	}
	for i := range running {
		serve(i)
	}
	k.prepare(t, conns[0])
	n := rounds.Of(t, roundsName, 7)
	for round := range n {
		victim := round % servers
		open := k.round(t, round, conns, running[victim].Kill)
		_ = conns[victim].Close()
		serve(victim)
		k.repeat(t, conns[victim], open)
		k.check(t, conns[round/servers%servers])
		if t.Failed() {
			t.Fatalf("round %d; the killed server said:\n%s", round, running[victim].Log.String())
		}
	}
	if whole := len(facts(t, conns[0], admin, killCup)); whole != k.setup+len(k.place) {
		t.Errorf("%d facts, want %d", whole, k.setup+len(k.place))
	}
	p.checkWhole(t, kept...)
	t.Logf("%d kills: %d marks were acknowledged at once, %d repeated after, of which %d had been written",
		n, len(k.place)-k.repeated, k.repeated, k.silent)
	if k.repeated == 0 || len(k.place) == k.repeated {
		t.Error("the kills came at no interesting moment")
	}
}

const (
	killCup    = "kill-cup"
	killJudges = 4
)

// killing is what is known of the marks of an event whose servers are killed.
type killing struct {
	admin string
	setup int               // facts ahead of the marks
	place map[string]uint64 // sequence number by request id, of what was answered
	seen  int               // facts that were checked

	repeated, silent int
}

func (k *killing) prepare(t *testing.T, conn *grpc.ClientConn) {
	t.Helper()
	ctx := with(t.Context(), k.admin)
	const category, short = "senior-women", "short-program"
	events := pb.NewEventServiceClient(conn)
	must(events.CreateEvent(ctx, &pb.CreateEventRequest{Event: killCup, Name: "Kill Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	must(events.SetPanel(ctx, &pb.SetPanelRequest{Event: killCup, Panel: &pb.EventPanel{Judges: killJudges}}))
	must(events.SetCategory(ctx, &pb.SetCategoryRequest{Event: killCup, Category: category}))
	must(events.AddEntry(ctx, &pb.AddEntryRequest{Event: killCup, Category: category, Name: "Ada Invented"}))
	must(events.DrawStartingOrder(ctx, &pb.DrawStartingOrderRequest{Event: killCup, Category: category, Segment: short}))
	must(events.StartSegment(ctx, &pb.StartSegmentRequest{Event: killCup, Category: category, Segment: short}))
	must(events.CallSkater(ctx, &pb.CallSkaterRequest{Event: killCup, Category: category, Segment: short, Entry: "1"}))
	res := must(events.CallElement(ctx, &pb.CallElementRequest{Event: killCup, Category: category, Segment: short, Entry: "1", Code: "3Lz"}))
	k.setup = int(res.GetSequence())
	k.seen = k.setup
}

// mark enters a judge's mark; its request id says by whom and which.
func (k *killing) mark(ctx context.Context, conn *grpc.ClientConn, judge int32, number int) (id string, seq uint64, err error) {
	request := k.request(judge, number)
	res, err := pb.NewEventServiceClient(conn).SetElementMarks(with(ctx, k.admin), request)
	return request.GetRequestId(), res.GetSequence(), err
}

func (k *killing) request(judge int32, number int) *pb.SetElementMarksRequest {
	const least, marks = -5, 11
	return &pb.SetElementMarksRequest{
		Event: killCup, Category: "senior-women", Segment: "short-program", Entry: "1", Judge: judge, RequestId: fmt.Sprintf("%d-%d", judge, number),
		Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32(least + number%marks))}},
	}
}

// numbers of a round's marks begin here, so that each mark has one of its own.
const roundNumbers = 100_000

// round lets the judges mark, kills a server, and returns by judge the number of the
// mark that was not answered.
func (k *killing) round(t *testing.T, round int, conns []*grpc.ClientConn, kill func()) map[int32]int {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	var mu sync.Mutex // guards open and k.place
	open := map[int32]int{}
	answered, over := make(chan struct{}), make(chan struct{})
	var wait sync.WaitGroup
	for judge := int32(1); judge <= killJudges; judge++ {
		conn := conns[int(judge)%len(conns)]
		wait.Go(func() {
			for number := round * roundNumbers; ; number++ {
				id, seq, err := k.mark(ctx, conn, judge, number)
				mu.Lock()
				if err == nil {
					k.place[id] = seq
				} else {
					open[judge] = number
				}
				mu.Unlock()
				if err != nil {
					if status.Code(err) != codes.Unavailable {
						t.Errorf("judge %d: %v", judge, err)
					}
					return
				}
				select {
				case answered <- struct{}{}:
				case <-over:
					return
				}
			}
		})
	}
	for range rand.IntN(60) { // any moment is as good as another
		select {
		case <-answered:
		case <-ctx.Done():
			t.Fatal("nobody is answered any more")
		}
	}
	kill()
	close(over)
	wait.Wait()
	return open
}

// repeat makes the calls that were not answered again.
func (k *killing) repeat(t *testing.T, conn *grpc.ClientConn, open map[int32]int) {
	t.Helper()
	written := map[string]bool{}
	for _, f := range k.news(t, conn) {
		written[f.GetRequestId()] = true
	}
	for judge, number := range open {
		id, seq, err := k.mark(t.Context(), conn, judge, number)
		if err != nil {
			t.Fatalf("judge %d repeats: %v", judge, err)
		}
		k.place[id] = seq
		k.repeated++
		if written[id] {
			k.silent++
		}
	}
}

// news returns the facts that were not checked yet.
func (k *killing) news(t *testing.T, conn *grpc.ClientConn) []*pb.EventFact {
	t.Helper()
	res, err := pb.NewEventServiceClient(conn).ListFacts(with(t.Context(), k.admin), &pb.ListFactsRequest{Event: killCup, AfterSequence: uint64(k.seen), PageSize: 1000})
	if err != nil {
		t.Fatal(err)
	}
	return res.GetFacts()
}

// check checks the facts of a round.
func (k *killing) check(t *testing.T, conn *grpc.ClientConn) {
	t.Helper()
	latest := map[string]int{} // number of the last mark, by judge
	for _, f := range k.news(t, conn) {
		k.seen++
		judge, text, _ := strings.Cut(f.GetRequestId(), "-")
		number, err := strconv.Atoi(text)
		if err != nil || f.GetSequence() != uint64(k.seen) || f.GetSequence() != k.place[f.GetRequestId()] {
			t.Errorf("fact %d is %v; its request was answered with %d", k.seen, f, k.place[f.GetRequestId()])
		}
		if before, ok := latest[judge]; ok && number != before+1 {
			t.Errorf("judge %s: mark %d follows mark %d", judge, number, before)
		}
		latest[judge] = number
	}
	if k.seen != k.setup+len(k.place) {
		t.Errorf("%d facts, but %d marks were answered", k.seen-k.setup, len(k.place))
	}
}

// checkWhole lets the program verify the log.
func (p program) checkWhole(t *testing.T, kept ...string) {
	t.Helper()
	out, err := p.Run(t, append([]string{"events", "verify"}, kept...)...)
	if err != nil || !strings.Contains(out, "whole  ") {
		t.Errorf("events verify: %v: %s", err, out)
	}
}
