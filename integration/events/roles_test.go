package events_test

import (
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/proto/route"
)

// mayCall says who may make each call that not everybody may: A administrator,
// O organiser, T technical panel, J judge, R referee, N announcer. Every other
// call reads, and is open to all in an event that is not restricted; TakeSeat brings
// a code.
const mayCall = `
CreateEvent        A
UpdateEvent        A O
SetCategory        A O
RemoveCategory     A O
SetPanel           A O R
SetAbsentJudges    A O R
AddEntry           A O
UpdateEntry        A O
ImportEntries      A O
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
ListFacts          A O R
CreateToken        A O
ListTokens         A O R N
RevokeToken        A O
CreateSeatCode     A O
`

// Every unary call of events, by everybody, on a running server over gRPC and over
// REST: whom the list does not name is refused, and whom it names is not. The
// requests are empty but for what their paths need, so nothing they do succeeds.
func TestWrongRoleForEveryCall(t *testing.T) {
	s := start(t)
	const cup = "roles-cup"
	admin := with(t.Context(), s.admin)
	events := pb.NewEventServiceClient(s.conn(t))
	must(events.CreateEvent(admin, &pb.CreateEventRequest{Event: cup, Name: "Roles Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	tokens := map[string]string{"A": s.admin, "nobody": ""}
	for letter, role := range map[string]pb.Role_Value{
		"O": pb.Role_ORGANISER, "T": pb.Role_TECHNICAL_PANEL, "J": pb.Role_JUDGE, "R": pb.Role_REFEREE, "N": pb.Role_ANNOUNCER, "V": pb.Role_VIEWER,
	} {
		req := &pb.CreateTokenRequest{Event: cup, Role: role}
		if role == pb.Role_JUDGE {
			req.Judge = 1
		}
		tokens[letter] = must(events.CreateToken(admin, req)).GetToken()
	}
	may := map[string]string{}
	for line := range strings.Lines(strings.TrimSpace(mayCall)) {
		name, who, _ := strings.Cut(strings.TrimSpace(line), " ")
		may[name] = who
	}
	checked := 0
	for way, conn := range map[string]grpc.ClientConnInterface{"gRPC": s.conn(t), "REST": s.rest()} {
		for _, service := range []string{"EventService", "ScoreboardService"} {
			for _, m := range unary(t, service) {
				who, closed := may[string(m.Name())]
				for holder, token := range tokens {
					err := conn.Invoke(with(t.Context(), token), "/rinktally.v1."+service+"/"+string(m.Name()), bare(m, cup), answer(m))
					want := ""
					switch {
					case closed && holder == "nobody":
						want = "UNAUTHENTICATED"
					case closed && !strings.Contains(who, holder):
						want = "PERMISSION_DENIED"
					}
					got := reason(err)
					if refused := got == "UNAUTHENTICATED" || got == "PERMISSION_DENIED"; refused != (want != "") || refused && got != want {
						t.Errorf("%s: %s by %s: %q, %v; want %q", way, m.Name(), holder, got, err, want)
					}
					checked++
				}
			}
		}
	}
	t.Logf("%d calls", checked)
	// Nothing was written by all this: the event has been made and has six tokens.
	if n := len(facts(t, s.conn(t), s.admin, cup)); n != 7 {
		t.Errorf("%d facts, want 7", n)
	}
}

func unary(t testing.TB, service string) []protoreflect.MethodDescriptor {
	t.Helper()
	found := must(protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName("rinktally.v1." + service)))
	var list []protoreflect.MethodDescriptor
	methods := found.(protoreflect.ServiceDescriptor).Methods()
	for i := range methods.Len() {
		if m := methods.Get(i); !m.IsStreamingServer() && !m.IsStreamingClient() {
			list = append(list, m)
		}
	}
	return list
}

func answer(m protoreflect.MethodDescriptor) proto.Message {
	return must(protoregistry.GlobalTypes.FindMessageByName(m.Output().FullName())).New().Interface()
}

// bare returns a request that has only what its first path needs, none of which is
// in the event.
func bare(m protoreflect.MethodDescriptor, event string) proto.Message {
	req := must(protoregistry.GlobalTypes.FindMessageByName(m.Input().FullName())).New()
	pattern := must(route.Bindings(m))[0].Path
	for _, part := range strings.Split(pattern, "{")[1:] {
		name, _, _ := strings.Cut(part, "}")
		field := req.Descriptor().Fields().ByName(protoreflect.Name(name))
		switch {
		case name == "event":
			req.Set(field, protoreflect.ValueOfString(event))
		case field.Kind() == protoreflect.StringKind:
			req.Set(field, protoreflect.ValueOfString("none"))
		case field.Enum() != nil:
			req.Set(field, protoreflect.ValueOfEnum(1))
		default:
			req.Set(field, protoreflect.ValueOfInt32(1))
		}
	}
	return req.Interface()
}
