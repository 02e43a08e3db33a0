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
	// ListSeasons lists the seasons that have a table, oldest first.
	ListSeasons(context.Context, *pb.ListSeasonsRequest) (*pb.ListSeasonsResponse, error)
	// GetSeason shows one season's table with the source of every rule.
	GetSeason(context.Context, *pb.GetSeasonRequest) (*pb.GetSeasonResponse, error)
	// ListElements returns one page of a season's elements; AllElements yields all.
	ListElements(context.Context, *pb.ListElementsRequest) (*pb.ListElementsResponse, error)
	// GetElement shows one element: base value, points of every GOE mark, reduced
	// forms.
	GetElement(context.Context, *pb.GetElementRequest) (*pb.GetElementResponse, error)
	// CompareSeasons shows what changed between two seasons.
	CompareSeasons(context.Context, *pb.CompareSeasonsRequest) (*pb.CompareSeasonsResponse, error)

	// CallLevels calls the levels of one program's elements from what was skated.
	CallLevels(context.Context, *pb.CallLevelsRequest) (*pb.CallLevelsResponse, error)
	// ValueElements returns the base value of each element code.
	ValueElements(context.Context, *pb.ValueElementsRequest) (*pb.ValueElementsResponse, error)
	// ScoreSegment scores one segment from the panel's marks.
	ScoreSegment(context.Context, *pb.ScoreSegmentRequest) (*pb.ScoreSegmentResponse, error)
	// BatchScoreSegments scores up to 1000 segments in one call.
	BatchScoreSegments(context.Context, *pb.BatchScoreSegmentsRequest) (*pb.BatchScoreSegmentsResponse, error)
	// CheckProgram credits a program as the rules would: what is struck, reduced
	// or missing and why, and what one level or one call would change.
	CheckProgram(context.Context, *pb.CheckProgramRequest) (*pb.CheckProgramResponse, error)
	// RankSegment returns the places of one segment, with ties broken as the
	// season says.
	RankSegment(context.Context, *pb.RankSegmentRequest) (*pb.RankSegmentResponse, error)
	// RankEvent returns the places of every segment and the result over all.
	RankEvent(context.Context, *pb.RankEventRequest) (*pb.RankEventResponse, error)

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

// Score returns the score of a result of ScoreSegments or BatchScoreSegments, or
// the *Error that says why there is none.
func Score(result *pb.SegmentResult) (*pb.ScoreSegmentResponse, error) {
	if s := result.GetError(); s != nil {
		return nil, errorFromStatus(s, "")
	}
	return result.GetScore(), nil
}
