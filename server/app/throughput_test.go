package app_test

import (
	"context"
	"fmt"
	"net"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
)

// raw carries messages as bytes, so that a caller's own decoding is not measured.
type raw struct{}

func (raw) Marshal(v any) ([]byte, error) { return *v.(*[]byte), nil }
func (raw) Unmarshal(data []byte, v any) error {
	*v.(*[]byte) = append([]byte(nil), data...)
	return nil
}
func (raw) Name() string { return "proto" }

// echo answers every call with the same bytes and does nothing else: no
// interceptor, no decoding.
func echo(t testing.TB, answer []byte, settings []grpc.ServerOption) string {
	t.Helper()
	server := grpc.NewServer(append(settings, grpc.ForceServerCodec(raw{}))...)
	server.RegisterService(&grpc.ServiceDesc{
		ServiceName: "rinktally.v1.ScoringService", HandlerType: (*any)(nil),
		Methods: []grpc.MethodDesc{{MethodName: "ScoreSegment", Handler: func(_ any, _ context.Context, decode func(any) error, _ grpc.UnaryServerInterceptor) (any, error) {
			var request []byte
			if err := decode(&request); err != nil {
				return nil, err
			}
			return &answer, nil
		}}},
	}, nil)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = server.Serve(listener) }()
	t.Cleanup(server.Stop)
	return listener.Addr().String()
}

// freeSkate is an invented free skate: 12 elements, 9 judges, 3 components.
func freeSkate() *pb.ScoreSegmentRequest {
	req := &pb.ScoreSegmentRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating"}
	for i, code := range []string{
		"3Lz+3T", "3F!", "2A+1Eu+3S", "CCoSp4", "3Lo", "FCSp3", "StSq3", "3Lz<+2T", "3S", "2A", "ChSq1", "LSp4",
	} {
		e := &pb.MarkedElement{Code: code, SecondHalf: i > 6, Marks: make([]int32, 9)}
		for j := range e.Marks {
			e.Marks[j] = int32((i*7+j*3)%6) - 1 //nolint:gosec // small
		}
		req.Elements = append(req.Elements, e)
	}
	for i, component := range []pb.Component_Value{pb.Component_COMPOSITION, pb.Component_PRESENTATION, pb.Component_SKATING_SKILLS} {
		c := &pb.MarkedComponent{Component: component, Marks: make([]float64, 9)}
		for j := range c.Marks {
			c.Marks[j] = 7 + .25*float64((i*5+j*2)%7)
		}
		req.Components = append(req.Components, c)
	}
	req.Deductions = []*pb.Deduction{{Kind: pb.DeductionKind_FALL}}
	return req
}

const scoreMethod = "/rinktally.v1.ScoringService/ScoreSegment"

// callers sends calls from several goroutines over one connection until n are done.
func callers(b *testing.B, addr string, request []byte, many, n int) time.Duration {
	b.Helper()
	conn, err := grpc.NewClient(addr, grpc.WithTransportCredentials(insecure.NewCredentials()), grpc.WithDefaultCallOptions(grpc.ForceCodec(raw{})))
	if err != nil {
		b.Fatal(err)
	}
	defer conn.Close() //nolint:errcheck // nothing is left to save
	call := func() error {
		var answer []byte
		return conn.Invoke(context.Background(), scoreMethod, &request, &answer)
	}
	if err := call(); err != nil {
		b.Fatal(err)
	}
	var wait sync.WaitGroup
	start := time.Now()
	for i := range many {
		wait.Go(func() {
			for range n/many + min(1, max(0, n%many-i)) {
				if err := call(); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	wait.Wait()
	return time.Since(start)
}

// BenchmarkUnary measures ScoreSegment with everything that a call runs through
// beside an echo of the same bytes on the same transport settings, turn by turn
// in one run, and reports their ratio.
func BenchmarkUnary(b *testing.B) {
	ctx := context.Background()
	server := start(b, ctx)
	request, err := proto.Marshal(freeSkate())
	if err != nil {
		b.Fatal(err)
	}
	conn, err := grpc.NewClient(server.GRPCAddr(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		b.Fatal(err)
	}
	defer conn.Close() //nolint:errcheck // nothing is left to save
	scored, err := pb.NewScoringServiceClient(conn).ScoreSegment(ctx, freeSkate())
	if err != nil {
		b.Fatal(err)
	}
	answer, err := proto.Marshal(scored)
	if err != nil {
		b.Fatal(err)
	}
	bare := echo(b, answer, app.ServerSettings(2<<20))
	for _, many := range []int{8, 64} {
		b.Run(fmt.Sprintf("callers=%d", many), func(b *testing.B) {
			const turn = 2000
			var ours, theirs time.Duration
			calls := 0
			for done := 0; done < b.N; done += turn {
				n := min(turn, b.N-done)
				theirs += callers(b, bare, request, many, n)
				ours += callers(b, server.GRPCAddr(), request, many, n)
				calls += n
			}
			b.ReportMetric(float64(calls)/ours.Seconds(), "calls/s")
			b.ReportMetric(float64(calls)/theirs.Seconds(), "echo/s")
			b.ReportMetric(theirs.Seconds()/ours.Seconds(), "of-echo")
			b.ReportMetric(0, "ns/op")
		})
	}
}
