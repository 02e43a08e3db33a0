package events_test

import (
	"fmt"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// A mark that a correction leaves out is not 0: it is refused, over gRPC and REST.
// A mark of 0 that is said is taken.
func TestCorrectionsNeedTheirMarks(t *testing.T) {
	s := start(t)
	const cup, category, segment = "strict-cup", "senior-women", "short-program"
	ctx := with(t.Context(), s.admin)
	events := pb.NewEventServiceClient(s.conn(t))
	do := func(_ uint64, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	do(numbered(events.CreateEvent(ctx, &pb.CreateEventRequest{Event: cup, Name: "Strict Cup", StartDate: "2026-03-14", Season: "2025-26"})))
	do(numbered(events.SetCategory(ctx, &pb.SetCategoryRequest{Event: cup, Category: category})))
	do(numbered(events.SetPanel(ctx, &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: 3}})))
	do(numbered(events.AddEntry(ctx, &pb.AddEntryRequest{Event: cup, Category: category, Name: "Ada Invented"})))
	do(numbered(events.DrawStartingOrder(ctx, &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: segment})))
	do(numbered(events.StartSegment(ctx, &pb.StartSegmentRequest{Event: cup, Category: category, Segment: segment})))
	do(numbered(events.CallSkater(ctx, &pb.CallSkaterRequest{Event: cup, Category: category, Segment: segment})))
	do(numbered(events.CallElement(ctx, &pb.CallElementRequest{Event: cup, Category: category, Segment: segment, Entry: "1", Code: "2A"})))
	for judge := int32(1); judge <= 3; judge++ {
		do(numbered(events.SetElementMarks(ctx, &pb.SetElementMarksRequest{
			Event: cup, Category: category, Segment: segment, Entry: "1", Judge: judge, Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32(3))}},
		})))
		var marks []*pb.GivenComponentMark
		for _, c := range []pb.Component_Value{pb.Component_COMPOSITION, pb.Component_PRESENTATION, pb.Component_SKATING_SKILLS} {
			marks = append(marks, &pb.GivenComponentMark{Component: c, Mark: new(7.25)})
		}
		do(numbered(events.SetComponentMarks(ctx, &pb.SetComponentMarksRequest{
			Event: cup, Category: category, Segment: segment, Entry: "1", Judge: judge, Marks: marks,
		})))
	}
	made, err := events.CreateToken(ctx, &pb.CreateTokenRequest{Event: cup, Role: pb.Role_REFEREE})
	if err != nil {
		t.Fatal(err)
	}
	referee := with(t.Context(), made.GetToken())
	do(numbered(events.ConfirmSkater(referee, &pb.ConfirmSkaterRequest{Event: cup, Category: category, Segment: segment, Entry: "1"})))

	correction := func() *pb.CorrectResultRequest {
		return &pb.CorrectResultRequest{Event: cup, Category: category, Segment: segment, Entry: "1", Reason: "a slip of the pen"}
	}
	elementMark := correction()
	elementMark.ElementMarks = []*pb.CorrectedElementMark{{Element: 1, Judge: 2}}
	componentMark := correction()
	componentMark.ComponentMarks = []*pb.CorrectedComponentMark{{Component: pb.Component_COMPOSITION, Judge: 2}}
	addedMark := correction()
	addedMark.AddedElements = []*pb.AddedElement{{Code: "3T", Marks: []*pb.ElementMark{{Judge: 1, Mark: new(int32(1))}, {Judge: 2}, {Judge: 3, Mark: new(int32(0))}}}}
	for i, conn := range s.both(t) {
		for field, req := range map[string]*pb.CorrectResultRequest{
			"elementMarks[0].mark": elementMark, "componentMarks[0].mark": componentMark, "addedElements[0].marks[1].mark": addedMark,
		} {
			res, err := pb.NewEventServiceClient(conn).CorrectResult(referee, req)
			if reason(err) != pb.ErrorReason_FIELD_REQUIRED.String() || fmt.Sprint(errs.Fields(err)) != fmt.Sprint([]string{field}) {
				t.Errorf("way %d, %s: %v at %v: %v", i, field, reason(err), errs.Fields(err), res)
			}
		}
	}
	said := correction()
	said.ElementMarks = []*pb.CorrectedElementMark{{Element: 1, Judge: 2, Mark: new(int32(0))}}
	res, err := pb.NewEventServiceClient(s.rest()).CorrectResult(referee, said)
	if err != nil || res.GetPerformance().GetElements()[0].GetMarks()[1].GetMark() != 0 {
		t.Errorf("a mark of 0: %v, %v", res, err)
	}
}
