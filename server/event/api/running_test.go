package api_test

import (
	"fmt"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// A segment goes through its states in order, and what does not fit its state is
// refused with a word of what does.
func TestSegmentGoesThroughItsStates(t *testing.T) {
	r := newCup(t)
	at := func(want pb.SegmentState_Value) {
		t.Helper()
		if got := r.segment(t, short).GetState(); got != want {
			t.Fatalf("segment is %s, want %s", got, want)
		}
	}
	start := &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}
	next := &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short}
	publish := &pb.PublishSegmentRequest{Event: cup, Category: category, Segment: short}
	draw := &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Seed: new(uint64(1))}

	at(pb.SegmentState_PLANNED)
	_, err := r.StartSegment(referee(t), start)
	refused(t, err, pb.ErrorReason_NOT_NOW)
	must(r.DrawStartingOrder(organiser(t), draw))
	at(pb.SegmentState_DRAWN)
	_, err = r.CallSkater(panel(t), next)
	refused(t, err, pb.ErrorReason_NOT_NOW)
	must(r.StartSegment(referee(t), start))
	at(pb.SegmentState_RUNNING)
	_, err = r.StartSegment(referee(t), start)
	refused(t, err, pb.ErrorReason_NOT_NOW)
	_, err = r.DrawStartingOrder(organiser(t), draw)
	refused(t, err, pb.ErrorReason_NOT_NOW)
	for range 3 {
		p := must(r.CallSkater(panel(t), next)).GetPerformance()
		if p.GetState() != pb.PerformanceState_ON_ICE {
			t.Fatalf("called, but %s", p.GetState())
		}
		_, err = r.CallSkater(panel(t), next)
		refused(t, err, pb.ErrorReason_NOT_NOW)
		_, err = r.PublishSegment(referee(t), publish)
		refused(t, err, pb.ErrorReason_INCOMPLETE)
		must(r.CallElement(panel(t), &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Code: "3T"}))
		end := &pb.EndProgramRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry()}
		must(r.EndProgram(panel(t), end))
		back := proto.CloneOf(end)
		back.TakeBack = true
		for range 2 { // the second time it is so already
			if on := must(r.EndProgram(panel(t), back)).GetPerformance(); on.GetState() != pb.PerformanceState_ON_ICE {
				t.Fatalf("not ended after all, but %s", on.GetState())
			}
		}
		ended := must(r.EndProgram(panel(t), end))
		if ended.GetPerformance().GetState() != pb.PerformanceState_REVIEW {
			t.Fatalf("ended, but %s", ended.GetPerformance().GetState())
		}
		r.mark(t, short, p.GetEntry(), 1, 6.5, 1, 2, 3)
		r.confirm(t, short, p.GetEntry())
		_, err = r.EndProgram(panel(t), back)
		refused(t, err, pb.ErrorReason_NOT_NOW)
	}
	at(pb.SegmentState_SKATED)
	_, err = r.CallSkater(panel(t), next)
	refused(t, err, pb.ErrorReason_NOT_NOW)
	signed := must(r.PublishSegment(referee(t), publish)).GetStanding()
	at(pb.SegmentState_OFFICIAL)
	if signed.GetStatus() != pb.ResultStatus_OFFICIAL || len(signed.GetPlaces()) != 3 {
		t.Errorf("signed result: %v", signed)
	}
	_, err = r.PublishSegment(referee(t), publish)
	refused(t, err, pb.ErrorReason_NOT_NOW)
	// Equal marks are equal scores: nothing in the rules parts them.
	for _, p := range signed.GetPlaces() {
		if p.GetPlace() != 1 || !p.GetShared() {
			t.Errorf("%s has place %d, shared %t; want a shared first place", p.GetName(), p.GetPlace(), p.GetShared())
		}
	}
}

