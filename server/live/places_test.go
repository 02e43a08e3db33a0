package live_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/live"
)

// enter adds entries to the three that are there, draws the short program and starts
// it.
func (h *hall) enter(t testing.TB, entries int) {
	t.Helper()
	var csv strings.Builder
	csv.WriteString("category,name\n")
	for i := range entries - 3 {
		fmt.Fprintf(&csv, "%s,Invented %d\n", category, i)
	}
	organiser := as(t, pb.Role_ORGANISER)
	must(h.ImportEntries(organiser, &pb.ImportEntriesRequest{Event: cup, Csv: csv.String()}))
	must(h.DrawStartingOrder(organiser, &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Seed: new(uint64(7))}))
	must(h.StartSegment(as(t, pb.Role_REFEREE), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
}

// callNext calls the next skater of the short program, who begins with a double axel.
func (h *hall) callNext(t testing.TB) string {
	t.Helper()
	p := must(h.CallSkater(as(t, pb.Role_TECHNICAL_PANEL), &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short})).GetPerformance()
	must(h.CallElement(as(t, pb.Role_TECHNICAL_PANEL), &pb.CallElementRequest{
		Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Code: "2A",
	}))
	return p.GetEntry()
}

// standings returns both standings as the calls answer that have always all places.
func (h *hall) standings(t testing.TB, segment string) (*pb.SegmentStanding, *pb.FinalStanding) {
	t.Helper()
	ctx := as(t, pb.Role_ORGANISER)
	return must(h.GetSegmentStanding(ctx, &pb.GetSegmentStandingRequest{Event: cup, Category: category, Segment: segment})).GetStanding(),
		must(h.GetFinalStanding(ctx, &pb.GetFinalStandingRequest{Event: cup, Category: category})).GetStanding()
}

func entries[P interface{ GetEntry() string }](places []P) []string {
	var list []string
	for _, p := range places {
		list = append(list, p.GetEntry())
	}
	return list
}

// A category of ordinary size stands on the board whole, and with nothing that says
// how many there are; one entry more and it is cut.
func TestOrdinaryCategoryIsWhole(t *testing.T) {
	for size, cut := range map[int]bool{3: false, live.MostPlaces: false, live.MostPlaces + 1: true} {
		h := newHall(t, 0)
		h.enter(t, size)
		board := h.snapshot(t)
		standing, final := h.standings(t, short)
		whole := proto.Equal(board.GetStanding(), standing) && proto.Equal(board.GetFinalStanding(), final)
		if said := strings.Contains(string(must(protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(board))), "totalPlaces"); whole == cut || said != cut {
			t.Errorf("%d entries: whole %t, says how many: %t", size, whole, said)
		}
	}
}

