package scoring

import (
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
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
	if got := inherit(segment, &pb.BatchScoreSegmentsRequest{Season: "2025-26", Revision: "of the batch"}); !proto.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if !proto.Equal(segment, before) {
		t.Errorf("the request was changed to %v", segment)
	}
	segment.Revision, want.Revision = "", "of the batch"
	if got := inherit(segment, &pb.BatchScoreSegmentsRequest{Season: "2025-26", Revision: "of the batch"}); !proto.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
