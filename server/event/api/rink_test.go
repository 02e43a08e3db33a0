package api_test

import (
	"context"
	"sync"
	"testing"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/tables"
)

// day is the date of every event here; the season valid then is 2025-26.
var day = time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)

// rink is a server's event part over a log in memory.
type rink struct {
	*api.Service

	log    *sqlite.Log
	book   *host.Book
	tables *tables.Archive
}

// embedded is the season tables, loaded once for all tests.
var embedded = sync.OnceValue(func() *tables.Tables {
	return must(tables.New(func() time.Time { return day }))
})

func newRink(t testing.TB) *rink {
	t.Helper()
	clock := func() time.Time { return day }
	log, err := sqlite.Open(t.Context(), sqlite.Options{Path: sqlite.Memory, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = log.Close() })
	seasons := tables.NewArchive(embedded(), log, "")
	book := host.NewBook(log, clock)
	return &rink{api.New(book, seasons), log, book, seasons}
}

func as(ctx context.Context, role pb.Role_Value, judge ...int32) context.Context {
	a := access.Actor{Role: role, Token: "1"}
	if len(judge) > 0 {
		a.Judge = judge[0]
	}
	return access.WithActor(ctx, a)
}

// The event that most tests use: one category, three skaters, three judges.
const (
	cup      = "spring-cup"
	category = "senior-women"
	short    = "short-program"
	free     = "free-skating"
)

// must returns the answer of a call that has to go well; the test ends otherwise.
func must[R any](res R, err error) R {
	if err != nil {
		panic(err)
	}
	return res
}

// refused checks that a call was refused for a reason, and where it was at fault.
func refused(t testing.TB, err error, reason pb.ErrorReason_Value, fields ...string) {
	t.Helper()
	if errs.Reason(err) != reason.String() {
		t.Fatalf("refused with %q, want %s: %v", errs.Reason(err), reason, err)
	}
	got := errs.Fields(err)
	for _, field := range fields {
		found := false
		for _, f := range got {
			found = found || f == field
		}
		if !found {
			t.Errorf("no fault at %q, only at %q: %v", field, got, err)
		}
	}
}

func organiser(t testing.TB) context.Context { return as(t.Context(), pb.Role_ORGANISER) }
func referee(t testing.TB) context.Context   { return as(t.Context(), pb.Role_REFEREE) }
func panel(t testing.TB) context.Context     { return as(t.Context(), pb.Role_TECHNICAL_PANEL) }

// newCup is a rink with the event set up: entries 1 to 3, no order yet.
func newCup(t testing.TB) *rink {
	t.Helper()
	r := newRink(t)
	must(r.CreateEvent(as(t.Context(), pb.Role_ADMIN), &pb.CreateEventRequest{
		Event: cup, Name: "Spring Cup", Place: "Invented Hall", StartDate: "2026-03-14", EndDate: "2026-03-15", Season: "2025-26",
	}))
	must(r.SetCategory(organiser(t), &pb.SetCategoryRequest{Event: cup, Category: category}))
	must(r.SetPanel(organiser(t), &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: 3}}))
	for _, name := range []string{"Ada Invented", "Bea Invented", "Cleo Invented"} {
		must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: name, Club: "Pond"}))
	}
	return r
}

// started is a rink whose first segment runs in the order 1, 2, 3.
func started(t testing.TB) *rink {
	t.Helper()
	r := newCup(t)
	must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{
		Event: cup, Category: category, Segment: short, Method: pb.OrderMethod_GIVEN, Entries: []string{"1", "2", "3"},
	}))
	must(r.StartSegment(referee(t), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
	return r
}

// call calls an entry to the ice and the elements.
func (r *rink) call(t testing.TB, segment, entry string, codes ...string) {
	t.Helper()
	must(r.CallSkater(panel(t), &pb.CallSkaterRequest{Event: cup, Category: category, Segment: segment, Entry: entry}))
	for _, code := range codes {
		must(r.CallElement(panel(t), &pb.CallElementRequest{Event: cup, Category: category, Segment: segment, Entry: entry, Code: code}))
	}
}

// mark sets every judge's marks: the same for each element and component.
func (r *rink) mark(t testing.TB, segment, entry string, mark int32, component float64, judges ...int32) {
	t.Helper()
	p := must(r.GetPerformance(referee(t), &pb.GetPerformanceRequest{Event: cup, Category: category, Segment: segment, Entry: entry})).GetPerformance()
	for _, judge := range judges {
		elements := &pb.SetElementMarksRequest{Event: cup, Category: category, Segment: segment, Entry: entry, Judge: judge}
		for _, e := range p.GetElements() {
			elements.Marks = append(elements.Marks, &pb.GivenElementMark{Element: e.GetElement(), Mark: &mark})
		}
		must(r.SetElementMarks(as(t.Context(), pb.Role_JUDGE, judge), elements))
		components := &pb.SetComponentMarksRequest{Event: cup, Category: category, Segment: segment, Entry: entry, Judge: judge}
		for _, c := range p.GetComponents() {
			components.Marks = append(components.Marks, &pb.GivenComponentMark{Component: c.GetComponent(), Mark: &component})
		}
		must(r.SetComponentMarks(as(t.Context(), pb.Role_JUDGE, judge), components))
	}
}

func (r *rink) confirm(t testing.TB, segment, entry string) *pb.Performance {
	t.Helper()
	return must(r.ConfirmSkater(referee(t), &pb.ConfirmSkaterRequest{Event: cup, Category: category, Segment: segment, Entry: entry})).GetPerformance()
}

// skate does all of it for one entry.
func (r *rink) skate(t testing.TB, segment, entry string, mark int32) *pb.Performance {
	t.Helper()
	r.call(t, segment, entry, "2A", "StSq3")
	r.mark(t, segment, entry, mark, 7, 1, 2, 3)
	return r.confirm(t, segment, entry)
}

func (r *rink) sheet(ctx context.Context, entry string) *pb.Performance {
	return must(r.GetPerformance(ctx, &pb.GetPerformanceRequest{Event: cup, Category: category, Segment: short, Entry: entry})).GetPerformance()
}

func (r *rink) segment(t testing.TB, key string) *pb.EventSegment {
	t.Helper()
	for _, g := range must(r.GetEvent(t.Context(), &pb.GetEventRequest{Event: cup})).GetEvent().GetCategories()[0].GetSegments() {
		if g.GetSegment() == key {
			return g
		}
	}
	t.Fatalf("no segment %s", key)
	return nil
}

func (r *rink) scoring() *scoring.Service { return scoring.New(r.tables.Tables()) }
