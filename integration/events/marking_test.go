package events_test

import (
	"context"
	"errors"
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
	m.request = &pb.SetElementMarksRequest{
		Event: m.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(), Judge: 1,
		Marks: []*pb.GivenElementMark{{Element: 1, Mark: new(int32(5))}},
	}
	return m
}

// mark changes the mark and gives the sequence number of that.
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
