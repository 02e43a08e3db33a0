package events_test

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/integration/rounds"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// seedsName is the variable that says how many events the models go through at random.
const seedsName = "RINKTALLY_MODEL_SEEDS"

// What a desk may type: codes that the season values, and one that it does not.
var typedCodes = []string{"3Lz+3T", "2A", "CCoSp4", "StSq3", "3F", "FSSp2", "9Z"}

// sheet is what a performance must be by what its desks were promised, as simple as it
// can be said: no facts, no folding, no points.
type sheet struct {
	elements []*line
	numbered int32  // numbers that were given to elements
	sequence uint64 // of the event
	ended    bool
	skated   map[string]command // that were carried out, by request id
}

type line struct {
	number int32
	code   string
	half   bool
	review bool
	marks  map[int32]int32 // by judge
}

// command is a call and the sequence number that it was answered.
type command struct {
	request  proto.Message
	sequence uint64
}

// find returns where an element stands, or -1.
func (s *sheet) find(number int32) int {
	return slices.IndexFunc(s.elements, func(l *line) bool { return l.number == number })
}

// do carries a request out and reports whether it is one that must be accepted.
func (s *sheet) do(request proto.Message) bool {
	switch r := request.(type) {
	case *pb.CallElementRequest:
		at := len(s.elements)
		if r.GetBefore() != 0 {
			at = s.find(r.GetBefore())
		}
		if at < 0 || r.GetCode() == "9Z" {
			return false
		}
		s.numbered++
		s.elements = slices.Insert(s.elements, at, &line{number: s.numbered, code: r.GetCode(), half: r.GetSecondHalf(), marks: map[int32]int32{}})
	case *pb.ReviseElementRequest:
		at := s.find(r.GetElement())
		if at < 0 || r.GetCode() == "9Z" {
			return false
		}
		if r.GetCode() != "" {
			s.elements[at].code = r.GetCode()
		}
		if r.SecondHalf != nil {
			s.elements[at].half = r.GetSecondHalf()
		}
	case *pb.RemoveElementRequest:
		number := r.GetElement()
		if number == 0 { // the one called last
			for _, l := range s.elements {
				number = max(number, l.number)
			}
		}
		at := s.find(number)
		if at < 0 {
			return false
		}
		s.elements = slices.Delete(s.elements, at, at+1)
	case *pb.ReviewElementRequest:
		at := s.find(r.GetElement())
		if at < 0 {
			return false
		}
		s.elements[at].review = r.GetInReview()
	case *pb.SetElementMarksRequest:
		if r.GetJudge() > modelJudges {
			return false
		}
		for _, m := range r.GetMarks() { // all of them or none
			if s.find(m.GetElement()) < 0 || m.GetMark() > 5 || m.GetMark() < -5 {
				return false
			}
		}
		for _, m := range r.GetMarks() {
			marks := s.elements[s.find(m.GetElement())].marks
			if m.Mark == nil {
				delete(marks, r.GetJudge())
			} else {
				marks[r.GetJudge()] = m.GetMark()
			}
		}
	case *pb.EndProgramRequest:
		s.ended = !r.GetTakeBack()
	}
	return true
}

const modelJudges = 3

// differs says in what an answer is not the sheet, "" in nothing.
func (s *sheet) differs(p *pb.Performance) string {
	state := pb.PerformanceState_ON_ICE
	if s.ended {
		state = pb.PerformanceState_REVIEW
	}
	if p.GetState() != state {
		return fmt.Sprintf("it is %v, want %v", p.GetState(), state)
	}
	return s.elementsDiffer(p)
}

func (s *sheet) elementsDiffer(p *pb.Performance) string {
	if len(p.GetElements()) != len(s.elements) {
		return fmt.Sprintf("it has %d elements, want %d", len(p.GetElements()), len(s.elements))
	}
	for i, e := range p.GetElements() {
		want, marks := s.elements[i], map[int32]int32{}
		for _, m := range e.GetMarks() {
			marks[m.GetJudge()] = m.GetMark()
		}
		is := line{e.GetElement(), e.GetCode(), e.GetSecondHalf(), e.GetInReview(), marks}
		if is.number != want.number || is.code != want.code || is.half != want.half || is.review != want.review || !maps.Equal(marks, want.marks) {
			return fmt.Sprintf("element %d of %d is %+v, want %+v", i, len(s.elements), is, *want)
		}
	}
	return ""
}