// Who came after the draw is not left out by mistake.
func TestStartNeedsEverybodyInTheOrder(t *testing.T) {
	r := newCup(t)
	start := &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}
	must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short}))
	must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Late Invented"}))
	_, err := r.StartSegment(referee(t), start)
	refused(t, err, pb.ErrorReason_INCOMPLETE)
	if !strings.Contains(err.Error(), "Late Invented") {
		t.Errorf("who is missing is not named: %v", err)
	}
	must(r.WithdrawEntry(organiser(t), &pb.WithdrawEntryRequest{Event: cup, Entry: "4"}))
	must(r.StartSegment(referee(t), start))
}

// Calls can be put in, changed, reviewed and taken out while the sheet is open;
// numbers of elements stay and are never used twice.
func TestCallsAreRevised(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "2A", "3Lz")
	at := pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "1"}
	codes := func() string {
		var list []string
		for _, e := range r.sheet(t.Context(), "1").GetElements() {
			list = append(list, e.GetCode())
		}
		return strings.Join(list, " ")
	}
	want := func(sheet string) {
		t.Helper()
		if got := codes(); got != sheet {
			t.Fatalf("sheet is %q, want %q", got, sheet)
		}
	}
	must(r.CallElement(panel(t), &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Code: "FCSp4", Before: 2}))
	want("2A FCSp4 3Lz")
	must(r.ReviseElement(panel(t), &pb.ReviseElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 2, Code: "3Lz<!"}))
	want("2A FCSp4 3Lz!<")
	half := must(r.ReviseElement(panel(t), &pb.ReviseElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 2, SecondHalf: new(true)}))
	if !half.GetPerformance().GetElements()[2].GetSecondHalf() {
		t.Error("the element is not in the second half")
	}
	want("2A FCSp4 3Lz!<")
	must(r.RemoveElement(panel(t), &pb.RemoveElementRequest{Event: cup, Category: category, Segment: short, Entry: "1"})) // the one called last
	want("2A 3Lz!<")
	added := must(r.CallElement(panel(t), &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Code: "CCoSp4"}))
	if added.GetElement() != 4 {
		t.Errorf("the new element has number %d, want 4: 3 was used", added.GetElement())
	}
	must(r.ReviewElement(panel(t), &pb.ReviewElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 4, InReview: true}))
	r.mark(t, short, "1", 0, 5, 1, 2, 3)
	_, err := r.ConfirmSkater(referee(t), &pb.ConfirmSkaterRequest{Event: cup, Category: category, Segment: short, Entry: "1"})
	refused(t, err, pb.ErrorReason_INCOMPLETE)
	must(r.ReviewElement(panel(t), &pb.ReviewElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 4}))
	r.confirm(t, short, "1")
	_, err = r.CallElement(panel(t), &at)
	refused(t, err, pb.ErrorReason_NOT_NOW)
}

// A call that the season cannot price is refused at once, where it is at fault.
func TestFaultyCallsAreRefused(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "2A")
	for _, c := range []struct {
		req    *pb.CallElementRequest
		reason pb.ErrorReason_Value
		field  string
	}{
		{&pb.CallElementRequest{}, pb.ErrorReason_FIELD_REQUIRED, "code"},
		{&pb.CallElementRequest{Code: "3Lz+"}, pb.ErrorReason_CODE_INVALID, "code"},
		{&pb.CallElementRequest{Code: "5A"}, pb.ErrorReason_ELEMENT_UNKNOWN, "code"},
		{&pb.CallElementRequest{Code: "3T+REP+SEQ+COMBO<<"}, pb.ErrorReason_CODE_INVALID, "code"},
		{&pb.CallElementRequest{Code: "3T", Skated: spin(8)}, pb.ErrorReason_FIELD_INVALID, "skated"},
		{&pb.CallElementRequest{Skated: spin(2.3)}, pb.ErrorReason_REVOLUTIONS_INVALID, "skated.spin.feet[0].positions[0].revolutions"},
		{&pb.CallElementRequest{Code: "3T", Before: 9}, pb.ErrorReason_NOT_IN_EVENT, ""},
		{&pb.CallElementRequest{Code: "3T", Entry: "2"}, pb.ErrorReason_NOT_NOW, ""},
		{&pb.CallElementRequest{Code: "3T", Entry: "77"}, pb.ErrorReason_NOT_IN_EVENT, ""},
		{&pb.CallElementRequest{Code: "3T", Segment: "rhythm-dance"}, pb.ErrorReason_NOT_IN_EVENT, ""},
	} {
		c.req.Event, c.req.Category = cup, category
		if c.req.Segment == "" {
			c.req.Segment = short
		}
		if c.req.Entry == "" {
			c.req.Entry = "1"
		}
		_, err := r.CallElement(panel(t), c.req)
		if c.field == "" {
			refused(t, err, c.reason)
		} else {
			refused(t, err, c.reason, c.field)
		}
	}
	if n := len(r.sheet(t.Context(), "1").GetElements()); n != 1 {
		t.Errorf("%d elements after refused calls, want the 1 before", n)
	}
}

