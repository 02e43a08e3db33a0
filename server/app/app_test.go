package app_test

import (
	"bufio"
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"encoding/pem"
	"errors"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/spf13/pflag"
	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"
	reflection "google.golang.org/grpc/reflection/grpc_reflection_v1"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/integration/invented"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/errs"
)

// settings are the defaults, on free ports.
func settings(t testing.TB) config.Config {
	t.Helper()
	var c config.Config
	c.Register(pflag.NewFlagSet("test", pflag.ContinueOnError))
	c.GRPCAddr, c.HTTPAddr, c.Data = "127.0.0.1:0", "127.0.0.1:0", filepath.Join(t.TempDir(), "data")
	return c
}

// lines is a log that can be read while it is written.
type lines struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *lines) with(part string) []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.DeleteFunc(strings.Split(l.text.String(), "\n"), func(line string) bool { return !strings.Contains(line, part) })
}

// running is a server that answers.
type running struct {
	*app.App
	log  *lines
	stop context.CancelFunc
	done chan error
}

// run starts a server; the test stops it or its end does.
func run(t testing.TB, c config.Config) *running {
	t.Helper()
	r := &running{log: &lines{}, done: make(chan error, 1)}
	log := zap.New(zapcore.NewCore(zapcore.NewJSONEncoder(zap.NewProductionEncoderConfig()), zapcore.AddSync(r.log), zap.InfoLevel))
	var err error
	r.App, err = app.New(context.Background(), c, app.Options{
		Version: "test", Log: log, Clock: func() time.Time { return time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC) },
	})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	r.stop = stop
	ended := make(chan struct{})
	go func() {
		r.done <- r.Run(ctx)
		close(ended)
	}()
	t.Cleanup(func() {
		stop()
		<-ended
	})
	return r
}

