package client_test

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/clienttest"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// fake is a server whose answers a test decides.
type fake struct {
	pb.UnimplementedRulesServiceServer
	pb.UnimplementedScoringServiceServer
	healthpb.UnimplementedHealthServer

	answer func(context.Context) error // of every unary call
	stream func(context.Context) error
}

func (f *fake) ListSeasons(ctx context.Context, _ *pb.ListSeasonsRequest) (*pb.ListSeasonsResponse, error) {
	return &pb.ListSeasonsResponse{}, f.answer(ctx)
}

func (f *fake) Check(ctx context.Context, _ *healthpb.HealthCheckRequest) (*healthpb.HealthCheckResponse, error) {
	return &healthpb.HealthCheckResponse{}, f.answer(ctx)
}

func (f *fake) ScoreSegments(s grpc.BidiStreamingServer[pb.ScoreSegmentsRequest, pb.ScoreSegmentsResponse]) error {
	return f.stream(s.Context())
}

// start serves the fake on the loopback interface and returns its address.
func (f *fake) start(t *testing.T, opts ...grpc.ServerOption) string {
	t.Helper()
	return serve(t, func(g *grpc.Server) {
		pb.RegisterRulesServiceServer(g, f)
		pb.RegisterScoringServiceServer(g, f)
		healthpb.RegisterHealthServer(g, f)
	}, opts...)
}

// serve serves on the loopback interface until the end of the test and returns the
// address.
func serve(t *testing.T, register func(*grpc.Server), opts ...grpc.ServerOption) string {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	g := grpc.NewServer(opts...)
	register(g)
	go func() { _ = g.Serve(listener) }()
	t.Cleanup(g.Stop)
	return listener.Addr().String()
}

func connect(t *testing.T, addr string, opts ...client.Option) *client.Client {
	t.Helper()
	c, err := client.New(addr, opts...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

func health(ctx context.Context, c *client.Client) error {
	_, err := healthpb.NewHealthClient(c.Conn()).Check(ctx, &healthpb.HealthCheckRequest{})
	return err
}

func seasons(ctx context.Context, c *client.Client) error {
	_, err := c.ListSeasons(ctx, &pb.ListSeasonsRequest{})
	return err
}

func stream(ctx context.Context, c *client.Client) error {
	for _, err := range c.ScoreSegments(ctx, func(func(*pb.ScoreSegmentRequest) bool) {}) {
		return err
	}
	return nil
}

func TestRetry(t *testing.T) {
	tests := []struct {
		name     string
		call     func(context.Context, *client.Client) error
		fail     int // so many calls fail first
		code     codes.Code
		attempts int // what WithRetry allows
		header   bool
		want     codes.Code
		calls    int
	}{
		{name: "unavailable twice", call: seasons, fail: 2, code: codes.Unavailable, attempts: 3, want: codes.OK, calls: 3},
		{name: "unavailable after a header", call: seasons, fail: 2, code: codes.Unavailable, attempts: 3, header: true, want: codes.OK, calls: 3},
		{name: "unavailable too often", call: seasons, fail: 3, code: codes.Unavailable, attempts: 3, want: codes.Unavailable, calls: 3},
		{name: "no retry wanted", call: seasons, fail: 1, code: codes.Unavailable, attempts: 1, want: codes.Unavailable, calls: 1},
		{name: "another code", call: seasons, fail: 1, code: codes.Internal, attempts: 3, want: codes.Internal, calls: 1},
		{name: "a method not listed", call: health, fail: 1, code: codes.Unavailable, attempts: 3, want: codes.Unavailable, calls: 1},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			var ids []string
			f := &fake{answer: func(ctx context.Context) error {
				md, _ := metadata.FromIncomingContext(ctx)
				ids = append(ids, strings.Join(md.Get("x-request-id"), ","))
				if test.header {
					if err := grpc.SendHeader(ctx, metadata.Pairs("x-request-id", "of-the-server")); err != nil {
						return err
					}
				}
				if len(ids) <= test.fail {
					return status.Error(test.code, "as the test wants")
				}
				return nil
			}}
			c := connect(t, f.start(t), client.WithPlaintext(), client.WithRetry(test.attempts, time.Millisecond, 0.5))
			err := test.call(t.Context(), c)
			if status.Code(err) != test.want || len(ids) != test.calls {
				t.Errorf("%v after %d calls; want %v after %d", err, len(ids), test.want, test.calls)
			}
			for _, id := range ids {
				if id == "" || id != ids[0] {
					t.Errorf("request ids %q: want one for all attempts", ids)
				}
			}
			var e *client.Error
			if err != nil && (!errors.As(err, &e) || e.RequestID != ids[0]) {
				t.Errorf("error %#v: want a *client.Error with request id %s", err, ids[0])
			}
		})
	}
}

