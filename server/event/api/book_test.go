package api_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/demo"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/store"
)

func (r *rink) last(t testing.TB) uint64 {
	t.Helper()
	return must(r.log.Head(t.Context(), cup)).Seq
}

// A repeated request changes nothing and has the first one's sequence number; its
// id does not do for another request.
func TestRequestsAreRepeatable(t *testing.T) {
	r := newCup(t)
	add := &pb.AddEntryRequest{Event: cup, Category: category, Name: "Dora Invented", RequestId: "r-1"}
	first := must(r.AddEntry(organiser(t), add))
	must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Eve Invented"}))
	end := r.last(t)
	again := must(r.AddEntry(organiser(t), add))
	if again.GetSequence() != first.GetSequence() || again.GetEntry().GetEntry() != first.GetEntry().GetEntry() || r.last(t) != end {
		t.Errorf("repeated: %v, first: %v", again, first)
	}
	other := proto.CloneOf(add)
	other.Name = "Fay Invented"
	_, err := r.AddEntry(organiser(t), other)
	refused(t, err, pb.ErrorReason_REQUEST_ID_REUSED)
	_, err = r.UpdateEvent(organiser(t), &pb.UpdateEventRequest{Event: cup, Name: new("x"), RequestId: "r-1"})
	refused(t, err, pb.ErrorReason_REQUEST_ID_REUSED)
	for _, id := range []string{strings.Repeat("x", 65), "a\nb", " a", "é"} {
		other.RequestId = id
		_, err = r.AddEntry(organiser(t), other)
		refused(t, err, pb.ErrorReason_FIELD_INVALID, "requestId")
	}
	// An id with the sign that the log puts behind it is an id like any other.
	other.RequestId = "a#b"
	must(r.AddEntry(organiser(t), other))
	must(r.AddEntry(organiser(t), other))
	if n := len(r.entries(t)); n != 6 {
		t.Errorf("%d entries, want 6", n)
	}
	// A new event too.
	create := &pb.CreateEventRequest{Name: "Autumn Cup", StartDate: "2026-10-01", Season: "2025-26", RequestId: "r-1"}
	admin := as(t.Context(), pb.Role_ADMIN)
	one, two := must(r.CreateEvent(admin, create)), must(r.CreateEvent(admin, create))
	if one.GetEvent().GetEvent() != "autumn-cup" || two.GetEvent().GetEvent() != "autumn-cup" {
		t.Errorf("created %s and %s, want autumn-cup once", one.GetEvent().GetEvent(), two.GetEvent().GetEvent())
	}
	create.RequestId = "r-2"
	if id := must(r.CreateEvent(admin, create)).GetEvent().GetEvent(); id != "autumn-cup-2" {
		t.Errorf("the next event of that name is %s, want autumn-cup-2", id)
	}
}

// A call that expects another state than the present one is refused, and says
// where the event is.
func TestExpectedSequence(t *testing.T) {
	r := newCup(t)
	seen := r.last(t)
	update := &pb.UpdateEntryRequest{Event: cup, Entry: "1", Club: new("Lake"), ExpectedSequence: &seen}
	must(r.UpdateEntry(organiser(t), update))
	update.Club = new("Tarn")
	_, err := r.UpdateEntry(organiser(t), update)
	refused(t, err, pb.ErrorReason_SEQUENCE_CONFLICT)
	if got := errs.Metadata(err, "found"); got != fmt.Sprint(seen+1) {
		t.Errorf("the conflict says %q, want %d", got, seen+1)
	}
}

// A call that would change nothing writes nothing.
func TestNothingIsWrittenForNothing(t *testing.T) {
	r := newCup(t)
	end := r.last(t)
	must(r.UpdateEntry(organiser(t), &pb.UpdateEntryRequest{Event: cup, Entry: "1", Club: new("Pond")}))
	must(r.UpdateEvent(organiser(t), &pb.UpdateEventRequest{Event: cup, Name: new("Spring Cup")}))
	res := must(r.SetAbsentJudges(organiser(t), &pb.SetAbsentJudgesRequest{Event: cup, Category: category, Segment: short}))
	if r.last(t) != end || res.GetSequence() != end {
		t.Errorf("the log went from %d to %d", end, r.last(t))
	}
}

