package app_test

import (
	"errors"
	"io"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/encoding"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/mem"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// verbatim is a codec that sends bytes as they are and reads no answer.
type verbatim struct{}

var _ encoding.CodecV2 = verbatim{}

func (verbatim) Name() string { return "proto" }

func (verbatim) Marshal(v any) (mem.BufferSlice, error) {
	return mem.BufferSlice{mem.SliceBuffer(v.([]byte))}, nil
}

func (verbatim) Unmarshal(mem.BufferSlice, any) error { return nil }

// What cannot be read as a request is the caller's fault, with a reason, in every kind
// of call; and the connection goes on.
func TestWhatIsNoRequest(t *testing.T) {
	s := run(t, settings(t))
	conn := dial(t, s.GRPCAddr())
	const season = "\x0a\x072025-26" // field 1
	for bytes, want := range map[string]codes.Code{
		"\xff\xff\xff":          codes.InvalidArgument,
		"\x0a\x7fcut short":     codes.InvalidArgument,
		"\x0a\x02\xc3\x28":      codes.InvalidArgument, // not UTF-8
		season + "\xa0\x7d\x01": codes.OK,              // with a field that is not known here
	} {
		for _, method := range []string{
			pb.RulesService_GetSeason_FullMethodName, pb.ScoreboardService_WatchScoreboard_FullMethodName,
			pb.ScoringService_ScoreSegments_FullMethodName, healthpb.Health_Check_FullMethodName,
		} {
			if want == codes.OK && method != pb.RulesService_GetSeason_FullMethodName {
				continue
			}
			stream, err := conn.NewStream(t.Context(), &grpc.StreamDesc{ServerStreams: true, ClientStreams: true}, method, grpc.ForceCodecV2(verbatim{}))
			if err != nil {
				t.Fatal(err)
			}
			_ = stream.SendMsg([]byte(bytes)) // the answer says what is wrong
			_ = stream.CloseSend()
			for err = nil; err == nil; {
				err = stream.RecvMsg(nil)
			}
			if errors.Is(err, io.EOF) {
				err = nil
			}
			if status.Code(err) != want || err != nil && errs.Reason(err) != pb.ErrorReason_FIELD_INVALID.String() {
				t.Errorf("%s: %q is answered with %v, reason %q; want %v", method, bytes, err, errs.Reason(err), want)
			}
		}
	}
}
