package live_test

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/types/known/durationpb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
)

// watch begins to watch; it returns the stream and what ends it.
func watch(t testing.TB, client pb.ScoreboardServiceClient, after *uint64) grpc.ServerStreamingClient[pb.WatchScoreboardResponse] {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	return must(client.WatchScoreboard(ctx, &pb.WatchScoreboardRequest{Event: cup, AfterSequence: after}))
}

func sequence(t testing.TB, stream grpc.ServerStreamingClient[pb.WatchScoreboardResponse]) uint64 {
	t.Helper()
	for {
		res := must(stream.Recv())
		if b := res.GetScoreboard(); b != nil {
			if res.GetReset_() {
				t.Error("reset, though nothing was missed")
			}
			return b.GetSequence()
		}
	}
}

// Whoever joins gets the board as it is, then every commit in order, once.
func TestWatchGetsEveryCommitInOrder(t *testing.T) {
	h := newHall(t, 0)
	client := h.dial(t)
	now := h.snapshot(t).GetSequence()
	const watchers, commits = 20, 60
	var wait sync.WaitGroup
	for range watchers {
		stream := watch(t, client, nil)
		if got := sequence(t, stream); got != now {
			t.Fatalf("the first board is of %d, want %d", got, now)
		}
		wait.Go(func() {
			for want := now + 1; want <= now+commits; want++ {
				if got := sequence(t, stream); got != want {
					t.Errorf("board of %d, want %d", got, want)
					return
				}
			}
		})
	}
	for i := range commits {
		h.change(t, fmt.Sprint("Club ", i))
	}
	wait.Wait()
	if n := h.hub.Watchers(); n != watchers {
		t.Errorf("%d watch, want %d", n, watchers)
	}
}

// Facts of one request are one change on the board.
func TestWatchShowsWholeCommits(t *testing.T) {
	h := newHall(t, 0)
	client := h.dial(t)
	h.start(t, short)
	h.call(t, short, "1")
	h.finish(t, short, "1", 1)
	before := h.snapshot(t)
	stream := watch(t, client, new(before.GetSequence()))
	must(h.CorrectResult(as(t, pb.Role_REFEREE), &pb.CorrectResultRequest{
		Event: cup, Category: category, Segment: short, Entry: "1", Reason: "why",
		ElementMarks: []*pb.CorrectedElementMark{{Element: 1, Judge: 1, Mark: new(int32(5))}, {Element: 1, Judge: 2, Mark: new(int32(5))}},
	}))
	b := must(stream.Recv()).GetScoreboard()
	if b.GetSequence() != before.GetSequence()+3 || b.GetStanding().GetPlaces()[0].GetSegmentScore() == before.GetStanding().GetPlaces()[0].GetSegmentScore() {
		t.Errorf("the correction is shown as %d after %d", b.GetSequence(), before.GetSequence())
	}
}

// A watcher that comes back goes on where it was, also at a server that has just
// started; one that was away for too long, or that saw another log, is reset.
func TestWatchResumes(t *testing.T) {
	h := newHall(t, 0)
	seen := h.snapshot(t).GetSequence()
	var last uint64
	for i := range 5 {
		last = h.change(t, fmt.Sprint("Club ", i))
	}
	for range 2 {
		client := h.dial(t)
		stream := watch(t, client, &seen)
		for want := seen + 1; want <= last; want++ {
			if got := sequence(t, stream); got != want {
				t.Fatalf("resumed at %d, want %d", got, want)
			}
		}
		// Nothing was missed: the next is the next change.
		stream = watch(t, client, &last)
		last = h.change(t, fmt.Sprint("after ", last))
		if got := sequence(t, stream); got != last {
			t.Errorf("joined at the end and got %d, want %d", got, last)
		}
		future := last + 100
		if res := must(watch(t, client, &future).Recv()); !res.GetReset_() || res.GetScoreboard().GetSequence() != last {
			t.Errorf("a watcher from another log gets %d, reset %t", res.GetScoreboard().GetSequence(), res.GetReset_())
		}
		h.hub.Close()
		h.open(t, 0)
	}
	for i := range 300 { // more than are kept
		last = h.change(t, fmt.Sprint("many ", i))
	}
	if res := must(watch(t, h.dial(t), &seen).Recv()); !res.GetReset_() || res.GetScoreboard().GetSequence() != last {
		t.Errorf("after 300 changes: %d, reset %t; want %d with reset", res.GetScoreboard().GetSequence(), res.GetReset_(), last)
	}
}