// spin is a camel spin on one foot with so many revolutions.
func spin(revolutions float64) *pb.LevelledElement {
	return &pb.LevelledElement{Kind: &pb.LevelledElement_Spin{Spin: &pb.Spin{Feet: []*pb.SpinFoot{
		{Positions: []*pb.SpinPosition{{Position: pb.Position_CAMEL, Variation: pb.Variation_CAMEL_UPWARD, Revolutions: revolutions}}},
	}}}}
}

// What the panel types is read in any letters, and what it says in words is kept as the
// structure that the words stand for.
func TestPanelTypesAsItComes(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "3lz<+3T", "CCOSP4v", "2a")
	at := pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "1"}
	words := proto.CloneOf(&at)
	words.Skated = &pb.LevelledElement{Kind: &pb.LevelledElement_Text{Text: "Camel upward 8"}}
	must(r.CallElement(panel(t), words))
	must(r.ReviseElement(panel(t), &pb.ReviseElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 3, Code: "3f!"}))
	elements := r.sheet(t.Context(), "1").GetElements()
	for i, want := range []string{"3Lz<+3T", "CCoSp4V", "3F!", "CSp"} {
		if got := elements[i].GetCode(); !strings.HasPrefix(got, want) {
			t.Errorf("element %d is %s, want %s", i+1, got, want)
		}
	}
	if text := elements[3].GetCall().GetText(); text != "camel upward 8" {
		t.Errorf("the spin in words is kept as %q", text)
	}
	words.Skated = &pb.LevelledElement{Kind: &pb.LevelledElement_Text{Text: "camel upwrd 8"}}
	_, err := r.CallElement(panel(t), words)
	refused(t, err, pb.ErrorReason_FIELD_INVALID, "skated.text")
}

// An element called by what was skated gets the code that the level call gives
// for the whole program so far, with its reasons.
func TestElementIsCalledByWhatWasSkated(t *testing.T) {
	r := started(t)
	r.call(t, short, "1")
	for range 2 {
		must(r.CallElement(panel(t), &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Skated: spin(8)}))
	}
	elements := r.sheet(t.Context(), "1").GetElements()
	want := must(r.scoring().CallLevels(t.Context(), &pb.CallLevelsRequest{
		Season: "2025-26", Category: category, Segment: short, Elements: []*pb.LevelledElement{spin(8), spin(8)},
	}))
	for i, e := range elements {
		w := want.GetElements()[i]
		if !strings.HasPrefix(e.GetCode(), w.GetCode()) || w.GetCode() == "" || e.GetCall().GetLevel() != w.GetLevel() || len(e.GetCall().GetFeatures()) == 0 {
			t.Errorf("spin %d is called %s (%s), the level call says %s (%s)", i+1, e.GetCode(), e.GetCall().GetLevel(), w.GetCode(), w.GetLevel())
		}
	}
	if elements[0].GetCall().GetLevel() == elements[1].GetCall().GetLevel() {
		t.Error("the second spin repeats the first one's features and still has its level")
	}
}

