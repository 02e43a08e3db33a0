package client_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/clienttest"
	"github.com/rinktally/rinktally/client/offline"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func detailed(t *testing.T) error {
	t.Helper()
	s, err := status.New(codes.InvalidArgument, "two faults").WithDetails(
		&errdetails.ErrorInfo{Reason: "MARK_OUT_OF_RANGE", Domain: "rinktally", Metadata: map[string]string{"found": "6"}},
		&errdetails.BadRequest{FieldViolations: []*errdetails.BadRequest_FieldViolation{
			{Field: "elements[2].marks[4]", Reason: "MARK_OUT_OF_RANGE", Description: "is 6"},
			{Field: "components[0].marks[1]", Reason: "MARK_OFF_GRID", Description: "is 8.3"},
		}})
	if err != nil {
		t.Fatal(err)
	}
	return s.Err()
}

func TestFromError(t *testing.T) {
	err := fmt.Errorf("segment 7: %w", client.FromError(detailed(t)))
	var e *client.Error
	if !errors.As(err, &e) {
		t.Fatalf("%T is no *client.Error", err)
	}
	if e.Code != codes.InvalidArgument || e.Reason != pb.ErrorReason_MARK_OUT_OF_RANGE || e.Metadata["found"] != "6" || len(e.Violations) != 2 {
		t.Errorf("%+v", e)
	}
	if want := (client.Violation{Field: "components[0].marks[1]", Reason: pb.ErrorReason_MARK_OFF_GRID, Message: "is 8.3"}); e.Violations[1] != want {
		t.Errorf("violation %+v, want %+v", e.Violations[1], want)
	}
	if got, want := e.Error(), "InvalidArgument MARK_OUT_OF_RANGE: elements[2].marks[4]: is 6; components[0].marks[1]: is 8.3"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if s := status.Convert(e); s.Code() != codes.InvalidArgument || len(s.Details()) != 2 {
		t.Errorf("the status was lost: %v", s)
	}
	if again := client.FromError(err); any(again) != any(err) { // the very same, not one that wraps it
		t.Errorf("an *Error became %v", again)
	}
	if client.FromError(nil) != nil {
		t.Error("nil became an error")
	}
}

// TestErrorSaysEverythingOnce looks at the errors of an authority: each fault is
// named once, and nothing of another interface.
func TestErrorSaysEverythingOnce(t *testing.T) {
	authority, err := offline.New()
	if err != nil {
		t.Fatal(err)
	}
	_, err = authority.ValueElements(t.Context(), &pb.ValueElementsRequest{Season: "2025-26", Category: "senior-men", Segment: "free-skating",
		Elements: []*pb.SkatedElement{{Code: "3Lz$"}, {Code: "9X"}}})
	var e *client.Error
	if !errors.As(err, &e) || len(e.Violations) != 2 {
		t.Fatalf("got %v", err)
	}
	text := e.Error()
	for _, v := range e.Violations {
		if n := strings.Count(text, v.Field+": "+v.Message); n != 1 {
			t.Errorf("%s is named %d times in %s", v.Field, n, text)
		}
	}
	if strings.Contains(text, "fieldViolations") || strings.Contains(text, "more") {
		t.Errorf("got %s", text)
	}
}

func TestErrorIs(t *testing.T) {
	faults := client.FromError(detailed(t))
	tests := []struct {
		err    error
		target error
		want   bool
	}{
		{faults, client.ErrReason(pb.ErrorReason_MARK_OUT_OF_RANGE), true},
		{faults, client.ErrReason(pb.ErrorReason_MARK_OFF_GRID), true}, // of a field only
		{faults, client.ErrReason(pb.ErrorReason_GOE_VALUE_UNKNOWN), false},
		{faults, client.ErrReason(0), false},
		{faults, context.Canceled, false},
		{client.FromError(context.Canceled), context.Canceled, true},
		{client.FromError(context.DeadlineExceeded), context.DeadlineExceeded, true},
		{client.FromError(status.Error(codes.DeadlineExceeded, "late")), context.DeadlineExceeded, true},
		{client.FromError(errors.New("odd")), client.ErrReason(0), false},
	}
	for i, test := range tests {
		if got := errors.Is(test.err, test.target); got != test.want {
			t.Errorf("%d: errors.Is(%v, %v) = %v", i, test.err, test.target, got)
		}
	}
}

