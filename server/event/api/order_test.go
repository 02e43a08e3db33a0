package api_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// order names the entries of a segment's starting order.
func (r *rink) order(t testing.TB, segment string) string {
	t.Helper()
	var entries []string
	for i, p := range r.segment(t, segment).GetOrder() {
		if p.GetNumber() != int32(i+1) {
			t.Errorf("place %d has number %d", i+1, p.GetNumber())
		}
		entries = append(entries, p.GetEntry())
	}
	return strings.Join(entries, " ")
}

// Who is entered after the draw is drawn into it with the same seed, which moves
// nobody else.
func TestLateEntryBeforeTheStart(t *testing.T) {
	r := newCup(t)
	for seed := range uint64(20) {
		draw := func() []string {
			must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Seed: &seed}))
			return strings.Fields(r.order(t, short))
		}
		before := draw()
		late := must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Late Invented"})).GetEntry().GetEntry()
		after := draw()
		if at := slices.Index(after, late); at < 0 || !slices.Equal(slices.Delete(after, at, at+1), before) {
			t.Fatalf("seed %d: %v, before entry %s came %v", seed, after, late, before)
		}
	}
}

// Why an order is made again stands in the log; who does not say is served too.
func TestReasonOfAnOrder(t *testing.T) {
	r := newCup(t)
	for _, reason := range []string{"", "", " a late entry "} {
		must(r.DrawStartingOrder(referee(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Reason: reason}))
	}
	var kept []string
	for _, f := range must(r.ListFacts(referee(t), &pb.ListFactsRequest{Event: cup})).GetFacts() {
		if f.GetKind() != "OrderDrawn" {
			continue
		}
		var fact struct{ Reason string }
		if err := json.Unmarshal([]byte(f.GetJson()), &fact); err != nil {
			t.Fatal(err)
		}
		kept = append(kept, fact.Reason)
	}
	if want := []string{"", "", "a late entry"}; !slices.Equal(kept, want) {
		t.Errorf("the log has the reasons %q, want %q", kept, want)
	}
	_, err := r.DrawStartingOrder(referee(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Reason: "two\nlines"})
	refused(t, err, pb.ErrorReason_FIELD_INVALID, "reason")
}

// Once the segment has started the referee places who came late among those who
// wait. What was skated stays, and nobody is forgotten at the signature.
func TestLateEntryWhileTheSegmentRuns(t *testing.T) {
	r := started(t)
	r.skate(t, short, "1", 2)
	r.call(t, short, "2", "2A")
	must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Late Invented"}))
	draw := func(method pb.OrderMethod_Value, entries ...string) error {
		_, err := r.DrawStartingOrder(referee(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Method: method, Entries: entries})
		return err
	}
	given := pb.OrderMethod_GIVEN
	refused(t, draw(pb.OrderMethod_RANDOM), pb.ErrorReason_NOT_NOW)
	refused(t, draw(given, "2", "1", "4", "3"), pb.ErrorReason_FIELD_INVALID, "entries[0]", "entries[1]")
	refused(t, draw(given, "1"), pb.ErrorReason_FIELD_INVALID, "entries")
	refused(t, draw(given, "1", "2", "4"), pb.ErrorReason_FIELD_REQUIRED, "entries")
	refused(t, draw(given, "1", "2", "4", "3", "4"), pb.ErrorReason_FIELD_INVALID, "entries[4]")
	if err := draw(given, "1", "2", "4", "3"); err != nil {
		t.Fatal(err)
	}
	if got := r.order(t, short); got != "1 2 4 3" {
		t.Errorf("order is %s", got)
	}
	if p := r.sheet(t.Context(), "1"); p.GetState() != pb.PerformanceState_CONFIRMED || p.GetSegmentScore() == "" {
		t.Errorf("what was skated is now %v", p)
	}
	if p := r.sheet(t.Context(), "2"); p.GetState() != pb.PerformanceState_ON_ICE || len(p.GetElements()) != 1 {
		t.Errorf("who is on the ice is now %v", p)
	}
	r.mark(t, short, "2", 1, 7, 1, 2, 3)
	r.confirm(t, short, "2")
	if p := must(r.CallSkater(referee(t), &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short})).GetPerformance(); p.GetEntry() != "4" {
		t.Errorf("next is %s, want 4", p.GetEntry())
	}
	must(r.WithdrawEntry(referee(t), &pb.WithdrawEntryRequest{Event: cup, Entry: "4"}))
	r.skate(t, short, "3", 3)

	must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Forgotten Invented"}))
	publish := &pb.PublishSegmentRequest{Event: cup, Category: category, Segment: short}
	_, err := r.PublishSegment(referee(t), publish)
	refused(t, err, pb.ErrorReason_INCOMPLETE)
	if err := draw(given, "1", "2", "4", "3", "5"); err != nil { // 4 was called, so the number stays
		t.Fatal(err)
	}
	if got := r.segment(t, short).GetState(); got != pb.SegmentState_RUNNING {
		t.Errorf("segment is %s, want RUNNING", got)
	}
	must(r.WithdrawEntry(referee(t), &pb.WithdrawEntryRequest{Event: cup, Entry: "5"}))
	if err := draw(given, "1", "2", "4", "3", "5"); err != nil { // who withdrew may keep the place
		t.Fatal(err)
	}
	must(r.ReinstateEntry(referee(t), &pb.ReinstateEntryRequest{Event: cup, Entry: "5", Reason: "an invented reason"}))
	r.skate(t, short, "5", 1)
	must(r.PublishSegment(referee(t), publish))
	refused(t, draw(given, "1", "2", "4", "3", "5"), pb.ErrorReason_NOT_NOW)
	_, err = r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Too Late Invented"})
	refused(t, err, pb.ErrorReason_NOT_NOW)
	_, err = r.ImportEntries(organiser(t), &pb.ImportEntriesRequest{Event: cup, Csv: "category,name\nsenior-women,Too Late Invented\n"})
	refused(t, err, pb.ErrorReason_CSV_INVALID, "csv.line[2].category")
}

