package events_test

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"testing"
	"time"

	"github.com/spf13/pflag"
	"go.uber.org/zap"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/integration/described"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
)

// day is the day on every server's clock, in the season 2025-26.
func day() time.Time { return time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC) }

// patience bounds what is waited for, on a machine that does other things too.
const patience = 60 * time.Second

// server is the whole program on free ports of the loopback interface.
type server struct {
	*app.App

	admin string // an administrator's token; empty when an earlier server has it
	stop  func()
}

// start runs a server with the default settings until the test ends.
func start(t testing.TB, change ...func(*config.Config)) *server {
	t.Helper()
	return startAt(t, day, change...)
}

// startAt is start with a clock.
func startAt(t testing.TB, clock func() time.Time, change ...func(*config.Config)) *server {
	t.Helper()
	var c config.Config
	c.Register(pflag.NewFlagSet("test", pflag.ContinueOnError))
	c.GRPCAddr, c.HTTPAddr, c.Data = "127.0.0.1:0", "127.0.0.1:0", t.TempDir()
	for _, f := range change {
		f(&c)
	}
	ctx, cancel := context.WithCancel(context.Background())
	a, err := app.New(ctx, c, app.Options{Version: "test", Log: zap.NewNop(), Clock: clock})
	if err != nil {
		cancel()
		t.Fatal(err)
	}
	s := &server{App: a}
	if s.admin, err = a.FirstAdminToken(ctx); err != nil {
		t.Error(err)
	}
	done := make(chan error, 1)
	go func() { done <- a.Run(ctx) }()
	s.stop = sync.OnceFunc(func() {
		cancel()
		if err := <-done; err != nil {
			t.Errorf("the server stopped with: %v", err)
		}
	})
	t.Cleanup(s.stop)
	return s
}

func (s *server) rest() *restConn { return restAt("http://" + s.HTTPAddr()) }

func restAt(base string) *restConn {
	return &restConn{base: base, http: &http.Client{Timeout: patience, Transport: described.Transport}}
}

func (s *server) conn(t testing.TB) *grpc.ClientConn {
	t.Helper()
	return dial(t, s.GRPCAddr())
}

// both returns the two ways to the server.
func (s *server) both(t testing.TB) []grpc.ClientConnInterface {
	t.Helper()
	return []grpc.ClientConnInterface{s.conn(t), s.rest()}
}

func dial(t testing.TB, addr string, options ...grpc.DialOption) *grpc.ClientConn {
	t.Helper()
	conn, err := grpc.NewClient(addr, append(options, grpc.WithTransportCredentials(insecure.NewCredentials()))...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

// with returns a context whose calls bring a token.
func with(ctx context.Context, token string) context.Context {
	if token == "" {
		return ctx
	}
	return metadata.NewOutgoingContext(ctx, metadata.Pairs("authorization", "Bearer "+token))
}

// reason returns the reason of a refusal, "" of none.
func reason(err error) string {
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.ErrorInfo); ok {
			return info.GetReason()
		}
	}
	return ""
}

// desk makes the calls of an event that plays itself through the public API: each
// under the token of the role that makes it, on each server in turn. A call whose
// outcome is open is repeated with the same request id, as a careful client does.
type desk struct {
	pb.UnimplementedEventServiceServer

	servers []pb.EventServiceClient
	name    string // in front of request ids
	admin   string
	// before is told ahead of each call how many there were; nil is not told.
	before func(calls int)
	// failed is told why a call has to be repeated; nil is not told.
	failed func(why error)
	// twice makes each call again, at the next server, which must say the same.
	twice bool

	calls, repeated int
	changes         []uint64 // sequence numbers that were acknowledged, in order
	tokens          map[string]string
}

func newDesk(name, admin string, conns ...grpc.ClientConnInterface) *desk {
	d := &desk{name: name, admin: admin, tokens: map[string]string{}}
	for _, c := range conns {
		d.servers = append(d.servers, pb.NewEventServiceClient(c))
	}
	return d
}

// token returns the token of a role, and makes it when it is needed first.
func (d *desk) token(ctx context.Context, a access.Actor) (string, error) {
	if a.Role == pb.Role_ADMIN {
		return d.admin, nil
	}
	key := fmt.Sprint(a.Role, a.Judge)
	if d.tokens[key] == "" {
		res, err := insist(ctx, d, d.admin, pb.EventServiceClient.CreateToken, &pb.CreateTokenRequest{Event: a.Event, Role: a.Role, Judge: a.Judge})
		if err != nil {
			return "", err
		}
		d.tokens[key] = res.GetToken()
	}
	return d.tokens[key], nil
}

type method[Q, R proto.Message] func(pb.EventServiceClient, context.Context, Q, ...grpc.CallOption) (R, error)

// call makes a call as the actor of the context.
func call[Q, R proto.Message](ctx context.Context, d *desk, do method[Q, R], req Q) (R, error) {
	token, err := d.token(ctx, access.From(ctx))
	if err != nil {
		var none R
		return none, err
	}
	return insist(ctx, d, token, do, req)
}

