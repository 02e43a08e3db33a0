package live_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/live"
)

// object is JSON as a program that knows the contract reads it.
type object = map[string]any

// seat is somebody at a desk, who puts together what comes as the contract says.
type seat struct {
	who     access.Actor
	watcher *live.Watcher
	held    object
}

// everybody are all kinds of callers, with two judges of the panel.
var everybody = []access.Actor{
	{}, {Role: pb.Role_VIEWER}, {Role: pb.Role_ANNOUNCER}, {Role: pb.Role_TECHNICAL_PANEL},
	{Role: pb.Role_JUDGE, Judge: 1}, {Role: pb.Role_JUDGE, Judge: 2}, {Role: pb.Role_REFEREE}, {Role: pb.Role_ORGANISER}, {Role: pb.Role_ADMIN},
}

func (h *hall) seats(t testing.TB) []*seat {
	t.Helper()
	var list []*seat
	for _, who := range everybody {
		if who.Role != pb.Role_ROLE_UNSPECIFIED && who.Role != pb.Role_ADMIN {
			who.Event = cup
			who.Token = must(h.CreateToken(as(t, pb.Role_ORGANISER), &pb.CreateTokenRequest{Event: cup, Role: who.Role, Judge: who.Judge})).GetInfo().GetId()
		}
		list = append(list, &seat{who: who})
	}
	for _, s := range list {
		s.watcher = must(h.hub.JoinDesk(access.WithActor(t.Context(), s.who), cup, nil))
		t.Cleanup(s.watcher.Leave)
		if sent := s.take(t); len(sent) != 1 || !strings.Contains(sent[0], "event: change\n") {
			t.Fatalf("%v begins with %v", s.who, sent)
		}
	}
	return list
}

// take puts in all that has come, and returns it as Server-Sent Events.
func (s *seat) take(t testing.TB) []string {
	t.Helper()
	var sent []string
	for f := s.watcher.Next(); f != nil; f = s.watcher.Next() {
		text := string(must(f.SSE()))
		sent = append(sent, text)
		_, data, _ := strings.Cut(text, "\ndata: ")
		s.put(parse(t, []byte(data)))
	}
	return sent
}

func parse(t testing.TB, data []byte) object {
	t.Helper()
	var o object
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	if err := d.Decode(&o); err != nil {
		t.Fatal(err)
	}
	return o
}

// ids names the items of lists.
var ids = map[string]func(any) string{
	"entries":                func(x any) string { return x.(object)["entry"].(string) },
	"tokens":                 func(x any) string { return x.(object)["id"].(string) },
	"performance.elements":   func(x any) string { return fmt.Sprint(x.(object)["element"]) },
	"performance.components": func(x any) string { return x.(object)["component"].(string) },
	"performance.missing":    func(x any) string { id, _, _ := strings.Cut(x.(string), " of judge"); return id },
}

func (s *seat) put(change object) {
	if s.held == nil || change["reset"] == true {
		s.held = object{}
	}
	performance, _ := s.held["performance"].(object)
	removed, _ := change["removed"].([]any)
	for _, r := range removed {
		member, id := r.(object)["member"].(string), r.(object)["id"].(string)
		_, list, _ := strings.Cut(member, ".")
		switch {
		case list == "":
			delete(s.held, member)
		case list == "elements.call":
			for _, e := range performance["elements"].([]any) {
				if ids["performance.elements"](e) == id {
					e.(object)["call"] = nil
				}
			}
		default:
			performance[list] = slices.DeleteFunc(performance[list].([]any), func(x any) bool { return ids[member](x) == id })
		}
	}
	for name, value := range change {
		switch {
		case name == "removed" || name == "reset":
		case name == "performance":
			s.held[name] = performed(performance, value.(object))
		case ids[name] != nil:
			s.held[name] = merge(s.held[name], value, ids[name])
		default:
			s.held[name] = value
		}
	}
}

// performed puts a change into a performance; another performance, or another state,
// replaces it.
func performed(was, change object) object {
	for _, name := range []string{"category", "segment", "entry", "state"} {
		if value, there := change[name]; was == nil || there && value != was[name] {
			return change
		}
	}
	now := maps.Clone(was)
	for name, value := range change {
		id := ids["performance."+name]
		if id == nil {
			now[name] = value
			continue
		}
		for _, item := range value.([]any) {
			for _, old := range was[name].([]any) {
				if e, ok := item.(object); ok && name == "elements" && id(e) == id(old) && e["call"] == nil && e["code"] == old.(object)["code"] {
					e["call"] = old.(object)["call"]
				}
			}
		}
		now[name] = merge(was[name], value, id)
	}
	return now
}