// What counts in a spin depends on the spins before it, so that a change of those
// calls it again. A spin that was called by its code stays as it is.
func TestLevelsFollowWhatWasSkatedBefore(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "LSpB")
	at := func() *pb.CallElementRequest {
		return &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Skated: spin(8)}
	}
	check := func(when string, numbers ...int32) {
		t.Helper()
		skated := make([]*pb.LevelledElement, len(numbers)-1)
		for i := range skated {
			skated[i] = spin(8)
		}
		want := must(r.scoring().CallLevels(t.Context(), &pb.CallLevelsRequest{Season: "2025-26", Category: category, Segment: short, Elements: skated})).GetElements()
		elements := r.sheet(t.Context(), "1").GetElements()
		if len(elements) != len(numbers) || elements[0].GetCode() != "LSpB" {
			t.Fatalf("%s: %v", when, elements)
		}
		for i, e := range elements[1:] {
			if e.GetElement() != numbers[i+1] || e.GetCode() != want[i].GetCode() || !proto.Equal(e.GetCall(), want[i]) {
				t.Errorf("%s: spin %d is %v, the level call says %v", when, i+1, e, want[i])
			}
		}
	}
	must(r.CallElement(panel(t), at()))
	must(r.CallElement(panel(t), at()))
	check("in order", 1, 2, 3)
	in := at()
	in.Before = 2
	// Behind the new one the others are revised in the same call; the answer names the
	// new one.
	if added := must(r.CallElement(panel(t), in)); added.GetElement() != 4 {
		t.Errorf("the element put in front has the number %d, want 4", added.GetElement())
	}
	check("one put in front", 1, 4, 2, 3)
	must(r.RemoveElement(panel(t), &pb.RemoveElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 4}))
	must(r.RemoveElement(panel(t), &pb.RemoveElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 2}))
	check("those before taken out", 1, 3)
}

// Marks that are not on the season's scales are refused, each where it is.
func TestFaultyMarksAreRefused(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "2A")
	judge := as(t.Context(), pb.Role_JUDGE, 2)
	mark := func(judge, element, mark int32) *pb.SetElementMarksRequest {
		return &pb.SetElementMarksRequest{
			Event: cup, Category: category, Segment: short, Entry: "1", Judge: judge,
			Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32(1))}, {Element: element, Mark: &mark}},
		}
	}
	_, err := r.SetElementMarks(judge, mark(2, 1, 6))
	refused(t, err, pb.ErrorReason_MARK_OUT_OF_RANGE, "marks[1].mark", "marks[1].element")
	_, err = r.SetElementMarks(judge, mark(2, 1, 2)) // two marks for one element
	refused(t, err, pb.ErrorReason_FIELD_INVALID, "marks[1].element")
	_, err = r.SetElementMarks(judge, mark(2, 5, 6))
	refused(t, err, pb.ErrorReason_NOT_IN_EVENT, "marks[1].element", "marks[1].mark")
	if errs.Code(err) != codes.NotFound || errs.Metadata(err, "event") != cup || errs.Metadata(err, "found") != "5" || errs.Metadata(err, "allowed") != "1" {
		t.Errorf("an unknown element is told as %v", err)
	}
	_, err = r.SetElementMarks(judge, mark(3, 1, 1)) // another judge's
	refused(t, err, pb.ErrorReason_PERMISSION_DENIED)
	_, err = r.SetElementMarks(organiser(t), mark(4, 1, 1))
	refused(t, err, pb.ErrorReason_JUDGE_UNKNOWN, "judge")
	_, err = r.SetElementMarks(judge, &pb.SetElementMarksRequest{Event: cup, Category: category, Segment: short, Entry: "1", Judge: 2})
	refused(t, err, pb.ErrorReason_FIELD_REQUIRED, "marks")
	for mark, reason := range map[float64]pb.ErrorReason_Value{
		8.3: pb.ErrorReason_MARK_OFF_GRID, 0: pb.ErrorReason_MARK_OUT_OF_RANGE, 10.25: pb.ErrorReason_MARK_OUT_OF_RANGE, 1e300: pb.ErrorReason_MARK_OUT_OF_RANGE,
	} {
		_, err = r.SetComponentMarks(judge, &pb.SetComponentMarksRequest{
			Event: cup, Category: category, Segment: short, Entry: "1", Judge: 2,
			Marks: []*pb.GivenComponentMark{{Component: pb.Component_COMPOSITION, Mark: &mark}},
		})
		refused(t, err, reason, "marks[0].mark")
	}
	_, err = r.SetComponentMarks(judge, &pb.SetComponentMarksRequest{
		Event: cup, Category: category, Segment: short, Entry: "1", Judge: 2,
		Marks: []*pb.GivenComponentMark{{Component: pb.Component_TIMING, Mark: new(5.0)}},
	})
	refused(t, err, pb.ErrorReason_COMPONENT_UNKNOWN, "marks[0].component")
	_, err = r.SetComponentMarks(judge, &pb.SetComponentMarksRequest{
		Event: cup, Category: category, Segment: short, Entry: "1", Judge: 2,
		Marks: []*pb.GivenComponentMark{{Component: pb.Component_COMPOSITION, Mark: new(5.0)}, {Component: pb.Component_COMPOSITION, Mark: new(6.0)}},
	})
	refused(t, err, pb.ErrorReason_COMPONENT_DUPLICATE, "marks[1].component")
	if p := r.sheet(referee(t), "1"); p.GetElements()[0].GetMarksGiven() != 0 {
		t.Error("a refused list of marks left a mark behind")
	}
}