func insist[Q, R proto.Message](ctx context.Context, d *desk, token string, do method[Q, R], req Q) (R, error) {
	if d.before != nil {
		d.before(d.calls)
	}
	d.calls++
	fields := req.ProtoReflect()
	if id := fields.Descriptor().Fields().ByName("request_id"); id != nil {
		fields.Set(id, protoreflect.ValueOfString(fmt.Sprintf("%s-%d", d.name, d.calls)))
	}
	ctx, cancel := context.WithTimeout(with(ctx, token), patience)
	defer cancel()
	for try := d.calls; ; try++ {
		res, err := do(d.servers[try%len(d.servers)], ctx, req)
		if err == nil && d.twice {
			return res, same(res)(do(d.servers[(try+1)%len(d.servers)], ctx, req))
		}
		again := status.Code(err) == codes.Unavailable || reason(err) == pb.ErrorReason_STORE_FULL.String()
		if !again || ctx.Err() != nil {
			if done, ok := any(res).(interface{ GetSequence() uint64 }); ok && err == nil {
				d.changes = append(d.changes, done.GetSequence())
			}
			return res, err
		}
		d.repeated++
		if d.failed != nil {
			d.failed(err)
		}
		pause(ctx)
	}
}

// same says how the second answer to a request differs from the first. Only the
// first shows a new token.
func same[R proto.Message](first R) func(R, error) error {
	return func(second R, err error) error {
		if made, ok := any(first).(*pb.CreateTokenResponse); ok && err == nil {
			any(second).(*pb.CreateTokenResponse).Token = made.GetToken()
		}
		if err != nil || !proto.Equal(first, second) {
			return fmt.Errorf("the same request again is answered by %v, %w; first by %v", second, err, first)
		}
		return nil
	}
}

func (d *desk) CreateEvent(ctx context.Context, r *pb.CreateEventRequest) (*pb.CreateEventResponse, error) {
	r.Season = "2025-26" // whatever the day on the server's clock
	return call(ctx, d, pb.EventServiceClient.CreateEvent, r)
}

func (d *desk) SetPanel(ctx context.Context, r *pb.SetPanelRequest) (*pb.SetPanelResponse, error) {
	return call(ctx, d, pb.EventServiceClient.SetPanel, r)
}

func (d *desk) SetCategory(ctx context.Context, r *pb.SetCategoryRequest) (*pb.SetCategoryResponse, error) {
	return call(ctx, d, pb.EventServiceClient.SetCategory, r)
}

func (d *desk) ImportEntries(ctx context.Context, r *pb.ImportEntriesRequest) (*pb.ImportEntriesResponse, error) {
	return call(ctx, d, pb.EventServiceClient.ImportEntries, r)
}

func (d *desk) DrawStartingOrder(ctx context.Context, r *pb.DrawStartingOrderRequest) (*pb.DrawStartingOrderResponse, error) {
	return call(ctx, d, pb.EventServiceClient.DrawStartingOrder, r)
}

func (d *desk) StartSegment(ctx context.Context, r *pb.StartSegmentRequest) (*pb.StartSegmentResponse, error) {
	return call(ctx, d, pb.EventServiceClient.StartSegment, r)
}

func (d *desk) CallSkater(ctx context.Context, r *pb.CallSkaterRequest) (*pb.CallSkaterResponse, error) {
	return call(ctx, d, pb.EventServiceClient.CallSkater, r)
}

func (d *desk) CallElement(ctx context.Context, r *pb.CallElementRequest) (*pb.CallElementResponse, error) {
	return call(ctx, d, pb.EventServiceClient.CallElement, r)
}

func (d *desk) EndProgram(ctx context.Context, r *pb.EndProgramRequest) (*pb.EndProgramResponse, error) {
	return call(ctx, d, pb.EventServiceClient.EndProgram, r)
}

func (d *desk) SetElementMarks(ctx context.Context, r *pb.SetElementMarksRequest) (*pb.SetElementMarksResponse, error) {
	return call(ctx, d, pb.EventServiceClient.SetElementMarks, r)
}

func (d *desk) SetComponentMarks(ctx context.Context, r *pb.SetComponentMarksRequest) (*pb.SetComponentMarksResponse, error) {
	return call(ctx, d, pb.EventServiceClient.SetComponentMarks, r)
}

func (d *desk) SetDeductions(ctx context.Context, r *pb.SetDeductionsRequest) (*pb.SetDeductionsResponse, error) {
	return call(ctx, d, pb.EventServiceClient.SetDeductions, r)
}

func (d *desk) ConfirmSkater(ctx context.Context, r *pb.ConfirmSkaterRequest) (*pb.ConfirmSkaterResponse, error) {
	return call(ctx, d, pb.EventServiceClient.ConfirmSkater, r)
}

func (d *desk) PublishSegment(ctx context.Context, r *pb.PublishSegmentRequest) (*pb.PublishSegmentResponse, error) {
	return call(ctx, d, pb.EventServiceClient.PublishSegment, r)
}

// facts returns an event's facts, in order, and fails unless they are numbered
// without a gap.
func facts(t testing.TB, conn grpc.ClientConnInterface, admin, event string) []*pb.EventFact {
	t.Helper()
	var all []*pb.EventFact
	for {
		res, err := pb.NewEventServiceClient(conn).ListFacts(with(t.Context(), admin), &pb.ListFactsRequest{
			Event: event, AfterSequence: uint64(len(all)), PageSize: 1000,
		})
		if err != nil {
			t.Fatal(err)
		}
		if len(res.GetFacts()) == 0 {
			return all
		}
		for _, f := range res.GetFacts() {
			if f.GetSequence() != uint64(len(all)+1) {
				t.Fatalf("fact %d follows fact %d", f.GetSequence(), len(all))
			}
			all = append(all, f)
		}
	}
}

// must returns a value, or ends the test's program when there is none.
func must[T any](v T, err error) T {
	if err != nil {
		panic(errors.Join(errors.New("preparing a test"), err))
	}
	return v
}
