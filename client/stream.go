package client

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"

	"google.golang.org/grpc/codes"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// ScoreSegments implements Authority over one stream. It is not retried: a
// broken stream ends the sequence, and the results so far tell where to resume.
func (c *Client) ScoreSegments(ctx context.Context, segments iter.Seq[*pb.ScoreSegmentRequest]) iter.Seq2[*pb.SegmentResult, error] {
	return func(yield func(*pb.SegmentResult, error) bool) {
		ctx, cancel := context.WithCancel(ctx)
		stream, err := c.scoring.ScoreSegments(ctx)
		if err != nil {
			cancel()
			yield(nil, err)
			return
		}
		// Sending has a goroutine of its own: when the server waits for its answers
		// to be read, Send blocks, and only reading sets it free.
		sent := make(chan int, 1)
		go func() { sent <- send(stream, segments) }()
		wait := func() int {
			cancel()
			return <-sent
		}
		for received := 0; ; received++ {
			answer, err := stream.Recv()
			if errors.Is(err, io.EOF) {
				if n := wait(); received != n {
					yield(nil, &Error{Code: codes.Internal, Message: fmt.Sprintf("the server answered %d of %d segments", received, n)})
				}
				return
			}
			if err != nil {
				wait()
				yield(nil, err)
				return
			}
			if !yield(answer.GetResult(), nil) {
				wait()
				return
			}
		}
	}
}

// send sends the segments until the stream breaks, whose error Recv then returns,
// and says how many it sent.
func send(stream pb.ScoringService_ScoreSegmentsClient, segments iter.Seq[*pb.ScoreSegmentRequest]) int {
	n := 0
	for s := range segments {
		if err := stream.Send(&pb.ScoreSegmentsRequest{Segment: s}); err != nil {
			return n
		}
		n++
	}
	// A stream that cannot be closed is broken; Recv says why.
	_ = stream.CloseSend()
	return n
}