// Several servers on one log, and many callers on each, lose and double nothing.
func TestManyWriters(t *testing.T) {
	r := newCup(t)
	const callers, calls = 8, 10
	var wait sync.WaitGroup
	faults := make(chan error, callers*calls)
	for caller := range callers {
		server := api.New(host.NewBook(r.log, nil), r.tables)
		ctx := organiser(t)
		wait.Go(func() {
			for call := range calls {
				req := &pb.AddEntryRequest{
					Event: cup, Category: category, Name: fmt.Sprintf("Skater %d of %d", call, caller), RequestId: fmt.Sprintf("%d-%d", caller, call),
				}
				for range 3 { // each call three times, as after lost answers
					if _, err := server.AddEntry(ctx, req); err != nil {
						faults <- err
					}
				}
			}
		})
	}
	wait.Wait()
	close(faults)
	for err := range faults {
		t.Error(err)
	}
	names := map[string]bool{}
	for _, e := range r.entries(t) {
		names[e.GetName()] = true
	}
	if n := len(r.entries(t)); n != 3+callers*calls || len(names) != n {
		t.Errorf("%d entries with %d names, want %d", n, len(names), 3+callers*calls)
	}
}

// A server that starts over the same log shows the same event.
func TestStateIsAFoldOfTheLog(t *testing.T) {
	r := newRink(t)
	id := ""
	demo := &demo.Event{Service: r, Seed: 3, Today: day, Started: func(e string) { id = e }}
	if err := demo.Play(t.Context()); err != nil {
		t.Fatal(err)
	}
	fresh := api.New(host.NewBook(r.log, nil), r.tables)
	ctx := referee(t)
	old := must(r.GetEvent(ctx, &pb.GetEventRequest{Event: id}))
	if now := must(fresh.GetEvent(ctx, &pb.GetEventRequest{Event: id})); !proto.Equal(old, now) {
		t.Errorf("the event was %v and is %v", old, now)
	}
	for _, c := range old.GetEvent().GetCategories() {
		for _, g := range c.GetSegments() {
			for _, s := range g.GetOrder() {
				req := &pb.GetPerformanceRequest{Event: id, Category: c.GetCategory(), Segment: g.GetSegment(), Entry: s.GetEntry()}
				if a, b := must(r.GetPerformance(ctx, req)), must(fresh.GetPerformance(ctx, req)); !proto.Equal(a, b) {
					t.Errorf("the sheet of %s was %v and is %v", s.GetName(), a, b)
				}
			}
		}
	}
}

// The same seed plays the same event, another one another.
func TestDemoIsTheSameForASeed(t *testing.T) {
	scores := func(seed uint64) string {
		r := newRink(t)
		id := ""
		demo := &demo.Event{Service: r, Seed: seed, Today: day, Started: func(e string) { id = e }}
		if err := demo.Play(t.Context()); err != nil {
			t.Fatal(err)
		}
		var list []string
		for _, c := range []string{"senior-women", "senior-men"} {
			for _, p := range must(r.GetFinalStanding(t.Context(), &pb.GetFinalStandingRequest{Event: id, Category: c})).GetStanding().GetPlaces() {
				list = append(list, p.GetName()+" "+p.GetTotalScore())
			}
		}
		return strings.Join(list, ", ")
	}
	a, b := scores(1), scores(1)
	if a != b || len(a) == 0 {
		t.Errorf("seed 1 plays\n%s\nand\n%s", a, b)
	}
	if a == scores(2) {
		t.Error("seeds 1 and 2 play the same event")
	}
}

// A record that a newer program wrote stops the event instead of showing it
// without what the record says.
func TestUnknownFactsStopTheEvent(t *testing.T) {
	r := newCup(t)
	if _, err := r.log.Append(t.Context(), cup, r.last(t), "later", []store.Fact{{Kind: "SkaterSang"}}); err != nil {
		t.Fatal(err)
	}
	_, err := r.GetEvent(t.Context(), &pb.GetEventRequest{Event: cup})
	refused(t, err, pb.ErrorReason_INTERNAL)
	if !strings.Contains(err.Error(), "SkaterSang") {
		t.Errorf("the log's error does not name the kind: %v", err)
	}
	// The others are listed all the same; that this one is there is said to whom it
	// concerns.
	admin := as(t.Context(), pb.Role_ADMIN)
	must(r.CreateEvent(admin, &pb.CreateEventRequest{Event: "other-cup", Name: "Other Cup", StartDate: "2026-10-01", Season: "2025-26"}))
	if got := must(r.ListEvents(t.Context(), &pb.ListEventsRequest{})).GetEvents(); len(got) != 1 || got[0].GetEvent() != "other-cup" {
		t.Errorf("everybody is shown %v", got)
	}
	got := must(r.ListEvents(admin, &pb.ListEventsRequest{})).GetEvents()
	if len(got) != 2 || got[0].GetUnreadable() || !got[1].GetUnreadable() || got[1].GetEvent() != cup {
		t.Errorf("the administrator is shown %v", got)
	}
}

