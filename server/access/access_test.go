package access_test

import (
	"context"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"google.golang.org/grpc"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/live"
	"github.com/rinktally/rinktally/server/store"
)

const (
	open       = "open-cup"       // reading needs no token
	restricted = "restricted-cup" // reading needs one
)

// who may call what, beside everybody: A administrator, O organiser, T technical
// panel, J judge, R referee, N announcer, V viewer. Readers need a token only
// where reading is restricted; then any role of the event will do.
const who = `
CreateEvent        A
GetEvent           read
WatchEvent         read
GetCaller          read
ListEvents         open
UpdateEvent        A O
SetCategory        A O
RemoveCategory     A O
SetPanel           A O R
SetAbsentJudges    A O R
AddEntry           A O
UpdateEntry        A O
ListEntries        read
ImportEntries      A O
ExportEntries      read
ErasePerson        A O
WithdrawEntry      A O R
ReinstateEntry     A O R
DrawStartingOrder  A O R
BeginRehearsal     A O
EndRehearsal       A O
StartSegment       A O R
CallSkater         A O T R N
CallElement        A O T
ReviseElement      A O T
RemoveElement      A O T
ReviewElement      A O T
EndProgram         A O T R N
SetElementMarks    A O J
SetComponentMarks  A O J
SetDeductions      A O T R
ConfirmSkater      R
CorrectResult      R
PreviewCorrection  R
PublishSegment     R
GetPerformance     read
GetSegmentStanding read
GetFinalStanding   read
GetDocument        read
ListFacts          A O R
CreateToken        A O
ListTokens         A O R N
RevokeToken        A O
CreateSeatCode     A O
TakeSeat           open
GetScoreboard      read
WatchScoreboard    read
ListPlaces         read
`

var roles = map[string]pb.Role_Value{
	"A": pb.Role_ADMIN, "O": pb.Role_ORGANISER, "T": pb.Role_TECHNICAL_PANEL, "J": pb.Role_JUDGE,
	"R": pb.Role_REFEREE, "N": pb.Role_ANNOUNCER, "V": pb.Role_VIEWER,
}

// needs are those of the services that the tests call.
func needs() access.Needs {
	return access.Join(api.Needs(), live.Needs(), access.Free(pb.RulesService_ServiceDesc, pb.ScoringService_ServiceDesc, healthpb.Health_ServiceDesc))
}

// holders are who holds which token: each event has one of every role.
type holders map[string]access.Actor

func newHolders() (holders, func(event, role string) string) {
	h, tokens := holders{}, map[string]string{}
	for _, event := range []string{open, restricted} {
		for letter, role := range roles {
			of := event
			if letter == "A" {
				of = ""
			}
			token := access.NewToken(of)
			h[of+string(access.Hash(token))] = access.Actor{Event: of, Role: role}
			tokens[event+letter] = token
		}
	}
	return h, func(event, role string) string { return tokens[event+role] }
}

func (h holders) Holder(_ context.Context, event string, hash []byte) (access.Actor, bool, error) {
	a, ok := h[event+string(hash)]
	return a, ok, nil
}

func (h holders) Restricted(_ context.Context, event string) (bool, error) {
	if event != open && event != restricted {
		return false, errs.UnknownEvent(event)
	}
	return event == restricted, nil
}

func (h holders) Now() time.Time { return time.Now() }

// Every call of events and scoreboards, by everybody: those whom the list names
// may, all others may not.
func TestWhoMayCallWhat(t *testing.T) {
	h, token := newHolders()
	guard := access.NewGuard(h, nil, needs())
	listed := map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(who), "\n") {
		name, may, _ := strings.Cut(line, " ")
		listed[name] = strings.TrimSpace(may)
	}
	checked := 0
	for _, service := range []grpc.ServiceDesc{pb.EventService_ServiceDesc, pb.ScoreboardService_ServiceDesc} {
		for _, name := range methodsOf(&service) {
			may, ok := listed[name]
			if !ok {
				t.Errorf("%s is not in the list", name)
				continue
			}
			delete(listed, name)
			method := "/" + service.ServiceName + "/" + name
			for _, event := range []string{open, restricted} {
				for letter, role := range roles {
					checked++
					allowed := may == "open" || may == "read" || strings.Contains(may, letter)
					actor, err := guard.Check(t.Context(), method, event, token(event, letter))
					switch {
					case allowed && (err != nil || actor.Role != role):
						t.Errorf("%s may call %s of %s, but: %v, %v", role, name, event, actor, err)
					case !allowed && errs.Reason(err) != pb.ErrorReason_PERMISSION_DENIED.String():
						t.Errorf("%s may not call %s of %s, but: %v", role, name, event, err)
					}
					// The token of another event is no better than none, the administrator's is.
					other := map[string]string{open: restricted, restricted: open}[event]
					_, err = guard.Check(t.Context(), method, event, token(other, letter))
					fine := may == "open" || may == "read" && event == open || letter == "A" && allowed
					if fine != (err == nil) {
						t.Errorf("%s of %s calls %s of %s: %v", role, other, name, event, err)
					}
				}
				_, err := guard.Check(t.Context(), method, event, "")
				fine := may == "open" || may == "read" && event == open
				if fine != (err == nil) || err != nil && errs.Reason(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
					t.Errorf("without a token %s of %s: %v", name, event, err)
				}
			}
		}
	}
	for name := range listed {
		t.Errorf("%s is listed, but no call", name)
	}
	if want := 48 * len(roles) * 2; checked != want {
		t.Errorf("%d calls were checked, want %d", checked, want)
	}
}

