package intercept

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"go.uber.org/zap"
	"go.uber.org/zap/zaptest/observer"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/telemetry"
)

// The order is part of what the server promises: see steps.
func TestOrder(t *testing.T) {
	var names []string
	for _, s := range steps(Options{
		Log: zap.NewNop(), Metrics: telemetry.NewCalls(prometheus.NewRegistry()), Deadline: time.Second,
		Access: access.NewGuard(nil, nil, nil), Limiter: NewLimiter(Limits{Rate: 1, Burst: 1, ReadRate: 1, ReadBurst: 1}), Underway: &Underway{},
	}) {
		names = append(names, s.name)
	}
	want := []string{"recover", "under way", "request id", "telemetry", "log", "recover handler", "deadline", "access", "rate limit"}
	if !slices.Equal(names, want) {
		t.Errorf("order %v, want %v", names, want)
	}
}

// call runs a handler inside an interceptor.
func call(ctx context.Context, chain grpc.UnaryServerInterceptor, method string, handler grpc.UnaryHandler) (any, error) {
	return chain(ctx, nil, &grpc.UnaryServerInfo{FullMethod: method}, handler)
}

// Each call goes through all steps in their order, also when others are on their way.
func TestCallsGoThroughAllSteps(t *testing.T) {
	type way struct{}
	step := func(name string) grpc.UnaryServerInterceptor {
		return func(ctx context.Context, req any, _ *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
			before, _ := ctx.Value(way{}).(string)
			res, err := handler(context.WithValue(ctx, way{}, before+name), req)
			return res.(string) + name, err
		}
	}
	chain := joined(step("a"), step("b"), step("c"))
	var wait sync.WaitGroup
	for range 100 {
		wait.Go(func() {
			got, err := call(t.Context(), chain, "/x/Y", func(ctx context.Context, _ any) (any, error) {
				runtime.Gosched()
				return ctx.Value(way{}).(string) + " ", nil
			})
			if err != nil || got != "abc cba" {
				t.Errorf("the way was %q, %v", got, err)
			}
		})
	}
	wait.Wait()
}

func TestPanicBecomesInternalAndIsLogged(t *testing.T) {
	core, lines := observer.New(zap.InfoLevel)
	chain := Unary(Options{Log: zap.New(core)})
	ctx := metadata.NewIncomingContext(context.Background(), metadata.Pairs(RequestIDKey, "panics"))
	_, err := call(ctx, chain, "/x/Y", func(context.Context, any) (any, error) { panic("secret") })
	if status.Code(err) != codes.Internal || errs.Reason(err) != "INTERNAL" || strings.Contains(status.Convert(err).Message(), "secret") {
		t.Errorf("%v", status.Convert(err))
	}
	logged := lines.All()
	if len(logged) != 1 || logged[0].Level != zap.ErrorLevel {
		t.Fatalf("%v", logged)
	}
	fields := logged[0].ContextMap()
	if fields["request_id"] != "panics" || !strings.Contains(fields["error"].(string), "secret") || !strings.Contains(fields["stack"].(string), "TestPanic") {
		t.Errorf("%v", fields)
	}
	if _, err := call(ctx, chain, "/x/Y", func(context.Context, any) (any, error) { return "fine", nil }); err != nil {
		t.Errorf("the next call failed: %v", err)
	}
}

func TestLogSaysWhoAskedWhat(t *testing.T) {
	core, lines := observer.New(zap.InfoLevel)
	ctx := peer.NewContext(context.Background(), &peer.Peer{Addr: &net.TCPAddr{IP: net.IPv4(192, 0, 2, 7), Port: 99}})
	ctx = metadata.NewIncomingContext(ctx, metadata.Pairs(RequestIDKey, "abc", "user-agent", "a-program/1"))
	_, _ = call(ctx, Unary(Options{Log: zap.New(core)}), "/x/Y", func(context.Context, any) (any, error) { return nil, nil })
	fields := lines.All()[0].ContextMap()
	for key, want := range map[string]any{
		"method": "/x/Y", "code": "OK", "request_id": "abc", "peer": "192.0.2.7:99", "user_agent": "a-program/1",
	} {
		if fields[key] != want {
			t.Errorf("%s is %v, want %v", key, fields[key], want)
		}
	}
	if _, ok := fields["took"]; !ok {
		t.Error("took is missing")
	}
}

