package client

import (
	"context"
	"iter"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Authority answers what the rules say. *Client asks a server, *offline.Client
// computes in process; both give the same answers and the same errors (*Error).
// Requests are not changed. All methods may be called concurrently.
type Authority interface {
	RulesCalls
	ScoringCalls
	ProgramCalls
	ResultCalls

	// ScoreSegments scores any number of segments and yields one result for each,
	// in order. A segment that cannot be scored has an error in its result
	// (Score) and the rest go on; an error beside the result ends the sequence.
	//
	// Results come while segments are still being taken, and segments are not
	// taken far ahead of the reader. They may be taken in a goroutine of its own,
	// which has ended when the range over the results ends: leaving the range
	// early waits for the segment that is just being taken.
	ScoreSegments(ctx context.Context, segments iter.Seq[*pb.ScoreSegmentRequest]) iter.Seq2[*pb.SegmentResult, error]
}

// AllElements yields every element that the request selects, page by page. The
// request's page size is kept and its page token is where the first page starts.
// An error ends the sequence.
func AllElements(ctx context.Context, a Authority, req *pb.ListElementsRequest) iter.Seq2[*pb.Element, error] {
	return func(yield func(*pb.Element, error) bool) {
		page := proto.CloneOf(req)
		for {
			answer, err := a.ListElements(ctx, page)
			if err != nil {
				yield(nil, err)
				return
			}
			for _, e := range answer.GetElements() {
				if !yield(e, nil) {
					return
				}
			}
			if page.PageToken = answer.GetNextPageToken(); page.PageToken == "" {
				return
			}
		}
	}
}

// Levels returns the levels of a result of BatchCallLevels, or the *Error that says
// why there are none.
func Levels(result *pb.LevelsResult) (*pb.CallLevelsResponse, error) {
	if s := result.GetError(); s != nil {
		return nil, errorFromStatus(s, "")
	}
	return result.GetLevels(), nil
}

// Program returns the program of a result of BatchCheckPrograms, or the *Error that
// says why it was not checked.
func Program(result *pb.ProgramResult) (*pb.CheckProgramResponse, error) {
	if s := result.GetError(); s != nil {
		return nil, errorFromStatus(s, "")
	}
	return result.GetProgram(), nil
}

// Parsed returns the element of a result of ParseElements, or the *Error that says what
// is wrong with the code.
func Parsed(result *pb.ParsedResult) (*pb.ParsedElement, error) {
	if s := result.GetError(); s != nil {
		return nil, errorFromStatus(s, "")
	}
	return result.GetElement(), nil
}

// Score returns the score of a result of ScoreSegments or BatchScoreSegments, or
// the *Error that says why there is none.
func Score(result *pb.SegmentResult) (*pb.ScoreSegmentResponse, error) {
	if s := result.GetError(); s != nil {
		return nil, errorFromStatus(s, "")
	}
	return result.GetScore(), nil
}
