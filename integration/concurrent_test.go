package integration_test

import (
	"context"
	"fmt"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// TestConcurrentCallsDoNotMix scores many different segments at once, good and
// wrong ones, and expects of each what it is answered alone.
func TestConcurrentCallsDoNotMix(t *testing.T) {
	const kinds, callers, rounds = 60, 16, 5
	server := start(t)
	conn := pb.NewScoringServiceClient(server.conn(t))
	requests := make([]*pb.ScoreSegmentRequest, kinds)
	alone := make([]string, kinds)
	ask := func(i int) string {
		res, err := conn.ScoreSegment(context.Background(), requests[i])
		if err != nil {
			return err.Error()
		}
		text, err := proto.MarshalOptions{Deterministic: true}.Marshal(res)
		if err != nil {
			return err.Error()
		}
		return string(text)
	}
	different := map[string]bool{}
	for i := range requests {
		requests[i] = &pb.ScoreSegmentRequest{}
		if err := protojson.Unmarshal([]byte(good[scoreCall]), requests[i]); err != nil {
			t.Fatal(err)
		}
		vary(requests[i], i)
		alone[i] = ask(i)
		different[alone[i]] = true
	}
	if len(different) < kinds/2 {
		t.Fatalf("only %d of %d answers differ", len(different), kinds)
	}
	parallel(callers, func(n int) {
		for j := range rounds * kinds {
			i := (j*7 + n*13) % kinds
			if got := ask(i); got != alone[i] {
				t.Errorf("segment %d is answered %.200q among others, alone %.200q", i, got, alone[i])
				return
			}
		}
	})
}

// vary makes a segment of its own out of a good one.
func vary(req *pb.ScoreSegmentRequest, i int) {
	req.Season = []string{"2025-26", "2025-26", "2021-22"}[i%3]
	if req.GetSeason() == "2021-22" {
		for _, c := range []pb.Component_Value{pb.Component_TRANSITIONS, pb.Component_PERFORMANCE, pb.Component_INTERPRETATION} {
			req.Components = append(req.Components, &pb.MarkedComponent{Component: c, Marks: []float64{7, 7.25, 7.5, 7.75, 8}})
		}
		// of the three of 2025-26 two stay
		req.Components = append(req.Components[:1], req.Components[2:]...)
	}
	req.Explain = i%4 == 0
	for j, e := range req.GetElements() {
		for k := range e.GetMarks() {
			e.Marks[k] = int32((i*5+j*3+k)%7 - 2)
		}
	}
	codes := []string{"3Lz", "2A", "3F+2T", "4S", "3Lo<", "CCoSp3", "StSq2"}
	req.Elements = append(req.Elements, &pb.MarkedElement{Code: codes[i%len(codes)], Marks: []int32{1, 0, 1, 0, int32(i % 3)}})
	req.Deductions[0].Count = proto.Int32(int32(1 + i%3))
	if i%10 == 9 {
		req.Elements[0].Code = fmt.Sprintf("%dQ", i)
	}
}
