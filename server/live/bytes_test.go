package live_test

import (
	"context"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/live"
)

// BenchmarkBytes measures what a watcher is sent over SSE of a short program of 24
// skaters with nine judges, shared out among their marks: with whole boards, with the
// changes alone, and the one of the other. The bytes are the same in each run.
func BenchmarkBytes(b *testing.B) {
	const skaters, judges = 24, 9
	var sent [2]int
	marks := 0
	for b.Loop() {
		h := newHall(b, 0)
		must(h.SetPanel(as(b, pb.Role_ORGANISER), &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: judges}}))
		h.enter(b, skaters)
		watchers := [2]*live.Watcher{must(h.hub.JoinBoard(b.Context(), cup, nil, false)), must(h.hub.JoinBoard(b.Context(), cup, nil, true))}
		take := func() {
			for i, w := range watchers {
				for f := w.Next(); f != nil; f = w.Next() {
					sent[i] += len(must(f.SSE()))
				}
			}
		}
		take()
		sent, marks = [2]int{}, 0 // without the board that both begin with
		for range skaters {
			marks += h.perform(b, judges, take)
		}
		for _, w := range watchers {
			w.Leave()
		}
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(sent[0])/float64(marks), "B/mark-whole")
	b.ReportMetric(float64(sent[1])/float64(marks), "B/mark-changes")
	b.ReportMetric(float64(sent[1])/float64(sent[0]), "of-whole")
}

// perform lets the next skater of the short program skate it to the confirmation, and
// returns how often a judge has marked something. done is called after each call.
func (h *hall) perform(t testing.TB, judges int32, done func()) (marks int) {
	t.Helper()
	panel := as(t, pb.Role_TECHNICAL_PANEL)
	judge := func(n int32) context.Context {
		return access.WithActor(t.Context(), access.Actor{Event: cup, Role: pb.Role_JUDGE, Judge: n, Token: "1"})
	}
	p := must(h.CallSkater(panel, &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short})).GetPerformance()
	done()
	for i, code := range []string{"3Lz+3T", "3F", "FCSp4", "2A", "StSq3", "CSSp4", "CCoSp4"} {
		called := must(h.CallElement(panel, &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Code: code}))
		done()
		for j := int32(1); j <= judges; j++ {
			must(h.SetElementMarks(judge(j), &pb.SetElementMarksRequest{
				Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Judge: j,
				Marks: []*pb.GivenElementMark{{Element: called.GetElement(), Mark: new((int32(i)+j)%4 - 1)}},
			}))
			marks++
			done()
		}
	}
	must(h.EndProgram(panel, &pb.EndProgramRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry()}))
	done()
	for j := int32(1); j <= judges; j++ {
		var given []*pb.GivenComponentMark
		for _, c := range p.GetComponents() {
			given = append(given, &pb.GivenComponentMark{Component: c.GetComponent(), Mark: new(6 + float64(j%4)/4)})
		}
		must(h.SetComponentMarks(judge(j), &pb.SetComponentMarksRequest{
			Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Judge: j, Marks: given,
		}))
		marks++
		done()
	}
	must(h.ConfirmSkater(as(t, pb.Role_REFEREE), &pb.ConfirmSkaterRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry()}))
	done()
	return marks
}
