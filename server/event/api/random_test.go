package api_test

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/tables"
)

// Whatever is asked in whatever order: a decision is refused with a reason, or
// its facts fold; it never changes the state that it decides on; and an event
// never has two skaters on the ice.
func TestAnyOrderOfCommands(t *testing.T) {
	season, _, err := embedded().Season("2025-26", "")
	if err != nil {
		t.Fatal(err)
	}
	outcomes := map[string]int{}
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 1))
		s := &event.State{ID: cup}
		before, head := "", store.Head{}
		for step := range 500 {
			req := anyRequest(random, step, s)
			c := &event.Command{
				Actor: access.Actor{Role: pb.Role_ORGANISER}, Time: day,
				Season: func() (*rules.Season, error) { return season, nil }, Chance: random.Uint64(),
			}
			facts, err := api.Decide(s, c, req)
			if snapshot(s) != before {
				t.Fatalf("seed %d, step %d: deciding %T changed the state", seed, step, req)
			}
			if err != nil {
				reason := errs.Reason(errs.From(err, req))
				if reason == "" || reason == pb.ErrorReason_INTERNAL.String() {
					t.Fatalf("seed %d, step %d: %T: %v", seed, step, req, err)
				}
				outcomes[reason]++
				continue
			}
			for _, fact := range facts {
				encoded := must(event.Encode(fact, "", bytes.Repeat([]byte{1}, event.SaltBytes)))
				record := &store.Record{
					Stream: cup, Seq: s.Seq + 1, RecordedAt: day, RequestID: "r", Fact: encoded, Seal: store.SealOf(encoded.Apart),
				}
				record.Hash = record.Link(head.Hash)
				head = record.Head()
				if err := s.Apply(record); err != nil {
					t.Fatalf("seed %d, step %d: %T: %v", seed, step, req, err)
				}
				outcomes[record.Kind]++
			}
			check(t, s)
			before = snapshot(s)
		}
	}
	for _, kind := range []string{
		"EntryAdded", "EntryWithdrawn", "EntryReinstated", "OrderDrawn", "SegmentStarted", "SkaterCalled", "ElementCalled", "ElementRevised",
		"ElementRemoved", "ElementReviewed", "ElementMarksGiven", "ComponentMarksGiven", "DeductionsSet", "SkaterConfirmed", "ResultCorrected",
		"SegmentPublished", "AbsentJudgesSet", "PanelSet", "NOT_NOW", "NOT_IN_EVENT", "INCOMPLETE",
	} {
		if outcomes[kind] == 0 {
			t.Errorf("no %s came about: %v", kind, outcomes)
		}
	}
}

// snapshot holds everything of a state.
func snapshot(s *event.State) string {
	if s.Data == nil {
		return ""
	}
	r := api.NewReader(s, tables.NewArchive(embedded(), nil, ""), access.Actor{Role: pb.Role_REFEREE})
	write := proto.MarshalOptions{Deterministic: true}
	out := must(write.Marshal(r.Event()))
	for _, g := range s.Segments() {
		for _, p := range g.Performances {
			out = must(write.MarshalAppend(out, r.Performance(p)))
		}
	}
	return string(out)
}

// check is what holds in every state.
func check(t *testing.T, s *event.State) {
	t.Helper()
	busy := 0
	for _, g := range s.Segments() {
		for _, p := range g.Performances {
			if p.State() == pb.PerformanceState_ON_ICE || p.State() == pb.PerformanceState_REVIEW {
				busy++
			}
			if p.State() == pb.PerformanceState_CONFIRMED && p.Score == nil {
				t.Fatal("confirmed without a score")
			}
			seen := map[int32]bool{}
			for _, e := range p.Elements {
				if seen[e.Number] {
					t.Fatalf("element number %d stands twice", e.Number)
				}
				seen[e.Number] = true
			}
		}
		if g.Published && g.Current() != nil {
			t.Fatal("signed while somebody skates")
		}
	}
	if busy > 1 {
		t.Fatalf("%d skaters are on the ice", busy)
	}
}

// withLate returns the order of a segment with those behind it who are not in it.
func withLate(s *event.State, segment string) []string {
	c := s.Category(category)
	if c == nil {
		return nil
	}
	var order []string
	for _, p := range c.Segment(segment).Performances {
		order = append(order, p.Entry.GetEntry())
	}
	for _, e := range s.Entries {
		if !e.Out() && !slices.Contains(order, e.GetEntry()) {
			order = append(order, e.GetEntry())
		}
	}
	return order
}