func methodsOf(service *grpc.ServiceDesc) []string {
	var names []string
	for _, m := range service.Methods {
		names = append(names, m.MethodName)
	}
	for _, s := range service.Streams {
		names = append(names, s.StreamName)
	}
	return names
}

// Calculations stay open to everybody. A call that a later version adds to events,
// and a service that nobody gave needs, are closed to everybody.
func TestOtherCalls(t *testing.T) {
	h, token := newHolders()
	guard := access.NewGuard(h, nil, needs())
	for _, method := range []string{pb.ScoringService_ScoreSegment_FullMethodName, pb.RulesService_GetSeason_FullMethodName, "/grpc.health.v1.Health/Check"} {
		if _, err := guard.Check(t.Context(), method, "", ""); err != nil {
			t.Errorf("%s: %v", method, err)
		}
	}
	for _, method := range []string{"/rinktally.v1.EventService/SellTickets", "/rinktally.v1.NewService/DeleteEverything"} {
		if _, err := guard.Check(t.Context(), method, open, ""); errs.Reason(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
			t.Errorf("without a token %s: %v", method, err)
		}
		for letter := range roles {
			if _, err := guard.Check(t.Context(), method, open, token(open, letter)); errs.Reason(err) != pb.ErrorReason_PERMISSION_DENIED.String() {
				t.Errorf("%s calls %s, which is not in the list: %v", letter, method, err)
			}
		}
	}
}

// away is a store of tokens that cannot be reached.
type away struct{ access.Events }

func (away) Holder(context.Context, string, []byte) (access.Actor, bool, error) {
	return access.Actor{}, false, store.ErrUnavailable
}

// Calculations are answered while nobody's token can be looked up, events are not.
func TestStoreOfTokensIsAway(t *testing.T) {
	h, token := newHolders()
	guard := access.NewGuard(away{h}, nil, needs())
	if actor, err := guard.Check(t.Context(), pb.ScoringService_ScoreSegment_FullMethodName, "", token(open, "O")); err != nil || actor != (access.Actor{}) {
		t.Errorf("%+v, %v", actor, err)
	}
	_, err := guard.Check(t.Context(), pb.EventService_GetEvent_FullMethodName, open, token(open, "O"))
	if errs.Reason(err) != pb.ErrorReason_STORE_UNAVAILABLE.String() {
		t.Error(err)
	}
}

// A token that is sent must be good, also where none is needed.
func TestBadTokensAreRefused(t *testing.T) {
	h, token := newHolders()
	guard := access.NewGuard(h, nil, needs())
	good := token(open, "O")
	for _, bad := range []string{"x", "rt__", "rt_open-cup_", good + "x", good[:len(good)-1], strings.Replace(good, open, restricted, 1), strings.Repeat("a", 5000)} {
		_, err := guard.Check(t.Context(), pb.EventService_GetEvent_FullMethodName, open, bad)
		if errs.Reason(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
			t.Errorf("%.40s: %v", bad, err)
		}
	}
	if a, b := access.NewToken(open), access.NewToken(open); a == b || len(a) != len(good) {
		t.Errorf("two tokens: %s, %s", a, b)
	}
}

