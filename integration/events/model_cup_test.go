package events_test

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// cup is what a segment must be by what its desks were promised, from the draw to the
// signed result, with as few words as the sheet of a performance.
type cup struct {
	order           []string // of entries
	started, signed bool
	out             map[string]bool
	skaters         map[string]*skater // who stands in the order
}

// skater is a performance in it.
type skater struct {
	sheet

	called, onIce, confirmed bool
	components               map[int32]float64 // by judge, the same mark for all
	falls                    int32
}

var cupEntries = []string{"1", "2", "3"}

func newSkater() *skater { return &skater{components: map[int32]float64{}} }

func (c *cup) state(entry string) pb.PerformanceState_Value {
	switch s := c.skaters[entry]; {
	case s.confirmed:
		return pb.PerformanceState_CONFIRMED
	case c.out[entry]:
		return pb.PerformanceState_OUT
	case s.onIce && s.ended:
		return pb.PerformanceState_REVIEW
	case s.onIce:
		return pb.PerformanceState_ON_ICE
	default:
		return pb.PerformanceState_WAITING
	}
}

// current is who is on the ice or waits for the score, "" nobody.
func (c *cup) current() string {
	for _, entry := range c.order {
		if c.skaters[entry].onIce {
			return entry
		}
	}
	return ""
}

func (c *cup) competing() []string {
	return slices.DeleteFunc(slices.Clone(cupEntries), func(e string) bool { return c.out[e] })
}

// leftOut reports whether somebody competes who is not in the order.
func (c *cup) leftOut() bool {
	return slices.ContainsFunc(c.competing(), func(e string) bool { return !slices.Contains(c.order, e) })
}

// fixed is the part of the order that stays: up to who was called last.
func (c *cup) fixed() []string {
	for i := len(c.order); i > 0; i-- {
		if c.skaters[c.order[i-1]].called {
			return c.order[:i]
		}
	}
	return nil
}

// do carries a request out and reports whether it is one that must be accepted.
func (c *cup) do(request proto.Message) bool {
	switch r := request.(type) {
	case *pb.DrawStartingOrderRequest:
		return c.draw(r)
	case *pb.StartSegmentRequest:
		if c.started || len(c.order) == 0 || c.leftOut() {
			return false
		}
		c.started = true
	case *pb.CallSkaterRequest:
		return c.call(r.GetEntry())
	case *pb.WithdrawEntryRequest:
		s := c.skaters[r.GetEntry()]
		if s != nil && s.confirmed && r.GetReason() == "" {
			return false
		}
		c.out[r.GetEntry()] = true
		if s != nil && !s.confirmed { // begins again, should the entry come back; numbers and the call stay used
			*s = skater{sheet: sheet{numbered: s.numbered}, called: s.called, components: map[int32]float64{}}
		}
	case *pb.ReinstateEntryRequest:
		s := c.skaters[r.GetEntry()]
		if r.GetReason() == "" || c.out[r.GetEntry()] && c.signed && s != nil && !s.confirmed {
			return false
		}
		c.out[r.GetEntry()] = false
	case *pb.PublishSegmentRequest:
		open := slices.ContainsFunc(c.order, func(e string) bool { return !c.skaters[e].confirmed && !c.out[e] })
		if !c.started || c.signed || open || c.leftOut() {
			return false
		}
		c.signed = true
	default:
		return c.perform(request)
	}
	return true
}

func (c *cup) draw(r *pb.DrawStartingOrderRequest) bool {
	order, competing := r.GetEntries(), c.competing()
	switch {
	case c.signed, c.started && r.GetMethod() != pb.OrderMethod_GIVEN:
		return false
	case r.GetMethod() != pb.OrderMethod_GIVEN:
		order = slices.Clone(competing) // in which order the server says
	default:
		fixed := c.fixed()
		if len(order) < len(fixed) || !slices.Equal(order[:len(fixed)], fixed) {
			return false
		}
		for i, e := range order[len(fixed):] {
			stays := c.started && slices.Contains(c.order, e)
			if c.out[e] && !stays || slices.Contains(order[:len(fixed)+i], e) {
				return false
			}
		}
		if slices.ContainsFunc(competing, func(e string) bool { return !slices.Contains(order, e) }) {
			return false
		}
	}
	if len(order) == 0 {
		return false
	}
	c.order = order
	for _, e := range cupEntries {
		switch {
		case !slices.Contains(order, e):
			delete(c.skaters, e)
		case c.skaters[e] == nil:
			c.skaters[e] = newSkater()
		}
	}
	return true
}