func merge(held, came any, id func(any) string) []any {
	list, _ := held.([]any)
	list = slices.Clone(list)
	for _, item := range came.([]any) {
		if at := slices.IndexFunc(list, func(old any) bool { return id(old) == id(item) }); at >= 0 {
			list[at] = item
		} else {
			list = append(list, item)
		}
	}
	return list
}

// asked is what the calls that get and list answer, as REST does.
func (h *hall) asked(t testing.TB, s *seat) object {
	t.Helper()
	ctx := access.WithActor(t.Context(), s.who)
	out := object{}
	put := func(name string, m proto.Message, of string) {
		body := parse(t, must(protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(m)))
		out[name] = body[of]
	}
	put("event", must(h.GetEvent(ctx, &pb.GetEventRequest{Event: cup})), "event")
	put("entries", must(h.ListEntries(ctx, &pb.ListEntriesRequest{Event: cup})), "entries")
	if slices.Contains([]pb.Role_Value{pb.Role_ORGANISER, pb.Role_ADMIN, pb.Role_REFEREE, pb.Role_ANNOUNCER}, s.who.Role) { // ListTokens refuses all others
		list := must(h.ListTokens(ctx, &pb.ListTokensRequest{Event: cup}))
		for _, info := range list.GetTokens() {
			info.LastCallTime = nil // only the list says it
		}
		put("tokens", list, "tokens")
	}
	order, _ := s.held["order"].(object)
	if order == nil {
		return out
	}
	at, g := order["category"].(string), order["segment"].(string)
	for _, c := range out["event"].(object)["categories"].([]any) {
		for _, of := range c.(object)["segments"].([]any) {
			if of := of.(object); c.(object)["category"] == at && of["segment"] == g {
				out["order"] = object{"category": at, "segment": g, "state": of["state"], "places": of["order"], "draw": of["draw"]}
			}
		}
	}
	put("standing", must(h.GetSegmentStanding(ctx, &pb.GetSegmentStandingRequest{Event: cup, Category: at, Segment: g})), "standing")
	put("finalStanding", must(h.GetFinalStanding(ctx, &pb.GetFinalStandingRequest{Event: cup, Category: at})), "standing")
	if p, _ := s.held["performance"].(object); p != nil {
		put("performance", must(h.GetPerformance(ctx, &pb.GetPerformanceRequest{Event: cup, Category: at, Segment: g, Entry: p["entry"].(string)})), "performance")
	}
	return out
}

// comparable is what is compared: not where the event is, which moves with every
// fact, and for a judge not how far the other judges are.
func (s *seat) comparable(of object) object {
	out := maps.Clone(of)
	delete(out, "sequence")
	e := maps.Clone(out["event"].(object))
	delete(e, "sequence")
	out["event"] = e
	p, _ := out["performance"].(object)
	if p == nil || s.who.Role != pb.Role_JUDGE || p["state"] == "CONFIRMED" {
		return out
	}
	p = maps.Clone(p)
	delete(p, "missing")
	delete(p, "elementScore")
	for _, list := range []string{"elements", "components"} {
		var kept []any
		for _, item := range p[list].([]any) {
			of := maps.Clone(item.(object))
			delete(of, "marksGiven")
			if list == "elements" {
				delete(of, "goe")
				delete(of, "score")
			}
			kept = append(kept, of)
		}
		p[list] = kept
	}
	out["performance"] = p
	return out
}

// spin is a levelled element of a sheet.
var spin = &pb.LevelledElement{Kind: &pb.LevelledElement_Spin{Spin: &pb.Spin{Feet: []*pb.SpinFoot{
	{Positions: []*pb.SpinPosition{{Position: pb.Position_CAMEL, Variation: pb.Variation_CAMEL_UPWARD, Revolutions: 8}}},
	{Change: pb.FootChange_STEP, Positions: []*pb.SpinPosition{
		{Position: pb.Position_SIT, Variation: pb.Variation_SIT_FORWARD, Revolutions: 3}, {Position: pb.Position_UPRIGHT, Revolutions: 3},
	}},
}}}}

