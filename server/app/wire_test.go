package app

import (
	"context"
	"net"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// large is a service whose answers are larger than what a connection lets through
// unread.
type large struct {
	pb.UnimplementedRulesServiceServer
	pb.UnimplementedScoringServiceServer

	asked chan struct{}
}

const largeBytes = 1 << 20

func (l *large) GetElement(context.Context, *pb.GetElementRequest) (*pb.GetElementResponse, error) {
	l.asked <- struct{}{}
	return &pb.GetElementResponse{Element: &pb.Element{Code: string(make([]byte, largeBytes))}}, nil
}

func (l *large) ScoreSegments(stream grpc.BidiStreamingServer[pb.ScoreSegmentsRequest, pb.ScoreSegmentsResponse]) error {
	element := &pb.ScoredElement{Code: string(make([]byte, largeBytes))}
	answer := &pb.ScoreSegmentsResponse{Result: &pb.SegmentResult{
		Result: &pb.SegmentResult_Score{Score: &pb.ScoreSegmentResponse{Elements: []*pb.ScoredElement{element}}},
	}}
	for {
		if err := stream.Send(answer); err != nil {
			close(l.asked)
			return err
		}
	}
}

// serveLarge serves the service to callers that may leave an answer unread so long.
func serveLarge(t *testing.T, patient time.Duration) (*large, *grpc.ClientConn) {
	t.Helper()
	var ports net.ListenConfig
	port, err := ports.Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	server := grpc.NewServer(grpc.ForceServerCodecV2(newCodec()), grpc.UnaryInterceptor(addressUnary), grpc.StreamInterceptor(addressStream))
	l := &large{asked: make(chan struct{}, 1000)}
	pb.RegisterRulesServiceServer(server, l)
	pb.RegisterScoringServiceServer(server, l)
	go func() { _ = server.Serve(callers{port, patient}) }()
	t.Cleanup(server.Stop)
	conn, err := grpc.NewClient(port.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithStaticStreamWindowSize(64<<10), grpc.WithStaticConnWindowSize(64<<10)) // so that nothing is read ahead
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return l, conn
}

// unread begins a call whose answer is not read.
func unread(t *testing.T, conn *grpc.ClientConn) grpc.ClientStream {
	t.Helper()
	stream, err := conn.NewStream(t.Context(), &grpc.StreamDesc{ServerStreams: true}, pb.RulesService_GetElement_FullMethodName)
	if err == nil {
		err = stream.SendMsg(&pb.GetElementRequest{})
	}
	if err == nil {
		err = stream.CloseSend()
	}
	if err != nil {
		t.Fatal(err)
	}
	return stream
}

// An answer that nobody reads ends its connection after a time.
func TestUnreadAnswersEnd(t *testing.T) {
	l, conn := serveLarge(t, 200*time.Millisecond)
	stream := unread(t, conn)
	<-l.asked
	ended := make(chan struct{})
	go func() { // the state, since the answer itself is not to be read
		for state := conn.GetState(); state.String() == "READY" && conn.WaitForStateChange(t.Context(), state); state = conn.GetState() {
		}
		close(ended)
	}()
	select {
	case <-ended:
	case <-time.After(time.Minute):
		t.Fatal("the connection is open still")
	}
	if err := stream.RecvMsg(&pb.GetElementResponse{}); status.Code(err) != codes.Unavailable {
		t.Errorf("the stream ends with %v", err)
	}
	// A caller that reads is answered on the next connection. On a busy machine it may
	// take longer than this server waits, and is asked again.
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	client := pb.NewRulesServiceClient(conn)
	_, err := client.GetElement(ctx, &pb.GetElementRequest{})
	for status.Code(err) == codes.Unavailable {
		_, err = client.GetElement(ctx, &pb.GetElementRequest{})
	}
	if err != nil {
		t.Errorf("a caller that reads, on the next connection: %v", err)
	}
}

// A stream whose answers nobody reads ends as well.
func TestUnreadStreamsEnd(t *testing.T) {
	l, conn := serveLarge(t, 200*time.Millisecond)
	if _, err := pb.NewScoringServiceClient(conn).ScoreSegments(t.Context()); err != nil {
		t.Fatal(err)
	}
	select {
	case <-l.asked:
	case <-time.After(time.Minute):
		t.Fatal("the handler waits still")
	}
}

// A caller that leaves too much unread gets no more until it reads: its next calls are
// refused after a moment, in whatever order it reads. A caller that reads is never
// held up.
func TestTooMuchUnread(t *testing.T) {
	const more = 20
	_, conn := serveLarge(t, time.Hour)
	var streams []grpc.ClientStream
	ask := func(times int) {
		for range times {
			streams = append(streams, unread(t, conn))
		}
		for _, stream := range streams { // until each is on its way, or refused for want of room
			if _, err := stream.Header(); err != nil && errs.Reason(err) != pb.ErrorReason_RATE_LIMITED.String() {
				t.Fatalf("an answer that nobody reads: %v", err)
			}
		}
	}
	ask(maxUnread/largeBytes + 1) // calls that come at once all find room
	ask(more)
	served, refused := 0, 0
	for _, stream := range streams {
		var res pb.GetElementResponse
		err := stream.RecvMsg(&res)
		switch {
		case err == nil && len(res.GetElement().GetCode()) == largeBytes:
			served++
		case errs.Reason(err) == pb.ErrorReason_RATE_LIMITED.String():
			refused++
		default:
			t.Fatalf("an answer that was read late: %v", err)
		}
	}
	if served < maxUnread/largeBytes || refused == 0 {
		t.Errorf("%d answers were sent and %d calls refused; %d fit", served, refused, maxUnread/largeBytes)
	}
	for range 2 * maxUnread / largeBytes {
		if _, err := pb.NewRulesServiceClient(conn).GetElement(t.Context(), &pb.GetElementRequest{}); err != nil {
			t.Fatalf("a caller that reads: %v", err)
		}
	}
}
