// Command bare is a server that does nothing, with the libraries of rinktally: it opens
// a database in memory and both ports, and says on /readyz that it is ready. The real
// server's start is measured beside it.
package main

import (
	"database/sql"
	"fmt"
	"log"
	"net"
	"net/http"

	_ "codeberg.org/go-pdf/fpdf"
	_ "github.com/goccy/go-yaml/parser"
	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	_ "github.com/jackc/pgx/v5/pgxpool"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	_ "github.com/spf13/cobra"
	_ "go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc"
	_ "go.opentelemetry.io/contrib/instrumentation/net/http/otelhttp"
	_ "go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracegrpc"
	_ "go.opentelemetry.io/otel/sdk/trace"
	"go.uber.org/zap"
	"google.golang.org/grpc"
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/reflection"
	_ "modernc.org/sqlite"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func main() {
	logger := must(zap.NewProduction())
	db := must(sql.Open("sqlite", ":memory:"))
	must(db.Exec("CREATE TABLE facts (seq INTEGER PRIMARY KEY, data BLOB)"))

	calls := grpc.NewServer()
	pb.RegisterScoringServiceServer(calls, pb.UnimplementedScoringServiceServer{})
	healthpb.RegisterHealthServer(calls, health.NewServer())
	reflection.Register(calls)
	onGRPC := must(net.Listen("tcp", "127.0.0.1:0"))
	go func() { log.Fatal(calls.Serve(onGRPC)) }()

	pages := http.NewServeMux()
	pages.Handle("/", runtime.NewServeMux())
	pages.Handle("/metrics", promhttp.Handler())
	pages.HandleFunc("/readyz", func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write([]byte("{}")) })
	onHTTP := must(net.Listen("tcp", "127.0.0.1:0"))
	logger.Info("serving", zap.Stringer("http", onHTTP.Addr()))
	fmt.Printf("http://%s\n", onHTTP.Addr())
	log.Fatal(http.Serve(onHTTP, pages))
}

func must[T any](v T, err error) T {
	if err != nil {
		log.Fatal(err)
	}
	return v
}