// TestReasonsOfNewerServers keeps a reason that this client does not know in the
// status.
func TestReasonsOfNewerServers(t *testing.T) {
	s, err := status.New(codes.FailedPrecondition, "too cold").WithDetails(&errdetails.ErrorInfo{Reason: "ICE_MELTED", Domain: "rinktally"})
	if err != nil {
		t.Fatal(err)
	}
	var e *client.Error
	if !errors.As(client.FromError(s.Err()), &e) || e.Reason != pb.ErrorReason_ERROR_REASON_UNSPECIFIED || e.Error() != "FailedPrecondition: too cold" {
		t.Errorf("got %+v", e)
	}
	if info, ok := e.GRPCStatus().Details()[0].(*errdetails.ErrorInfo); !ok || info.GetReason() != "ICE_MELTED" {
		t.Errorf("details %v", e.GRPCStatus().Details())
	}
}

// TestEndOfTheContextHasOneReason ends the context of a call to a server and of one
// offline: code, reason and status are the same, and no call left.
func TestEndOfTheContextHasOneReason(t *testing.T) {
	local, err := offline.New()
	if err != nil {
		t.Fatal(err)
	}
	server := clienttest.Start(t)
	cancelled, cancel := context.WithCancel(t.Context())
	cancel()
	late, cancel := context.WithDeadline(t.Context(), time.Now().Add(-time.Second))
	defer cancel()
	for _, test := range []struct {
		ctx    context.Context
		code   codes.Code
		reason pb.ErrorReason_Value
	}{
		{cancelled, codes.Canceled, pb.ErrorReason_CANCELLED},
		{late, codes.DeadlineExceeded, pb.ErrorReason_DEADLINE},
	} {
		for name, a := range map[string]client.Authority{"server": server.Client(), "offline": local} {
			_, unary := a.ListSeasons(test.ctx, &pb.ListSeasonsRequest{})
			var stream error
			for _, err := range a.ScoreSegments(test.ctx, slices.Values([]*pb.ScoreSegmentRequest{{Season: "2025-26"}})) {
				stream = err
			}
			for call, err := range map[string]error{"a call": unary, "a stream": stream} {
				var e *client.Error
				if !errors.As(err, &e) || e.Code != test.code || e.Reason != test.reason || e.RequestID != "" {
					t.Errorf("%s, %s: %+v; want %v %v without a request id", name, call, e, test.code, test.reason)
				}
				if !errors.Is(err, test.ctx.Err()) || !errors.Is(err, client.ErrReason(test.reason)) {
					t.Errorf("%s, %s: %v is not the context's error", name, call, err)
				}
				if details := status.Convert(err).Details(); len(details) != 1 {
					t.Errorf("%s, %s: the status has the details %v", name, call, details)
				}
			}
		}
	}
}

// TestRequestIDOnlyWhereACallLeft looks for the id of a call that no server can know.
func TestRequestIDOnlyWhereACallLeft(t *testing.T) {
	f := &fake{answer: func(ctx context.Context) error {
		<-ctx.Done()
		return ctx.Err()
	}}
	for _, test := range []struct {
		name, addr string
		code       codes.Code
		left       bool
	}{
		{"nobody listens", "127.0.0.1:1", codes.Unavailable, false},
		{"a server that does not answer in time", f.start(t), codes.DeadlineExceeded, true},
	} {
		c := connect(t, test.addr, client.WithPlaintext(), client.WithDefaultTimeout(time.Second), client.WithRetry(1, time.Millisecond, 0))
		var e *client.Error
		if err := seasons(t.Context(), c); !errors.As(err, &e) || e.Code != test.code || (e.RequestID != "") != test.left {
			t.Errorf("%s: %+v; want %v, with a request id %v", test.name, e, test.code, test.left)
		}
	}
}

func TestScoreOfResult(t *testing.T) {
	good := &pb.ScoreSegmentResponse{SegmentScore: "56.40"}
	if s, err := client.Score(&pb.SegmentResult{Result: &pb.SegmentResult_Score{Score: good}}); s != good || err != nil {
		t.Errorf("got %v, %v", s, err)
	}
	s, err := client.Score(&pb.SegmentResult{Result: &pb.SegmentResult_Error{Error: status.Convert(detailed(t)).Proto()}})
	if s != nil || !errors.Is(err, client.ErrReason(pb.ErrorReason_MARK_OFF_GRID)) {
		t.Errorf("got %v, %v", s, err)
	}
}
