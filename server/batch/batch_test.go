package batch_test

import (
	"context"
	"slices"
	"testing"

	spb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/batch"
	"github.com/rinktally/rinktally/server/errs"
)

// TestInheritKeepsEveryField fills every field that a segment has, also those that
// are added to it one day: none is lost on the way from a batch to its scoring.
func TestInheritKeepsEveryField(t *testing.T) {
	segment := &pb.ScoreSegmentRequest{}
	m := segment.ProtoReflect()
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		switch f := fields.Get(i); {
		case f.IsList() && f.Message() != nil:
			m.Mutable(f).List().AppendMutable()
		case f.IsList():
			m.Mutable(f).List().Append(protoreflect.ValueOfInt32(3))
		case f.Kind() == protoreflect.StringKind:
			m.Set(f, protoreflect.ValueOfString("filled"))
		case f.Kind() == protoreflect.BoolKind:
			m.Set(f, protoreflect.ValueOfBool(true))
		default:
			t.Fatalf("fill %s too", f.FullName())
		}
	}
	segment.Season = ""
	before := proto.CloneOf(segment)
	want := proto.CloneOf(segment)
	want.Season = "2025-26"
	if got := batch.Inherit(segment, &pb.BatchScoreSegmentsRequest{Season: "2025-26", Revision: "of the batch"}); !proto.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if !proto.Equal(segment, before) {
		t.Errorf("the request was changed to %v", segment)
	}
	segment.Revision, want.Revision = "", "of the batch"
	if got := batch.Inherit(segment, &pb.BatchScoreSegmentsRequest{Season: "2025-26", Revision: "of the batch"}); !proto.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// One item that is refused, or in which the program itself fails, takes nothing away
// from the others.
func TestEachGoesOnBehindAFault(t *testing.T) {
	answer := func(_ int, item string) (string, error) {
		switch item {
		case "wrong":
			return "", errs.From(rules.FieldErrors{{Field: "code", Reason: rules.ReasonCodeInvalid, Message: "is wrong"}}, nil)
		case "broken":
			panic("a secret")
		}
		return item, nil
	}
	failed := func(s *spb.Status) string { return codes.Code(s.GetCode()).String() + " " + s.GetMessage() }
	got, err := batch.Each(t.Context(), []string{"a", "wrong", "broken", "b"}, answer, failed)
	want := []string{"a", "InvalidArgument code: is wrong", "Internal a fault of the server; the request id finds it in the server's log", "b"}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("%q, %v; want %q", got, err, want)
	}
	gone, leave := context.WithCancel(t.Context())
	leave()
	if _, err := batch.Each(gone, []string{"a"}, answer, failed); errs.Reason(err) != "CANCELLED" {
		t.Errorf("of a caller who has gone: %v", err)
	}
}