// any makes a request: mostly one that can be right.
func (s *sheet) any(random *rand.Rand) proto.Message {
	number := int32(random.IntN(int(s.numbered) + 2)) // 0 and one too many are among them
	code := typedCodes[random.IntN(len(typedCodes))]
	switch n := random.IntN(20); {
	case n < 4 && len(s.elements) < 12:
		return &pb.CallElementRequest{Code: code, SecondHalf: random.IntN(2) == 0, Before: number * int32(random.IntN(2))}
	case n < 7:
		r := &pb.ReviseElementRequest{Element: number, Code: code}
		if random.IntN(2) == 0 {
			r.SecondHalf = new(random.IntN(2) == 0)
		}
		return r
	case n < 9:
		return &pb.RemoveElementRequest{Element: number}
	case n < 11:
		return &pb.ReviewElementRequest{Element: number, InReview: random.IntN(2) == 0}
	case n < 12 && random.IntN(5) == 0:
		return &pb.EndProgramRequest{TakeBack: random.IntN(2) == 0}
	default:
		r := &pb.SetElementMarksRequest{Judge: int32(1 + random.IntN(modelJudges+random.IntN(2)))}
		for range 1 + random.IntN(2) {
			m := &pb.GivenElementMark{Element: max(1, number-int32(len(r.GetMarks()))), Mark: new(int32(random.IntN(11) - 5))}
			switch random.IntN(12) {
			case 0:
				m.Mark = nil
			case 1:
				m.Mark = new(int32(6))
			}
			if len(r.GetMarks()) == 0 || r.GetMarks()[0].GetElement() != m.GetElement() {
				r.Marks = append(r.Marks, m)
			}
		}
		return r
	}
}

// modelSeeds is how many events are made at random.
func modelSeeds(t *testing.T) uint64 {
	t.Helper()
	return uint64(rounds.Of(t, seedsName, 2))
}

// Whatever desks call in whatever order at either of two servers, with repetitions and
// with sequence numbers that are out of date: each answer, and the sheet that the other
// server shows, is what the calls before make of it, and a server that folds all facts
// for the first time shows the same.
func TestModelOfAPerformance(t *testing.T) {
	seeds := modelSeeds(t)
	shared := inDatabase(newCluster(t).URL("postgres"))
	a, b := start(t, shared), start(t, shared)
	outcomes := map[string]int{} // of each request
	for seed := range seeds {
		random := rand.New(rand.NewPCG(seed, 4))
		m := &modelled{t: t, admin: a.admin, event: fmt.Sprintf("model-%d", seed), random: random, outcomes: outcomes,
			clients: []pb.EventServiceClient{pb.NewEventServiceClient(a.conn(t)), pb.NewEventServiceClient(b.conn(t))}}
		m.prepare()
		for step := range 120 {
			m.step(fmt.Sprintf("seed %d, step %d", seed, step))
		}
	}
	if len(outcomes) < 14 {
		t.Errorf("only these came about: %v", outcomes)
	}
	t.Logf("%v", outcomes)
	fresh := start(t, shared)
	for seed := range seeds {
		at := &pb.GetPerformanceRequest{Event: fmt.Sprintf("model-%d", seed), Category: "senior-women", Segment: "short-program", Entry: "1"}
		seen := must(pb.NewEventServiceClient(a.conn(t)).GetPerformance(with(t.Context(), a.admin), at))
		folded := must(pb.NewEventServiceClient(fresh.conn(t)).GetPerformance(with(t.Context(), a.admin), at))
		if !proto.Equal(seen, folded) {
			t.Errorf("seed %d: a server that was there shows\n%v\none that was not\n%v", seed, seen, folded)
		}
	}
}

// modelled is an event beside its model.
type modelled struct {
	sheet

	t            *testing.T
	admin, event string
	random       *rand.Rand
	clients      []pb.EventServiceClient
	calls        int
	outcomes     map[string]int
}

