package client

import (
	"context"
	"crypto/rand"
	"errors"
	"time"

	"github.com/grpc-ecosystem/go-grpc-middleware/v2/interceptors/retry"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// retryable says of every method whether a call may be repeated when the server
// was unavailable. What is not here is not repeated.
var retryable = map[string]bool{
	// Look-ups.
	pb.RulesService_ListSeasons_FullMethodName:    true,
	pb.RulesService_GetSeason_FullMethodName:      true,
	pb.RulesService_ListElements_FullMethodName:   true,
	pb.RulesService_GetElement_FullMethodName:     true,
	pb.RulesService_CompareSeasons_FullMethodName: true,

	// Calculations: nothing is kept, so repeating changes nothing.
	pb.ScoringService_CallLevels_FullMethodName:         true,
	pb.ScoringService_ValueElements_FullMethodName:      true,
	pb.ScoringService_ScoreSegment_FullMethodName:       true,
	pb.ScoringService_BatchScoreSegments_FullMethodName: true,
	pb.ProgramService_CheckProgram_FullMethodName:       true,
	pb.ResultService_RankSegment_FullMethodName:         true,
	pb.ResultService_RankEvent_FullMethodName:           true,
	// The caller's sequence is spent and cannot be sent again.
	pb.ScoringService_ScoreSegments_FullMethodName: false,

	// Look-ups in events.
	pb.EventService_GetEvent_FullMethodName:           true,
	pb.EventService_GetCaller_FullMethodName:          true,
	pb.EventService_ListEvents_FullMethodName:         true,
	pb.EventService_ListEntries_FullMethodName:        true,
	pb.EventService_ExportEntries_FullMethodName:      true,
	pb.EventService_GetPerformance_FullMethodName:     true,
	pb.EventService_GetSegmentStanding_FullMethodName: true,
	pb.EventService_GetFinalStanding_FullMethodName:   true,
	pb.EventService_GetDocument_FullMethodName:        true,
	pb.EventService_ListFacts_FullMethodName:          true,
	pb.EventService_ListTokens_FullMethodName:         true,
	pb.ScoreboardService_GetScoreboard_FullMethodName: true,

	// What changes an event: the request id makes a repetition change nothing.
	pb.EventService_CreateEvent_FullMethodName:       true,
	pb.EventService_UpdateEvent_FullMethodName:       true,
	pb.EventService_SetCategory_FullMethodName:       true,
	pb.EventService_RemoveCategory_FullMethodName:    true,
	pb.EventService_SetPanel_FullMethodName:          true,
	pb.EventService_SetAbsentJudges_FullMethodName:   true,
	pb.EventService_AddEntry_FullMethodName:          true,
	pb.EventService_UpdateEntry_FullMethodName:       true,
	pb.EventService_ImportEntries_FullMethodName:     true,
	pb.EventService_WithdrawEntry_FullMethodName:     true,
	pb.EventService_ReinstateEntry_FullMethodName:    true,
	pb.EventService_ErasePerson_FullMethodName:       true,
	pb.EventService_DrawStartingOrder_FullMethodName: true,
	pb.EventService_StartSegment_FullMethodName:      true,
	pb.EventService_CallSkater_FullMethodName:        true,
	pb.EventService_CallElement_FullMethodName:       true,
	pb.EventService_ReviseElement_FullMethodName:     true,
	pb.EventService_RemoveElement_FullMethodName:     true,
	pb.EventService_ReviewElement_FullMethodName:     true,
	pb.EventService_EndProgram_FullMethodName:        true,
	pb.EventService_SetElementMarks_FullMethodName:   true,
	pb.EventService_SetComponentMarks_FullMethodName: true,
	pb.EventService_SetDeductions_FullMethodName:     true,
	pb.EventService_ConfirmSkater_FullMethodName:     true,
	pb.EventService_CorrectResult_FullMethodName:     true,
	pb.EventService_PublishSegment_FullMethodName:    true,
	pb.EventService_RevokeToken_FullMethodName:       true,
	// A repetition would answer without the secret, which is kept nowhere.
	pb.EventService_CreateToken_FullMethodName: false,
	// Watches resume by themselves, behind what was seen last.
	pb.EventService_WatchEvent_FullMethodName:           false,
	pb.ScoreboardService_WatchScoreboard_FullMethodName: false,
}

const maxBackoff = 5 * time.Second

type retryPolicy struct {
	attempts int
	backoff  time.Duration
	jitter   float64
}

func (p retryPolicy) check() error {
	switch {
	case p.attempts < 1 || p.attempts > 100:
		return errors.New("attempts: want 1 to 100")
	case p.backoff <= 0:
		return errors.New("backoff: want more than 0")
	case !(p.jitter >= 0 && p.jitter <= 1):
		return errors.New("jitter: want 0 to 1")
	}
	return nil
}

// pause is how long to wait before which attempt.
func (p retryPolicy) pause() retry.BackoffFunc {
	return retry.BackoffExponentialWithJitterBounded(p.backoff, p.jitter, maxBackoff)
}

// repeat repeats unary calls as the policy and the table allow. An interceptor
// rather than gRPC's own retry, which takes a call for answered as soon as the
// server has sent a header, even when the answer is UNAVAILABLE.
func repeat(p retryPolicy) grpc.UnaryClientInterceptor {
	again := retry.UnaryClientInterceptor(
		retry.WithMax(uint(p.attempts)),
		retry.WithCodes(codes.Unavailable),
		retry.WithBackoff(p.pause()),
	)
	return func(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, invoke grpc.UnaryInvoker, opts ...grpc.CallOption) error {
		if !retryable[method] {
			return invoke(ctx, method, req, reply, cc, opts...)
		}
		return again(ctx, method, identified(req), reply, cc, invoke, opts...)
	}
}

// identified returns what all attempts of a call send. A request that changes
// something and has no request id gets one in a copy: by it the server recognizes
// an attempt whose answer was lost.
func identified(req any) any {
	message, ok := req.(proto.Message)
	if !ok || !message.ProtoReflect().IsValid() {
		return req
	}
	id := message.ProtoReflect().Descriptor().Fields().ByName("request_id")
	if id == nil || message.ProtoReflect().Has(id) {
		return req
	}
	message = proto.Clone(message)
	message.ProtoReflect().Set(id, protoreflect.ValueOfString(rand.Text()))
	return message
}
