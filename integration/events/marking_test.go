package events_test

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/demo"
)

// marking is the event of two categories and twelve skaters, in which somebody
// skates and a judge changes the same mark again and again.
type marking struct {
	*desk

	t       testing.TB
	event   string
	request *pb.SetElementMarksRequest
}

// newMarking plays the event until four have skated and the fifth is on the ice.
func newMarking(t testing.TB, s *server) *marking {
	t.Helper()
	m := &marking{desk: newDesk("marking", s.admin, s.conn(t)), t: t}
	enough := errors.New("enough")
	const pauses = 48 // of one short program
	left := 4*pauses + 31
	demo := &demo.Event{Service: m.desk, Seed: 7, Today: day(), Started: func(e string) { m.event = e }, Pause: func(context.Context, time.Duration) error {
		if left--; left == 0 {
			return enough
		}
		return nil
	}}
	if err := demo.Play(t.Context()); !errors.Is(err, enough) {
		t.Fatalf("the event ended with %v", err)
	}
	_, board := boards(t, s, m.event)
	p := board.GetSkater().GetPerformance()
	sheet := must(pb.NewEventServiceClient(s.conn(t)).GetPerformance(with(t.Context(), s.admin), &pb.GetPerformanceRequest{
		Event: m.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(),
	})).GetPerformance()
	for _, e := range sheet.GetElements() {
		var others []int32
		for _, mark := range e.GetMarks() {
			if mark.GetJudge() != 1 {
				others = append(others, mark.GetMark())
			}
		}
		// The highest mark and the lowest do not count, so a judge's extremes can be seen
		// where the others differ.
		if e.GetGoe() != "" && slices.Min(others) != slices.Max(others) {
			m.request = &pb.SetElementMarksRequest{
				Event: m.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(), Judge: 1,
				Marks: []*pb.GivenElementMark{{Element: e.GetElement(), Mark: new(int32(5))}},
			}
			m.mark() // an extreme, so that the next one changes the score
			return m
		}
	}
	t.Fatalf("no mark of judge 1 can be seen: %v", sheet.GetElements())
	return nil
}

// mark changes the mark and returns the sequence number of that.
func (m *marking) mark() uint64 {
	m.t.Helper()
	mark := m.request.GetMarks()[0]
	mark.Mark = new(-mark.GetMark())
	ctx := access.WithActor(m.t.Context(), access.Actor{Event: m.event, Role: pb.Role_JUDGE, Judge: m.request.GetJudge()})
	res, err := m.SetElementMarks(ctx, m.request)
	if err != nil {
		m.t.Fatal(err)
	}
	return res.GetSequence()
}