// There is one sheet of ice: while somebody's score is open nobody else is
// called, in no segment, and a segment follows the one before it.
func TestOneSegmentAfterTheOther(t *testing.T) {
	r := started(t)
	must(r.SetCategory(organiser(t), &pb.SetCategoryRequest{Event: cup, Category: "senior-men"}))
	must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: "senior-men", Name: "Dan Invented"}))
	start := func(category, segment string) error {
		must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: segment}))
		_, err := r.StartSegment(referee(t), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: segment})
		return err
	}
	refused(t, start(category, free), pb.ErrorReason_NOT_NOW)
	r.call(t, short, "1", "2A")
	refused(t, start("senior-men", short), pb.ErrorReason_NOT_NOW)
	r.mark(t, short, "1", 1, 7, 1, 2, 3)
	r.confirm(t, short, "1")
	if err := start("senior-men", short); err != nil { // the women are interrupted
		t.Fatal(err)
	}
	must(r.CallSkater(referee(t), &pb.CallSkaterRequest{Event: cup, Category: "senior-men", Segment: short}))
	_, err := r.CallSkater(referee(t), &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short})
	refused(t, err, pb.ErrorReason_NOT_NOW)
	if !strings.Contains(err.Error(), "Dan Invented") {
		t.Errorf("who is on the ice is not named: %v", err)
	}
}

// To the free skating come those who have a place: not who withdrew or was
// disqualified after the short program, nor who did not skate it, who cannot come back
// either once that is signed.
func TestOnlyWhoHasAPlaceComesOn(t *testing.T) {
	r := newCup(t)
	for _, name := range []string{"Dora Invented", "Eve Invented"} {
		must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: name}))
	}
	must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{
		Event: cup, Category: category, Segment: short, Method: pb.OrderMethod_GIVEN, Entries: []string{"1", "2", "3", "4", "5"},
	}))
	must(r.StartSegment(referee(t), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
	withdraw := func(entry string, status pb.CompetitorStatus_Value) {
		must(r.WithdrawEntry(referee(t), &pb.WithdrawEntryRequest{Event: cup, Entry: entry, Status: status, Reason: "x"}))
	}
	withdraw("5", pb.CompetitorStatus_WITHDRAWN)
	for entry, mark := range map[string]int32{"1": 4, "2": 3, "3": 2, "4": 1} {
		r.skate(t, short, entry, mark)
	}
	must(r.PublishSegment(referee(t), &pb.PublishSegmentRequest{Event: cup, Category: category, Segment: short}))
	_, err := r.ReinstateEntry(referee(t), &pb.ReinstateEntryRequest{Event: cup, Entry: "5", Reason: "x"})
	refused(t, err, pb.ErrorReason_NOT_NOW)
	withdraw("2", pb.CompetitorStatus_WITHDRAWN)
	withdraw("4", pb.CompetitorStatus_DISQUALIFIED)
	reverse := &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: free, Method: pb.OrderMethod_REVERSE_STANDING}
	must(r.DrawStartingOrder(organiser(t), reverse))
	if got := r.order(t, free); got != "3 1" {
		t.Errorf("the order is %q, want the last of the standing first: 3 1", got)
	}
	must(r.ReinstateEntry(referee(t), &pb.ReinstateEntryRequest{Event: cup, Entry: "2", Reason: "x"}))
	must(r.DrawStartingOrder(organiser(t), reverse))
	if got := r.order(t, free); got != "3 2 1" {
		t.Errorf("the order with who came back is %q, want 3 2 1", got)
	}
	reverse.Qualified = 2
	must(r.DrawStartingOrder(organiser(t), reverse))
	if got := r.order(t, free); got != "2 1" {
		t.Errorf("the order of two is %q, want 2 1", got)
	}
}