// While nothing happens the stream says that it lives, and up to where.
func TestHeartbeat(t *testing.T) {
	h := newHall(t, 5*time.Millisecond)
	stream := watch(t, h.dial(t), nil)
	now := sequence(t, stream)
	for range 3 {
		if beat := must(stream.Recv()).GetHeartbeat(); beat.GetSequence() != now {
			t.Errorf("heartbeat %v, want %d", beat, now)
		}
	}
}

// A watcher that does not read is cut off, holds up nobody, and goes on without a
// gap when it comes back.
func TestSlowWatcherIsCut(t *testing.T) {
	h := newHall(t, 0)
	slow := must(h.hub.JoinBoard(t.Context(), cup, nil, false))
	taken := slow.Next()
	quick := watch(t, h.dial(t), nil)
	if got := sequence(t, quick); got != taken.Seq {
		t.Fatalf("the quick watcher begins with %d, the slow one with %d", got, taken.Seq)
	}
	cut := false
	for i := uint64(1); !cut; i++ {
		if want := h.change(t, fmt.Sprint("Club ", i)); sequence(t, quick) != want || i > 200 {
			t.Fatalf("change %d: the quick watcher did not get it, or the slow one is not cut off", i)
		}
		select {
		case <-slow.Cut:
			cut = true
		default:
		}
	}
	if f := slow.Next(); reasonOf(slow.Err()) != pb.ErrorReason_WATCHER_TOO_SLOW.String() || f != nil {
		t.Errorf("the slow watcher ended with %v, and then got %v", slow.Err(), f)
	}
	slow.Leave()
	if h.hub.Watchers() != 1 {
		t.Errorf("%d watch, want the quick one", h.hub.Watchers())
	}
	again := must(h.hub.JoinBoard(t.Context(), cup, &taken.Seq, false))
	for want := taken.Seq + 1; want <= h.snapshotSeq(t); want++ {
		f := again.Next()
		if f == nil || f.Seq != want {
			t.Fatalf("back again, the slow watcher gets %v, want %d", f, want)
		}
		if sent := string(must(f.SSE())); !strings.Contains(sent, "event: scoreboard\n") {
			t.Fatalf("back again, the slow watcher gets %s", sent)
		}
	}
}

// When the server stops, watchers are told to come back.
func TestWatchEndsWithTheServer(t *testing.T) {
	h := newHall(t, 0)
	client := h.dial(t)
	stream := watch(t, client, nil)
	sequence(t, stream)
	h.hub.Close()
	if _, err := stream.Recv(); reasonOf(err) != pb.ErrorReason_SERVER_STOPPING.String() {
		t.Errorf("the watch ended with %v", err)
	}
	if _, err := watch(t, client, nil).Recv(); reasonOf(err) != pb.ErrorReason_SERVER_STOPPING.String() {
		t.Errorf("a new watch ended with %v", err)
	}
}

// What cannot be watched is said; a restricted event needs a token of it.
func TestWhoMayWatch(t *testing.T) {
	h := newHall(t, 0)
	client := h.dial(t)
	stream := must(client.WatchScoreboard(t.Context(), &pb.WatchScoreboardRequest{Event: "no-cup"}))
	if _, err := stream.Recv(); reasonOf(err) != pb.ErrorReason_EVENT_UNKNOWN.String() {
		t.Errorf("unknown event: %v", err)
	}
	must(h.UpdateEvent(as(t, pb.Role_ORGANISER), &pb.UpdateEventRequest{Event: cup, Restricted: new(true)}))
	if _, err := watch(t, client, nil).Recv(); reasonOf(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
		t.Errorf("without a token: %v", err)
	}
	token := must(h.CreateToken(as(t, pb.Role_ORGANISER), &pb.CreateTokenRequest{Event: cup, Role: pb.Role_VIEWER})).GetToken()
	ctx := metadata.AppendToOutgoingContext(t.Context(), "authorization", "Bearer "+token)
	stream = must(client.WatchScoreboard(ctx, &pb.WatchScoreboardRequest{Event: cup}))
	if got := sequence(t, stream); got != h.snapshotSeq(t) {
		t.Errorf("the viewer got %d", got)
	}
	if _, err := client.GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: cup}); reasonOf(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
		t.Errorf("snapshot without a token: %v", err)
	}
}