// anyRequest makes a request: mostly one that can be right, sometimes one that
// cannot, mostly about who is on the ice. The first few set an event up.
func anyRequest(random *rand.Rand, step int, s *event.State) proto.Message {
	switch step {
	case 0:
		return &pb.CreateEventRequest{Event: cup, Name: "Cup", StartDate: "2026-03-14", Season: "2025-26"}
	case 1:
		return &pb.SetCategoryRequest{Category: category}
	case 2:
		return &pb.SetPanelRequest{Panel: &pb.EventPanel{Judges: 2}}
	case 3, 4, 5:
		return &pb.AddEntryRequest{Category: category, Name: "Name"}
	}
	pick := func(from ...string) string { return from[random.IntN(len(from))] }
	small := func(n int) int32 { return int32(random.IntN(n)) }
	segment, entry := pick(short, short, short, short, short, short, free), pick("1", "2", "3")
	if s.Focus != nil && s.Focus.Current() != nil && random.IntN(4) > 0 {
		segment, entry = s.Focus.Key, s.Focus.Current().Entry.GetEntry()
	}
	code := pick("2A", "3T", "CCoSp4", "3Lz+3T", "StSq3", "9Z")
	judge, element := small(2)+1, small(6)+1
	switch random.IntN(31 + random.IntN(2)) {
	case 0:
		return &pb.AddEntryRequest{Category: category, Name: "Name", Entry: pick(entry, "4")}
	case 1:
		if random.IntN(6) > 0 {
			return &pb.CallSkaterRequest{Category: category, Segment: segment}
		}
		return &pb.WithdrawEntryRequest{Entry: entry, Reason: pick("", "why")}
	case 2:
		return &pb.ReinstateEntryRequest{Entry: entry, Reason: pick("", "why")}
	case 3:
		return &pb.DrawStartingOrderRequest{Category: category, Segment: segment, Method: pb.OrderMethod_Value(small(4)), Entries: withLate(s, segment)}
	case 4:
		return &pb.StartSegmentRequest{Category: category, Segment: segment}
	case 5, 6:
		return &pb.CallSkaterRequest{Category: category, Segment: segment, Entry: pick("", entry)}
	case 7, 8, 9:
		return &pb.CallElementRequest{Category: category, Segment: segment, Entry: entry, Code: code, Before: small(2) * small(4)}
	case 10:
		return &pb.CallElementRequest{Category: category, Segment: segment, Entry: entry, Skated: spin(float64(small(10)))}
	case 11:
		return &pb.ReviseElementRequest{Category: category, Segment: segment, Entry: entry, Element: element, Code: code}
	case 12:
		return &pb.RemoveElementRequest{Category: category, Segment: segment, Entry: entry, Element: small(4)}
	case 13:
		return &pb.ReviewElementRequest{Category: category, Segment: segment, Entry: entry, Element: element, InReview: random.IntN(3) == 0}
	case 14, 15, 16, 17:
		return &pb.SetElementMarksRequest{
			Category: category, Segment: segment, Entry: entry, Judge: judge, Marks: []*pb.GivenElementMark{{Element: element, Mark: new(small(11) - 5)}},
		}
	case 18, 19, 20, 21, 22, 23:
		req := &pb.SetComponentMarksRequest{Category: category, Segment: segment, Entry: entry, Judge: judge}
		for _, c := range []pb.Component_Value{pb.Component_COMPOSITION, pb.Component_PRESENTATION, pb.Component_SKATING_SKILLS} {
			req.Marks = append(req.Marks, &pb.GivenComponentMark{Component: c, Mark: new(float64(small(39)+1) / 4)})
		}
		return req
	case 24:
		return &pb.SetDeductionsRequest{Category: category, Segment: segment, Entry: entry, Deductions: []*pb.Deduction{{Kind: pb.DeductionKind_Value(small(13))}}}
	case 25, 26:
		return &pb.ConfirmSkaterRequest{Category: category, Segment: segment, Entry: entry, AcceptMissingMarks: random.IntN(3) > 0}
	case 27, 28:
		return &pb.CorrectResultRequest{
			Category: category, Segment: segment, Entry: entry, Reason: "why",
			ComponentMarks: []*pb.CorrectedComponentMark{{Component: pb.Component_COMPOSITION, Judge: judge, Mark: new(float64(5))}},
		}
	case 29:
		if random.IntN(2) == 0 {
			return &pb.CorrectResultRequest{Category: category, Segment: segment, Entry: entry, Reason: "why", RemovedElements: []int32{element}}
		}
		return &pb.PublishSegmentRequest{Category: category, Segment: segment}
	case 30:
		return &pb.SetAbsentJudgesRequest{Category: category, Segment: segment, Judges: []int32{judge}[:small(2)]}
	default:
		return &pb.SetPanelRequest{Panel: &pb.EventPanel{Judges: small(3) + 1}}
	}
}