func (c *cup) call(entry string) bool {
	if !c.started || c.current() != "" {
		return false
	}
	if entry == "" {
		next := slices.IndexFunc(c.order, func(e string) bool { return c.state(e) == pb.PerformanceState_WAITING })
		if next < 0 {
			return false
		}
		entry = c.order[next]
	}
	s := c.skaters[entry]
	if s == nil || c.state(entry) != pb.PerformanceState_WAITING {
		return false
	}
	s.called, s.onIce = true, true
	return true
}

// perform carries out a request on one performance.
func (c *cup) perform(request proto.Message) bool {
	s := c.skaters[request.(interface{ GetEntry() string }).GetEntry()]
	if s == nil {
		return false
	}
	if r, is := request.(*pb.CorrectResultRequest); is {
		return s.confirmed && r.GetReason() != "" && s.correct(r)
	}
	if !s.onIce {
		return false
	}
	switch r := request.(type) {
	case *pb.SetComponentMarksRequest:
		if r.GetJudge() > modelJudges {
			return false
		}
		s.components[r.GetJudge()] = r.GetMarks()[0].GetMark()
	case *pb.SetDeductionsRequest:
		s.fell(r.GetDeductions())
	case *pb.ConfirmSkaterRequest:
		for _, l := range s.elements {
			if l.review || len(l.marks) == 0 || len(l.marks) < modelJudges && !r.GetAcceptMissingMarks() {
				return false
			}
		}
		if len(s.components) < modelJudges {
			return false
		}
		s.confirmed, s.onIce = true, false
	default:
		return s.do(request)
	}
	return true
}

func (s *skater) fell(deductions []*pb.Deduction) {
	s.falls = 0
	for _, d := range deductions {
		s.falls += d.GetCount()
	}
}

// correct is what a correction of one thing makes: as if it had been said before.
func (s *skater) correct(r *pb.CorrectResultRequest) bool {
	switch {
	case len(r.GetRevisedElements()) > 0:
		e := r.GetRevisedElements()[0]
		return s.do(&pb.ReviseElementRequest{Element: e.GetElement(), Code: e.GetCode(), SecondHalf: e.SecondHalf})
	case len(r.GetRemovedElements()) > 0:
		number := r.GetRemovedElements()[0]
		return number != 0 && s.do(&pb.RemoveElementRequest{Element: number})
	case len(r.GetElementMarks()) > 0:
		m := r.GetElementMarks()[0]
		return s.do(&pb.SetElementMarksRequest{Judge: m.GetJudge(), Marks: []*pb.GivenElementMark{{Element: m.GetElement(), Mark: m.Mark}}})
	case r.GetDeductions() != nil:
		s.fell(r.GetDeductions().GetDeductions())
		return true
	default:
		return false
	}
}

// differs says in what a performance is not as it must be, "" in nothing.
func (c *cup) differs(entry string, p *pb.Performance) string {
	s := c.skaters[entry]
	if number := slices.Index(c.order, entry) + 1; p.GetNumber() != int32(number) || p.GetState() != c.state(entry) {
		return fmt.Sprintf("it is number %d and %v, want %d and %v", p.GetNumber(), p.GetState(), number, c.state(entry))
	}
	for _, component := range p.GetComponents() {
		marks := map[int32]float64{}
		for _, m := range component.GetMarks() {
			marks[m.GetJudge()] = m.GetMark()
		}
		if !maps.Equal(marks, s.components) {
			return fmt.Sprintf("%v has marks %v, want %v", component.GetComponent(), marks, s.components)
		}
	}
	falls := int32(0)
	for _, d := range p.GetDeductions() {
		falls += d.GetCount()
	}
	if falls != s.falls {
		return fmt.Sprintf("it has %d falls, want %d", falls, s.falls)
	}
	return s.elementsDiffer(p)
}

