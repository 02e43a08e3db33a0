package live_test

import (
	"bytes"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"google.golang.org/protobuf/encoding/protojson"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/live"
	"github.com/rinktally/rinktally/server/tables"
)

// The board follows a segment from before its start to the referee's signature.
func TestBoardThroughASegment(t *testing.T) {
	h := newHall(t, 0)
	if b := h.snapshot(t); b.GetSegment() != nil || b.GetSkater() != nil || len(b.GetSegments()) != 2 || b.GetName() != "Spring Cup" || b.GetSequence() == 0 {
		t.Fatalf("before the start: %v", b)
	}
	h.start(t, short)
	b := h.snapshot(t)
	if b.GetSegment().GetSegment() != short || b.GetSegment().GetStatus() != pb.ResultStatus_PROVISIONAL || b.GetSkater() != nil || len(b.GetNext()) != 3 {
		t.Fatalf("after the start: %v", b)
	}
	h.call(t, short, "1")
	b = h.snapshot(t)
	// 2A is 3.30 in the sheets of 2025-26.
	if p := b.GetSkater().GetPerformance(); p.GetEntry() != "1" || p.GetElementScore() != "3.30" || p.GetState() != pb.PerformanceState_ON_ICE {
		t.Errorf("on the ice: %v", p)
	}
	if b.GetSkater().GetLead() != nil || len(b.GetNext()) != 2 || b.GetNext()[0].GetEntry() != "2" {
		t.Errorf("nobody can lead yet, but: %v; next: %v", b.GetSkater().GetLead(), b.GetNext())
	}
	first := h.finish(t, short, "1", 2)
	b = h.snapshot(t)
	if s := b.GetSkater(); s.GetPlace() != 1 || s.GetFinalPlace() != 1 || s.GetPerformance().GetSegmentScore() != first.GetSegmentScore() {
		t.Errorf("confirmed: %v", s)
	}
	h.call(t, short, "2")
	b = h.snapshot(t)
	if l := b.GetSkater().GetLead(); l.GetEntry() != "1" || l.GetTotalScore() != first.GetSegmentScore() || l.GetSegmentScoreToExceed() != first.GetSegmentScore() {
		t.Errorf("lead: %v, want to exceed %s", l, first.GetSegmentScore())
	}
	if b.GetSegment().GetConfirmed() != 1 || b.GetSegment().GetPerformances() != 3 {
		t.Errorf("%d of %d confirmed, want 1 of 3", b.GetSegment().GetConfirmed(), b.GetSegment().GetPerformances())
	}
	second := h.finish(t, short, "2", 4)
	h.call(t, short, "3")
	h.finish(t, short, "3", -1)
	must(h.PublishSegment(as(t, pb.Role_REFEREE), &pb.PublishSegmentRequest{Event: cup, Category: category, Segment: short}))
	b = h.snapshot(t)
	var order []string
	for _, p := range b.GetStanding().GetPlaces() {
		order = append(order, p.GetEntry())
	}
	if strings.Join(order, "") != "213" || b.GetStanding().GetStatus() != pb.ResultStatus_OFFICIAL || b.GetFinalStanding().GetStatus() != pb.ResultStatus_PROVISIONAL {
		t.Errorf("signed: %v, %v", order, b.GetStanding())
	}

	// In the second segment what counts is the sum. Nobody leads before somebody
	// has skated it, even who leads after the first.
	h.start(t, free)
	h.call(t, free, "1")
	if b = h.snapshot(t); b.GetSkater().GetLead() != nil || b.GetSegment().GetSegment() != free {
		t.Errorf("first of the free skating: %v", b.GetSkater().GetLead())
	}
	total := h.finish(t, free, "1", 1)
	h.call(t, free, "2")
	b = h.snapshot(t)
	sum := b.GetFinalStanding().GetPlaces()[0].GetTotalScore()
	if l := b.GetSkater().GetLead(); l.GetEntry() != "1" || l.GetTotalScore() != sum ||
		hundredths(t, l.GetSegmentScoreToExceed()) != hundredths(t, sum)-hundredths(t, second.GetSegmentScore()) ||
		hundredths(t, sum) != hundredths(t, first.GetSegmentScore())+hundredths(t, total.GetSegmentScore()) {
		t.Errorf("lead in the free skating: %v; leader has %s, the skater brings %s", l, sum, second.GetSegmentScore())
	}
}

