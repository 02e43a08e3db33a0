package deploy_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/integration/invented"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// BenchmarkScoreSegment measures the throughput of ScoreSegment with everything that a
// call runs through, turn by turn with a plain program beside it: over gRPC a bare echo
// (testdata/echo), over REST net/http and protojson around the same service
// (testdata/plain). All are programs of their own, as is the caller. Limit: 0.9 of the
// plain one's.
func BenchmarkScoreSegment(b *testing.B) {
	request := invented.FreeSkate()
	body, err := protojson.Marshal(request)
	if err != nil {
		b.Fatal(err)
	}
	served := serve(b, "", "--data=")
	answer := answered(b, served.grpc, request)
	transport := &http.Transport{MaxIdleConnsPerHost: 64}
	b.Cleanup(transport.CloseIdleConnections)
	client := &http.Client{Transport: transport}
	path := "/v1/seasons/" + request.GetSeason() + "/segments:score"
	for _, kind := range []struct {
		name          string
		served, plain caller
	}{
		{"gRPC", stub(b, served.grpc, request), stub(b, start(b, "./testdata/echo", answer), request)},
		{"REST", post(client, served.url+path, body), post(client, "http://"+start(b, "./testdata/plain", nil)+path, body)},
	} {
		for _, many := range []int{8, 64} {
			b.Run(fmt.Sprintf("%s/callers=%d", kind.name, many), func(b *testing.B) { inTurns(b, many, kind.served, kind.plain) })
		}
	}
}

// start builds and starts a plain program and returns where it serves.
func start(b *testing.B, folder string, input []byte) (address string) {
	b.Helper()
	program := filepath.Join(b.TempDir(), "program")
	if out, err := exec.Command("go", "build", "-o", program, folder).CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	cmd := exec.Command(program)
	cmd.Stdin = bytes.NewReader(input)
	out, err := cmd.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait() // that it was killed
	})
	if _, err := fmt.Fscan(out, &address); err != nil {
		b.Fatal(err)
	}
	return address
}

// answered returns the answer of a server to a request, as it is sent.
func answered(b *testing.B, address string, request *pb.ScoreSegmentRequest) []byte {
	b.Helper()
	answer, err := pb.NewScoringServiceClient(dial(b, address)).ScoreSegment(b.Context(), request)
	if err != nil {
		b.Fatal(err)
	}
	sent, err := proto.Marshal(answer)
	if err != nil {
		b.Fatal(err)
	}
	return sent
}

func dial(b *testing.B, address string) *grpc.ClientConn {
	b.Helper()
	conn, err := grpc.NewClient(address, grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = conn.Close() })
	return conn
}

// caller makes one call.
type caller func() error

// stub calls with the generated client, as an application does.
func stub(b *testing.B, address string, request *pb.ScoreSegmentRequest) caller {
	b.Helper()
	client := pb.NewScoringServiceClient(dial(b, address))
	return func() error {
		_, err := client.ScoreSegment(context.Background(), request)
		return err
	}
}

// post makes the call over REST, as a program does that keeps its connections.
func post(client *http.Client, url string, body []byte) caller {
	return func() error {
		res, err := client.Post(url, "application/json", bytes.NewReader(body))
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

// inTurns reports the throughput of a server and how much it is of the plain one's.
func inTurns(b *testing.B, many int, served, plain caller) {
	b.Helper()
	const turn = 1000
	var took [2]time.Duration
	for done := 0; done < b.N; done += turn {
		for i, call := range []caller{served, plain} {
			took[i] += callers(b, call, many, min(turn, b.N-done))
		}
	}
	b.ReportMetric(float64(b.N)/took[0].Seconds(), "calls/s")
	b.ReportMetric(took[1].Seconds()/took[0].Seconds(), "of-plain")
	b.ReportMetric(0, "ns/op")
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
