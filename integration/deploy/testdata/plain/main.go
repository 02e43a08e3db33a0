// Command plain is what the real server's ScoreSegment over REST is measured beside: the
// same service with net/http and protojson around it, and nothing else.
package main

import (
	"fmt"
	"io"
	"log"
	"net"
	"net/http"

	"google.golang.org/protobuf/encoding/protojson"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

func main() {
	service := scoring.New(must(tables.New(nil)))
	listener := must(net.Listen("tcp", "127.0.0.1:0"))
	fmt.Println(listener.Addr())
	log.Fatal(http.Serve(listener, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		answer, err := scored(service, r)
		if err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		_, _ = w.Write(answer)
	})))
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