func TestHealthIsNotLogged(t *testing.T) {
	core, lines := observer.New(zap.InfoLevel)
	_, _ = call(context.Background(), Unary(Options{Log: zap.New(core)}), healthService+"Check", func(context.Context, any) (any, error) { return nil, nil })
	if lines.Len() != 0 {
		t.Errorf("%v", lines.All())
	}
}

func TestFaultsAreLoggedInFullAndSuccessesSampled(t *testing.T) {
	all, allLines := observer.New(zap.InfoLevel)
	few, fewLines := observer.New(zap.InfoLevel)
	chain := Unary(Options{Log: zap.New(all), Sampled: zap.New(few)})
	fails := false
	handler := func(context.Context, any) (any, error) {
		if fails {
			return nil, errs.UnknownMethod("/x/Y")
		}
		return nil, nil
	}
	for i := range 10 {
		fails = i%2 == 0
		_, _ = call(context.Background(), chain, "/x/Y", handler)
	}
	if allLines.Len() != 5 || fewLines.Len() != 5 {
		t.Errorf("%d faults and %d successes", allLines.Len(), fewLines.Len())
	}
	if reason := allLines.All()[0].ContextMap()["reason"]; reason != "NOT_FOUND" {
		t.Errorf("reason %v", reason)
	}
}

func TestRequestID(t *testing.T) {
	for proposed, kept := range map[string]bool{
		"abc-1_2.Z": true, "": false, "with space": false, "line\nbreak": false, strings.Repeat("a", 65): false, "é": false,
	} {
		id := NewRequestID(proposed)
		if (id == proposed) != kept || !validID(id) {
			t.Errorf("%q became %q", proposed, id)
		}
	}
	if first, second := NewRequestID(""), NewRequestID(""); first == second {
		t.Error("two calls have one id")
	}
	var seen string
	ctx := metadata.NewIncomingContext(context.Background(), metadata.Pairs(RequestIDKey, "mine"))
	_, _ = call(ctx, Unary(Options{}), "/x/Y", func(ctx context.Context, _ any) (any, error) {
		seen = RequestID(ctx)
		return nil, nil
	})
	if seen != "mine" {
		t.Errorf("the handler sees %q", seen)
	}
}

func TestDeadline(t *testing.T) {
	chain := Unary(Options{Deadline: time.Minute})
	has := func(ctx context.Context, _ any) (any, error) {
		until, ok := ctx.Deadline()
		return time.Until(until), map[bool]error{false: errors.New("no deadline")}[ok]
	}
	left, err := call(context.Background(), chain, "/x/Y", has)
	if err != nil || left.(time.Duration) > time.Minute || left.(time.Duration) < 30*time.Second {
		t.Errorf("%v left, %v", left, err)
	}
	own, stop := context.WithTimeout(context.Background(), time.Hour)
	defer stop()
	left, err = call(own, chain, "/x/Y", has)
	if err != nil || left.(time.Duration) < 30*time.Minute {
		t.Errorf("the caller's own deadline became %v, %v", left, err)
	}
	late, stopLate := context.WithDeadline(context.Background(), time.Unix(0, 0))
	defer stopLate()
	_, err = call(late, chain, "/x/Y", func(context.Context, any) (any, error) {
		t.Error("the handler ran after the deadline")
		return nil, nil
	})
	if errs.Reason(err) != "DEADLINE" {
		t.Errorf("%v", err)
	}
}

func TestStreamsHaveNoDeadline(t *testing.T) {
	for _, s := range steps(Options{Deadline: time.Minute}) {
		if s.name == "deadline" && s.stream != nil {
			t.Error("a stream would end after the deadline of a unary call")
		}
	}
}

