package app_test

import (
	"io"
	"net"
	"runtime"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// narrow is a caller that reads nothing ahead.
var narrow = []grpc.DialOption{
	grpc.WithTransportCredentials(insecure.NewCredentials()), grpc.WithStaticStreamWindowSize(64 << 10), grpc.WithStaticConnWindowSize(64 << 10),
}

// unreadSeasons asks for a season in streams whose answers are never read.
func unreadSeasons(t *testing.T, conn *grpc.ClientConn, streams int) {
	t.Helper()
	for range streams {
		stream, err := conn.NewStream(t.Context(), &grpc.StreamDesc{ServerStreams: true}, pb.RulesService_GetSeason_FullMethodName)
		if err != nil {
			t.Fatal(err)
		}
		if err := stream.SendMsg(&pb.GetSeasonRequest{Season: "2025-26"}); err != nil {
			t.Fatal(err)
		}
		if err := stream.CloseSend(); err != nil {
			t.Fatal(err)
		}
	}
}

// Hundreds of answers that one connection does not read take little memory, and the
// calls of others go on.
func TestUnreadSeasonsAreCheap(t *testing.T) {
	const streams, each = 900, 64 << 10
	s := run(t, settings(t))
	rules := pb.NewRulesServiceClient(dial(t, s.GRPCAddr()))
	if _, err := rules.GetSeason(t.Context(), &pb.GetSeasonRequest{Season: "2025-26"}); err != nil {
		t.Fatal(err)
	}
	live := func() uint64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc + m.StackInuse
	}
	before := live()
	unreadSeasons(t, dial(t, s.GRPCAddr(), narrow...), streams)
	time.Sleep(time.Second) // while the answers would pile up
	if _, err := rules.ListSeasons(t.Context(), &pb.ListSeasonsRequest{}); err != nil {
		t.Fatal(err)
	}
	// What the caller's side of the connection takes is in it as well.
	if after := live(); after > before+streams*each {
		t.Errorf("%d unread answers take %d MiB", streams, (after-before)>>20)
	}
}

// Callers that read nothing do not hold up a stop, over gRPC and over REST, nor does
// an open stream that nobody uses or who watches the health.
func TestUnreadAnswersDoNotHoldAStop(t *testing.T) {
	c := settings(t)
	c.StopTimeout = time.Minute
	s := run(t, c)
	conn := dial(t, s.GRPCAddr(), narrow...)
	unreadSeasons(t, conn, 50)
	if _, err := pb.NewScoringServiceClient(conn).ScoreSegments(t.Context()); err != nil {
		t.Fatal(err)
	}
	var d net.Dialer
	rest, err := d.DialContext(t.Context(), "tcp", s.HTTPAddr())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = rest.Close() }()
	if err := rest.(*net.TCPConn).SetReadBuffer(4 << 10); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(rest, "GET /v1/seasons/2025-26 HTTP/1.1\r\nHost: rink\r\n\r\n"); err != nil {
		t.Fatal(err)
	}
	time.Sleep(time.Second) // until the answers wait
	begun := time.Now()
	s.stop()
	if err := <-s.done; err != nil {
		t.Errorf("the stop: %v", err)
	}
	if took := time.Since(begun); took > c.StopTimeout/2 {
		t.Errorf("unread answers held the stop up for %v", took)
	}
}

// A call that is under way when the server stops is answered.
func TestStopWaitsForCalls(t *testing.T) {
	s := run(t, settings(t))
	conn := dial(t, s.GRPCAddr())
	stream, err := pb.NewScoringServiceClient(conn).ScoreSegments(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.Send(&pb.ScoreSegmentsRequest{Segment: &pb.ScoreSegmentRequest{Season: "2025-26"}}); err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); err != nil {
		t.Fatal(err)
	}
	s.stop()
	time.Sleep(100 * time.Millisecond)
	if err := stream.Send(&pb.ScoreSegmentsRequest{Segment: &pb.ScoreSegmentRequest{Season: "2025-26"}}); err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); err != nil {
		t.Errorf("a stream that goes on while the server stops: %v", err)
	}
	if err := stream.CloseSend(); err != nil {
		t.Error(err)
	}
	if err := <-s.done; err != nil {
		t.Error(err)
	}
}