// The interceptors take the token from the call and give the actor to the handler.
func TestInterceptors(t *testing.T) {
	h, token := newHolders()
	guard := access.NewGuard(h, nil, needs())
	add := &grpc.UnaryServerInfo{FullMethod: pb.EventService_AddEntry_FullMethodName}
	call := func(headers ...string) (access.Actor, error) {
		md := metadata.MD{}
		for _, header := range headers {
			md.Append("authorization", header)
		}
		var got access.Actor
		_, err := guard.Unary(metadata.NewIncomingContext(t.Context(), md), &pb.AddEntryRequest{Event: open}, add, func(ctx context.Context, _ any) (any, error) {
			got = access.From(ctx)
			return nil, nil
		})
		return got, err
	}
	if actor, err := call("bearer " + token(open, "O")); err != nil || actor.Role != pb.Role_ORGANISER {
		t.Errorf("%v, %v", actor, err)
	}
	for name, headers := range map[string][]string{
		"none":    nil,
		"scheme":  {"Basic abc"},
		"bare":    {token(open, "O")},
		"empty":   {"Bearer "},
		"unknown": {"Bearer " + access.NewToken(open)},
	} {
		if _, err := call(headers...); errs.Reason(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := call("Bearer " + token(open, "V")); errs.Reason(err) != pb.ErrorReason_PERMISSION_DENIED.String() {
		t.Errorf("viewer: %v", err)
	}
}

// A stream is checked by its first message, before the handler has it.
func TestStreamInterceptor(t *testing.T) {
	h, token := newHolders()
	guard := access.NewGuard(h, nil, needs())
	info := &grpc.StreamServerInfo{FullMethod: pb.ScoreboardService_WatchScoreboard_FullMethodName}
	watch := func(event, role string) (access.Actor, error) {
		ctx := metadata.NewIncomingContext(t.Context(), metadata.MD{})
		if role != "" {
			ctx = metadata.NewIncomingContext(t.Context(), metadata.Pairs("authorization", "Bearer "+token(event, role)))
		}
		var got access.Actor
		err := guard.Stream(nil, &oneMessage{ctx: ctx, event: event}, info, func(_ any, s grpc.ServerStream) error {
			req := &pb.WatchScoreboardRequest{}
			if err := s.RecvMsg(req); err != nil {
				return fmt.Errorf("receive: %w", err)
			}
			got = access.From(s.Context())
			return nil
		})
		return got, err
	}
	if actor, err := watch(restricted, "V"); err != nil || actor.Role != pb.Role_VIEWER {
		t.Errorf("viewer: %v, %v", actor, err)
	}
	if _, err := watch(open, ""); err != nil {
		t.Errorf("nobody on an open event: %v", err)
	}
	if _, err := watch(restricted, ""); err == nil {
		t.Error("nobody watches a restricted event")
	}
	if _, err := watch("no-cup", ""); !strings.Contains(fmt.Sprint(err), "no-cup") {
		t.Errorf("unknown event: %v", err)
	}
}

// oneMessage is a stream that asks for an event.
type oneMessage struct {
	grpc.ServerStream

	ctx   context.Context //nolint:containedctx // it is what a stream has
	event string
}

func (s *oneMessage) Context() context.Context { return s.ctx }

func (s *oneMessage) RecvMsg(m any) error {
	m.(*pb.WatchScoreboardRequest).Event = s.event //nolint:forcetypeassert // the test's own
	return nil
}

// What the log keeps of an actor names role, judge and token.
func TestActorText(t *testing.T) {
	for want, a := range map[string]access.Actor{
		"":                {},
		"JUDGE 3 token 7": {Event: open, Role: pb.Role_JUDGE, Judge: 3, Token: "7"},
		"REFEREE token 2": {Role: pb.Role_REFEREE, Token: "2"},
		"ADMIN":           {Role: pb.Role_ADMIN},
	} {
		if got := a.String(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// set is a clock that can be set.
type set struct {
	holders

	ahead *atomic.Int64 // how far, as a time.Duration
}

func (s set) Now() time.Time { return time.Now().Add(time.Duration(s.ahead.Load())) }

// A stream ends with its token: when the time has come, and soon after a clock that
// was wrong shows that it has. Without an end it goes on.
func TestUntilTheTokenExpires(t *testing.T) {
	for name, c := range map[string]struct{ life, ahead, ends time.Duration }{
		"in time":             {time.Hour, 0, time.Hour},
		"the clock is set":    {time.Hour, 2 * time.Hour, 5 * time.Second},
		"it is set, not past": {time.Hour, 30 * time.Minute, 30 * time.Minute},
		"for ever":            {0, 100 * time.Hour, 0},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				ahead, start := new(atomic.Int64), time.Now()
				actor := access.Actor{}
				if c.life > 0 {
					actor.Expires = start.Add(c.life).Round(0) // as the log has it
				}
				ctx, end := access.NewGuard(set{nil, ahead}, nil, needs()).Until(t.Context(), actor)
				defer end()
				synctest.Wait()
				ahead.Store(int64(c.ahead))
				if c.ends == 0 {
					time.Sleep(1000 * time.Hour)
					if ctx.Err() != nil {
						t.Error("it ended")
					}
					return
				}
				<-ctx.Done()
				if took := time.Since(start); took != c.ends || errs.Reason(errs.Context(ctx)) != pb.ErrorReason_UNAUTHENTICATED.String() {
					t.Errorf("it ended after %v with %v", took, errs.Context(ctx))
				}
			})
		})
	}
}
