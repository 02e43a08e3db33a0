package api_test

import (
	"testing"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// A correction changes a confirmed, even a signed score to what the calculation
// returns for the corrected sheet, and keeps who, why, and the score before.
func TestCorrectionAfterTheSignature(t *testing.T) {
	r := started(t)
	first := r.skate(t, short, "1", 1) // 2A, StSq3; marks 1, components 7
	r.skate(t, short, "2", 1)
	r.skate(t, short, "3", 1)
	must(r.PublishSegment(referee(t), &pb.PublishSegmentRequest{Event: cup, Category: category, Segment: short}))

	request := &pb.CorrectResultRequest{
		Event: cup, Category: category, Segment: short, Entry: "1", Reason: "the Axel was triple", RequestId: "c1",
		RevisedElements: []*pb.RevisedElement{{Element: 1, Code: "3A"}},
		RemovedElements: []int32{2},
		AddedElements: []*pb.AddedElement{{Code: "3T", SecondHalf: true, Marks: []*pb.ElementMark{
			{Judge: 1, Mark: new(int32(0))}, {Judge: 2, Mark: new(int32(1))}, {Judge: 3, Mark: new(int32(2))},
		}}},
		ElementMarks:   []*pb.CorrectedElementMark{{Element: 1, Judge: 2, Mark: new(int32(4))}},
		ComponentMarks: []*pb.CorrectedComponentMark{{Component: pb.Component_PRESENTATION, Judge: 3, Mark: new(9.5)}},
		Deductions:     &pb.CorrectedDeductions{Deductions: []*pb.Deduction{{Kind: pb.DeductionKind_FALL}}},
	}
	preview := must(r.PreviewCorrection(referee(t), previewOf(request)))
	if kept := r.sheet(t.Context(), "1"); !proto.Equal(kept, first) {
		t.Errorf("the preview changed the sheet: %v", kept)
	}
	got := must(r.CorrectResult(referee(t), request)).GetPerformance()
	if preview.GetScoreBefore() != first.GetSegmentScore() {
		t.Errorf("the preview says %s was the score, want %s", preview.GetScoreBefore(), first.GetSegmentScore())
	}
	previewed := proto.CloneOf(preview.GetPerformance())
	previewed.Corrections = got.GetCorrections()
	if !proto.Equal(previewed, got) {
		t.Errorf("the preview shows %v, the correction %v", previewed, got)
	}
	components := sameComponents(7, 3)
	components[1].Marks[2] = 9.5
	want := must(r.scoring().ScoreSegment(t.Context(), &pb.ScoreSegmentRequest{
		Season: "2025-26", Category: category, Segment: short,
		Elements:   []*pb.MarkedElement{{Code: "3A", Marks: []int32{1, 4, 1}}, {Code: "3T", SecondHalf: true, Marks: []int32{0, 1, 2}}},
		Components: components, Deductions: []*pb.Deduction{{Kind: pb.DeductionKind_FALL}},
	}))
	if got.GetSegmentScore() != want.GetSegmentScore() || got.GetElementScore() != want.GetElementScore() {
		t.Errorf("corrected score %s, the calculation says %s", got.GetSegmentScore(), want.GetSegmentScore())
	}
	c := got.GetCorrections()
	if len(c) != 1 || c[0].GetBy() != "REFEREE" || c[0].GetReason() != "the Axel was triple" ||
		c[0].GetScoreBefore() != first.GetSegmentScore() || c[0].GetScoreAfter() != want.GetSegmentScore() {
		t.Errorf("the correction is kept as %v", c)
	}
	standing := must(r.GetSegmentStanding(t.Context(), &pb.GetSegmentStandingRequest{Event: cup, Category: category, Segment: short})).GetStanding()
	if standing.GetStatus() != pb.ResultStatus_OFFICIAL || standing.GetPlaces()[0].GetEntry() != "1" {
		t.Errorf("standing after the correction: %v", standing)
	}
	final := must(r.GetFinalStanding(t.Context(), &pb.GetFinalStandingRequest{Event: cup, Category: category})).GetStanding()
	for i, p := range standing.GetPlaces() {
		if is, inFinal := p.GetCorrected(), final.GetPlaces()[i].GetCorrected(); is != (p.GetEntry() == "1") || inFinal != (final.GetPlaces()[i].GetEntry() == "1") {
			t.Errorf("of the corrections the standings say: %v, %v", p, final.GetPlaces()[i])
		}
	}
	sheets := cells(t, r.document(t, &pb.GetDocumentRequest{Document: pb.Document_SCORE_SHEETS, Segment: short, Format: pb.DocumentFormat_CSV}))
	for _, line := range sheets[1:] {
		if line[3] == "total" && (line[4] == "corrected") != (line[1] == "1") {
			t.Errorf("the score sheets say of the correction: %q", line)
		}
	}
	for document, at := range map[pb.Document_Value]int{pb.Document_SEGMENT_RESULT: 11, pb.Document_FINAL_RESULT: 11} {
		rows := cells(t, r.document(t, &pb.GetDocumentRequest{Document: document, Segment: short, Format: pb.DocumentFormat_CSV}))
		if rows[0][at] != "corrected" || rows[1][at] != "yes" || rows[2][at] != "no" || rows[3][at] != "no" {
			t.Errorf("%s says of the correction: %q", document, rows)
		}
	}
}

// previewOf is the request that previews a correction.
func previewOf(r *pb.CorrectResultRequest) *pb.PreviewCorrectionRequest {
	return &pb.PreviewCorrectionRequest{
		Event: r.GetEvent(), Category: r.GetCategory(), Segment: r.GetSegment(), Entry: r.GetEntry(), Reason: r.GetReason(),
		RevisedElements: r.GetRevisedElements(), RemovedElements: r.GetRemovedElements(), AddedElements: r.GetAddedElements(),
		ElementMarks: r.GetElementMarks(), ComponentMarks: r.GetComponentMarks(), Deductions: r.GetDeductions(),
	}
}

// A preview says who changes places, in the segment and over the segments, writes
// nothing, and needs no reason. What it says is what the correction then does.
func TestPreviewSaysWhoMoves(t *testing.T) {
	r := started(t)
	for i, entry := range []string{"1", "2", "3"} {
		r.skate(t, short, entry, int32(3-i)) // so that they stand in this order
	}
	standing := func() (segment, final map[string]int32) {
		segment, final = map[string]int32{}, map[string]int32{}
		for _, p := range must(r.GetSegmentStanding(t.Context(), &pb.GetSegmentStandingRequest{Event: cup, Category: category, Segment: short})).GetStanding().GetPlaces() {
			segment[p.GetEntry()] = p.GetPlace()
		}
		for _, p := range must(r.GetFinalStanding(t.Context(), &pb.GetFinalStandingRequest{Event: cup, Category: category})).GetStanding().GetPlaces() {
			final[p.GetEntry()] = p.GetPlace()
		}
		return segment, final
	}
	was, wasFinal := standing()
	request := &pb.CorrectResultRequest{
		Event: cup, Category: category, Segment: short, Entry: "3",
		RevisedElements: []*pb.RevisedElement{{Element: 1, Code: "3A"}},
	}
	preview := must(r.PreviewCorrection(referee(t), previewOf(request)))
	if now := must(r.PreviewCorrection(referee(t), previewOf(request))); now.GetSequence() != preview.GetSequence() {
		t.Errorf("a preview moved the event from %d to %d", preview.GetSequence(), now.GetSequence())
	}
	if len(preview.GetMoved()) != 2 || preview.GetPlaces().GetEntry() != "3" || preview.GetPlaces().GetPlaceAfter() != 1 {
		t.Errorf("the preview says %v and %v move", preview.GetPlaces(), preview.GetMoved())
	}
	_, err := r.CorrectResult(referee(t), request)
	refused(t, err, pb.ErrorReason_FIELD_REQUIRED, "reason")
	request.Reason = "the Axel was triple"
	must(r.CorrectResult(referee(t), request))
	is, isFinal := standing()
	for _, p := range append(preview.GetMoved(), preview.GetPlaces()) {
		entry := p.GetEntry()
		if p.GetPlaceBefore() != was[entry] || p.GetPlaceAfter() != is[entry] || p.GetFinalPlaceBefore() != wasFinal[entry] || p.GetFinalPlaceAfter() != isFinal[entry] {
			t.Errorf("the preview says %v; entry %s went from %d to %d, over the segments from %d to %d", p, entry, was[entry], is[entry], wasFinal[entry], isFinal[entry])
		}
	}
}

// Whether an element was in the second half is corrected like its code; what a
// correction leaves out stays.
func TestCorrectionOfTheHalf(t *testing.T) {
	r := started(t)
	first := r.skate(t, short, "1", 1).GetElements() // 2A, StSq3
	correct := func(e *pb.RevisedElement) []*pb.PerformedElement {
		t.Helper()
		return must(r.CorrectResult(referee(t), &pb.CorrectResultRequest{
			Event: cup, Category: category, Segment: short, Entry: "1", Reason: "x", RevisedElements: []*pb.RevisedElement{e},
		})).GetPerformance().GetElements()
	}
	half := correct(&pb.RevisedElement{Element: 1, SecondHalf: new(true)})
	if !half[0].GetSecondHalf() || half[0].GetCode() != "2A" || half[0].GetBaseValue() == first[0].GetBaseValue() || half[1].GetSecondHalf() {
		t.Errorf("put into the second half: %v", half)
	}
	code := correct(&pb.RevisedElement{Element: 1, Code: "3A"})
	if !code[0].GetSecondHalf() || code[0].GetCode() != "3A" {
		t.Errorf("with another code: %v", code)
	}
	back := correct(&pb.RevisedElement{Element: 1, Code: "2A", SecondHalf: new(false)})
	if back[0].GetSecondHalf() || back[0].GetBaseValue() != first[0].GetBaseValue() {
		t.Errorf("back again: %v, was %v", back, first)
	}
}

// A correction is taken whole or not at all, with a reason, of a confirmed score
// only.
func TestFaultyCorrectionsAreRefused(t *testing.T) {
	r := started(t)
	before := r.skate(t, short, "1", 1)
	for name, c := range map[string]struct {
		req    *pb.CorrectResultRequest
		reason pb.ErrorReason_Value
		field  string
	}{
		"no reason":  {&pb.CorrectResultRequest{RemovedElements: []int32{2}}, pb.ErrorReason_FIELD_REQUIRED, "reason"},
		"no change":  {&pb.CorrectResultRequest{Reason: "x"}, pb.ErrorReason_FIELD_REQUIRED, "revisedElements"},
		"bad code":   {&pb.CorrectResultRequest{Reason: "x", RevisedElements: []*pb.RevisedElement{{Element: 1, Code: "5A"}}}, pb.ErrorReason_ELEMENT_UNKNOWN, "revisedElements[0].code"},
		"bad mark":   {&pb.CorrectResultRequest{Reason: "x", RemovedElements: []int32{2}, ElementMarks: []*pb.CorrectedElementMark{{Element: 1, Judge: 1, Mark: new(int32(9))}}}, pb.ErrorReason_MARK_OUT_OF_RANGE, "elementMarks[0].mark"},
		"bad judge":  {&pb.CorrectResultRequest{Reason: "x", ElementMarks: []*pb.CorrectedElementMark{{Element: 1, Judge: 4, Mark: new(int32(1))}}}, pb.ErrorReason_JUDGE_UNKNOWN, "elementMarks[0].judge"},
		"marks lack": {&pb.CorrectResultRequest{Reason: "x", AddedElements: []*pb.AddedElement{{Code: "3T"}}}, pb.ErrorReason_PANEL_SIZE_MISMATCH, "addedElements[0].marks"},
		"one judge for all": {&pb.CorrectResultRequest{Reason: "x", AddedElements: []*pb.AddedElement{{Code: "3T", Marks: []*pb.ElementMark{{Judge: 1, Mark: new(int32(0))}, {Judge: 1, Mark: new(int32(1))}, {Judge: 1, Mark: new(int32(0))}}}}},
			pb.ErrorReason_JUDGE_UNKNOWN, "addedElements[0].marks[1].judge"},
		"off grid": {&pb.CorrectResultRequest{Reason: "x", ComponentMarks: []*pb.CorrectedComponentMark{{Component: pb.Component_COMPOSITION, Judge: 1, Mark: new(7.1)}}}, pb.ErrorReason_MARK_OFF_GRID, "componentMarks[0].mark"},
		"element twice": {&pb.CorrectResultRequest{Reason: "x", RevisedElements: []*pb.RevisedElement{{Element: 1, Code: "3A"}, {Element: 1, Code: "2A"}}},
			pb.ErrorReason_FIELD_INVALID, "revisedElements[1].element"},
		"mark twice": {&pb.CorrectResultRequest{Reason: "x", ElementMarks: []*pb.CorrectedElementMark{{Element: 1, Judge: 1, Mark: new(int32(2))}, {Element: 2, Judge: 1, Mark: new(int32(2))}, {Element: 1, Judge: 1, Mark: new(int32(3))}}},
			pb.ErrorReason_FIELD_INVALID, "elementMarks[2].judge"},
		"component twice": {&pb.CorrectResultRequest{Reason: "x", ComponentMarks: []*pb.CorrectedComponentMark{{Component: pb.Component_COMPOSITION, Judge: 1, Mark: new(float64(7))}, {Component: pb.Component_COMPOSITION, Judge: 1, Mark: new(float64(8))}}},
			pb.ErrorReason_FIELD_INVALID, "componentMarks[1].judge"},
		"deduction": {&pb.CorrectResultRequest{Reason: "x", Deductions: &pb.CorrectedDeductions{Deductions: []*pb.Deduction{{Kind: pb.DeductionKind_EXTENDED_LIFT}}}},
			pb.ErrorReason_DEDUCTION_UNKNOWN, "deductions.deductions[0].kind"},
	} {
		t.Run(name, func(t *testing.T) {
			c.req.Event, c.req.Category, c.req.Segment, c.req.Entry = cup, category, short, "1"
			_, err := r.CorrectResult(referee(t), c.req)
			refused(t, err, c.reason, c.field)
			if c.field == "reason" {
				return // which a preview does without
			}
			_, err = r.PreviewCorrection(referee(t), previewOf(c.req))
			refused(t, err, c.reason, c.field)
		})
	}
	_, err := r.CorrectResult(referee(t), &pb.CorrectResultRequest{
		Event: cup, Category: category, Segment: short, Entry: "1",
		RevisedElements: []*pb.RevisedElement{{Element: 8, Code: "2A"}, {Element: 1, Code: "3Lz+"}},
		RemovedElements: []int32{9},
		AddedElements:   []*pb.AddedElement{{Code: "3T", Before: 7}},
		ElementMarks:    []*pb.CorrectedElementMark{{Element: 6, Judge: 5, Mark: new(int32(9))}},
		ComponentMarks:  []*pb.CorrectedComponentMark{{Component: pb.Component_TIMING, Judge: 1, Mark: new(float64(7))}},
	})
	refused(t, err, pb.ErrorReason_NOT_IN_EVENT, "reason", "revisedElements[0].element", "revisedElements[1].code", "removedElements[0]", "addedElements[0].before",
		"elementMarks[0].element", "elementMarks[0].judge", "elementMarks[0].mark", "componentMarks[0].component")
	_, err = r.CorrectResult(referee(t), &pb.CorrectResultRequest{Event: cup, Category: category, Segment: short, Entry: "2", Reason: "x"})
	refused(t, err, pb.ErrorReason_NOT_NOW)
	after := r.sheet(t.Context(), "1")
	if after.GetSegmentScore() != before.GetSegmentScore() || len(after.GetCorrections()) != 0 || len(after.GetElements()) != 2 {
		t.Errorf("refused corrections changed the sheet: %v", after)
	}
}