// Before the confirmation only referee and organiser see all marks, a judge sees
// the own ones, and everybody sees how many there are; after it all are open.
func TestMarksAreHiddenUntilConfirmed(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "2A")
	r.mark(t, short, "1", 1, 6, 1, 2, 3)
	for _, c := range []struct {
		who   string
		sheet *pb.Performance
		want  int
	}{
		{"nobody", r.sheet(t.Context(), "1"), 0},
		{"viewer", r.sheet(as(t.Context(), pb.Role_VIEWER), "1"), 0},
		{"announcer", r.sheet(as(t.Context(), pb.Role_ANNOUNCER), "1"), 0},
		{"technical panel", r.sheet(panel(t), "1"), 0},
		{"judge 2", r.sheet(as(t.Context(), pb.Role_JUDGE, 2), "1"), 1},
		{"referee", r.sheet(referee(t), "1"), 3},
		{"organiser", r.sheet(organiser(t), "1"), 3},
	} {
		e, comp := c.sheet.GetElements()[0], c.sheet.GetComponents()[0]
		if len(e.GetMarks()) != c.want || len(comp.GetMarks()) != c.want || e.GetMarksGiven() != 3 || comp.GetMarksGiven() != 3 {
			t.Errorf("%s sees %d element and %d component marks of %d, want %d of 3", c.who, len(e.GetMarks()), len(comp.GetMarks()), e.GetMarksGiven(), c.want)
		}
		if c.who == "judge 2" && e.GetMarks()[0].GetJudge() != 2 {
			t.Error("judge 2 sees the mark of another judge")
		}
	}
	r.confirm(t, short, "1")
	if n := len(r.sheet(t.Context(), "1").GetElements()[0].GetMarks()); n != 3 {
		t.Errorf("after the confirmation %d marks are shown, want 3", n)
	}
}

// The points so far are base values, and the grade of each element that all
// judges have marked. 2A is 3.30 and StSq3 3.30 in the sheets of 2025-26.
func TestPointsSoFar(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "2A", "StSq3")
	if got := r.sheet(t.Context(), "1").GetElementScore(); got != "6.60" {
		t.Errorf("base values are %s, want 6.60", got)
	}
	for judge := int32(1); judge <= 3; judge++ {
		must(r.SetElementMarks(organiser(t), &pb.SetElementMarksRequest{
			Event: cup, Category: category, Segment: short, Entry: "1", Judge: judge, Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32(1))}},
		}))
		p := r.sheet(t.Context(), "1")
		want := map[bool]string{false: "", true: "0.33"}[judge == 3] // ten percent a grade
		if p.GetElements()[0].GetGoe() != want {
			t.Errorf("after judge %d the grade is %q, want %q", judge, p.GetElements()[0].GetGoe(), want)
		}
	}
	if got := r.sheet(t.Context(), "1").GetElementScore(); got != "6.93" {
		t.Errorf("points so far are %s, want 6.93", got)
	}
	// A mark that is taken back takes the grade with it.
	must(r.SetElementMarks(organiser(t), &pb.SetElementMarksRequest{
		Event: cup, Category: category, Segment: short, Entry: "1", Judge: 2, Marks: []*pb.GivenElementMark{{Element: 1}},
	}))
	if got := r.sheet(t.Context(), "1").GetElementScore(); got != "6.60" {
		t.Errorf("points after a mark was taken back are %s, want 6.60", got)
	}
}

