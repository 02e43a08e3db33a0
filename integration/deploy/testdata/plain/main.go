// Command plain is what the real server's ScoreSegment is measured beside: over gRPC a
// bare echo, which reads the request as a message and answers with one made beforehand;
// over HTTP the same service with net/http and protojson around it. Neither does more.
package main

import (
	"context"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"

	"github.com/rinktally/rinktally/integration/invented"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

func main() {
	service := scoring.New(must(tables.New(nil)))
	calls := grpc.NewServer()
	pb.RegisterScoringServiceServer(calls, echo{answer: must(service.ScoreSegment(context.Background(), invented.FreeSkate()))})
	onGRPC, onHTTP := must(net.Listen("tcp", "127.0.0.1:0")), must(net.Listen("tcp", "127.0.0.1:0"))
	go func() { log.Fatal(calls.Serve(onGRPC)) }()
	fmt.Printf("%s http://%s\n", onGRPC.Addr(), onHTTP.Addr())
	log.Fatal(http.Serve(onHTTP, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		answer, err := scored(service, r)
		if err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		_, _ = w.Write(answer)
	})))
}

type echo struct {
	pb.UnimplementedScoringServiceServer
	answer *pb.ScoreSegmentResponse
}

func (e echo) ScoreSegment(context.Context, *pb.ScoreSegmentRequest) (*pb.ScoreSegmentResponse, error) {
	return e.answer, nil
}

func scored(service *scoring.Service, r *http.Request) ([]byte, error) {
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	var request pb.ScoreSegmentRequest
	if err := protojson.Unmarshal(body, &request); err != nil {
		return nil, err
	}
	answer, err := service.ScoreSegment(r.Context(), &request)
	if err != nil {
		return nil, err
	}
	return protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(answer)
}

func must[T any](v T, err error) T {
	if err != nil {
		log.Fatal(err)
	}
	return v
}