// A token that is revoked or expires ends the watch that it began; who may still
// watch comes back and misses nothing. Who watched without a token is sent away
// when reading is restricted.
func TestWatchEndsWithTheRight(t *testing.T) {
	h := newHall(t, 0)
	client := h.dial(t)
	open := watch(t, client, nil)
	sequence(t, open)
	must(h.UpdateEvent(as(t, pb.Role_ORGANISER), &pb.UpdateEventRequest{Event: cup, Restricted: new(true)}))
	if _, err := open.Recv(); reasonOf(err) != pb.ErrorReason_ACCESS_CHANGED.String() {
		t.Errorf("without a token the watch ended with %v", err)
	}

	token := func(lifetime *durationpb.Duration) (*pb.TokenInfo, context.Context) {
		res := must(h.CreateToken(as(t, pb.Role_ORGANISER), &pb.CreateTokenRequest{Event: cup, Role: pb.Role_VIEWER, Lifetime: lifetime}))
		return res.GetInfo(), metadata.AppendToOutgoingContext(t.Context(), "authorization", "Bearer "+res.GetToken())
	}
	revoked, first := token(nil)
	_, second := token(nil)
	watchAs := func(ctx context.Context, after *uint64) grpc.ServerStreamingClient[pb.WatchScoreboardResponse] {
		return must(client.WatchScoreboard(ctx, &pb.WatchScoreboardRequest{Event: cup, AfterSequence: after}))
	}
	one, two := watchAs(first, nil), watchAs(second, nil)
	sequence(t, one)
	seen := sequence(t, two)
	must(h.RevokeToken(as(t, pb.Role_ORGANISER), &pb.RevokeTokenRequest{Event: cup, Token: revoked.GetId()}))
	for _, stream := range []grpc.ServerStreamingClient[pb.WatchScoreboardResponse]{one, two} {
		if _, err := stream.Recv(); reasonOf(err) != pb.ErrorReason_ACCESS_CHANGED.String() {
			t.Errorf("after a token was revoked the watch ended with %v", err)
		}
	}
	// One that was let in just before the token ended.
	late := access.WithActor(t.Context(), access.Actor{Event: cup, Role: pb.Role_VIEWER, Token: revoked.GetId()})
	if _, err := h.hub.JoinBoard(late, cup, &seen, false); reasonOf(err) != pb.ErrorReason_ACCESS_CHANGED.String() || h.hub.Watchers() != 0 {
		t.Errorf("to join with a token that was revoked a moment ago: %v, %d watch", err, h.hub.Watchers())
	}
	if _, err := watchAs(first, &seen).Recv(); reasonOf(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
		t.Errorf("with the revoked token: %v", err)
	}
	// Tokens are not seen in the hall; what is comes next.
	at := h.change(t, "Another Hall")
	if got := sequence(t, watchAs(second, &seen)); got != at {
		t.Errorf("back again, the other gets %d, want %d", got, at)
	}

	_, expired := token(durationpb.New(time.Second))
	stream, err := watchAs(expired, nil), error(nil)
	for err == nil {
		h.later.Store(int64(time.Hour))
		_, err = stream.Recv()
	}
	if reasonOf(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
		t.Errorf("with an expired token the watch ended with %v", err)
	}
}

func (h *hall) snapshotSeq(t testing.TB) uint64 { return h.snapshot(t).GetSequence() }

// A desk whose token is revoked is sent away at once, also where everybody may see
// the board; the others stay.
func TestDeskEndsWithItsToken(t *testing.T) {
	h := newHall(t, 0)
	client := pb.NewEventServiceClient(h.conn(t))
	sit := func() (id string, stream grpc.ServerStreamingClient[pb.WatchEventResponse]) {
		made := must(h.CreateToken(as(t, pb.Role_ORGANISER), &pb.CreateTokenRequest{Event: cup, Role: pb.Role_REFEREE}))
		ctx := metadata.AppendToOutgoingContext(t.Context(), "authorization", "Bearer "+made.GetToken())
		return made.GetInfo().GetId(), must(client.WatchEvent(ctx, &pb.WatchEventRequest{Event: cup}))
	}
	id, ended := sit()
	_, stays := sit()
	must(ended.Recv())
	must(stays.Recv())
	must(h.RevokeToken(as(t, pb.Role_ORGANISER), &pb.RevokeTokenRequest{Event: cup, Token: id}))
	err := error(nil)
	for err == nil {
		_, err = ended.Recv()
	}
	if reasonOf(err) != pb.ErrorReason_ACCESS_CHANGED.String() {
		t.Errorf("the desk ended with %v", err)
	}
	seq := h.change(t, "Another Hall")
	for res := must(stays.Recv()); res.GetSequence() != seq; res = must(stays.Recv()) {
	}
	if n := h.hub.Desks(); n != 1 {
		t.Errorf("%d desks are open, want 1", n)
	}
}