func TestRateLimit(t *testing.T) {
	now := time.Unix(1000, 0)
	limiter := NewLimiter(Limits{Rate: 1, Burst: 2, Now: func() time.Time { return now }})
	chain := Unary(Options{Limiter: limiter})
	from := func(ip byte) context.Context {
		return peer.NewContext(context.Background(), &peer.Peer{Addr: &net.TCPAddr{IP: net.IPv4(192, 0, 2, ip), Port: int(ip)}})
	}
	ask := func(ctx context.Context, method string) error {
		_, err := call(ctx, chain, method, func(context.Context, any) (any, error) { return nil, nil })
		return err
	}
	for range 2 {
		if err := ask(from(1), "/x/Y"); err != nil {
			t.Fatalf("within the burst: %v", err)
		}
	}
	err := ask(from(1), "/x/Y")
	if errs.Reason(err) != "RATE_LIMITED" || errs.Metadata(err, "retry_after_seconds") != "1" {
		t.Errorf("%v", err)
	}
	if err := ask(from(2), "/x/Y"); err != nil {
		t.Errorf("another caller: %v", err)
	}
	for _, free := range []string{healthService + "Check", scoreboardService + "GetScoreboard"} {
		if err := ask(from(1), free); err != nil {
			t.Errorf("%s: %v", free, err)
		}
	}
	if err := ask(access.WithActor(from(1), access.Actor{Event: "cup", Token: "4"}), "/x/Y"); err != nil {
		t.Errorf("with a token: %v", err)
	}
	now = now.Add(time.Second)
	if err := ask(from(1), "/x/Y"); err != nil {
		t.Errorf("a second later: %v", err)
	}
}

// Papers, lists and season tables are limited for those without a token, each call
// by itself; scoreboards and whoever has a token are not.
func TestReadsAreLimitedWithoutAToken(t *testing.T) {
	now := time.Unix(1000, 0)
	chain := Unary(Options{Limiter: NewLimiter(Limits{ReadRate: 1, ReadBurst: 2, Now: func() time.Time { return now }})})
	ask := func(ctx context.Context, method string) error {
		_, err := call(ctx, chain, method, func(context.Context, any) (any, error) { return nil, nil })
		return err
	}
	hall := peer.NewContext(context.Background(), &peer.Peer{Addr: &net.TCPAddr{IP: net.IPv4(192, 0, 2, 1), Port: 1}})
	for method := range reads {
		for range 2 {
			if err := ask(hall, method); err != nil {
				t.Fatalf("%s within the burst: %v", method, err)
			}
		}
	}
	begun := time.Now()
	if err := ask(hall, pb.EventService_GetDocument_FullMethodName); errs.Reason(err) != "RATE_LIMITED" || errs.Metadata(err, "retry_after_seconds") != "1" {
		t.Errorf("%v", err)
	}
	if waited := time.Since(begun); waited < pause {
		t.Errorf("the refusal came after %v: who asks again at once keeps the server busy", waited)
	}
	for range 3000 {
		for _, free := range []string{
			pb.ScoreboardService_GetScoreboard_FullMethodName, pb.ScoreboardService_WatchScoreboard_FullMethodName,
			pb.EventService_GetSegmentStanding_FullMethodName, pb.ScoringService_ScoreSegment_FullMethodName,
		} {
			if err := ask(hall, free); err != nil {
				t.Fatalf("%s: %v", free, err)
			}
		}
		if err := ask(access.WithActor(hall, access.Actor{Event: "cup", Token: "4"}), pb.EventService_GetDocument_FullMethodName); err != nil {
			t.Fatalf("with a token: %v", err)
		}
	}
}

// Where a proxy is named, those behind it are told apart by what it says; what they
// say themselves is believed of nobody.
func TestCallersBehindProxies(t *testing.T) {
	named := []netip.Prefix{netip.MustParsePrefix("10.0.0.0/8")}
	for _, c := range []struct {
		name, from string
		proxies    []netip.Prefix
		said       []string
		want       string
	}{
		{"no proxy is named", "10.0.0.1", nil, []string{"192.0.2.7"}, "10.0.0.1"},
		{"somebody who claims to be a proxy", "192.0.2.1", named, []string{"192.0.2.7"}, "192.0.2.1"},
		{"behind the proxy", "10.0.0.1", named, []string{"192.0.2.7"}, "192.0.2.7"},
		{"over IPv6", "::ffff:10.0.0.1", named, []string{"2001:db8::7"}, "2001:db8::7"},
		{"with a port", "10.0.0.1", named, []string{"192.0.2.7:4711"}, "192.0.2.7"},
		{"a made-up address before the proxy's", "10.0.0.1", named, []string{"198.51.100.1, 192.0.2.7"}, "192.0.2.7"},
		{"in a line of its own", "10.0.0.1", named, []string{"198.51.100.1", "192.0.2.7"}, "192.0.2.7"},
		{"behind two proxies", "10.0.0.1", named, []string{"192.0.2.7, 10.0.0.2"}, "192.0.2.7"},
		{"over REST, where the connection comes last", "10.0.0.1", named, []string{"192.0.2.7, 10.0.0.1"}, "192.0.2.7"},
		{"the proxy says nothing", "10.0.0.1", named, nil, "10.0.0.1"},
		{"the proxy says nonsense", "10.0.0.1", named, []string{"unknown"}, "10.0.0.1"},
	} {
		ctx := peer.NewContext(context.Background(), &peer.Peer{Addr: &net.TCPAddr{IP: net.ParseIP(c.from), Port: 1}})
		ctx = metadata.NewIncomingContext(ctx, metadata.MD{forwardedKey: c.said})
		if got := NewLimiter(Limits{Rate: 1, Proxies: c.proxies}).address(ctx); got != c.want {
			t.Errorf("%s: the caller is %s, want %s", c.name, got, c.want)
		}
	}
}