// What each role's desk holds is at every moment what its calls that read would
// answer, and never more. How far the other judges are is all that a judge's desk
// does not follow.
func TestDesksHoldWhatTheyMayRead(t *testing.T) {
	h := newHall(t, 0)
	desks := h.seats(t)
	frames := 0
	did := func(what string) func(any, error) {
		return func(_ any, err error) {
			t.Helper()
			if err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			for _, s := range desks {
				frames += len(s.take(t))
				if got, want := s.comparable(s.held), s.comparable(h.asked(t, s)); !reflect.DeepEqual(got, want) {
					t.Fatalf("%s: %v holds\n%s\nthe calls answer\n%s", what, s.who, must(json.MarshalIndent(got, "", " ")), must(json.MarshalIndent(want, "", " ")))
				}
			}
		}
	}
	organiser, referee, technical := as(t, pb.Role_ORGANISER), as(t, pb.Role_REFEREE), as(t, pb.Role_TECHNICAL_PANEL)
	judge := func(n int32) context.Context {
		return access.WithActor(t.Context(), access.Actor{Event: cup, Role: pb.Role_JUDGE, Judge: n, Token: "1"})
	}
	skates := func(entry string) (string, string, string, string) { return cup, category, short, entry }
	element := func(code string, skated *pb.LevelledElement, before int32) {
		t.Helper()
		e, c, g, n := skates("1")
		did("an element " + code)(h.CallElement(technical, &pb.CallElementRequest{Event: e, Category: c, Segment: g, Entry: n, Code: code, Skated: skated, Before: before}))
	}
	mark := func(n, element int32, mark *int32) {
		t.Helper()
		e, c, g, entry := skates("1")
		did("a mark")(h.SetElementMarks(judge(n), &pb.SetElementMarksRequest{Event: e, Category: c, Segment: g, Entry: entry, Judge: n, Marks: []*pb.GivenElementMark{{Element: element, Mark: mark}}}))
	}

	did("another name")(h.UpdateEvent(organiser, &pb.UpdateEventRequest{Event: cup, Name: new("Summer Cup")}))
	did("an entry")(h.AddEntry(organiser, &pb.AddEntryRequest{Event: cup, Category: category, Name: "Dora Invented"}))
	did("a withdrawal")(h.WithdrawEntry(referee, &pb.WithdrawEntryRequest{Event: cup, Entry: "4", Reason: "ill"}))
	did("an order")(h.DrawStartingOrder(organiser, &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Method: pb.OrderMethod_GIVEN, Entries: []string{"1", "2", "3"}}))
	did("the start")(h.StartSegment(referee, &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
	did("a skater")(h.CallSkater(technical, &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short}))
	element("2A", nil, 0)
	element("", spin, 0)
	element("3Lz+3T", nil, 1) // in front of the others
	mark(1, 1, new(int32(2)))
	mark(2, 1, new(int32(3)))
	mark(2, 2, new(int32(-1)))
	mark(1, 2, new(int32(1)))
	mark(1, 2, nil)
	did("a review")(h.ReviewElement(technical, &pb.ReviewElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 2, InReview: true}))
	did("the end of a review")(h.ReviewElement(technical, &pb.ReviewElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 2}))
	did("the same code by hand")(h.ReviseElement(technical, &pb.ReviseElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 2, Code: "CCoSp2"}))
	did("no element")(h.RemoveElement(technical, &pb.RemoveElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 3}))
	mark(1, 2, new(int32(0)))
	did("a fall")(h.SetDeductions(technical, &pb.SetDeductionsRequest{Event: cup, Category: category, Segment: short, Entry: "1", Deductions: []*pb.Deduction{{Kind: pb.DeductionKind_FALL}}}))
	did("the end")(h.EndProgram(technical, &pb.EndProgramRequest{Event: cup, Category: category, Segment: short, Entry: "1"}))
	did("no end")(h.EndProgram(technical, &pb.EndProgramRequest{Event: cup, Category: category, Segment: short, Entry: "1", TakeBack: true}))
	for n := int32(1); n <= 2; n++ {
		for _, c := range []pb.Component_Value{pb.Component_COMPOSITION, pb.Component_PRESENTATION, pb.Component_SKATING_SKILLS} {
			did("a component")(h.SetComponentMarks(judge(n), &pb.SetComponentMarksRequest{Event: cup, Category: category, Segment: short, Entry: "1", Judge: n, Marks: []*pb.GivenComponentMark{{Component: c, Mark: new(7.25)}}}))
		}
	}
	did("the score")(h.ConfirmSkater(referee, &pb.ConfirmSkaterRequest{Event: cup, Category: category, Segment: short, Entry: "1"}))
	did("a correction")(h.CorrectResult(referee, &pb.CorrectResultRequest{
		Event: cup, Category: category, Segment: short, Entry: "1", Reason: "why", ElementMarks: []*pb.CorrectedElementMark{{Element: 1, Judge: 1, Mark: new(int32(5))}},
	}))
	did("another skater")(h.CallSkater(technical, &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short}))
	did("a skater less")(h.WithdrawEntry(referee, &pb.WithdrawEntryRequest{Event: cup, Entry: "2"}))
	did("the last of them")(h.WithdrawEntry(referee, &pb.WithdrawEntryRequest{Event: cup, Entry: "3"}))
	did("the signature")(h.PublishSegment(referee, &pb.PublishSegmentRequest{Event: cup, Category: category, Segment: short}))
	did("the next order")(h.DrawStartingOrder(organiser, &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: free, Method: pb.OrderMethod_GIVEN, Entries: []string{"1"}}))
	did("the next segment")(h.StartSegment(referee, &pb.StartSegmentRequest{Event: cup, Category: category, Segment: free}))
	did("a token")(h.CreateToken(organiser, &pb.CreateTokenRequest{Event: cup, Role: pb.Role_VIEWER, Label: "wall"}))
	t.Logf("%d frames to %d desks", frames, len(desks))
}