// A desk that comes back goes on where it was; one that was away for too long, or that
// saw another log, is sent everything as a reset. One that does not read is cut.
func TestDeskComesBack(t *testing.T) {
	h := newHall(t, 0)
	organiser := as(t, pb.Role_ORGANISER)
	slow := must(h.hub.JoinDesk(organiser, cup, nil))
	first := slow.Next()
	last := h.change(t, "Second Hall")
	sent := func(after uint64) string {
		t.Helper()
		w := must(h.hub.JoinDesk(organiser, cup, &after))
		defer w.Leave()
		return string(must(w.Next().SSE()))
	}
	if got := sent(first.Seq); !strings.HasPrefix(got, fmt.Sprintf("id: %d\nevent: change\n", last)) || strings.Contains(got, `"entries"`) || !strings.Contains(got, "Second Hall") {
		t.Errorf("back again, a desk is sent %s", got)
	}
	for i := range 300 {
		last = h.change(t, fmt.Sprint("Hall ", i))
	}
	for _, after := range []uint64{first.Seq, last + 100} {
		if got := sent(after); !strings.HasPrefix(got, fmt.Sprintf("id: %d\nevent: reset\n", last)) || !strings.Contains(got, `"reset":true`) || !strings.Contains(got, `"entries"`) {
			t.Errorf("after %d a desk is sent %s", after, got)
		}
	}
	<-slow.Cut
	if reasonOf(slow.Err()) != pb.ErrorReason_WATCHER_TOO_SLOW.String() || slow.Next() != nil {
		t.Errorf("a desk that does not read ends with %v", slow.Err())
	}
}

// A board of changes alone holds the members that have changed, whole, and puts
// together to the board that everybody can ask for.
func TestWatchChanges(t *testing.T) {
	h := newHall(t, 0)
	h.start(t, short)
	w := must(h.hub.JoinBoard(t.Context(), cup, nil, true))
	defer w.Leave()
	held := object{}
	names := func() []string {
		t.Helper()
		var changed []string
		for f := w.Next(); f != nil; f = w.Next() {
			_, data, _ := strings.Cut(string(must(f.SSE())), "\ndata: ")
			for name, value := range parse(t, []byte(data)) {
				held[name] = value
				changed = append(changed, name)
			}
		}
		slices.Sort(changed)
		return changed
	}
	if got := names(); len(got) != (&pb.Scoreboard{}).ProtoReflect().Descriptor().Fields().Len() {
		t.Errorf("the first board has %v, want all members", got)
	}
	again := &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: free, Method: pb.OrderMethod_GIVEN, Entries: []string{"1", "2", "3"}}
	for range 2 { // also when it is made again, long before its segment
		must(h.DrawStartingOrder(as(t, pb.Role_ORGANISER), again))
		if got := names(); !slices.Equal(got, []string{"event", "segments", "sequence", "time"}) {
			t.Errorf("an order changes %v", got)
		}
		again.Entries, again.Reason = []string{"3", "2", "1"}, "an invented reason"
	}
	h.call(t, short, "1")
	names()
	must(h.CallElement(as(t, pb.Role_TECHNICAL_PANEL), &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Code: "3F"}))
	if got := names(); !slices.Equal(got, []string{"event", "sequence", "skater", "time"}) {
		t.Errorf("an element changes %v", got)
	}
	must(h.RemoveElement(as(t, pb.Role_TECHNICAL_PANEL), &pb.RemoveElementRequest{Event: cup, Category: category, Segment: short, Entry: "1"}))
	h.finish(t, short, "1", 1)
	for _, entry := range []string{"2", "3"} {
		h.call(t, short, entry)
		names()
		h.finish(t, short, entry, 2)
	}
	names()
	want := parse(t, must(protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(h.snapshot(t))))
	if !reflect.DeepEqual(held, want) {
		t.Errorf("put together it is\n%v\nthe board is\n%v", held, want)
	}
}