// What is missing stops a confirmation and is named; missing element marks can be
// accepted, then the season's rule holds for them.
func TestConfirmationNeedsTheMarks(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "2A", "3T")
	confirm := &pb.ConfirmSkaterRequest{Event: cup, Category: category, Segment: short, Entry: "1"}
	r.mark(t, short, "1", 2, 7.5, 1, 2)
	_, err := r.ConfirmSkater(referee(t), confirm)
	refused(t, err, pb.ErrorReason_INCOMPLETE)
	missing := errs.Metadata(err, "missing")
	for _, want := range []string{"element 1 (2A): no mark of judge 3", "element 2 (3T): no mark of judge 3", "Composition: no mark of judge 3"} {
		if !strings.Contains(missing, want) {
			t.Errorf("missing is %q, want also %q", missing, want)
		}
	}
	confirm.AcceptMissingMarks = true
	_, err = r.ConfirmSkater(referee(t), confirm) // the components
	refused(t, err, pb.ErrorReason_INCOMPLETE)
	r.mark(t, short, "1", 2, 7.5, 3)
	must(r.SetElementMarks(organiser(t), &pb.SetElementMarksRequest{
		Event: cup, Category: category, Segment: short, Entry: "1", Judge: 3, Marks: []*pb.GivenElementMark{{Element: 2}},
	}))
	got := must(r.ConfirmSkater(referee(t), confirm)).GetPerformance()
	want := must(r.scoring().ScoreSegment(t.Context(), &pb.ScoreSegmentRequest{
		Season: "2025-26", Category: category, Segment: short,
		Elements: []*pb.MarkedElement{
			{Code: "2A", Marks: []int32{2, 2, 2}},
			{Code: "3T", Marks: []int32{2, 2}, MissingMarks: []*pb.MissingMark{{Judge: 3}}},
		},
		Components: sameComponents(7.5, 3),
	}))
	if got.GetSegmentScore() != want.GetSegmentScore() {
		t.Errorf("score %s, the calculation says %s", got.GetSegmentScore(), want.GetSegmentScore())
	}
}

func sameComponents(mark float64, judges int) []*pb.MarkedComponent {
	var list []*pb.MarkedComponent
	for _, c := range []pb.Component_Value{pb.Component_COMPOSITION, pb.Component_PRESENTATION, pb.Component_SKATING_SKILLS} {
		marked := &pb.MarkedComponent{Component: c}
		for range judges {
			marked.Marks = append(marked.Marks, mark)
		}
		list = append(list, marked)
	}
	return list
}

// The marks of an absent judge are not needed and do not count; a score that was
// confirmed with the judge stays.
func TestAbsentJudge(t *testing.T) {
	r := started(t)
	full := r.skate(t, short, "1", 1)
	r.call(t, short, "2", "2A", "StSq3")
	r.mark(t, short, "2", 1, 7, 1, 3)
	r.mark(t, short, "2", -5, 1, 2)
	must(r.SetAbsentJudges(referee(t), &pb.SetAbsentJudgesRequest{Event: cup, Category: category, Segment: short, Judges: []int32{2}}))
	_, err := r.SetElementMarks(as(t.Context(), pb.Role_JUDGE, 2), &pb.SetElementMarksRequest{
		Event: cup, Category: category, Segment: short, Entry: "2", Judge: 2, Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32(1))}},
	})
	refused(t, err, pb.ErrorReason_JUDGE_UNKNOWN, "judge")
	absent := r.confirm(t, short, "2")
	if absent.GetSegmentScore() != full.GetSegmentScore() || len(absent.GetAbsentJudges()) != 1 {
		t.Errorf("score %s with absent judges %v; want %s, as with all three", absent.GetSegmentScore(), absent.GetAbsentJudges(), full.GetSegmentScore())
	}
	if p := r.sheet(t.Context(), "1"); p.GetSegmentScore() != full.GetSegmentScore() || len(p.GetAbsentJudges()) != 0 {
		t.Errorf("the score confirmed before changed: %v", p)
	}
	_, err = r.SetAbsentJudges(referee(t), &pb.SetAbsentJudgesRequest{Event: cup, Category: category, Segment: short, Judges: []int32{4, 1, 1}})
	refused(t, err, pb.ErrorReason_JUDGE_UNKNOWN, "judges[0]", "judges[2]")
	_, err = r.SetAbsentJudges(referee(t), &pb.SetAbsentJudgesRequest{Event: cup, Category: category, Segment: short, Judges: []int32{1, 2, 3}})
	refused(t, err, pb.ErrorReason_PANEL_SIZE_MISMATCH, "judges")
}

