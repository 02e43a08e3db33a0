package app_test

import (
	"context"
	"fmt"
	"net"
	"sync"
	"syscall"
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

// serveEcho starts a server that answers ScoreSegment with an answer made
// beforehand, on the transport settings of the real one and without interceptors.
func serveEcho(t testing.TB, register func(*grpc.Server), options ...grpc.ServerOption) string {
	t.Helper()
	server := grpc.NewServer(append(app.ServerSettings(2<<20), options...)...)
	register(server)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = server.Serve(listener) }()
	t.Cleanup(server.Stop)
	return listener.Addr().String()
}

// echo reads the request as a message and writes the answer as one.
type echo struct {
	pb.UnimplementedScoringServiceServer
	answer *pb.ScoreSegmentResponse
}

func (e echo) ScoreSegment(context.Context, *pb.ScoreSegmentRequest) (*pb.ScoreSegmentResponse, error) {
	return e.answer, nil
}

// registerBytes serves an echo that reads and writes bytes only.
func registerBytes(server *grpc.Server, answer []byte) {
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
}

// freeSkate is an invented free skate: 12 elements, 9 judges, 3 components.
func freeSkate() *pb.ScoreSegmentRequest {
	req := &pb.ScoreSegmentRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating"}
	for i, code := range []string{
		"3Lz+3T", "3F!", "2A+1Eu+3S", "CCoSp4", "3Lo", "FCSp3", "StSq3", "3Lz<+2T", "3S", "2A", "ChSq1", "LSp4",
	} {
		e := &pb.MarkedElement{Code: code, SecondHalf: i > 6, Marks: make([]int32, 9)}
		for j := range e.Marks {
			e.Marks[j] = int32((i*7+j*3)%6) - 1
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
	defer conn.Close()
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

// cpu gives the time that this process has computed. On a machine shared with
// others it is a steadier measure than the clock.
func cpu(b *testing.B) time.Duration {
	b.Helper()
	var usage syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &usage); err != nil {
		b.Fatal(err)
	}
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}

// BenchmarkUnary measures ScoreSegment with everything that a call runs through
// beside an echo of the same messages and one of the same bytes, on the same
// transport settings, turn by turn in one run, and reports the ratios.
func BenchmarkUnary(b *testing.B) {
	app.SettleMemory()
	ctx := context.Background()
	server := run(b, settings(b))
	request, err := proto.Marshal(freeSkate())
	if err != nil {
		b.Fatal(err)
	}
	conn, err := grpc.NewClient(server.GRPCAddr(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		b.Fatal(err)
	}
	defer conn.Close()
	scored, err := pb.NewScoringServiceClient(conn).ScoreSegment(ctx, freeSkate())
	if err != nil {
		b.Fatal(err)
	}
	answer, err := proto.Marshal(scored)
	if err != nil {
		b.Fatal(err)
	}
	addrs := []string{
		server.GRPCAddr(),
		serveEcho(b, func(s *grpc.Server) { pb.RegisterScoringServiceServer(s, echo{answer: scored}) }),
		serveEcho(b, func(s *grpc.Server) { registerBytes(s, answer) }, grpc.ForceServerCodec(raw{})),
	}
	for _, many := range []int{8, 64} {
		b.Run(fmt.Sprintf("callers=%d", many), func(b *testing.B) {
			const turn = 1000
			took := make([]time.Duration, len(addrs))
			used := make([]time.Duration, len(addrs))
			calls := 0
			for done := 0; done < b.N; done += turn {
				n := min(turn, b.N-done)
				for i, addr := range addrs {
					before := cpu(b)
					took[i] += callers(b, addr, request, many, n)
					used[i] += cpu(b) - before
				}
				calls += n
			}
			b.ReportMetric(float64(calls)/took[0].Seconds(), "calls/s")
			b.ReportMetric(took[1].Seconds()/took[0].Seconds(), "of-echo")
			b.ReportMetric(took[2].Seconds()/took[0].Seconds(), "of-echo-of-bytes")
			// Both sides of a call, so an upper bound of what the server alone adds.
			b.ReportMetric(float64((used[0]-used[1]).Microseconds())/float64(calls), "µs-cpu-more")
			b.ReportMetric(used[1].Seconds()/used[0].Seconds(), "of-echo-cpu")
			b.ReportMetric(0, "ns/op")
		})
	}
}
