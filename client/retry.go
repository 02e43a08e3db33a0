package client

import (
	"context"
	"errors"
	"time"

	"github.com/grpc-ecosystem/go-grpc-middleware/v2/interceptors/retry"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"

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

// repeat repeats unary calls as the policy and the table allow. An interceptor
// rather than gRPC's own retry, which takes a call for answered as soon as the
// server has sent a header, even when the answer is UNAVAILABLE.
func repeat(p retryPolicy) grpc.UnaryClientInterceptor {
	again := retry.UnaryClientInterceptor(
		retry.WithMax(uint(p.attempts)),
		retry.WithCodes(codes.Unavailable),
		retry.WithBackoff(retry.BackoffExponentialWithJitterBounded(p.backoff, p.jitter, maxBackoff)),
	)
	return func(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, invoke grpc.UnaryInvoker, opts ...grpc.CallOption) error {
		if !retryable[method] {
			return invoke(ctx, method, req, reply, cc, opts...)
		}
		return again(ctx, method, req, reply, cc, invoke, opts...)
	}
}