// Deductions replace each other, are priced by the season, and are refused where
// the season has no such thing.
func TestDeductions(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "2A")
	set := func(list ...*pb.Deduction) (*pb.SetDeductionsResponse, error) {
		return r.SetDeductions(referee(t), &pb.SetDeductionsRequest{Event: cup, Category: category, Segment: short, Entry: "1", Deductions: list})
	}
	for _, c := range []struct {
		d      *pb.Deduction
		reason pb.ErrorReason_Value
		field  string
	}{
		{&pb.Deduction{Kind: pb.DeductionKind_EXTENDED_LIFT}, pb.ErrorReason_DEDUCTION_UNKNOWN, "deductions[0].kind"},
		{&pb.Deduction{Kind: pb.DeductionKind_FALL, Value: "-1.00"}, pb.ErrorReason_DEDUCTION_VALUE, "deductions[0].value"},
		{&pb.Deduction{Kind: pb.DeductionKind_FALL, Count: new(int32(0))}, pb.ErrorReason_DEDUCTION_VALUE, "deductions[0].count"},
		{&pb.Deduction{Kind: pb.DeductionKind_OTHER, Value: "1.00"}, pb.ErrorReason_DEDUCTION_VALUE, "deductions[0].value"},
		{&pb.Deduction{Kind: pb.DeductionKind_OTHER, Value: "-1.005"}, pb.ErrorReason_DEDUCTION_VALUE, "deductions[0].value"},
	} {
		_, err := set(c.d)
		refused(t, err, c.reason, c.field)
	}
	must(set(&pb.Deduction{Kind: pb.DeductionKind_FALL, Count: new(int32(3))}))
	// A first fall costs 1.00 in the table of the season.
	got := must(set(&pb.Deduction{Kind: pb.DeductionKind_FALL}, &pb.Deduction{Kind: pb.DeductionKind_OTHER, Value: "-0.50", Note: "late"})).GetPerformance()
	if got.GetTotalDeductions() != "-1.50" || len(got.GetDeductions()) != 2 {
		t.Errorf("deductions %v make %s, want -1.50", got.GetDeductions(), got.GetTotalDeductions())
	}
	// Falls count on from entry to entry: five cost 9.00 on the sheets of 2016-17,
	// two 2.00, so that three behind two cost 7.00.
	two, three := &pb.Deduction{Kind: pb.DeductionKind_FALL, Count: new(int32(2))}, &pb.Deduction{Kind: pb.DeductionKind_FALL, Count: new(int32(3))}
	falls := func(p *pb.Performance) string {
		return fmt.Sprint(p.GetDeductions()[0].GetValue(), " ", p.GetDeductions()[1].GetValue(), " ", p.GetTotalDeductions())
	}
	if got := falls(must(set(two, three)).GetPerformance()); got != "-2.00 -7.00 -9.00" {
		t.Errorf("five falls in two entries cost %s", got)
	}
	r.mark(t, short, "1", 0, 5, 1, 2, 3)
	if got := falls(r.confirm(t, short, "1")); got != "-2.00 -7.00 -9.00" {
		t.Errorf("confirmed with %s", got)
	}
}