// any makes a request: mostly one that can be right.
func (c *cup) any(random *rand.Rand) proto.Message {
	entry, now := cupEntries[random.IntN(len(cupEntries))], c.current()
	if now != "" && random.IntN(12) > 0 {
		entry = now
	}
	s := cmp.Or(c.skaters[entry], newSkater())
	waits := slices.ContainsFunc(c.order, func(e string) bool { return c.state(e) == pb.PerformanceState_WAITING })
	switch n := random.IntN(100); {
	case n < 2:
		return &pb.WithdrawEntryRequest{Entry: entry, Reason: []string{"", "ill"}[random.IntN(2)]}
	case n < 5:
		return &pb.ReinstateEntryRequest{Entry: cupEntries[random.IntN(len(cupEntries))], Reason: []string{"", "well again", "well again"}[random.IntN(3)]}
	case n < 6:
		return &pb.DrawStartingOrderRequest{Method: pb.OrderMethod_RANDOM, Seed: new(random.Uint64())}
	case n < 9, !c.started && n < 30:
		return c.given(random)
	case n < 10, !c.started && n < 50:
		return &pb.StartSegmentRequest{}
	case n < 12, now == "" && waits && n < 60:
		return &pb.CallSkaterRequest{Entry: []string{"", entry}[random.IntN(2)]}
	case n < 13, now == "" && !waits && n < 20:
		return &pb.PublishSegmentRequest{}
	case n < 15, now == "" && n < 85:
		return c.correction(random, cupEntries[random.IntN(len(cupEntries))])
	default:
		return s.request(random, entry)
	}
}

// given is an order: often one that keeps who was called, and leaves out who does not
// compete.
func (c *cup) given(random *rand.Rand) proto.Message {
	order := slices.Clone(cupEntries)
	random.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
	if random.IntN(3) > 0 {
		fixed := c.fixed()
		order = slices.DeleteFunc(order, func(e string) bool { return slices.Contains(fixed, e) || c.out[e] })
		order = slices.Concat(fixed, order)
	}
	return &pb.DrawStartingOrderRequest{Method: pb.OrderMethod_GIVEN, Entries: order}
}

// falls are one to three, or none.
func falls(random *rand.Rand) []*pb.Deduction {
	list := []*pb.Deduction{{Kind: pb.DeductionKind_FALL, Count: new(int32(1 + random.IntN(3)))}}
	return list[random.IntN(2):]
}

// request is what desks say of a performance.
func (s *skater) request(random *rand.Rand, entry string) proto.Message {
	judge := int32(1 + random.IntN(modelJudges))
	switch n := random.IntN(100); {
	case n < 22:
		for random.IntN(4) > 0 && s.components[judge] != 0 { // rather one who has given none
			judge = judge%modelJudges + 1
		}
		mark := new(0.25 * float64(1+random.IntN(40)))
		return &pb.SetComponentMarksRequest{Entry: entry, Judge: judge, Marks: []*pb.GivenComponentMark{
			{Component: pb.Component_COMPOSITION, Mark: mark}, {Component: pb.Component_PRESENTATION, Mark: mark}, {Component: pb.Component_SKATING_SKILLS, Mark: mark},
		}}
	case n < 26:
		return &pb.SetDeductionsRequest{Entry: entry, Deductions: falls(random)}
	case n < 40:
		return &pb.ConfirmSkaterRequest{Entry: entry, AcceptMissingMarks: random.IntN(3) > 0}
	case n < 55 && len(s.elements) > 0:
		r := &pb.SetElementMarksRequest{Entry: entry, Judge: judge}
		for _, l := range s.elements {
			r.Marks = append(r.Marks, &pb.GivenElementMark{Element: l.number, Mark: new(int32(random.IntN(11) - 5))})
		}
		return r
	default:
		r := s.any(random)
		r.ProtoReflect().Set(r.ProtoReflect().Descriptor().Fields().ByName("entry"), protoreflect.ValueOfString(entry))
		return r
	}
}

// correction corrects one thing of a performance.
func (c *cup) correction(random *rand.Rand, entry string) proto.Message {
	r := &pb.CorrectResultRequest{Entry: entry, Reason: "seen again"}
	number := int32(random.IntN(int(cmp.Or(c.skaters[entry], newSkater()).numbered) + 2))
	switch random.IntN(6) {
	case 0:
		r.RevisedElements = []*pb.RevisedElement{{Element: number, Code: typedCodes[random.IntN(len(typedCodes))], SecondHalf: new(random.IntN(2) == 0)}}
	case 1:
		r.RemovedElements = []int32{number}
	case 2, 3:
		r.ElementMarks = []*pb.CorrectedElementMark{{Element: number, Judge: int32(1 + random.IntN(modelJudges+1)), Mark: new(int32(random.IntN(12) - 5))}}
	case 4:
		r.Deductions = &pb.CorrectedDeductions{Deductions: falls(random)}
	default:
		r.Reason = ""
		r.Deductions = &pb.CorrectedDeductions{Deductions: falls(random)}
	}
	return r
}
