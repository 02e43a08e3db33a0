// Command echo is the bare echo that the real server's ScoreSegment is measured beside:
// it reads the request as a message and answers with the one that it reads from its
// standard input when it starts, and does nothing else.
package main

import (
	"context"
	"fmt"
	"io"
	"log"
	"net"
	"os"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func main() {
	answer, err := io.ReadAll(os.Stdin)
	if err != nil {
		log.Fatal(err)
	}
	e := echo{answer: &pb.ScoreSegmentResponse{}}
	if err := proto.Unmarshal(answer, e.answer); err != nil {
		log.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		log.Fatal(err)
	}
	server := grpc.NewServer()
	pb.RegisterScoringServiceServer(server, e)
	fmt.Println(listener.Addr())
	log.Fatal(server.Serve(listener))
}

type echo struct {
	pb.UnimplementedScoringServiceServer
	answer *pb.ScoreSegmentResponse
}

func (e echo) ScoreSegment(context.Context, *pb.ScoreSegmentRequest) (*pb.ScoreSegmentResponse, error) {
	return e.answer, nil
}