func TestRateLimitRemembersABoundedNumberOfCallers(t *testing.T) {
	now := time.Unix(1000, 0)
	limiter := newBuckets(1, 1)
	for i := range maxCallers + 5 {
		limiter.caller(fmt.Sprint(i), now)
	}
	if len(limiter.callers) > maxCallers {
		t.Errorf("%d callers", len(limiter.callers))
	}
}

// Codes are tried a few times from an address and a few dozen times in an event, also
// where the operator limits nothing; another event's desks are not held up.
func TestCodesAreLimited(t *testing.T) {
	now := time.Unix(1000, 0)
	limiter := NewLimiter(Limits{Now: func() time.Time { return now }})
	limiter.pausing = nil // the test does not wait
	try := func(ip byte, event string) error {
		ctx := peer.NewContext(context.Background(), &peer.Peer{Addr: &net.TCPAddr{IP: net.IPv4(192, 0, 2, ip), Port: 1}})
		_, err := limiter.unary(ctx, &pb.TakeSeatRequest{Event: event}, &grpc.UnaryServerInfo{FullMethod: pb.EventService_TakeSeat_FullMethodName},
			func(context.Context, any) (any, error) { return nil, nil })
		return err
	}
	tries := func(ip byte, event string) int {
		for n := 0; ; n++ {
			if err := try(ip, event); err != nil {
				if errs.Reason(err) != "RATE_LIMITED" {
					t.Fatal(err)
				}
				return n
			}
		}
	}
	for i, want := range []int{20, 20, 20, 0} {
		if n := tries(byte(i), "cup"); n != want {
			t.Errorf("address %d tries %d codes, want %d", i, n, want)
		}
	}
	if n := tries(9, "other-cup"); n != 20 {
		t.Errorf("another event takes %d codes", n)
	}
	now = now.Add(2 * time.Second)
	if n := tries(1, "cup"); n != 1 {
		t.Errorf("two seconds later %d more", n)
	}
}

// The server's own deadline ends a handler that waits for it, and one that asks.
func TestDeadlineEndsTheCall(t *testing.T) {
	chain := Unary(Options{Deadline: time.Millisecond})
	for name, handler := range map[string]grpc.UnaryHandler{
		"waits": func(ctx context.Context, _ any) (any, error) {
			<-ctx.Done()
			return nil, errs.Context(ctx)
		},
		"waits below": func(ctx context.Context, _ any) (any, error) {
			below, stop := context.WithCancel(ctx)
			defer stop()
			<-below.Done()
			return nil, errs.Context(below)
		},
		"asks": func(ctx context.Context, _ any) (any, error) {
			for ctx.Err() == nil {
				runtime.Gosched()
			}
			return nil, errs.Context(ctx)
		},
	} {
		if _, err := call(context.Background(), chain, "/x/Y", handler); errs.Reason(err) != "DEADLINE" {
			t.Errorf("%s: %v", name, err)
		}
	}
	gone, leave := context.WithCancel(context.Background())
	_, err := call(gone, Unary(Options{Deadline: time.Hour}), "/x/Y", func(ctx context.Context, _ any) (any, error) {
		leave()
		<-ctx.Done()
		return nil, errs.Context(ctx)
	})
	if errs.Reason(err) != "CANCELLED" {
		t.Errorf("a caller who left: %v", err)
	}
}