// Points alone do not make the lead over somebody who has skated more segments.
func TestNoLeadForWhoSkatedLess(t *testing.T) {
	h := newHall(t, 0)
	h.start(t, short)
	for _, entry := range []string{"1", "2", "3"} {
		h.call(t, short, entry)
		h.finish(t, short, entry, 1)
	}
	must(h.AddEntry(as(t, pb.Role_ORGANISER), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Late Invented"}))
	must(h.DrawStartingOrder(as(t, pb.Role_ORGANISER), &pb.DrawStartingOrderRequest{
		Event: cup, Category: category, Segment: free, Method: pb.OrderMethod_GIVEN, Entries: []string{"1", "4", "2"},
	}))
	must(h.StartSegment(as(t, pb.Role_REFEREE), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: free}))
	h.call(t, free, "1")
	h.finish(t, free, "1", -5)
	h.call(t, free, "4")
	if l := h.snapshot(t).GetSkater().GetLead(); l != nil {
		t.Errorf("who has skated the free skating only is told to need %s for the lead", l.GetSegmentScoreToExceed())
	}
	h.finish(t, free, "4", 5)
	h.call(t, free, "2")
	if l := h.snapshot(t).GetSkater().GetLead(); l.GetEntry() != "1" {
		t.Errorf("lead: %v", l)
	}
}

// A server without the table that the event pins says so on the board too, from before
// the first segment on. Confirmed scores are those of the log there as well.
func TestBoardOfAServerWithoutTheTable(t *testing.T) {
	h := newHall(t, 0)
	season := must(seasons.FS.ReadFile("2025-26/season.yaml"))
	other := must(tables.New(func() time.Time { return day }, table.Layer{Name: "club", FS: fstest.MapFS{
		"2025-26/season.yaml": {Data: bytes.Replace(season, []byte("title: Season"), []byte("title: Other season"), 1)},
	}}))
	archive := tables.NewArchive(other, nil, "") // without the log that the pinned one is kept in
	hub := live.NewHub(h.book, archive, nil)
	t.Cleanup(hub.Close)
	elsewhere := live.New(hub, 0)
	board := func(of *live.Service) *pb.Scoreboard {
		return must(of.GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: cup})).GetScoreboard()
	}
	check := func(when string) {
		t.Helper()
		here, there := board(h.board), board(elsewhere)
		if len(here.GetWarnings()) > 0 || len(there.GetWarnings()) != 1 || there.GetWarnings()[0].GetCode() != "REVISION_CHANGED" {
			t.Errorf("%s: warnings %v, and without the table %v", when, here.GetWarnings(), there.GetWarnings())
		}
	}
	check("before the start")
	h.start(t, short)
	h.call(t, short, "1")
	score := h.finish(t, short, "1", 2).GetSegmentScore()
	check("confirmed")
	if got := board(elsewhere).GetStanding().GetPlaces()[0].GetSegmentScore(); got != score {
		t.Errorf("without the table the score is %s, want %s", got, score)
	}
}

func hundredths(t *testing.T, points string) int {
	t.Helper()
	n := 0
	for _, c := range strings.Replace(points, ".", "", 1) {
		n = n*10 + int(c-'0')
	}
	return n
}

// No judge's mark is on the board, not even after the confirmation.
func TestBoardShowsNoMarks(t *testing.T) {
	h := newHall(t, 0)
	h.start(t, short)
	h.call(t, short, "1")
	check := func() {
		t.Helper()
		body := string(must(protojson.Marshal(h.snapshot(t))))
		for _, hidden := range []string{`"marks"`, `"judge"`, `"missing"`} {
			if strings.Contains(body, hidden) {
				t.Errorf("the board has %s", hidden)
			}
		}
	}
	check()
	h.finish(t, short, "1", 2)
	check()
	if len(h.snapshot(t).GetSkater().GetPerformance().GetComponents()) != 3 {
		t.Error("the components are gone with their marks")
	}
}