// A mark is one message under 1 kB to each desk that may see it, whatever lacks still
// and however a level was found; none to another judge, and none to the hall unless it
// changes what is seen there.
func TestMarkIsOneSmallMessage(t *testing.T) {
	const judges, most = 9, 1000
	h := newHall(t, 0)
	must(h.SetPanel(as(t, pb.Role_ORGANISER), &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: judges}}))
	h.start(t, short)
	h.call(t, short, "1")
	for i := range 11 {
		req := &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Code: "3Lz+1Eu+3S"}
		if i%3 == 0 {
			req.Code, req.Skated = "", spin
		}
		must(h.CallElement(as(t, pb.Role_TECHNICAL_PANEL), req))
	}
	desks := h.seats(t)
	board := must(h.hub.JoinBoard(t.Context(), cup, nil, true))
	defer board.Leave()
	board.Next()
	seen := func() string {
		b := h.snapshot(t)
		b.Sequence, b.Time = 0, nil
		for _, e := range b.GetSkater().GetPerformance().GetElements() {
			e.MarksGiven = 0
		}
		return protojson.Format(b)
	}
	looks := seen()
	sizes := map[pb.Role_Value]int{}
	changed := 0
	for judge := int32(1); judge <= judges; judge++ {
		ctx := access.WithActor(t.Context(), access.Actor{Event: cup, Role: pb.Role_JUDGE, Judge: judge, Token: "1"})
		for element := int32(1); element <= 12; element++ {
			must(h.SetElementMarks(ctx, &pb.SetElementMarksRequest{
				Event: cup, Category: category, Segment: short, Entry: "1", Judge: judge, Marks: []*pb.GivenElementMark{{Element: element, Mark: new(-judge % 5)}},
			}))
			for _, s := range desks {
				sent := s.take(t)
				want := 1
				if s.who.Role == pb.Role_JUDGE && s.who.Judge != judge {
					want = 0
				}
				if len(sent) != want {
					t.Fatalf("a mark of judge %d is %d messages to %v, want %d", judge, len(sent), s.who, want)
				}
				if want == 1 {
					sizes[s.who.Role] = max(sizes[s.who.Role], len(sent[0]))
				}
			}
			before := looks
			looks = seen()
			if f := board.Next(); (f != nil) != (looks != before) || board.Next() != nil {
				t.Fatalf("a mark of judge %d: the hall is sent a frame: %t, it looks different: %t", judge, f != nil, looks != before)
			} else if f != nil {
				changed++
			}
		}
	}
	for role, size := range sizes {
		if size >= most {
			t.Errorf("a mark is a message of up to %d bytes to %v, want less than %d", size, role, most)
		}
	}
	if changed == 0 || changed > 12 {
		t.Errorf("%d of %d marks change what the hall sees, want those of the last judge", changed, 12*judges)
	}
	t.Logf("greatest messages: %v bytes; %d frames to the hall for %d marks", sizes, changed, 12*judges)
}
