package api_test

import (
	"context"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Before the confirmation the referee and the organiser see the score and the places
// that it would bring, and nobody else does.
func TestScoreToConfirm(t *testing.T) {
	r := started(t)
	r.skate(t, short, "1", 1)
	r.skate(t, short, "2", 3)
	r.call(t, short, "3", "2A", "StSq3")
	r.mark(t, short, "3", 2, 7, 1, 2)
	if got := r.sheet(referee(t), "3").GetScoreToConfirm(); got != nil {
		t.Errorf("while component marks lack there is %v", got)
	}
	r.mark(t, short, "3", 2, 7, 3)
	must(r.SetElementMarks(as(t.Context(), pb.Role_JUDGE, 3), &pb.SetElementMarksRequest{
		Event: cup, Category: category, Segment: short, Entry: "3", Judge: 3, Marks: []*pb.GivenElementMark{{Element: 1}},
	}))
	must(r.SetDeductions(referee(t), &pb.SetDeductionsRequest{
		Event: cup, Category: category, Segment: short, Entry: "3", Deductions: []*pb.Deduction{{Kind: pb.DeductionKind_FALL}},
	}))
	for _, nobody := range []context.Context{t.Context(), panel(t), as(t.Context(), pb.Role_JUDGE, 1)} {
		if got := r.sheet(nobody, "3").GetScoreToConfirm(); got != nil {
			t.Errorf("somebody of the panel sees %v", got)
		}
	}
	shown := r.sheet(organiser(t), "3").GetScoreToConfirm()
	if again := r.sheet(referee(t), "3").GetScoreToConfirm(); shown == nil || !proto.Equal(shown, again) {
		t.Errorf("the organiser sees %v, the referee %v", shown, again)
	}
	got := must(r.ConfirmSkater(referee(t), &pb.ConfirmSkaterRequest{Event: cup, Category: category, Segment: short, Entry: "3", AcceptMissingMarks: true})).GetPerformance()
	want := &pb.ScoreToConfirm{
		ElementScore: got.GetElementScore(), ComponentScore: got.GetComponentScore(), TotalDeductions: got.GetTotalDeductions(), SegmentScore: got.GetSegmentScore(),
	}
	for _, p := range must(r.GetSegmentStanding(t.Context(), &pb.GetSegmentStandingRequest{Event: cup, Category: category, Segment: short})).GetStanding().GetPlaces() {
		if p.GetEntry() == "3" {
			want.Place = p.GetPlace()
		}
	}
	for _, p := range must(r.GetFinalStanding(t.Context(), &pb.GetFinalStandingRequest{Event: cup, Category: category})).GetStanding().GetPlaces() {
		if p.GetEntry() == "3" {
			want.FinalPlace = p.GetPlace()
		}
	}
	if !proto.Equal(shown, want) || want.GetPlace() == 0 {
		t.Errorf("before the confirmation %v was shown; confirmed is %v", shown, want)
	}
	if got.GetScoreToConfirm() != nil {
		t.Errorf("a confirmed sheet still has %v", got.GetScoreToConfirm())
	}
}

// An element without value scores 0.00 whatever the marks, so it needs none.
func TestElementWithoutValueNeedsNoMarks(t *testing.T) {
	r := started(t)
	r.call(t, short, "1", "2A", "StSq3")
	r.mark(t, short, "1", 2, 7, 1, 2, 3)
	for _, code := range []string{"CCoSp4*", "CCoSp", "3Lz"} {
		must(r.CallElement(panel(t), &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Code: code}))
	}
	sheet := r.sheet(referee(t), "1")
	if got := sheet.GetMissing(); len(got) != 1 || !strings.Contains(got[0], "element 5 (3Lz)") {
		t.Errorf("lacks %q, want the marks of 3Lz alone", got)
	}
	for i, want := range []string{"0.00", "0.00", ""} {
		if e := sheet.GetElements()[2+i]; e.GetScore() != want {
			t.Errorf("%s scores %q so far, want %q", e.GetCode(), e.GetScore(), want)
		}
	}
	must(r.RemoveElement(panel(t), &pb.RemoveElementRequest{Event: cup, Category: category, Segment: short, Entry: "1", Element: 5}))
	confirmed := r.confirm(t, short, "1")
	if got := confirmed.GetElements()[2]; got.GetScore() != "0.00" || confirmed.GetState() != pb.PerformanceState_CONFIRMED {
		t.Errorf("confirmed is %v", confirmed)
	}

	correct := func(c *pb.CorrectResultRequest) (*pb.Performance, error) {
		c.Event, c.Category, c.Segment, c.Entry, c.Reason = cup, category, short, "1", "seen again"
		res, err := r.CorrectResult(referee(t), c)
		return res.GetPerformance(), err
	}
	added, err := correct(&pb.CorrectResultRequest{AddedElements: []*pb.AddedElement{{Code: "CCoSp"}}})
	if err != nil || added.GetSegmentScore() != confirmed.GetSegmentScore() || len(added.GetElements()) != 5 {
		t.Fatalf("with one more element without value or marks: %v, %v", added, err)
	}
	valued := func() *pb.CorrectResultRequest {
		return &pb.CorrectResultRequest{RevisedElements: []*pb.RevisedElement{{Element: 4, Code: "CCoSp3"}}}
	}
	_, err = correct(valued())
	refused(t, err, pb.ErrorReason_PANEL_SIZE_MISMATCH, "revisedElements[0].code")
	some := valued()
	some.ElementMarks = []*pb.CorrectedElementMark{{Element: 4, Judge: 1, Mark: new(int32(2))}}
	_, err = correct(some)
	refused(t, err, pb.ErrorReason_PANEL_SIZE_MISMATCH, "revisedElements[0].code")
	all := valued()
	for judge := range int32(3) {
		all.ElementMarks = append(all.ElementMarks, &pb.CorrectedElementMark{Element: 4, Judge: judge + 1, Mark: new(int32(2))})
	}
	got, err := correct(all)
	if err != nil || got.GetElements()[3].GetGoe() == "0.00" || got.GetElements()[3].GetGoe() == "" {
		t.Errorf("with all marks: %v, %v", got, err)
	}
}
