package live_test

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
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
