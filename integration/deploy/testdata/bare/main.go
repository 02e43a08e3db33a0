// Command bare is a server that does nothing, with the libraries of rinktally: it opens
// a database in memory and both ports, has every service of the contract on both, and
// says on /readyz that it is ready. The real server's start is measured beside it.
package main

import (
	"context"
	"database/sql"
	"fmt"
	"log"
	"net"
	"net/http"

	_ "codeberg.org/go-pdf/fpdf"
	_ "github.com/goccy/go-yaml"
	_ "github.com/goccy/go-yaml/parser"
	_ "github.com/gofrs/flock"
	_ "github.com/grpc-ecosystem/go-grpc-middleware/v2/interceptors/retry"
	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	_ "github.com/jackc/pgx/v5/pgxpool"
	_ "github.com/jackc/pgx/v5/stdlib"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	_ "github.com/spf13/cobra"
	_ "go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc"
	_ "go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc/filters"
	_ "go.opentelemetry.io/contrib/instrumentation/net/http/otelhttp"
	_ "go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracegrpc"
	_ "go.opentelemetry.io/otel/sdk/trace"
	"go.uber.org/zap"
	_ "golang.org/x/image/font/gofont/gobold"
	_ "golang.org/x/image/font/gofont/goregular"
	_ "golang.org/x/image/font/sfnt"
	_ "golang.org/x/text/encoding/charmap"
	_ "golang.org/x/time/rate"
	_ "gonum.org/v1/gonum/mathext"
	"google.golang.org/grpc"
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/reflection"
	_ "modernc.org/sqlite"
	_ "rsc.io/qr"

	_ "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func main() {
	logger := must(zap.NewProduction())
	db := must(sql.Open("sqlite", ":memory:"))
	must(db.Exec("CREATE TABLE facts (seq INTEGER PRIMARY KEY, data BLOB)"))

	calls := grpc.NewServer()
	routes := runtime.NewServeMux()
	register(calls, routes, pb.RegisterRulesServiceServer, pb.RegisterRulesServiceHandlerServer, pb.RulesServiceServer(pb.UnimplementedRulesServiceServer{}))
	register(calls, routes, pb.RegisterScoringServiceServer, pb.RegisterScoringServiceHandlerServer, pb.ScoringServiceServer(pb.UnimplementedScoringServiceServer{}))
	register(calls, routes, pb.RegisterProgramServiceServer, pb.RegisterProgramServiceHandlerServer, pb.ProgramServiceServer(pb.UnimplementedProgramServiceServer{}))
	register(calls, routes, pb.RegisterResultServiceServer, pb.RegisterResultServiceHandlerServer, pb.ResultServiceServer(pb.UnimplementedResultServiceServer{}))
	register(calls, routes, pb.RegisterPracticeServiceServer, pb.RegisterPracticeServiceHandlerServer, pb.PracticeServiceServer(pb.UnimplementedPracticeServiceServer{}))
	register(calls, routes, pb.RegisterEventServiceServer, pb.RegisterEventServiceHandlerServer, pb.EventServiceServer(pb.UnimplementedEventServiceServer{}))
	register(calls, routes, pb.RegisterScoreboardServiceServer, pb.RegisterScoreboardServiceHandlerServer, pb.ScoreboardServiceServer(pb.UnimplementedScoreboardServiceServer{}))
	register(calls, routes, pb.RegisterCopyServiceServer, pb.RegisterCopyServiceHandlerServer, pb.CopyServiceServer(pb.UnimplementedCopyServiceServer{}))
	healthpb.RegisterHealthServer(calls, health.NewServer())
	reflection.Register(calls)
	onGRPC := must(net.Listen("tcp", "127.0.0.1:0"))
	go func() { log.Fatal(calls.Serve(onGRPC)) }()

	pages := http.NewServeMux()
	pages.Handle("/", routes)
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

// register serves a service by both ports.
func register[S any](
	calls *grpc.Server, routes *runtime.ServeMux,
	overGRPC func(grpc.ServiceRegistrar, S), overHTTP func(context.Context, *runtime.ServeMux, S) error, service S,
) {
	overGRPC(calls, service)
	if err := overHTTP(context.Background(), routes, service); err != nil {
		log.Fatal(err)
	}
}
