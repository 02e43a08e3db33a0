package inproc_test

import (
	"context"
	"errors"
	"slices"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/inproc"
)

type service struct {
	pb.UnimplementedRulesServiceServer
	fault error
}

func (s service) GetElement(ctx context.Context, req *pb.GetElementRequest) (*pb.GetElementResponse, error) {
	sent := metadata.ValueFromIncomingContext(ctx, "sent")
	_ = grpc.SetHeader(ctx, metadata.Pairs("head", sent[0]))
	_ = grpc.SetTrailer(ctx, metadata.Pairs("tail", "end"))
	return &pb.GetElementResponse{Element: &pb.Element{Code: req.GetCode()}}, s.fault
}

func TestCallRunsThroughTheInterceptor(t *testing.T) {
	var through []string
	conn := inproc.New(func(ctx context.Context, req any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
		through = append(through, info.FullMethod)
		return handler(ctx, req)
	})
	pb.RegisterRulesServiceServer(conn, service{})
	ctx := metadata.AppendToOutgoingContext(context.Background(), "sent", "hello")
	var header, trailer metadata.MD
	res, err := pb.NewRulesServiceClient(conn).GetElement(ctx, &pb.GetElementRequest{Code: "3Lz"}, grpc.Header(&header), grpc.Trailer(&trailer))
	if err != nil || res.GetElement().GetCode() != "3Lz" {
		t.Fatalf("%v, %v", res, err)
	}
	if want := []string{"/rinktally.v1.RulesService/GetElement"}; !slices.Equal(through, want) {
		t.Errorf("%v", through)
	}
	if header.Get("head")[0] != "hello" || trailer.Get("tail")[0] != "end" {
		t.Errorf("header %v, trailer %v", header, trailer)
	}
}

func TestFaultsComeBackAsTheyAre(t *testing.T) {
	fault := errors.New("the very one")
	conn := inproc.New(nil)
	pb.RegisterRulesServiceServer(conn, service{fault: fault})
	ctx := metadata.AppendToOutgoingContext(context.Background(), "sent", "hello")
	if _, err := pb.NewRulesServiceClient(conn).GetElement(ctx, &pb.GetElementRequest{}); !errors.Is(err, fault) {
		t.Errorf("%v", err)
	}
	if _, err := pb.NewScoringServiceClient(conn).CallLevels(ctx, &pb.CallLevelsRequest{}); status.Code(err) != codes.Unimplemented {
		t.Errorf("%v", err)
	}
	if _, err := pb.NewScoringServiceClient(conn).ScoreSegments(ctx); status.Code(err) != codes.Unimplemented {
		t.Errorf("%v", err)
	}
}
