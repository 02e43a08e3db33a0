package events_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/rest/form"
)

// Whatever is called of a segment at either of two servers, from the draw to the signed
// result, with orders drawn again, skaters who withdraw and come back, ends of programs
// taken back, confirmations and corrections: each answer, and what the other server
// shows of everybody, is what the calls before make of it, and a server that folds all
// facts for the first time shows the same.
func TestModelOfAnEvent(t *testing.T) {
	shared := inDatabase(newCluster(t).URL("postgres"))
	a, b := start(t, shared), start(t, shared)
	outcomes := map[string]int{}
	seeds := modelSeeds(t)
	var conns []*grpc.ClientConn
	for _, s := range []*server{a, b, start(t, shared)} {
		conns = append(conns, s.conn(t))
	}
	for seed := range seeds {
		m := &modelledCup{cup: cup{out: map[string]bool{}, skaters: map[string]*skater{}}, t: t, admin: a.admin, event: fmt.Sprintf("cup-%d", seed),
			random: rand.New(rand.NewPCG(seed, 5)), conns: conns[:2], outcomes: outcomes}
		m.prepare()
		for step := range 200 {
			m.step(fmt.Sprintf("seed %d, step %d", seed, step))
		}
		if seen, folded := m.whole(conns[0]), m.whole(conns[2]); seen != folded {
			t.Errorf("seed %d: a server that was there shows\n%s\none that was not\n%s", seed, seen, folded)
		}
	}
	for _, call := range []string{"DrawStartingOrder", "WithdrawEntry", "ReinstateEntry", "CallSkater", "EndProgram", "ConfirmSkater", "CorrectResult", "PublishSegment"} {
		if outcomes[call+" "] == 0 {
			t.Errorf("no %s was accepted: %v", call, outcomes)
		}
	}
	t.Logf("%v", outcomes)
}

// modelledCup is an event beside its model.
type modelledCup struct {
	cup

	t              *testing.T
	admin, referee string // tokens
	event          string
	random         *rand.Rand
	conns          []*grpc.ClientConn
	sequence       uint64
	calls          int
	outcomes       map[string]int // of each request
}

func (m *modelledCup) prepare() {
	m.t.Helper()
	ctx := with(m.t.Context(), m.admin)
	const category = "senior-women"
	events := pb.NewEventServiceClient(m.conns[0])
	must(events.CreateEvent(ctx, &pb.CreateEventRequest{Event: m.event, Name: "Model Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	must(events.SetPanel(ctx, &pb.SetPanelRequest{Event: m.event, Panel: &pb.EventPanel{Judges: modelJudges}}))
	must(events.SetCategory(ctx, &pb.SetCategoryRequest{Event: m.event, Category: category}))
	for _, entry := range cupEntries {
		must(events.AddEntry(ctx, &pb.AddEntryRequest{Event: m.event, Entry: entry, Category: category, Name: "Skater " + entry}))
	}
	made := must(events.CreateToken(ctx, &pb.CreateTokenRequest{Event: m.event, Role: pb.Role_REFEREE}))
	m.referee, m.sequence = made.GetToken(), made.GetSequence()
}

// step makes one call at one server and looks at the other.
func (m *modelledCup) step(where string) {
	m.t.Helper()
	request := m.any(m.random)
	m.calls++
	fields := request.ProtoReflect()
	for name, value := range map[protoreflect.Name]string{
		"event": m.event, "category": "senior-women", "segment": "short-program", "request_id": strconv.Itoa(m.calls),
	} {
		if field := fields.Descriptor().Fields().ByName(name); field != nil {
			fields.Set(field, protoreflect.ValueOfString(value))
		}
	}
	server := m.random.IntN(len(m.conns))
	name := strings.TrimSuffix(string(fields.Descriptor().Name()), "Request")
	answer := must(protoregistry.GlobalTypes.FindMessageByName(protoreflect.FullName("rinktally.v1." + name + "Response"))).New()
	token := m.admin
	switch name {
	case "ConfirmSkater", "CorrectResult", "PublishSegment": // which no other role may
		token = m.referee
	}
	err := m.conns[server].Invoke(with(m.t.Context(), token), "/rinktally.v1.EventService/"+name, request, answer.Interface())
	if accepted := m.do(request); accepted != (err == nil) || err != nil && (reason(err) == "" || reason(err) == pb.ErrorReason_INTERNAL.String()) {
		m.t.Fatalf("%s: %s %v: want accepted %v, got %v", where, name, request, accepted, err)
	}
	m.outcomes[name+" "+reason(err)]++
	if err == nil {
		m.sequence++
		if name == "CorrectResult" { // what was wrong, and that it was
			m.sequence++
		}
		if got := answer.Get(answer.Descriptor().Fields().ByName("sequence")).Uint(); got != m.sequence {
			m.t.Fatalf("%s: %s is answered with sequence %d, want %d", where, name, got, m.sequence)
		}
	}
	drawn, _ := request.(*pb.DrawStartingOrderRequest)
	m.look(where+": after "+name, m.conns[1-server], err == nil && drawn.GetMethod() == pb.OrderMethod_RANDOM)
}

// look compares what a server shows of everybody with the model. An order that the
// server has made at random is learned: everybody who competes, once.
func (m *modelledCup) look(where string, conn *grpc.ClientConn, random bool) {
	m.t.Helper()
	shown := map[string]*pb.Performance{}
	for _, entry := range cupEntries {
		res, err := pb.NewEventServiceClient(conn).GetPerformance(with(m.t.Context(), m.admin), m.at(entry))
		if in := slices.Contains(m.order, entry); in != (err == nil) || !in && reason(err) == pb.ErrorReason_INTERNAL.String() {
			m.t.Fatalf("%s: %s stands in the order %v; want %v: %v", where, entry, err == nil, in, err)
		}
		if err == nil {
			shown[entry] = res.GetPerformance()
			if res.GetSequence() != m.sequence {
				m.t.Fatalf("%s: the other server is at %d, want %d", where, res.GetSequence(), m.sequence)
			}
		}
	}
	if random {
		slices.SortFunc(m.order, func(a, b string) int { return cmp.Compare(shown[a].GetNumber(), shown[b].GetNumber()) })
	}
	for entry, p := range shown {
		if wrong := m.differs(entry, p); wrong != "" {
			m.t.Fatalf("%s: of %s: %s", where, entry, wrong)
		}
	}
}

func (m *modelledCup) at(entry string) *pb.GetPerformanceRequest {
	return &pb.GetPerformanceRequest{Event: m.event, Category: "senior-women", Segment: "short-program", Entry: entry}
}

// whole is all that a server shows of the event.
func (m *modelledCup) whole(conn *grpc.ClientConn) string {
	m.t.Helper()
	ctx, events := with(m.t.Context(), m.admin), pb.NewEventServiceClient(conn)
	all := []proto.Message{
		must(events.GetEvent(ctx, &pb.GetEventRequest{Event: m.event})),
		must(events.ListEntries(ctx, &pb.ListEntriesRequest{Event: m.event})),
		must(events.GetSegmentStanding(ctx, &pb.GetSegmentStandingRequest{Event: m.event, Category: "senior-women", Segment: "short-program"})),
		must(pb.NewScoreboardServiceClient(conn).GetScoreboard(ctx, &pb.GetScoreboardRequest{Event: m.event})),
	}
	for _, entry := range m.order {
		all = append(all, must(events.GetPerformance(ctx, m.at(entry))))
	}
	var out strings.Builder
	for _, message := range all {
		out.Write(must(form.Answer(message)))
		out.WriteByte('\n')
	}
	return out.String()
}
