package app_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/integration/processor"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/scoring"
)

// raw carries messages as bytes, so that a caller's own decoding is not measured.
type raw struct{}

func (raw) Marshal(v any) ([]byte, error) { return *v.(*[]byte), nil }
func (raw) Unmarshal(data []byte, v any) error {
	*v.(*[]byte) = append([]byte(nil), data...)
	return nil
}
func (raw) Name() string { return "proto" }

// echo reads the request as a message and answers with one made beforehand.
type echo struct {
	pb.UnimplementedScoringServiceServer
	answer *pb.ScoreSegmentResponse
}

func (e echo) ScoreSegment(context.Context, *pb.ScoreSegmentRequest) (*pb.ScoreSegmentResponse, error) {
	return e.answer, nil
}

// serveEcho serves an echo on the transport settings of the real server and
// without interceptors.
func serveEcho(t testing.TB, e echo) string {
	t.Helper()
	server := grpc.NewServer(app.ServerSettings(2 << 20)...)
	pb.RegisterScoringServiceServer(server, e)
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

// caller makes one call.
type caller func() error

// stub calls with the generated client, as an application does.
func stub(conn *grpc.ClientConn, request *pb.ScoreSegmentRequest) caller {
	client := pb.NewScoringServiceClient(conn)
	return func() error {
		_, err := client.ScoreSegment(context.Background(), request)
		return err
	}
}

// bytesOnly calls without decoding anything on the caller's side.
func bytesOnly(conn *grpc.ClientConn, request []byte) caller {
	return func() error {
		var answer []byte
		return conn.Invoke(context.Background(), scoreMethod, &request, &answer, grpc.ForceCodec(raw{}))
	}
}

// callers makes n calls from several goroutines.
func callers(b *testing.B, call caller, many, n int) time.Duration {
	b.Helper()
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
// beside a bare echo: a server on the same transport settings, without
// interceptors, that reads the same request and answers the same message. Both
// are called turn by turn in one run, once with the generated client, as an
// application does, and once by a caller that decodes nothing, which leaves the
// server's share alone. Limit: 0.9 of the echo's throughput.
func BenchmarkUnary(b *testing.B) {
	app.SettleMemory(0)
	server := run(b, settings(b))
	request := freeSkate()
	served := dial(b, server.GRPCAddr())
	answer, err := pb.NewScoringServiceClient(served).ScoreSegment(context.Background(), request)
	if err != nil {
		b.Fatal(err)
	}
	bare := dial(b, serveEcho(b, echo{answer: answer}))
	data, err := proto.Marshal(request)
	if err != nil {
		b.Fatal(err)
	}
	for _, kind := range []struct {
		name         string
		served, echo caller
	}{
		{"client=generated", stub(served, request), stub(bare, request)},
		{"client=bytes", bytesOnly(served, data), bytesOnly(bare, data)},
	} {
		for _, many := range []int{8, 64} {
			b.Run(fmt.Sprintf("%s/callers=%d", kind.name, many), func(b *testing.B) { inTurns(b, many, "of-echo", kind.served, kind.echo) })
		}
	}
}

// inTurns reports the throughput of a server, and in the unit of that name how much it
// is of another's.
func inTurns(b *testing.B, many int, unit string, served, other caller) {
	b.Helper()
	const turn = 1000
	var took, used [2]time.Duration
	calls := 0
	for done := 0; done < b.N; done += turn {
		n := min(turn, b.N-done)
		for i, call := range []caller{served, other} {
			before := processor.Used(b)
			took[i] += callers(b, call, many, n)
			used[i] += processor.Used(b) - before
		}
		calls += n
	}
	b.ReportMetric(float64(calls)/took[0].Seconds(), "calls/s")
	b.ReportMetric(took[1].Seconds()/took[0].Seconds(), unit)
	b.ReportMetric(used[1].Seconds()/used[0].Seconds(), unit+"-cpu")
	b.ReportMetric(0, "ns/op")
}

// post makes the call over REST, as a program does that keeps its connections.
func post(client *http.Client, url string, request []byte) caller {
	return func() error {
		res, err := client.Post(url, "application/json", bytes.NewReader(request))
		if err != nil {
			return err
		}
		defer res.Body.Close()
		if _, err = io.Copy(io.Discard, res.Body); err != nil {
			return err
		}
		if res.StatusCode != http.StatusOK {
			return fmt.Errorf("status %s", res.Status)
		}
		return nil
	}
}

// serveJSON serves the call by net/http and protojson and nothing else.
func serveJSON(t testing.TB, service *scoring.Service) string {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		refuse := func(err error) { http.Error(w, err.Error(), http.StatusBadRequest) }
		body, err := io.ReadAll(r.Body)
		if err != nil {
			refuse(err)
			return
		}
		var request pb.ScoreSegmentRequest
		if err := protojson.Unmarshal(body, &request); err != nil {
			refuse(err)
			return
		}
		answer, err := service.ScoreSegment(r.Context(), &request)
		if err != nil {
			refuse(err)
			return
		}
		data, err := protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(answer)
		if err != nil {
			refuse(err)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		_, _ = w.Write(data)
	}))
	t.Cleanup(server.Close)
	return server.URL
}

// BenchmarkREST measures ScoreSegment over REST, through the gateway with everything
// that a call runs through, beside a bare handler: net/http and protojson around the
// same service. Limit: 0.9 of its throughput.
func BenchmarkREST(b *testing.B) {
	app.SettleMemory(0)
	server := run(b, settings(b))
	request := freeSkate()
	data, err := protojson.Marshal(request)
	if err != nil {
		b.Fatal(err)
	}
	transport := &http.Transport{MaxIdleConnsPerHost: 64}
	b.Cleanup(transport.CloseIdleConnections)
	client := &http.Client{Transport: transport}
	path := "/v1/seasons/" + request.GetSeason() + "/segments:score"
	served := post(client, "http://"+server.HTTPAddr()+path, data)
	bare := post(client, serveJSON(b, scoring.New(server.Tables()))+path, data)
	for _, many := range []int{8, 64} {
		b.Run(fmt.Sprintf("callers=%d", many), func(b *testing.B) { inTurns(b, many, "of-bare", served, bare) })
	}
}
