package api_test

import (
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// A compulsory dance is scored by the values of the dance that the category
// names, as segments:score does with the same scope. Published sheets of 2009-10
// give 1S1 1.70 in the Golden Waltz and 2.90 in the Tango Romantica.
func TestCompulsoryDanceIsScoredByItsScope(t *testing.T) {
	const dance, compulsory = "senior-dance", "compulsory-dance"
	for scope, c := range map[string]struct{ base, without string }{
		"Golden Waltz": {"1.70", "2005-06"}, "Tango Romantica": {"2.90", "2006-07"}, // seasons whose tables lack the dance
	} {
		r := newRink(t)
		must(r.CreateEvent(as(t.Context(), pb.Role_ADMIN), &pb.CreateEventRequest{Event: cup, Name: "Cup", StartDate: "2010-03-14", Season: "2009-10"}))
		set := func(segment string, scopes ...string) (*pb.SetCategoryResponse, error) {
			req := &pb.SetCategoryRequest{Event: cup, Category: dance}
			for _, scope := range scopes {
				req.Scopes = append(req.Scopes, &pb.SegmentScope{Segment: segment, Scope: scope})
			}
			return r.SetCategory(organiser(t), req)
		}
		_, err := set(compulsory, "Golden Walz")
		refused(t, err, pb.ErrorReason_FIELD_INVALID, "scopes[0].scope")
		_, err = set(compulsory, scope, "Golden Waltz")
		refused(t, err, pb.ErrorReason_FIELD_INVALID, "scopes[1].segment")
		_, err = set("short-dance", scope)
		refused(t, err, pb.ErrorReason_SEGMENT_UNKNOWN, "scopes[0].segment")
		e := must(set(compulsory, scope)).GetEvent()
		if g := e.GetCategories()[0].GetSegments()[0]; g.GetScope() != scope || g.GetTitle() != "Compulsory dance ("+scope+")" {
			t.Errorf("segment is %v, want the scope %q", g, scope)
		}
		_, err = r.UpdateEvent(organiser(t), &pb.UpdateEventRequest{Event: cup, Season: &c.without})
		refused(t, err, pb.ErrorReason_RULES_NOT_AVAILABLE, "season")

		must(r.SetPanel(organiser(t), &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: 1}}))
		must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: dance, Name: "Ada Invented / Bo Invented"}))
		must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: dance, Segment: compulsory}))
		must(r.StartSegment(referee(t), &pb.StartSegmentRequest{Event: cup, Category: dance, Segment: compulsory}))
		must(r.CallSkater(referee(t), &pb.CallSkaterRequest{Event: cup, Category: dance, Segment: compulsory}))
		p := must(r.CallElement(panel(t), &pb.CallElementRequest{Event: cup, Category: dance, Segment: compulsory, Entry: "1", Code: "1S1"})).GetPerformance()
		must(r.SetElementMarks(organiser(t), &pb.SetElementMarksRequest{
			Event: cup, Category: dance, Segment: compulsory, Entry: "1", Judge: 1, Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32(1))}},
		}))
		marks := &pb.SetComponentMarksRequest{Event: cup, Category: dance, Segment: compulsory, Entry: "1", Judge: 1}
		for _, component := range p.GetComponents() {
			marks.Marks = append(marks.Marks, &pb.GivenComponentMark{Component: component.GetComponent(), Mark: new(7.25)})
		}
		must(r.SetComponentMarks(organiser(t), marks))
		p = must(r.ConfirmSkater(referee(t), &pb.ConfirmSkaterRequest{Event: cup, Category: dance, Segment: compulsory, Entry: "1"})).GetPerformance()
		if got := p.GetElements()[0].GetBaseValue(); got != c.base {
			t.Errorf("%s: base value is %s, want %s", scope, got, c.base)
		}
		checkScore(t, r, e, e.GetCategories()[0], p)
	}
}
