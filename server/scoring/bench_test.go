package scoring_test

import (
	"context"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/integration/invented"
	"github.com/rinktally/rinktally/integration/processor"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/rules/score"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

// BenchmarkScoreSegment measures the handler alone, and with what a call needs
// beside it: reading the request and writing the answer.
func BenchmarkScoreSegment(b *testing.B) {
	loaded, err := tables.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	service := scoring.New(loaded)
	req := invented.FreeSkate()
	bytes, err := proto.Marshal(req)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("handler", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := service.ScoreSegment(context.Background(), req); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("wire", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			in := &pb.ScoreSegmentRequest{}
			if err := proto.Unmarshal(bytes, in); err != nil {
				b.Fatal(err)
			}
			out, err := service.ScoreSegment(context.Background(), in)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := proto.Marshal(out); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkBatch measures a batch of 100 segments that inherit its season beside the
// engine alone, which scores as many without messages, in turns in one run: of the
// processor's time, since a batch runs on all processors. Limit: 3 times as much.
func BenchmarkBatch(b *testing.B) {
	loaded, err := tables.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	service := scoring.New(loaded)
	segment := invented.FreeSkate()
	season, _, _ := loaded.Season(segment.GetSeason(), "")
	engine := engineInput(segment)
	segment.Season = ""
	req := &pb.BatchScoreSegmentsRequest{Season: "2025-26"}
	for range 100 {
		req.Segments = append(req.Segments, segment)
	}
	const turn = 10
	var used [2]time.Duration
	var work score.Work
	b.ReportAllocs()
	for b.Loop() {
		begun := processor.Used(b)
		for range turn {
			if _, err := service.BatchScoreSegments(context.Background(), req); err != nil {
				b.Fatal(err)
			}
		}
		used[0] += processor.Used(b) - begun
		begun = processor.Used(b)
		for range turn * len(req.GetSegments()) {
			if _, faults := work.Compute(season, engine); faults != nil {
				b.Fatal(faults)
			}
		}
		used[1] += processor.Used(b) - begun
	}
	b.ReportMetric(used[0].Seconds()/used[1].Seconds(), "of-engine-cpu")
	b.ReportMetric(0, "ns/op")
}

// BenchmarkLevels measures the level of a spin beside the score of a whole segment, in
// turns in one run, in the processor's time. Limits: a spin of level 4 takes no longer,
// and one of level 3 with what would bring the next five times as long at most.
func BenchmarkLevels(b *testing.B) {
	loaded, err := tables.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	scored, _, _ := loaded.Season("2025-26", "")
	called, _, _ := loaded.Season("2016-17", "")
	segment := engineInput(invented.FreeSkate())
	var work score.Work
	var calls level.Work
	held := func(p level.PositionKind, v level.Variation, revolutions rules.Revolutions) level.Position {
		return level.Position{Position: p, Variation: v, Revolutions: revolutions * rules.Revolution}
	}
	for _, spin := range []struct {
		name, level string
		upright     level.Variation
	}{{"level-4", "4", level.UprightStraight}, {"level-3-and-the-next", "3", ""}} {
		b.Run(spin.name, func(b *testing.B) {
			program := level.Program{Segment: "free-skating", Elements: []level.Element{{Spin: &level.Spin{Feet: []level.Foot{
				{Positions: []level.Position{held(level.Camel, level.CamelUpward, 8)}},
				{Positions: []level.Position{held(level.Sit, level.SitForward, 3), held(level.Upright, spin.upright, 3)}},
			}}}}}
			if got := calls.Call(called.Levels, program).Elements[0].Level; got != spin.level {
				b.Fatalf("it is of level %s", got)
			}
			const turn = 100
			var used [2]time.Duration
			for b.Loop() {
				begun := processor.Used(b)
				for range turn {
					calls.Call(called.Levels, program)
				}
				used[0] += processor.Used(b) - begun
				begun = processor.Used(b)
				for range turn {
					if _, faults := work.Compute(scored, segment); faults != nil {
						b.Fatal(faults)
					}
				}
				used[1] += processor.Used(b) - begun
			}
			b.ReportMetric(used[0].Seconds()/used[1].Seconds(), "of-segment-cpu")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// engineInput is the free skate as the engine reads it.
func engineInput(req *pb.ScoreSegmentRequest) *score.Segment {
	in := &score.Segment{Category: req.GetCategory(), Segment: req.GetSegment(), Deductions: []score.Deduction{{Kind: "FALL", Count: 1}}}
	for _, e := range req.GetElements() {
		in.Elements = append(in.Elements, score.Element{Code: e.GetCode(), SecondHalf: e.GetSecondHalf(), Marks: e.GetMarks()})
	}
	for _, c := range req.GetComponents() {
		component := score.Component{Key: c.GetComponent().String()}
		for _, m := range c.GetMarks() {
			component.Marks = append(component.Marks, rules.Points(m*float64(rules.Point)))
		}
		in.Components = append(in.Components, component)
	}
	return in
}
