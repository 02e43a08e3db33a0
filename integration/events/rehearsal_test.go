package events_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
)

// A rehearsal is played by everybody's own token, and seen by nobody else; nothing of it
// is left, in the event or on the disk, and none is made once the event has started.
func TestRehearsal(t *testing.T) {
	data := t.TempDir()
	s := start(t, func(c *config.Config) { c.Data = data })
	admin := with(t.Context(), s.admin)
	events := pb.NewEventServiceClient(s.conn(t))
	const cup = "a-cup-with-an-id-that-is-as-long-as-one-may-be-000000"
	must(events.CreateEvent(admin, &pb.CreateEventRequest{Event: cup, Name: "Long Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	must(events.SetCategory(admin, &pb.SetCategoryRequest{Event: cup, Category: category}))
	must(events.SetPanel(admin, &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: 1}}))
	must(events.ImportEntries(admin, &pb.ImportEntriesRequest{Event: cup, Csv: "category,name\nsenior-women,Ada Invented\n"}))
	must(events.DrawStartingOrder(admin, &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Seed: new(uint64(7))}))
	judge := with(t.Context(), must(events.CreateToken(admin, &pb.CreateTokenRequest{Event: cup, Role: pb.Role_JUDGE, Judge: 1})).GetToken())
	organiser := with(t.Context(), must(events.CreateToken(admin, &pb.CreateTokenRequest{Event: cup, Role: pb.Role_ORGANISER})).GetToken())
	before := facts(t, s.conn(t), s.admin, cup)
	board := get(t, s, "/v1/events/"+cup+"/scoreboard")
	desk := must(events.WatchEvent(judge, &pb.WatchEventRequest{Event: cup}))
	must(desk.Recv())

	id := must(events.BeginRehearsal(organiser, &pb.BeginRehearsalRequest{Event: cup})).GetRehearsal()
	if again := must(events.BeginRehearsal(admin, &pb.BeginRehearsalRequest{Event: cup})).GetRehearsal(); again != id || !strings.HasSuffix(id, "-rehearsal") {
		t.Errorf("the rehearsal is %q, then %q", id, again)
	}
	if _, err := desk.Recv(); reason(err) != "ACCESS_CHANGED" {
		t.Errorf("a desk that is open: %v", err)
	}
	if c := must(events.GetCaller(judge, &pb.GetCallerRequest{Event: cup})); c.GetRehearsal() != id {
		t.Errorf("the judge's desk hears %v", c)
	}
	if c := must(events.GetCaller(judge, &pb.GetCallerRequest{Event: id})); c.GetRole() != pb.Role_JUDGE || c.GetJudge() != 1 {
		t.Errorf("in the rehearsal the judge is %v", c)
	}
	if e := must(events.GetEvent(judge, &pb.GetEventRequest{Event: id})).GetEvent(); e.GetRehearsalOf() != cup || !strings.Contains(e.GetName(), "Rehearsal") {
		t.Errorf("the rehearsal is %v", e)
	}
	rehearsed := must(events.WatchEvent(judge, &pb.WatchEventRequest{Event: id}))
	must(rehearsed.Recv())
	at := func(event string) *pb.StartSegmentRequest {
		return &pb.StartSegmentRequest{Event: event, Category: category, Segment: short}
	}
	must(events.StartSegment(organiser, at(id)))
	must(events.CallSkater(organiser, &pb.CallSkaterRequest{Event: id, Category: category, Segment: short}))
	must(events.CallElement(organiser, &pb.CallElementRequest{Event: id, Category: category, Segment: short, Entry: "1", Code: "2A"}))
	must(events.SetElementMarks(judge, &pb.SetElementMarksRequest{
		Event: id, Category: category, Segment: short, Entry: "1", Judge: 1, Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32(3))}},
	}))
	for name, call := range map[string]func() (string, error){
		"everybody reads": func() (string, error) {
			_, err := events.GetEvent(t.Context(), &pb.GetEventRequest{Event: id})
			return "UNAUTHENTICATED", err
		},
		"everybody watches": func() (string, error) {
			_, err := pb.NewScoreboardServiceClient(s.conn(t)).GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: id})
			return "UNAUTHENTICATED", err
		},
		"a token of its own": func() (string, error) {
			_, err := events.CreateToken(organiser, &pb.CreateTokenRequest{Event: id, Role: pb.Role_JUDGE, Judge: 1})
			return "NOT_NOW", err
		},
		"a rehearsal of the rehearsal": func() (string, error) {
			_, err := events.BeginRehearsal(organiser, &pb.BeginRehearsalRequest{Event: id})
			return "NOT_NOW", err
		},
		"an event of that id": func() (string, error) {
			_, err := events.CreateEvent(admin, &pb.CreateEventRequest{Event: id, Name: "Mine", StartDate: "2026-03-14"})
			return "EVENT_EXISTS", err
		},
	} {
		if want, err := call(); reason(err) != want {
			t.Errorf("%s: %v, want %s", name, err, want)
		}
	}
	if list := must(events.ListEvents(admin, &pb.ListEventsRequest{})).GetEvents(); len(list) != 1 {
		t.Errorf("the administrator's list is %v", list)
	}
	if now := get(t, s, "/v1/events/"+cup+"/scoreboard"); !bytes.Equal(now, board) {
		t.Errorf("the event's board is %s, was %s", now, board)
	}

	// Another event whose id begins like this one's has a rehearsal of its own.
	alike := strings.TrimRight(cup, "0") + "000001"
	must(events.CreateEvent(admin, &pb.CreateEventRequest{Event: alike, Name: "Long Cup too", StartDate: "2026-03-14", Season: "2025-26"}))
	beside := must(events.BeginRehearsal(admin, &pb.BeginRehearsalRequest{Event: alike})).GetRehearsal()
	for of, rehearsal := range map[string]string{cup: id, alike: beside} {
		if e := must(events.GetEvent(admin, &pb.GetEventRequest{Event: rehearsal})).GetEvent(); e.GetRehearsalOf() != of {
			t.Errorf("%s, the rehearsal of %s, is %v", rehearsal, of, e)
		}
	}
	must(events.EndRehearsal(admin, &pb.EndRehearsalRequest{Event: alike}))

	must(events.EndRehearsal(organiser, &pb.EndRehearsalRequest{Event: cup}))
	must(events.EndRehearsal(organiser, &pb.EndRehearsalRequest{Event: cup}))
	for {
		if _, err := rehearsed.Recv(); err != nil {
			break
		}
	}
	if _, err := events.GetEvent(admin, &pb.GetEventRequest{Event: id}); reason(err) != "EVENT_UNKNOWN" {
		t.Errorf("after its end: %v", err)
	}
	if _, err := events.SetElementMarks(judge, &pb.SetElementMarksRequest{Event: id, Category: category, Segment: short, Entry: "1", Judge: 1}); err == nil {
		t.Error("a mark for what is over was taken")
	}
	if after := facts(t, s.conn(t), s.admin, cup); len(after) != len(before) {
		t.Errorf("the event had %d facts and has %d", len(before), len(after))
	}
	must(events.StartSegment(organiser, at(cup)))
	if _, err := events.BeginRehearsal(organiser, &pb.BeginRehearsalRequest{Event: cup}); reason(err) != "NOT_NOW" {
		t.Errorf("after the start: %v", err)
	}
	s.stop()
	for _, file := range must(filepath.Glob(filepath.Join(data, "*"))) {
		if text, err := os.ReadFile(file); err == nil && bytes.Contains(text, []byte(id)) {
			t.Error(fmt.Sprint(filepath.Base(file), " names the rehearsal"))
		}
	}
}