func TestDefaultTimeoutOfUnaryCallsOnly(t *testing.T) {
	var left time.Duration
	var bounded bool
	see := func(ctx context.Context) error {
		var deadline time.Time
		deadline, bounded = ctx.Deadline()
		left = time.Until(deadline)
		return nil
	}
	f := &fake{answer: see, stream: see}
	addr := f.start(t)
	within := func(most time.Duration) {
		t.Helper()
		if !bounded || left > most || left < most-5*time.Second {
			t.Errorf("bounded %v, %v left; want up to %v", bounded, left, most)
		}
	}
	check := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}

	c := connect(t, addr, client.WithPlaintext())
	check(seasons(t.Context(), c))
	within(10 * time.Second) // the documented default
	check(stream(t.Context(), c))
	if bounded {
		t.Errorf("a stream has %v", left)
	}
	ctx, cancel := context.WithTimeout(t.Context(), time.Hour)
	defer cancel()
	check(seasons(ctx, c))
	within(time.Hour)

	check(seasons(t.Context(), connect(t, addr, client.WithPlaintext(), client.WithDefaultTimeout(time.Minute))))
	within(time.Minute)
	check(seasons(t.Context(), connect(t, addr, client.WithPlaintext(), client.WithDefaultTimeout(0))))
	if bounded {
		t.Errorf("a call without a bound has %v", left)
	}
}

func TestDefaultTimeoutEnds(t *testing.T) {
	f := &fake{answer: func(ctx context.Context) error {
		<-ctx.Done()
		return ctx.Err()
	}}
	c := connect(t, f.start(t), client.WithPlaintext(), client.WithDefaultTimeout(20*time.Millisecond))
	err := seasons(t.Context(), c)
	var e *client.Error
	if !errors.Is(err, context.DeadlineExceeded) || !errors.As(err, &e) || e.Code != codes.DeadlineExceeded {
		t.Errorf("want DEADLINE_EXCEEDED in a *client.Error, got %v", err)
	}
}

func TestRequestIDOfTheCaller(t *testing.T) {
	c := clienttest.Start(t).Client()
	ctx := metadata.AppendToOutgoingContext(t.Context(), "x-request-id", "club-42")
	_, err := c.GetSeason(ctx, &pb.GetSeasonRequest{Season: "1998-99"})
	var e *client.Error
	if !errors.As(err, &e) || e.RequestID != "club-42" {
		t.Errorf("want request id club-42, got %+v", err)
	}
}

func TestTLSUnlessPlaintext(t *testing.T) {
	ok := &fake{answer: func(context.Context) error { return nil }}
	certificate, ca := selfSigned(t)
	secured := ok.start(t, grpc.Creds(credentials.NewServerTLSFromCert(&certificate)))
	plain := ok.start(t)
	fast := client.WithRetry(1, time.Millisecond, 0)

	roots := x509.NewCertPool()
	pemBytes, err := os.ReadFile(ca)
	if err != nil || !roots.AppendCertsFromPEM(pemBytes) {
		t.Fatal("the test's certificate cannot be read", err)
	}
	tests := []struct {
		name string
		addr string
		opts []client.Option
		want codes.Code
	}{
		{"plaintext server, nothing said", plain, nil, codes.Unavailable},
		{"plaintext server, WithPlaintext", plain, []client.Option{client.WithPlaintext()}, codes.OK},
		{"unknown certificate", secured, nil, codes.Unavailable},
		{"WithCAFile", secured, []client.Option{client.WithCAFile(ca)}, codes.OK},
		{"WithTLSConfig", secured, []client.Option{client.WithTLSConfig(&tls.Config{RootCAs: roots, MinVersion: tls.VersionTLS13})}, codes.OK},
		{"TLS server, WithPlaintext", secured, []client.Option{client.WithPlaintext()}, codes.Unavailable},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			err := seasons(t.Context(), connect(t, test.addr, append(test.opts, fast)...))
			if status.Code(err) != test.want {
				t.Errorf("got %v, want %v", err, test.want)
			}
		})
	}
}

