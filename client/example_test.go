package client_test

import (
	"context"
	"errors"
	"fmt"
	"log"
	"slices"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/offline"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// A program that takes an Authority works with a server and without.
func Example() {
	base := func(a client.Authority, codes ...string) (string, error) {
		req := &pb.ValueElementsRequest{Season: "2016-17", Category: "senior-women", Segment: "free-skating"}
		for _, code := range codes {
			req.Elements = append(req.Elements, &pb.SkatedElement{Code: code})
		}
		answer, err := a.ValueElements(context.Background(), req)
		return answer.GetTotalBaseValue(), err
	}

	a, err := offline.New() // or client.New("localhost:7070", client.WithPlaintext())
	if err != nil {
		log.Fatal(err)
	}
	total, err := base(a, "3Lz+3T", "CCoSp4")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(total)
	// Output: 13.80
}

func ExampleError() {
	a, err := offline.New()
	if err != nil {
		log.Fatal(err)
	}
	_, err = a.ValueElements(context.Background(), &pb.ValueElementsRequest{
		Season: "2016-17", Category: "senior-women", Segment: "short",
		Elements: []*pb.SkatedElement{{Code: "3Lz"}},
	})
	fmt.Println(errors.Is(err, client.ErrReason(pb.ErrorReason_SEGMENT_UNKNOWN)))
	var e *client.Error
	if errors.As(err, &e) {
		for _, v := range e.Violations {
			fmt.Println(v.Field, v.Reason)
		}
	}
	// Output:
	// true
	// segment SEGMENT_UNKNOWN
}

// Levels of one spin: what counted, and what would bring the next level.
func ExampleAuthority_callLevels() {
	a, err := offline.New()
	if err != nil {
		log.Fatal(err)
	}
	answer, err := a.CallLevels(context.Background(), &pb.CallLevelsRequest{
		Season: "2016-17", Category: "senior-women", Segment: "free-skating",
		Elements: []*pb.LevelledElement{{Kind: &pb.LevelledElement_Spin{Spin: &pb.Spin{Feet: []*pb.SpinFoot{
			{Positions: []*pb.SpinPosition{{Position: pb.Position_CAMEL, Variation: pb.Variation_CAMEL_UPWARD, Revolutions: 8}}},
			{Positions: []*pb.SpinPosition{
				{Position: pb.Position_SIT, Variation: pb.Variation_SIT_FORWARD, Revolutions: 3},
				{Position: pb.Position_UPRIGHT, Variation: pb.Variation_UPRIGHT_STRAIGHT_OR_SIDEWAYS, Revolutions: 3},
			}},
		}}}}},
	})
	if err != nil {
		log.Fatal(err)
	}
	for _, e := range answer.GetElements() {
		fmt.Println(e.GetCode())
		for _, f := range e.GetFeatures() {
			fmt.Println(f.GetFeature(), f.GetAt(), f.GetCounted())
		}
	}
	// Output:
	// CCoSp4
	// DIFFICULT_VARIATION feet[0].positions[0] true
	// EIGHT_REVOLUTIONS feet[0].positions[0] true
	// DIFFICULT_VARIATION feet[1].positions[0] true
	// DIFFICULT_VARIATION feet[1].positions[1] true
}

// Many segments over one stream: one that cannot be scored does not stop the
// rest.
func ExampleAuthority_scoreSegments() {
	a, err := offline.New()
	if err != nil {
		log.Fatal(err)
	}
	archive := []*pb.ScoreSegmentRequest{
		{Season: "1998-99", Category: "senior-men", Segment: "free-skating"},
		{Season: "2016-17", Category: "senior-men", Segment: "school-figures"},
	}
	for result, err := range a.ScoreSegments(context.Background(), slices.Values(archive)) {
		if err != nil {
			log.Fatal(err) // the stream is broken
		}
		score, err := client.Score(result)
		var e *client.Error
		if errors.As(err, &e) {
			fmt.Println(e.Code)
			continue
		}
		fmt.Println(score.GetSegmentScore())
	}
	// Output:
	// NotFound
	// InvalidArgument
}