func (m *modelled) prepare() {
	m.t.Helper()
	ctx := with(m.t.Context(), m.admin)
	const category, short = "senior-women", "short-program"
	events := m.clients[0]
	must(events.CreateEvent(ctx, &pb.CreateEventRequest{Event: m.event, Name: "Model Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	must(events.SetPanel(ctx, &pb.SetPanelRequest{Event: m.event, Panel: &pb.EventPanel{Judges: modelJudges}}))
	must(events.SetCategory(ctx, &pb.SetCategoryRequest{Event: m.event, Category: category}))
	must(events.AddEntry(ctx, &pb.AddEntryRequest{Event: m.event, Category: category, Name: "Ada Invented"}))
	must(events.DrawStartingOrder(ctx, &pb.DrawStartingOrderRequest{Event: m.event, Category: category, Segment: short}))
	must(events.StartSegment(ctx, &pb.StartSegmentRequest{Event: m.event, Category: category, Segment: short}))
	m.sequence = must(events.CallSkater(ctx, &pb.CallSkaterRequest{Event: m.event, Category: category, Segment: short, Entry: "1"})).GetSequence()
	m.skated = map[string]command{}
}

// ask makes a call.
func ask(ctx context.Context, c pb.EventServiceClient, request proto.Message) (*pb.Performance, uint64, error) {
	switch r := request.(type) {
	case *pb.CallElementRequest:
		return performed(c.CallElement(ctx, r))
	case *pb.ReviseElementRequest:
		return performed(c.ReviseElement(ctx, r))
	case *pb.RemoveElementRequest:
		return performed(c.RemoveElement(ctx, r))
	case *pb.ReviewElementRequest:
		return performed(c.ReviewElement(ctx, r))
	case *pb.EndProgramRequest:
		return performed(c.EndProgram(ctx, r))
	default:
		return performed(c.SetElementMarks(ctx, r.(*pb.SetElementMarksRequest)))
	}
}

// performed is what all these answers have.
func performed[R interface {
	GetPerformance() *pb.Performance
	GetSequence() uint64
}](r R, err error) (*pb.Performance, uint64, error) {
	return r.GetPerformance(), r.GetSequence(), err
}

// step makes one call at one server and looks at the other.
func (m *modelled) step(where string) {
	m.t.Helper()
	var request proto.Message
	var id string
	repeated, known := command{}, false
	if m.random.IntN(8) == 0 {
		id = strconv.Itoa(m.random.IntN(m.calls + 1))
		repeated, known = m.skated[id]
	}
	stale := false
	if known {
		request = repeated.request
	} else {
		m.calls++
		id = strconv.Itoa(m.calls)
		request = m.any(m.random)
		fields := request.ProtoReflect()
		set := func(name protoreflect.Name, value any) {
			fields.Set(fields.Descriptor().Fields().ByName(name), protoreflect.ValueOf(value))
		}
		for name, value := range map[protoreflect.Name]string{
			"event": m.event, "category": "senior-women", "segment": "short-program", "entry": "1", "request_id": id,
		} {
			set(name, value)
		}
		switch m.random.IntN(6) {
		case 0:
			set("expected_sequence", m.sequence)
		case 1:
			set("expected_sequence", m.sequence-1)
			stale = true
		}
	}
	server := m.random.IntN(len(m.clients))
	ctx := with(m.t.Context(), m.admin)
	performance, sequence, err := ask(ctx, m.clients[server], request)
	accepted := known || !stale && m.do(request)
	if accepted != (err == nil) || err != nil && (reason(err) == "" || reason(err) == pb.ErrorReason_INTERNAL.String()) {
		m.t.Fatalf("%s: %T %v: want accepted %v, got %v", where, request, request, accepted, err)
	}
	outcome := fmt.Sprintf("%s %s", request.ProtoReflect().Descriptor().Name(), reason(err))
	if known {
		outcome = "repeated"
	}
	m.outcomes[outcome]++
	if err == nil {
		want := repeated.sequence
		if !known {
			m.sequence++
			want = m.sequence
			m.skated[id] = command{request, want}
		}
		if sequence != want {
			m.t.Fatalf("%s: %T is answered with sequence %d, want %d", where, request, sequence, want)
		}
		if wrong := m.differs(performance); wrong != "" {
			m.t.Fatalf("%s: after %T %v: %s", where, request, request, wrong)
		}
	}
	other, err := m.clients[1-server].GetPerformance(ctx, &pb.GetPerformanceRequest{Event: m.event, Category: "senior-women", Segment: "short-program", Entry: "1"})
	if err != nil || other.GetSequence() != m.sequence {
		m.t.Fatalf("%s: the other server is at %d, want %d: %v", where, other.GetSequence(), m.sequence, err)
	}
	if wrong := m.differs(other.GetPerformance()); wrong != "" {
		m.t.Fatalf("%s: at the other server after %T %v: %s", where, request, request, wrong)
	}
}
