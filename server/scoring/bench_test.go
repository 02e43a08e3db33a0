package scoring_test

import (
	"context"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

// freeSkate is an invented free skate: 12 elements, 9 judges, 3 components.
func freeSkate() *pb.ScoreSegmentRequest {
	req := &pb.ScoreSegmentRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating"}
	for i, code := range []string{
		"3Lz+3T", "3F!", "2A+1Eu+3S", "CCoSp4", "3Lo", "FCSp3", "StSq3", "3Lz<+2T", "3S", "2A", "ChSq1", "LSp4",
	} {
		e := &pb.MarkedElement{Code: code, SecondHalf: i > 6, Marks: make([]int32, 9)}
		for j := range e.Marks {
			e.Marks[j] = int32((i*7+j*3)%6) - 1
		}
		req.Elements = append(req.Elements, e)
	}
	for i, component := range []pb.Component_Value{pb.Component_COMPOSITION, pb.Component_PRESENTATION, pb.Component_SKATING_SKILLS} {
		c := &pb.MarkedComponent{Component: component, Marks: make([]float64, 9)}
		for j := range c.Marks {
			c.Marks[j] = 7 + .25*float64((i*5+j*2)%7)
		}
		req.Components = append(req.Components, c)
	}
	req.Deductions = []*pb.Deduction{{Kind: pb.DeductionKind_FALL}}
	return req
}

// BenchmarkScoreSegment measures the handler alone, and with what a call needs
// beside it: reading the request and writing the answer.
func BenchmarkScoreSegment(b *testing.B) {
	loaded, err := tables.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	service := scoring.New(loaded)
	req := freeSkate()
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

// BenchmarkBatch measures a batch of 100 segments that inherit its season.
func BenchmarkBatch(b *testing.B) {
	loaded, err := tables.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	service := scoring.New(loaded)
	segment := freeSkate()
	segment.Season = ""
	req := &pb.BatchScoreSegmentsRequest{Season: "2025-26"}
	for range 100 {
		req.Segments = append(req.Segments, segment)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := service.BatchScoreSegments(context.Background(), req); err != nil {
			b.Fatal(err)
		}
	}
}