// Of a large category the board holds the first and the neighbours of who skates, in
// both standings the same entries, and says how many there are. Place and lead of the
// skater are those among all.
func TestLargeCategoryIsCut(t *testing.T) {
	const size, skated = 90, 40
	h := newHall(t, 0)
	h.enter(t, size)
	for i := range skated {
		h.finish(t, short, h.callNext(t), []int32{0, 3, -2, 5, -5, 1}[i%6])
		board := h.snapshot(t)
		standing, final := h.standings(t, short)
		all, shown := entries(standing.GetPlaces()), entries(board.GetStanding().GetPlaces())
		at := slices.Index(all, board.GetSkater().GetPerformance().GetEntry())
		want := map[string]bool{}
		for _, list := range [][]string{all, entries(final.GetPlaces())} {
			at := slices.Index(list, board.GetSkater().GetPerformance().GetEntry())
			for _, e := range slices.Concat(list[:live.FirstPlaces], list[max(0, at-live.BesidePlaces):at+live.BesidePlaces+1]) {
				want[e] = true
			}
		}
		in := func(e string) bool { return want[e] }
		for _, e := range all {
			if in(e) != slices.Contains(shown, e) {
				t.Fatalf("after %d: entry %s is shown: %t", i, e, !in(e))
			}
		}
		if got := entries(board.GetFinalStanding().GetPlaces()); len(got) != len(shown) || slices.ContainsFunc(got, func(e string) bool { return !in(e) }) {
			t.Fatalf("after %d: the result over the segments shows %v, the segment %v", i, got, shown)
		}
		if board.GetStanding().GetTotalPlaces() != size || board.GetFinalStanding().GetTotalPlaces() != size || len(shown) > live.MostPlaces {
			t.Fatalf("after %d: %d of %d and %d", i, len(shown), board.GetStanding().GetTotalPlaces(), board.GetFinalStanding().GetTotalPlaces())
		}
		if s := board.GetSkater(); s.GetPlace() != standing.GetPlaces()[at].GetPlace() || s.GetFinalPlace() == 0 {
			t.Fatalf("after %d: the skater has place %d and %d over all, want %d", i, s.GetPlace(), s.GetFinalPlace(), standing.GetPlaces()[at].GetPlace())
		}
		// What is shown of a place is what it is.
		for _, p := range board.GetStanding().GetPlaces() {
			if !proto.Equal(p, standing.GetPlaces()[slices.Index(all, p.GetEntry())]) {
				t.Fatalf("after %d: %v", i, p)
			}
		}
	}
	h.callNext(t)
	// What changes of a place that is not shown is seen by who has read all of them.
	before, watcher := h.snapshot(t), must(h.hub.JoinBoard(t.Context(), cup, nil, true))
	defer watcher.Leave()
	watcher.Next()
	standing, _ := h.standings(t, short)
	shown := entries(before.GetStanding().GetPlaces())
	hidden := slices.DeleteFunc(entries(standing.GetPlaces()), func(e string) bool { return slices.Contains(shown, e) })[0]
	must(h.UpdateEntry(as(t, pb.Role_ORGANISER), &pb.UpdateEntryRequest{Event: cup, Entry: hidden, Club: new("Another Club")}))
	frame := watcher.Next()
	if frame == nil {
		t.Fatal("a place that is not shown has changed, and no watcher hears of it")
	}
	after := boardOf(t, frame)
	if a, b := before.GetStanding(), after.GetStanding(); a.GetPlacesTag() == b.GetPlacesTag() || before.GetFinalStanding().GetPlacesTag() == after.GetFinalStanding().GetPlacesTag() ||
		!slices.Equal(shown, entries(b.GetPlaces())) {
		t.Errorf("tags %q and %q of %v", a.GetPlacesTag(), b.GetPlacesTag(), b)
	}
	if lead := h.snapshot(t).GetSkater().GetLead(); lead.GetEntry() != h.snapshot(t).GetFinalStanding().GetPlaces()[0].GetEntry() {
		t.Errorf("the skater is to beat %v", lead)
	}
}

// A segment with few of a large category is whole on the board, and each of its
// entries stands in the result over the segments too.
func TestFewOfALargeCategory(t *testing.T) {
	const size, few = 70, 24
	h := newHall(t, 0)
	h.enter(t, size)
	for range size {
		h.finish(t, short, h.callNext(t), 0)
	}
	// The last of the short program go on, so that none of them is among the first.
	standing, _ := h.standings(t, short)
	going := entries(standing.GetPlaces())[size-few:]
	must(h.PublishSegment(as(t, pb.Role_REFEREE), &pb.PublishSegmentRequest{Event: cup, Category: category, Segment: short}))
	must(h.DrawStartingOrder(as(t, pb.Role_ORGANISER), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: free, Method: pb.OrderMethod_GIVEN, Entries: going}))
	must(h.StartSegment(as(t, pb.Role_REFEREE), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: free}))
	board := h.snapshot(t)
	if s := board.GetStanding(); len(s.GetPlaces()) != few || s.TotalPlaces != nil {
		t.Errorf("the free skating shows %d places, says %v", len(s.GetPlaces()), s.TotalPlaces)
	}
	shown := entries(board.GetFinalStanding().GetPlaces())
	for _, e := range going {
		if !slices.Contains(shown, e) {
			t.Errorf("entry %s is not in the result over the segments", e)
		}
	}
	if board.GetFinalStanding().GetTotalPlaces() != size || len(shown) >= size {
		t.Errorf("the result over the segments shows %d of %d", len(shown), board.GetFinalStanding().GetTotalPlaces())
	}
	if standing, final := pages(t, h, 11); len(standing) != few || len(final) != size {
		t.Errorf("the pages have %d and %d places, want %d and %d", len(standing), len(final), few, size)
	}
}