// selfSigned makes a certificate for 127.0.0.1 and a PEM file that trusts it.
func selfSigned(t *testing.T) (_ tls.Certificate, caFile string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "test"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true,
		KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	caFile = filepath.Join(t.TempDir(), "ca.pem")
	if err := os.WriteFile(caFile, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600); err != nil {
		t.Fatal(err)
	}
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}, caFile
}

func TestUserAgent(t *testing.T) {
	var agent string
	f := &fake{answer: func(ctx context.Context) error {
		md, _ := metadata.FromIncomingContext(ctx)
		agent = strings.Join(md.Get("user-agent"), ",")
		return nil
	}}
	if err := seasons(t.Context(), connect(t, f.start(t), client.WithPlaintext(), client.WithUserAgent("clubapp/1.2"))); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(agent, "clubapp/1.2") {
		t.Errorf("user agent %q", agent)
	}
}

func TestNewSaysWhatIsWrong(t *testing.T) {
	empty := filepath.Join(t.TempDir(), "empty.pem")
	if err := os.WriteFile(empty, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	_, ca := selfSigned(t)
	tests := []struct {
		name string
		addr string
		opts []client.Option
		want string // in the error
	}{
		{"no address", "", nil, "host:port"},
		{"plaintext and TLS", "a:1", []client.Option{client.WithPlaintext(), client.WithCAFile(ca)}, "contradict"},
		{"nil TLS", "a:1", []client.Option{client.WithTLSConfig(nil)}, "WithPlaintext"},
		{"no such file", "a:1", []client.Option{client.WithCAFile(empty + "x")}, "empty.pemx"},
		{"no certificate", "a:1", []client.Option{client.WithCAFile(empty)}, "no PEM certificate"},
		{"no attempts", "a:1", []client.Option{client.WithRetry(0, time.Second, 0)}, "attempts"},
		{"no pause", "a:1", []client.Option{client.WithRetry(2, 0, 0)}, "backoff"},
		{"too much jitter", "a:1", []client.Option{client.WithRetry(2, time.Second, 2)}, "jitter"},
		{"negative timeout", "a:1", []client.Option{client.WithDefaultTimeout(-1)}, "negative"},
		{"address for browsers", "http://127.0.0.1:7080", nil, "without http://"},
		{"address for browsers with TLS", "HTTPS://scoring.example.org", nil, "without HTTPS://"},
		{"no port", "127.0.0.1", nil, "has no port"},
		{"no port of a name", "scoring.example.org", nil, "has no port"},
		{"no port of IPv6", "::1", nil, "[::1]:7070"},
		{"no port in brackets", "[fe80::1]", nil, "has no port"},
		{"no host", ":7070", nil, "host:port"},
		{"empty port", "localhost:", nil, "no port"},
		{"a path", "localhost:7070/v1", nil, `"7070/v1" is no port`},
		{"port out of range", "localhost:70700", nil, "1 to 65535"},
		{"no token", "a:1", []client.Option{client.WithToken("")}, "WithToken"},
		{"a token with its line break", "a:1", []client.Option{client.WithToken("rt_cup_secret\n")}, "line break"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			c, err := client.New(test.addr, test.opts...)
			if c != nil || err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %v, %v; want an error with %q", c, err, test.want)
			}
			if err != nil && strings.Contains(err.Error(), "secret") {
				t.Errorf("%v shows a token", err)
			}
		})
	}
}

func TestNewReadsAddresses(t *testing.T) {
	for _, addr := range []string{"127.0.0.1:7070", "localhost:7070", "scoring.example.org:443", "[::1]:7070", "dns:///scoring.example.org:443", "unix:///run/rinktally.sock", "unix:run.sock", "passthrough:///rink"} {
		c, err := client.New(addr)
		if err != nil {
			t.Errorf("%s: %v", addr, err)
			continue
		}
		c.Close()
	}
}

