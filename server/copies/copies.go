// Package copies keeps what servers at rinks send of their events: the answers of
// public calls, as everybody is given them. From these an event is shown to the world,
// live; it is changed at its rink only.
package copies

import (
	"maps"
	"slices"
	"sync"
	"time"

	"go.uber.org/zap"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
)

// Store is all copies that a server has, each also in a folder of its own.
type Store struct {
	now   func() time.Time
	log   *zap.Logger
	files folder

	// Changed is called when there is another scoreboard of an event, or its copy is
	// gone. It is set before the store is used.
	Changed func(event string)

	writing sync.Mutex // held while a copy is changed, files included

	mu     sync.RWMutex     // never held while a file is written: every board is read under it
	copies map[string]*kept // by event
}

// kept is the copy of one event. It is replaced and never changed.
type kept struct {
	owner   string // who sends it
	seq     uint64
	heard   time.Time
	answers map[string]*pb.CopiedAnswer // by key, each with its tag
	bytes   int
	board   *pb.Scoreboard
}

// Open reads the copies that a folder holds; "" keeps none. A nil clock is the
// system's.
func Open(dir string, clock func() time.Time, log *zap.Logger) (*Store, error) {
	if clock == nil {
		clock = time.Now
	}
	s := &Store{now: clock, log: log, files: folder(dir), Changed: func(string) {}, copies: map[string]*kept{}}
	return s, s.read()
}

// of returns the copy of an event, nil when there is none.
func (s *Store) of(event string) *kept {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.copies[event]
}

// set replaces the copy of an event; nil takes it off.
func (s *Store) set(event string, c *kept) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if c == nil {
		delete(s.copies, event)
	} else {
		s.copies[event] = c
	}
}

// Rink returns where a copied event is run, as its scoreboard says; false when there is
// no copy of it here.
func (s *Store) Rink(event string) (string, bool) {
	c := s.of(event)
	if c == nil {
		return "", false
	}
	return c.board.GetPlace(), true
}

// Refuse refuses what would change an event that is only copied here; it returns nil
// where it is no copy.
func (s *Store) Refuse(event string) error {
	if rink, copied := s.Rink(event); copied {
		return Refused(event, rink, "It is changed there only.")
	}
	return nil
}

// Refused says that an event is run elsewhere.
func Refused(event, rink, what string) error {
	at := "another server, at the rink"
	if rink != "" {
		at = "the server at the rink, " + rink
	}
	return errs.New(pb.ErrorReason_EVENT_COPIED, "this is a copy: event "+rules.Quote(event)+" is run on "+at+". "+what, "event", event, "rink", rink)
}

// Names returns the events that there are copies of, in order.
func (s *Store) Names() []string {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return slices.Sorted(maps.Keys(s.copies))
}

// Summary returns a copied event as lists show it, nil when there is no copy.
func (s *Store) Summary(event string) *pb.EventSummary {
	res, ok := s.answer("GetEvent", &pb.GetEventRequest{Event: event}).(*pb.GetEventResponse)
	if !ok {
		return nil
	}
	of := res.GetEvent()
	return &pb.EventSummary{
		Event: event, Name: of.GetName(), Place: of.GetPlace(), StartDate: of.GetStartDate(), EndDate: of.GetEndDate(), Season: of.GetRules().GetSeason(),
	}
}

// Board returns the scoreboard of a copied event and how old it is, nil when there is
// no copy. Its members are shared and must not be changed.
func (s *Store) Board(event string) *pb.Scoreboard {
	c := s.of(event)
	if c == nil {
		return nil
	}
	board := answer.Shallow(c.board)
	board.Copy = s.age(c)
	return board
}

// Age says how old the scoreboard of a copied event is, nil when there is no copy.
func (s *Store) Age(event string) *pb.BoardCopy {
	c := s.of(event)
	if c == nil {
		return nil
	}
	return s.age(c)
}

func (s *Store) age(c *kept) *pb.BoardCopy {
	return &pb.BoardCopy{HeardTime: timestamppb.New(c.heard), Now: timestamppb.New(s.now())}
}

// Places returns all places behind the scoreboard of a copied event, nil before a
// segment has started.
func (s *Store) Places(board *pb.Scoreboard) (*pb.SegmentStanding, *pb.FinalStanding) {
	of := board.GetSegment()
	if of == nil {
		return nil, nil
	}
	standing, _ := s.answer("GetSegmentStanding", &pb.GetSegmentStandingRequest{Event: board.GetEvent(), Category: of.GetCategory(), Segment: of.GetSegment()}).(*pb.GetSegmentStandingResponse)
	final, _ := s.answer("GetFinalStanding", &pb.GetFinalStandingRequest{Event: board.GetEvent(), Category: of.GetCategory()}).(*pb.GetFinalStandingResponse)
	return standing.GetStanding(), final.GetStanding()
}

// answer returns the answer of a request, nil when the event's copy does not hold it.
func (s *Store) answer(call string, req interface {
	proto.Message
	GetEvent() string
},
) proto.Message {
	request, err := pack(asked(req))
	if err != nil {
		return nil
	}
	held, seq := s.held(req.GetEvent(), Key(&pb.CopiedAnswer{Call: call, Request: request}))
	res := message(call + "Response")
	if held == nil || proto.Unmarshal(held.GetAnswer(), res) != nil {
		return nil
	}
	setSequence(res, seq)
	return res
}

// held returns an answer of an event's copy and the sequence of the copy, nil when it
// does not hold it. An answer is replaced and never changed.
func (s *Store) held(event, key string) (found *pb.CopiedAnswer, seq uint64) {
	if c := s.of(event); c != nil {
		return c.answers[key], c.seq
	}
	return nil, 0
}

// digest is the fingerprint of a copy, "" when there is none.
func (c *kept) digest() string {
	if c == nil {
		return ""
	}
	return Digest(c.seq, c.answers)
}

// next is a copy that can be changed until it is set.
func (c *kept) next() *kept {
	n := *c
	n.answers = maps.Clone(c.answers)
	return &n
}

// put keeps an answer and reports whether it differs from the one before.
func (c *kept) put(a *pb.CopiedAnswer) bool {
	key := Key(a)
	before := c.answers[key]
	a = &pb.CopiedAnswer{Call: a.GetCall(), Request: a.GetRequest(), Answer: a.GetAnswer(), Tag: Tag(a.GetAnswer())}
	if before.GetTag() == a.GetTag() {
		return false
	}
	c.answers[key] = a
	c.bytes += len(a.GetAnswer()) - len(before.GetAnswer())
	return true
}

// drop takes an answer out and reports whether it was there.
func (c *kept) drop(key string) bool {
	before := c.answers[key]
	delete(c.answers, key)
	c.bytes -= len(before.GetAnswer())
	return before != nil
}