func dial(t testing.TB, addr string, options ...grpc.DialOption) *grpc.ClientConn {
	t.Helper()
	if len(options) == 0 {
		options = append(options, grpc.WithTransportCredentials(insecure.NewCredentials()))
	}
	conn, err := grpc.NewClient(addr, options...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

func get(t testing.TB, url string) (int, string) {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, string(body)
}

// Metrics can have a port of their own, which shows nothing else, and which the server
// gives back when it stops.
func TestMetricsPort(t *testing.T) {
	c := settings(t)
	c.MetricsAddr = "127.0.0.1:0"
	server := run(t, c)
	for _, want := range []struct {
		url  string
		code int
	}{
		{server.MetricsAddr() + "/metrics", http.StatusOK}, {server.MetricsAddr() + "/v1/seasons", http.StatusNotFound}, {server.HTTPAddr() + "/metrics", http.StatusNotFound},
	} {
		if code, body := get(t, "http://"+want.url); code != want.code || (code == http.StatusOK) != strings.Contains(body, "rinktally_events_damaged 0") {
			t.Errorf("%s: %d, want %d", want.url, code, want.code)
		}
	}
	server.stop()
	if err := <-server.done; err != nil {
		t.Error(err)
	}
	port, err := new(net.ListenConfig).Listen(t.Context(), "tcp", server.MetricsAddr())
	if err != nil {
		t.Fatal(err)
	}
	_ = port.Close()
}

func TestBothPortsAnswerAlike(t *testing.T) {
	server := run(t, settings(t))
	list, err := pb.NewRulesServiceClient(dial(t, server.GRPCAddr())).ListSeasons(t.Context(), &pb.ListSeasonsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	code, body := get(t, "http://"+server.HTTPAddr()+"/v1/seasons")
	var rest struct {
		Seasons []struct{ Season, Revision string }
	}
	if err := json.Unmarshal([]byte(body), &rest); err != nil || code != http.StatusOK {
		t.Fatalf("%d %v", code, err)
	}
	if len(rest.Seasons) != len(list.GetSeasons()) || rest.Seasons[0].Revision != list.GetSeasons()[0].GetRevision() {
		t.Errorf("%d seasons over REST, %d over gRPC", len(rest.Seasons), len(list.GetSeasons()))
	}
	if code, body := get(t, "http://"+server.HTTPAddr()+"/readyz"); code != http.StatusOK || !strings.Contains(body, "seasons, 2005-06 to") {
		t.Errorf("%d %s", code, body)
	}
	// Calls of both kinds are counted by the same interceptors.
	_, metrics := get(t, "http://"+server.HTTPAddr()+"/metrics")
	if !strings.Contains(metrics, `grpc_server_handled_total{grpc_code="OK",grpc_method="ListSeasons",grpc_service="rinktally.v1.RulesService",grpc_type="unary"} 2`) {
		t.Error("ListSeasons was not counted twice")
	}
	logged := strings.Join(server.log.with("RulesService/ListSeasons"), "\n")
	if strings.Count(logged, "\n") != 1 || !strings.Contains(logged, `"user_agent":"grpc-go/`) || !strings.Contains(logged, `"user_agent":"Go-http-client/`) {
		t.Errorf("want a line for each call with who asked:\n%s", logged)
	}
}

func TestHealthAndReflection(t *testing.T) {
	server := run(t, settings(t))
	conn := dial(t, server.GRPCAddr())
	for _, service := range []string{"", "rinktally.v1.RulesService", "rinktally.v1.ScoringService"} {
		res, err := healthpb.NewHealthClient(conn).Check(t.Context(), &healthpb.HealthCheckRequest{Service: service})
		if err != nil || res.GetStatus() != healthpb.HealthCheckResponse_SERVING {
			t.Errorf("%q: %v, %v", service, res, err)
		}
	}
	if n := len(server.log.with("Health/Check")); n != 0 {
		t.Errorf("%d lines about health", n)
	}
	stream, err := reflection.NewServerReflectionClient(conn).ServerReflectionInfo(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.Send(&reflection.ServerReflectionRequest{MessageRequest: &reflection.ServerReflectionRequest_ListServices{}}); err != nil {
		t.Fatal(err)
	}
	res, err := stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, s := range res.GetListServicesResponse().GetService() {
		names = append(names, s.GetName())
	}
	for _, want := range []string{"rinktally.v1.RulesService", "rinktally.v1.ScoringService", "grpc.reflection.v1alpha.ServerReflection", "grpc.reflection.v1.ServerReflection"} {
		if !slices.Contains(names, want) {
			t.Errorf("%s is not among %v", want, names)
		}
	}
}

func TestRequestIDComesBackOverGRPC(t *testing.T) {
	server := run(t, settings(t))
	client := pb.NewRulesServiceClient(dial(t, server.GRPCAddr()))
	ctx := metadata.AppendToOutgoingContext(t.Context(), "x-request-id", "abc-7")
	for _, season := range []string{"2016-17", "1998-99"} { // with an answer and with a fault
		var header metadata.MD
		_, err := client.GetSeason(ctx, &pb.GetSeasonRequest{Season: season}, grpc.Header(&header))
		if got := header.Get("x-request-id"); len(got) != 1 || got[0] != "abc-7" {
			t.Errorf("%s (%v): %v", season, err, header)
		}
	}
	// Who proposes none gets the server's own when the call fails.
	var header metadata.MD
	if _, err := client.GetSeason(t.Context(), &pb.GetSeasonRequest{Season: "1998-99"}, grpc.Header(&header)); err == nil || len(header.Get("x-request-id")) != 1 {
		t.Errorf("%v, %v", err, header)
	}
	found := server.log.with(`"request_id":"abc-7"`)
	if len(found) != 2 || !strings.Contains(found[1], `"reason":"SEASON_UNKNOWN"`) {
		t.Errorf("%v", found)
	}
}

func TestStreamOverTheWire(t *testing.T) {
	server := run(t, settings(t))
	stream, err := pb.NewScoringServiceClient(dial(t, server.GRPCAddr())).ScoreSegments(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	const many = 300
	sent := make(chan error, 1)
	go func() {
		for i := range many {
			req := invented.FreeSkate()
			if i%3 == 0 {
				req.Elements[0].Code = "?"
			}
			if err := stream.Send(&pb.ScoreSegmentsRequest{Segment: req}); err != nil {
				sent <- err
				return
			}
		}
		sent <- stream.CloseSend()
	}()
	for i := range many {
		res, err := stream.Recv()
		if err != nil {
			t.Fatal(err)
		}
		if bad := res.GetResult().GetError() != nil; bad != (i%3 == 0) {
			t.Fatalf("answer %d: %v", i, res)
		}
	}
	if _, err := stream.Recv(); !errors.Is(err, io.EOF) {
		t.Errorf("after the last answer: %v", err)
	}
	if err := <-sent; err != nil {
		t.Error(err)
	}
}

func TestUnknownMethodsAndTooLargeMessages(t *testing.T) {
	c := settings(t)
	c.MaxMessage = 1000
	server := run(t, c)
	conn := dial(t, server.GRPCAddr())
	err := conn.Invoke(t.Context(), "/rinktally.v1.ScoringService/Nothing", &pb.ListSeasonsRequest{}, &pb.ListSeasonsResponse{})
	if status.Code(err) != codes.Unimplemented {
		t.Errorf("%v", err)
	}
	err = conn.Invoke(t.Context(), "/no.Service/Nothing", &pb.ListSeasonsRequest{}, &pb.ListSeasonsResponse{})
	if status.Code(err) != codes.Unimplemented || errs.Reason(err) != "NOT_FOUND" {
		t.Errorf("%v", err)
	}
	_, err = pb.NewRulesServiceClient(conn).GetSeason(t.Context(), &pb.GetSeasonRequest{Season: strings.Repeat("x", 2000)})
	if status.Code(err) != codes.ResourceExhausted {
		t.Errorf("%v", err)
	}
	if _, err := pb.NewRulesServiceClient(conn).GetSeason(t.Context(), &pb.GetSeasonRequest{Season: "2016-17"}); err != nil {
		t.Errorf("afterwards: %v", err)
	}
}

// Stopping lets a call that is under way end, and then nothing answers any more.
func TestStopIsGraceful(t *testing.T) {
	server := run(t, settings(t))
	stream, err := pb.NewScoringServiceClient(dial(t, server.GRPCAddr())).ScoreSegments(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	exchange := func() error {
		if err := stream.Send(&pb.ScoreSegmentsRequest{Segment: invented.FreeSkate()}); err != nil {
			return err
		}
		_, err := stream.Recv()
		return err
	}
	if err := exchange(); err != nil {
		t.Fatal(err)
	}
	server.stop()
	for { // the HTTP port closes at once; the gRPC call goes on
		conn, err := net.Dial("tcp", server.HTTPAddr())
		if err != nil {
			break
		}
		_ = conn.Close()
	}
	if err := exchange(); err != nil {
		t.Errorf("a call under way was cut: %v", err)
	}
	if err := stream.CloseSend(); err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); !errors.Is(err, io.EOF) {
		t.Errorf("%v", err)
	}
	if err := <-server.done; err != nil {
		t.Errorf("stopping: %v", err)
	}
	if conn, err := net.Dial("tcp", server.GRPCAddr()); err == nil {
		_ = conn.Close()
		t.Error("gRPC still listens")
	}
}

// A call that does not end is cut after the time that stopping may take.
func TestStopHasADeadline(t *testing.T) {
	c := settings(t)
	c.StopTimeout = 50 * time.Millisecond
	server := run(t, c)
	stream, err := pb.NewScoringServiceClient(dial(t, server.GRPCAddr())).ScoreSegments(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.Send(&pb.ScoreSegmentsRequest{Segment: invented.FreeSkate()}); err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); err != nil {
		t.Fatal(err)
	}
	server.stop()
	if err := <-server.done; err == nil || !strings.Contains(err.Error(), "were cut") {
		t.Errorf("%v", err)
	}
	if _, err := stream.Recv(); status.Code(err) != codes.Unavailable {
		t.Errorf("%v", err)
	}
}

func TestStartFaultsSayWhatToChange(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	broken := filepath.Join(t.TempDir(), "our-club")
	if err := os.Mkdir(broken, 0o750); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(broken, "season.yaml"), []byte("season: our-club\nseeson: 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for want, change := range map[string]func(*config.Config){
		"--grpc-addr":            func(c *config.Config) { c.GRPCAddr = taken.Addr().String() },
		"--http-addr":            func(c *config.Config) { c.HTTPAddr = taken.Addr().String() },
		"--data":                 func(c *config.Config) { c.Data = filepath.Join(file, "below") },
		"--rules":                func(c *config.Config) { c.Rules = file + "-none" },
		"our-club/season.yaml:2": func(c *config.Config) { c.Rules = filepath.Dir(broken) },
		"--tls-cert":             func(c *config.Config) { c.TLSCert, c.TLSKey = file, file },
	} {
		c := settings(t)
		change(&c)
		if _, err := app.New(t.Context(), c, app.Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// A connection that is slow to ask does not stay open.
func TestSlowHeadersAreCut(t *testing.T) {
	server := run(t, settings(t))
	conn, err := net.Dial("tcp", server.HTTPAddr())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := conn.Write([]byte("GET / HTTP/1.1\r\nHost: x\r\n")); err != nil {
		t.Fatal(err)
	}
	if err := conn.SetReadDeadline(time.Now().Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	_, err = bufio.NewReader(conn).ReadByte()
	var late net.Error
	if errors.As(err, &late) && late.Timeout() {
		t.Error("still open after 20 seconds")
	}
}

// A body that does not arrive holds nothing up, wherever it is sent: the answer
// comes and the connection is closed.
func TestSlowBodiesAreCut(t *testing.T) {
	server := run(t, settings(t))
	var wait sync.WaitGroup
	for _, request := range []string{
		"GET /livez HTTP/1.1\r\nHost: x\r\nContent-Length: 10\r\n\r\n",
		"GET /v1/seasons HTTP/1.1\r\nHost: x\r\nContent-Length: 10\r\n\r\n",
		"POST /v1/seasons/2025-26/elements:value HTTP/1.1\r\nHost: x\r\nContent-Type: text/html\r\nContent-Length: 10\r\n\r\n",
		"POST /v1/seasons/2025-26/elements:value HTTP/1.1\r\nHost: x\r\nContent-Length: 10\r\n\r\n{",
		"POST /v1/seasons/2025-26/elements:value HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n",
	} {
		wait.Go(func() {
			conn, err := net.Dial("tcp", server.HTTPAddr())
			if err != nil {
				t.Error(err)
				return
			}
			defer conn.Close()
			_ = conn.SetDeadline(time.Now().Add(time.Minute))
			if _, err := conn.Write([]byte(request)); err != nil {
				t.Error(err)
				return
			}
			answer, err := io.ReadAll(conn)
			if err != nil || !strings.HasPrefix(string(answer), "HTTP/1.1 ") {
				t.Errorf("%q is answered with %.80q, %v", request, answer, err)
			}
		})
	}
	wait.Wait()
}

// certificate makes a key and a certificate of this machine.
func certificate(t *testing.T) (cert, key string, roots *x509.CertPool) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{
		SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &private.PublicKey, private)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	cert, key = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	roots = x509.NewCertPool()
	for path, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "PRIVATE KEY", Bytes: secret}} {
		if err := os.WriteFile(path, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	roots.AppendCertsFromPEM(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}))
	return cert, key, roots
}

func TestTLS(t *testing.T) {
	c := settings(t)
	var roots *x509.CertPool
	c.TLSCert, c.TLSKey, roots = certificate(t)
	server := run(t, c)
	security := &tls.Config{RootCAs: roots, MinVersion: tls.VersionTLS12}
	conn := dial(t, server.GRPCAddr(), grpc.WithTransportCredentials(credentials.NewTLS(security)))
	if _, err := pb.NewRulesServiceClient(conn).ListSeasons(t.Context(), &pb.ListSeasonsRequest{}); err != nil {
		t.Error(err)
	}
	transport := &http.Transport{TLSClientConfig: security}
	defer transport.CloseIdleConnections()
	req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "https://"+server.HTTPAddr()+"/v1/seasons", nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := (&http.Client{Transport: transport}).Do(req)
	if err != nil {
		t.Fatal(err)
	}
	_ = res.Body.Close()
	plain := dial(t, server.GRPCAddr())
	ctx, stop := context.WithTimeout(t.Context(), 2*time.Second)
	defer stop()
	if _, err := pb.NewRulesServiceClient(plain).ListSeasons(ctx, &pb.ListSeasonsRequest{}); err == nil {
		t.Error("plain text was answered")
	}
}