// A record that does not fit stops the event, also when its caller leaves in that
// moment: the next one must not be shown the state behind it.
func TestHalfAFoldIsNotShown(t *testing.T) {
	r := newCup(t)
	body, err := proto.Marshal(&logv1.EntryWithdrawn{Entry: "nobody"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.log.Append(t.Context(), cup, r.last(t), "damaged", []store.Fact{{Kind: "EntryWithdrawn", Body: body}}); err != nil {
		t.Fatal(err)
	}
	ctx, leave := context.WithCancel(t.Context())
	server := api.New(host.NewBook(&read{r.log, leave}, nil), r.tables)
	for range 2 {
		if _, err := server.GetEvent(ctx, &pb.GetEventRequest{Event: cup}); err == nil {
			t.Error("the event is shown without what the damaged record says")
		}
		ctx = t.Context()
	}
}

// read is a log that records when it was read.
type read struct {
	store.Log

	done func()
}

func (r *read) Read(ctx context.Context, stream string, after uint64, limit int) ([]store.Record, error) {
	defer r.done()
	return r.Log.Read(ctx, stream, after, limit)
}

// What the store says reaches the caller with the reason to act on, and asking for
// many events that do not exist keeps none of them.
func TestStoreFaults(t *testing.T) {
	r := newCup(t)
	for fault, reason := range map[error]pb.ErrorReason_Value{
		store.ErrStoreFull:       pb.ErrorReason_STORE_FULL,
		store.ErrUnavailable:     pb.ErrorReason_STORE_UNAVAILABLE,
		context.DeadlineExceeded: pb.ErrorReason_DEADLINE,
		errors.New("bad sector"): pb.ErrorReason_INTERNAL,
	} {
		server := api.New(host.NewBook(&faulty{r.log, fmt.Errorf("append: %w", fault)}, nil), r.tables)
		_, err := server.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Dora"})
		refused(t, err, reason)
		// The state is still that of the log.
		if n := len(must(server.ListEntries(t.Context(), &pb.ListEntriesRequest{Event: cup})).GetEntries()); n != 3 {
			t.Errorf("after %v there are %d entries, want 3", fault, n)
		}
	}
	for _, id := range []string{"", "no-such-event", "_server", "UPPER", "a b", strings.Repeat("x", 300)} {
		_, err := r.GetEvent(t.Context(), &pb.GetEventRequest{Event: id})
		refused(t, err, pb.ErrorReason_EVENT_UNKNOWN)
		_, err = r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: id, Category: category, Name: "Dora"})
		refused(t, err, pb.ErrorReason_EVENT_UNKNOWN)
	}
}

// faulty is a log whose appends fail.
type faulty struct {
	store.Log

	err error
}

func (f *faulty) Append(context.Context, string, uint64, string, []store.Fact) (store.Result, error) {
	return store.Result{}, f.err
}

// A server that others are quicker than, many times in a row, still writes.
func TestOthersAreQuicker(t *testing.T) {
	r := newCup(t)
	others := &quicker{Log: r.log, left: 100}
	server := api.New(host.NewBook(others, nil), r.tables)
	must(server.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Dora Invented"}))
	if n := len(r.entries(t)); n != 4 || others.left != 0 {
		t.Errorf("%d entries, want 4; others were to be quicker %d more times", n, others.left)
	}
}

// quicker is a log to which another server writes just before this one.
type quicker struct {
	store.Log

	left int
}

func (q *quicker) Append(ctx context.Context, stream string, after uint64, id string, facts []store.Fact) (store.Result, error) {
	if q.left > 0 {
		q.left--
		return store.Result{}, &store.ConflictError{Stream: stream, Expected: after, Actual: after + 1}
	}
	return q.Log.Append(ctx, stream, after, id, facts)
}

// Whoever has no role changes nothing, even where no interceptor stands before
// the service.
func TestNobodyChangesNothing(t *testing.T) {
	r := newCup(t)
	_, err := r.AddEntry(access.WithActor(t.Context(), access.Actor{}), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Dora"})
	refused(t, err, pb.ErrorReason_UNAUTHENTICATED)
}
