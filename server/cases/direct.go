package cases

import (
	"context"
	"errors"
	"fmt"
	"regexp"

	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/program"
	"github.com/rinktally/rinktally/server/result"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

// Direct makes calls on the services themselves, in this process.
func Direct(t *tables.Tables) Caller {
	s, p, r := scoring.New(t), program.New(t), result.New(t)
	calls := map[string]func(context.Context, string, []byte) (proto.Message, error){
		"levels:call":         method(s.CallLevels, func(m *pb.CallLevelsRequest, season string) { m.Season = season }),
		"levels:batchCall":    method(s.BatchCallLevels, func(m *pb.BatchCallLevelsRequest, season string) { m.Season = season }),
		"elements:parse":      method(s.ParseElements, func(m *pb.ParseElementsRequest, season string) { m.Season = season }),
		"elements:value":      method(s.ValueElements, func(m *pb.ValueElementsRequest, season string) { m.Season = season }),
		"segments:score":      method(s.ScoreSegment, func(m *pb.ScoreSegmentRequest, season string) { m.Season = season }),
		"segments:batchScore": method(s.BatchScoreSegments, func(m *pb.BatchScoreSegmentsRequest, season string) { m.Season = season }),
		"programs:check":      method(p.CheckProgram, func(m *pb.CheckProgramRequest, season string) { m.Season = season }),
		"programs:batchCheck": method(p.BatchCheckPrograms, func(m *pb.BatchCheckProgramsRequest, season string) { m.Season = season }),
		"programs:plan":       method(p.PlanProgram, func(m *pb.PlanProgramRequest, season string) { m.Season = season }),
		"results:rank":        method(r.RankEvent, func(m *pb.RankEventRequest, season string) { m.Season = season }),
	}
	return func(ctx context.Context, call, season string, request []byte) ([]byte, error) {
		do, ok := calls[call]
		if !ok {
			return nil, fmt.Errorf("there is no call %s", call)
		}
		answer, err := do(ctx, season, request)
		if err != nil {
			if reason := errs.Reason(err); reason != "" {
				return nil, &Refusal{Reason: reason, Fields: errs.Fields(err), Text: status.Convert(err).Message()}
			}
			return nil, err
		}
		return protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(answer)
	}
}

// messages are the requests and the answers of the calls.
var messages = map[string]struct{ request, answer proto.Message }{
	"levels:call":         {&pb.CallLevelsRequest{}, &pb.CallLevelsResponse{}},
	"levels:batchCall":    {&pb.BatchCallLevelsRequest{}, &pb.BatchCallLevelsResponse{}},
	"elements:parse":      {&pb.ParseElementsRequest{}, &pb.ParseElementsResponse{}},
	"elements:value":      {&pb.ValueElementsRequest{}, &pb.ValueElementsResponse{}},
	"segments:score":      {&pb.ScoreSegmentRequest{}, &pb.ScoreSegmentResponse{}},
	"segments:batchScore": {&pb.BatchScoreSegmentsRequest{}, &pb.BatchScoreSegmentsResponse{}},
	"programs:check":      {&pb.CheckProgramRequest{}, &pb.CheckProgramResponse{}},
	"programs:batchCheck": {&pb.BatchCheckProgramsRequest{}, &pb.BatchCheckProgramsResponse{}},
	"programs:plan":       {&pb.PlanProgramRequest{}, &pb.PlanProgramResponse{}},
	"results:rank":        {&pb.RankEventRequest{}, &pb.RankEventResponse{}},
}

// place is where the reader of JSON says that a fault is: a place that no file of
// the case's writer has.
var place = regexp.MustCompile(`^proto:[\s\x{a0}]*(\(line \d+:\d+\):[\s\x{a0}]*)?`)

// fit reads a request from JSON.
func fit(request []byte, into proto.Message) error {
	if err := protojson.Unmarshal(request, into); err != nil {
		return errors.New("the request does not fit the call: " + place.ReplaceAllString(err.Error(), ""))
	}
	return nil
}

// method reads a request from JSON, sets the season that REST takes from the
// path, and calls.
func method[Req any, Res proto.Message, Ptr interface {
	*Req
	proto.Message
}](call func(context.Context, Ptr) (Res, error), set func(Ptr, string)) func(context.Context, string, []byte) (proto.Message, error) {
	return func(ctx context.Context, season string, request []byte) (proto.Message, error) {
		req := Ptr(new(Req))
		if err := fit(request, req); err != nil {
			return nil, err
		}
		set(req, season)
		return call(ctx, req)
	}
}