// TestHints asks ports that are not meant, and wants to hear what is wrong with them.
func TestHints(t *testing.T) {
	ok := &fake{answer: func(context.Context) error { return nil }}
	certificate, ca := selfSigned(t)
	plain := ok.start(t)
	secured := ok.start(t, grpc.Creds(credentials.NewServerTLSFromCert(&certificate)))
	pages := httptest.NewServer(http.NotFoundHandler())
	t.Cleanup(pages.Close)
	securedPages := httptest.NewUnstartedServer(http.NotFoundHandler())
	securedPages.TLS = &tls.Config{Certificates: []tls.Certificate{certificate}, MinVersion: tls.VersionTLS12}
	securedPages.EnableHTTP2 = true
	securedPages.StartTLS()
	t.Cleanup(securedPages.Close)
	alert := serveBytes(t, "\x15\x03\x01\x00\x02\x02\x0a") // RFC 8446, 6: fatal, unexpected_message
	plaintext, trusting := client.WithPlaintext(), client.WithCAFile(ca)
	tests := []struct {
		name, addr string
		option     client.Option
		code       codes.Code
		want       string
	}{
		{"no TLS there", plain, trusting, codes.Unavailable, "connect without TLS"},
		{"TLS there", secured, plaintext, codes.Unavailable, "wants TLS"},
		{"TLS there, which says so", alert, plaintext, codes.Unavailable, "connect with TLS"},
		{"HTTP", pages.Listener.Addr().String(), plaintext, codes.Unavailable, "speaks HTTP, not gRPC"},
		{"HTTP without TLS", pages.Listener.Addr().String(), trusting, codes.Unavailable, "speaks HTTP, not gRPC"},
		{"HTTP with TLS", securedPages.Listener.Addr().String(), trusting, codes.Unimplemented, "not the gRPC port"},
		{"a certificate of its own", secured, client.WithUserAgent("x"), codes.Unavailable, "file with that certificate"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			err := seasons(t.Context(), connect(t, test.addr, test.option, client.WithRetry(1, time.Millisecond, 0)))
			if status.Code(err) != test.code || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %v; want %v with %q", err, test.code, test.want)
			}
		})
	}
}

// serveBytes sends the same bytes to whoever connects.
func serveBytes(t *testing.T, bytes string) string {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listener.Close() })
	go func() {
		for {
			conn, err := listener.Accept()
			if err != nil {
				return
			}
			_, _ = io.WriteString(conn, bytes)
			_, _ = io.Copy(io.Discard, conn)
			conn.Close()
		}
	}()
	return listener.Addr().String()
}

// TestTokens looks at what calls and streams bring to the server.
func TestTokens(t *testing.T) {
	var sent []string
	see := func(ctx context.Context) error {
		md, _ := metadata.FromIncomingContext(ctx)
		sent = md.Get("authorization")
		return nil
	}
	addr := (&fake{answer: see, stream: see}).start(t)
	bare := connect(t, addr, client.WithPlaintext())
	holder := connect(t, addr, client.WithPlaintext(), client.WithToken("rt_cup_a"))
	judge := client.ContextWithToken(t.Context(), "rt_cup_b")
	for _, test := range []struct {
		name string
		ctx  context.Context
		c    *client.Client
		want []string
	}{
		{"none", t.Context(), bare, nil},
		{"of the client", t.Context(), holder, []string{"Bearer rt_cup_a"}},
		{"of the call", judge, bare, []string{"Bearer rt_cup_b"}},
		{"of the call before that of the client", judge, holder, []string{"Bearer rt_cup_b"}},
		{"of the inner context", client.ContextWithToken(judge, "rt_cup_c"), holder, []string{"Bearer rt_cup_c"}},
		{"still of the outer one", judge, holder, []string{"Bearer rt_cup_b"}},
	} {
		for name, call := range map[string]func(context.Context, *client.Client) error{"call": seasons, "stream": stream} {
			if err := call(test.ctx, test.c); err != nil || !slices.Equal(sent, test.want) {
				t.Errorf("%s, %s: sent %q, %v; want %q", test.name, name, sent, err, test.want)
			}
		}
	}
}
