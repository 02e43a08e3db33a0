package events_test

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
)

// The segment that is watched.
const (
	watched  = "watched-cup"
	category = "senior-women"
	short    = "short-program"
)

// segment is a short program of a small invented event that runs by script.
type segment struct {
	*desk

	t testing.TB
}

// newSegment makes the event up to the start of the segment.
func newSegment(t testing.TB, d *desk) segment {
	t.Helper()
	g := segment{d, t}
	must(d.CreateEvent(g.as(pb.Role_ADMIN, 0), &pb.CreateEventRequest{Event: watched, Name: "Watched Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	organiser := g.as(pb.Role_ORGANISER, 0)
	must(d.SetCategory(organiser, &pb.SetCategoryRequest{Event: watched, Category: category}))
	must(d.SetPanel(organiser, &pb.SetPanelRequest{Event: watched, Panel: &pb.EventPanel{Judges: 2}}))
	must(d.ImportEntries(organiser, &pb.ImportEntriesRequest{Event: watched, Csv: "category,name\nsenior-women,Ada Invented\nsenior-women,Bea Invented\n"}))
	must(d.DrawStartingOrder(organiser, &pb.DrawStartingOrderRequest{Event: watched, Category: category, Segment: short, Seed: new(uint64(7))}))
	must(d.StartSegment(g.as(pb.Role_REFEREE, 0), &pb.StartSegmentRequest{Event: watched, Category: category, Segment: short}))
	// Tokens are facts too; all are made before anybody watches.
	for _, a := range []access.Actor{{Role: pb.Role_TECHNICAL_PANEL}, {Role: pb.Role_JUDGE, Judge: 1}, {Role: pb.Role_JUDGE, Judge: 2}} {
		a.Event = watched
		must(d.token(t.Context(), a))
	}
	return g
}

func (g segment) as(role pb.Role_Value, judge int32) context.Context {
	return access.WithActor(g.t.Context(), access.Actor{Event: watched, Role: role, Judge: judge})
}

// call calls the next skater.
func (g segment) call() *pb.Performance {
	g.t.Helper()
	return must(g.CallSkater(g.as(pb.Role_TECHNICAL_PANEL, 0), &pb.CallSkaterRequest{Event: watched, Category: category, Segment: short})).GetPerformance()
}

// element calls an element and returns its number.
func (g segment) element(p *pb.Performance, code string) int32 {
	g.t.Helper()
	return must(g.CallElement(g.as(pb.Role_TECHNICAL_PANEL, 0), &pb.CallElementRequest{
		Event: watched, Category: category, Segment: short, Entry: p.GetEntry(), Code: code,
	})).GetElement()
}

// mark enters a judge's mark for an element and returns its sequence number.
func (g segment) mark(p *pb.Performance, element, judge, mark int32) uint64 {
	g.t.Helper()
	return must(g.SetElementMarks(g.as(pb.Role_JUDGE, judge), &pb.SetElementMarksRequest{
		Event: watched, Category: category, Segment: short, Entry: p.GetEntry(), Judge: judge,
		Marks: []*pb.GivenElementMark{{Element: element, Mark: &mark}},
	})).GetSequence()
}

// skate runs the next performance to its confirmation.
func (g segment) skate() {
	g.t.Helper()
	p := g.call()
	for i, code := range []string{"3Lz+3T", "3F", "FCSp4", "2A", "StSq3", "CSSp4", "CCoSp4"} {
		number := g.element(p, code)
		for judge := int32(1); judge <= 2; judge++ {
			g.mark(p, number, judge, int32(i)-judge)
		}
	}
	must(g.EndProgram(g.as(pb.Role_TECHNICAL_PANEL, 0), &pb.EndProgramRequest{Event: watched, Category: category, Segment: short, Entry: p.GetEntry()}))
	for judge := int32(1); judge <= 2; judge++ {
		var marks []*pb.GivenComponentMark
		for _, c := range p.GetComponents() {
			marks = append(marks, &pb.GivenComponentMark{Component: c.GetComponent(), Mark: new(7.25)})
		}
		must(g.SetComponentMarks(g.as(pb.Role_JUDGE, judge), &pb.SetComponentMarksRequest{
			Event: watched, Category: category, Segment: short, Entry: p.GetEntry(), Judge: judge, Marks: marks,
		}))
	}
	must(g.ConfirmSkater(g.as(pb.Role_REFEREE, 0), &pb.ConfirmSkaterRequest{Event: watched, Category: category, Segment: short, Entry: p.GetEntry()}))
}

// publish signs the segment.
func (g segment) publish() {
	g.t.Helper()
	must(g.PublishSegment(g.as(pb.Role_REFEREE, 0), &pb.PublishSegmentRequest{Event: watched, Category: category, Segment: short}))
}

// now is the sequence number that was acknowledged last.
func (d *desk) now() uint64 { return d.changes[len(d.changes)-1] }

// 2,000 watchers over SSE and 2,000 over gRPC see every change of a segment that
// can be seen, in order and once, and end with the board that everybody can ask for.
// The changes come in over both.
func TestEveryWatcherSeesEverything(t *testing.T) {
	const each = 2000
	s := start(t)
	g := newSegment(t, newDesk("watched", s.admin, s.conn(t), s.rest()))
	var seen sights
	seen.look(t, s, watched)
	g.before = func(int) { seen.look(t, s, watched) }
	var c crowd
	if err := c.join(s.HTTPAddr(), s.GRPCAddr(), watched, each, each); err != nil {
		t.Fatal(err)
	}
	c.read()
	c.await(t, g.now())
	g.skate()
	g.skate()
	g.publish()
	c.await(t, g.now())
	c.leave()

	seen.look(t, s, watched)
	want := seen.seqs
	overSSE, overGRPC := boards(t, s, watched)
	for i, w := range c.watchers {
		if got := w.numbers(); !slices.Equal(got, want) {
			t.Fatalf("watcher %d saw %v, want %v; it ended with: %v", i, got, want, w.err)
		}
		if slices.ContainsFunc(w.seen, func(u update) bool { return u.kind != "scoreboard" }) {
			t.Fatalf("watcher %d was reset, though nothing was missed", i)
		}
		if i < each && !bytes.Equal(w.board, overSSE) {
			t.Fatalf("watcher %d ends with %s, want %s", i, w.board, overSSE)
		}
		if i >= each && !bytes.Equal(w.board, c.watchers[each].board) {
			t.Fatalf("watcher %d ends with another board than the first over gRPC", i)
		}
	}
	last := &pb.Scoreboard{}
	if err := proto.Unmarshal(c.watchers[each].board, last); err != nil || !proto.Equal(last, overGRPC) {
		t.Errorf("over gRPC all end with %v, want %v (%v)", last, overGRPC, err)
	}
	if last.GetSegment().GetStatus() != pb.ResultStatus_OFFICIAL || len(last.GetStanding().GetPlaces()) != 2 {
		t.Errorf("the last board is no signed one: %v", last)
	}
	t.Logf("%d changes to %d watchers", len(want)-1, len(c.watchers))
}

// boards returns the scoreboard as REST and as gRPC answer it.
func boards(t testing.TB, s *server, event string) ([]byte, *pb.Scoreboard) {
	t.Helper()
	res := must(s.rest().http.Get("http://" + s.HTTPAddr() + "/v1/events/" + event + "/scoreboard"))
	defer res.Body.Close()
	body := must(io.ReadAll(res.Body))
	if res.StatusCode != http.StatusOK {
		t.Fatalf("HTTP %d: %s", res.StatusCode, body)
	}
	body, _ = bytes.CutPrefix(body, []byte(`{"scoreboard":`))
	body, _ = bytes.CutSuffix(body, []byte("}"))
	got := must(pb.NewScoreboardServiceClient(s.conn(t)).GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: event}))
	return body, got.GetScoreboard()
}