// pages reads all pages and returns their places.
func pages(t *testing.T, h *hall, size int32) (standing []*pb.SegmentPlace, final []*pb.FinalPlace) {
	t.Helper()
	req := &pb.ListPlacesRequest{Event: cup, PageSize: size}
	for {
		page := must(h.board.ListPlaces(t.Context(), req))
		if n := max(len(page.GetStanding().GetPlaces()), len(page.GetFinalStanding().GetPlaces())); n > int(size) || n == 0 {
			t.Fatalf("a page has %d places, want 1 to %d", n, size)
		}
		standing = append(standing, page.GetStanding().GetPlaces()...)
		final = append(final, page.GetFinalStanding().GetPlaces()...)
		if req.PageToken = page.GetNextPageToken(); req.GetPageToken() == "" {
			return standing, final
		}
	}
}

// All pages together are both standings, whether somebody watches or not; pages go on
// while marks come in, and are refused when a place has changed in between.
func TestPagesOfPlaces(t *testing.T) {
	const size = 70
	h := newHall(t, 0)
	if before := must(h.board.ListPlaces(t.Context(), &pb.ListPlacesRequest{Event: cup})); before.GetStanding() != nil || before.GetNextPageToken() != "" {
		t.Errorf("before the first segment: %v", before)
	}
	h.enter(t, size)
	for i := range 5 {
		h.finish(t, short, h.callNext(t), int32(i))
	}
	check := func() {
		t.Helper()
		standing, final := h.standings(t, short)
		for _, page := range []int32{1, 7, 69, 70, 1000} {
			gotStanding, gotFinal := pages(t, h, page)
			if !proto.Equal(&pb.SegmentStanding{Places: gotStanding}, &pb.SegmentStanding{Places: standing.GetPlaces()}) ||
				!proto.Equal(&pb.FinalStanding{Places: gotFinal}, &pb.FinalStanding{Places: final.GetPlaces()}) {
				t.Errorf("pages of %d are not the standings", page)
			}
		}
		whole := must(h.board.ListPlaces(t.Context(), &pb.ListPlacesRequest{Event: cup}))
		if !proto.Equal(whole.GetStanding(), standing) || !proto.Equal(whole.GetFinalStanding(), final) || whole.GetSequence() == 0 {
			t.Error("what fits on a page is not as the calls of the standings answer it")
		}
	}
	check()
	watcher := must(h.hub.JoinBoard(t.Context(), cup, nil, true))
	defer watcher.Leave()
	check()
	entry := h.callNext(t)
	check()
	first := must(h.board.ListPlaces(t.Context(), &pb.ListPlacesRequest{Event: cup, PageSize: 10}))
	if first.GetStanding().GetTotalPlaces() != size {
		t.Errorf("the first page is of %d places, want %d", first.GetStanding().GetTotalPlaces(), size)
	}
	next := &pb.ListPlacesRequest{Event: cup, PageSize: 10, PageToken: first.GetNextPageToken()}
	must(h.SetElementMarks(as(t, pb.Role_ORGANISER), &pb.SetElementMarksRequest{
		Event: cup, Category: category, Segment: short, Entry: entry, Judge: 1, Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32)}},
	}))
	if after := must(h.board.ListPlaces(t.Context(), next)); after.GetSequence() <= first.GetSequence() {
		t.Errorf("after a mark the page is of %d, before of %d", after.GetSequence(), first.GetSequence())
	}
	h.finish(t, short, entry, 5)
	if _, err := h.board.ListPlaces(t.Context(), next); reasonOf(err) != pb.ErrorReason_PAGE_TOKEN_INVALID.String() {
		t.Errorf("a page of places that have changed: %v", err)
	}
	check()
	for reason, req := range map[pb.ErrorReason_Value]*pb.ListPlacesRequest{
		pb.ErrorReason_PAGE_TOKEN_INVALID: {Event: cup, PageToken: "nonsense"},
		pb.ErrorReason_FIELD_INVALID:      {Event: cup, PageSize: -1},
		pb.ErrorReason_EVENT_UNKNOWN:      {Event: "no-cup"},
	} {
		if _, err := h.board.ListPlaces(t.Context(), req); reasonOf(err) != reason.String() {
			t.Errorf("%v: %v, want %s", req, err, reason)
		}
	}
}
