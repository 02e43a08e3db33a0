package copies

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
)

// maxBytes limits the answers of one copy. Papers of a day with ten categories are a
// few megabytes.
const maxBytes = 64 << 20

// Service implements CopyService.
type Service struct {
	pb.UnimplementedCopyServiceServer

	store *Store
	own   func(ctx context.Context, event string) (bool, error)
	sent  func(event string) *pb.GetPublicationResponse
}

// New makes the service. own reports whether the server has an event of its own with
// an id, sent says where an event of its own is sent.
func New(store *Store, own func(ctx context.Context, event string) (bool, error), sent func(event string) *pb.GetPublicationResponse) *Service {
	return &Service{store: store, own: own, sent: sent}
}

// Needs is what each call of CopyService asks of its caller.
func Needs() access.Needs {
	return access.Needs{
		pb.CopyService_GetCopy_FullMethodName:        {Publish: true},
		pb.CopyService_UpdateCopy_FullMethodName:     {Publish: true},
		pb.CopyService_RemoveCopy_FullMethodName:     {Publish: true},
		pb.CopyService_GetPublication_FullMethodName: {Roles: []pb.Role_Value{pb.Role_ORGANISER}},
	}
}

// GetPublication says where an event is sent.
func (v *Service) GetPublication(_ context.Context, req *pb.GetPublicationRequest) (*pb.GetPublicationResponse, error) {
	return v.sent(req.GetEvent()), nil
}

// GetCopy says what a copy holds.
func (v *Service) GetCopy(ctx context.Context, req *pb.GetCopyRequest) (*pb.GetCopyResponse, error) {
	if err := v.mayHave(ctx, req.GetEvent()); err != nil {
		return nil, errs.From(err, req)
	}
	c := v.store.of(req.GetEvent())
	if c == nil {
		return &pb.GetCopyResponse{}, nil
	}
	if err := c.belongs(ctx, req.GetEvent()); err != nil {
		return nil, err
	}
	res := &pb.GetCopyResponse{Sequence: c.seq, Tag: c.digest()}
	for _, key := range slices.Sorted(maps.Keys(c.answers)) {
		a := c.answers[key]
		res.Answers = append(res.Answers, &pb.CopiedAnswer{Call: a.GetCall(), Request: a.GetRequest(), Tag: a.GetTag()})
	}
	return res, nil
}

// UpdateCopy makes a copy or brings it up to date.
func (v *Service) UpdateCopy(ctx context.Context, req *pb.UpdateCopyRequest) (*pb.UpdateCopyResponse, error) {
	err := v.mayHave(ctx, req.GetEvent())
	var faults rules.FieldErrors
	for i, a := range req.GetAnswers() {
		faults = append(faults, check(req.GetEvent(), fmt.Sprintf("answers[%d].", i), a)...)
	}
	if err == nil {
		err = faults.Err()
	}
	if err != nil {
		return nil, errs.From(err, req)
	}
	res := &pb.UpdateCopyResponse{}
	seen, err := v.store.update(ctx, req, res)
	if seen {
		v.store.Changed(req.GetEvent())
	}
	return res, errs.From(err, req)
}

// update reports whether there is another scoreboard.
func (s *Store) update(ctx context.Context, req *pb.UpdateCopyRequest, res *pb.UpdateCopyResponse) (bool, error) {
	s.writing.Lock()
	defer s.writing.Unlock()
	name := req.GetEvent()
	before := s.of(name)
	if before == nil {
		if len(req.GetAnswers()) == 0 {
			return false, nil // there is nothing that could be old
		}
		before = &kept{owner: access.From(ctx).Token, answers: map[string]*pb.CopiedAnswer{}}
	}
	if err := before.belongs(ctx, name); err != nil {
		return false, err
	}
	c := before.next()
	size := c.bytes
	for _, a := range req.GetAnswers() {
		size += len(a.GetAnswer()) - len(c.answers[Key(a)].GetAnswer())
	}
	if size > maxBytes {
		return false, rules.Fault("answers", rules.ReasonTooManyItems, "make the copy larger than %d bytes", maxBytes)
	}
	var changed []string
	for _, a := range req.GetRemoved() {
		if key := Key(a); a.GetCall() != Scoreboard && c.drop(key) {
			changed = append(changed, key)
		}
	}
	for _, a := range req.GetAnswers() {
		if c.put(a) {
			changed = append(changed, Key(a))
		}
	}
	board := c.scoreboard(name)
	if board == nil {
		return false, rules.Fault("answers", rules.ReasonFieldRequired, "have none of %s, with which a new copy begins", Scoreboard)
	}
	seen := before.board == nil || !proto.Equal(before.board, board)
	c.board, c.heard = board, s.now()
	moved := req.GetSequence() != 0 && req.GetSequence() != c.seq
	if moved {
		c.seq = req.GetSequence()
	}
	res.Tag = c.digest()
	var err error
	if len(changed) == 0 && !moved {
		err = s.files.touch(name, c.heard)
	} else {
		err = s.files.write(name, c, changed)
	}
	s.set(name, c) // shown even where it cannot be kept
	return seen, err
}

// RemoveCopy takes a copy off.
func (v *Service) RemoveCopy(ctx context.Context, req *pb.RemoveCopyRequest) (*pb.RemoveCopyResponse, error) {
	err := v.store.remove(ctx, req.GetEvent())
	if err == nil {
		v.store.Changed(req.GetEvent())
	}
	return &pb.RemoveCopyResponse{}, errs.From(err, req)
}

func (s *Store) remove(ctx context.Context, name string) error {
	s.writing.Lock()
	defer s.writing.Unlock()
	c := s.of(name)
	if c == nil {
		return nil
	}
	if err := c.belongs(ctx, name); err != nil {
		return err
	}
	s.set(name, nil)
	return s.files.remove(name)
}

// mayHave refuses copies under an id that is none, or is an event's of this server.
func (v *Service) mayHave(ctx context.Context, name string) error {
	if !event.IsID(name) {
		return errs.UnknownEvent(name)
	}
	own, err := v.own(ctx, name)
	if own {
		return errs.New(pb.ErrorReason_EVENT_EXISTS, "this server has an event "+rules.Quote(name)+" of its own: events that are sent here need ids of their own", "event", name)
	}
	return err
}

// belongs refuses who does not send the copy, so that one rink cannot overwrite what
// another sends.
func (c *kept) belongs(ctx context.Context, name string) error {
	if c.owner == access.From(ctx).Token {
		return nil
	}
	return errs.New(pb.ErrorReason_EVENT_EXISTS, "another rink sends an event "+rules.Quote(name)+" here, with another token: events that are sent here need ids of their own", "event", name)
}

// check refuses what is no answer of a public call on the event. path stands before the
// names of its fields.
func check(name, path string, a *pb.CopiedAnswer) rules.FieldErrors {
	var faults rules.FieldErrors
	if calls[a.GetCall()] == "" {
		faults.Add(path+"call", rules.ReasonFieldInvalid, "is %s; allowed are %s", rules.Quote(a.GetCall()), rules.AllowList(slices.Sorted(maps.Keys(calls))))
		return faults
	}
	req, res := messages(a.GetCall())
	if proto.Unmarshal(a.GetRequest(), req) != nil || req.(interface{ GetEvent() string }).GetEvent() != name {
		faults.Add(path+"request", rules.ReasonFieldInvalid, "is no request of %s on event %s", a.GetCall(), name)
	}
	if proto.Unmarshal(a.GetAnswer(), res) != nil {
		faults.Add(path+"answer", rules.ReasonFieldInvalid, "is no answer of %s", a.GetCall())
	}
	if board, ok := res.(*pb.GetScoreboardResponse); ok && board.GetScoreboard().GetEvent() != name {
		faults.Add(path+"answer", rules.ReasonFieldInvalid, "is no scoreboard of event %s", name)
	}
	return faults
}

// scoreboard reads the scoreboard among the answers, nil when there is none.
func (c *kept) scoreboard(name string) *pb.Scoreboard {
	request, err := pack(&pb.GetScoreboardRequest{Event: name})
	held := c.answers[Key(&pb.CopiedAnswer{Call: Scoreboard, Request: request})]
	res := &pb.GetScoreboardResponse{}
	if err != nil || held == nil || proto.Unmarshal(held.GetAnswer(), res) != nil {
		return nil
	}
	return res.GetScoreboard()
}

// Unary answers public calls on copied events from their copies. The scoreboard and its
// places are for package live.
func (s *Store) Unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	call := callOf(info.FullMethod)
	of, named := req.(interface {
		proto.Message
		GetEvent() string
	})
	if call == "" || call == Scoreboard || !named {
		return handler(ctx, req)
	}
	rink, copied := s.Rink(of.GetEvent())
	if !copied {
		return handler(ctx, req)
	}
	if res := s.answer(call, of); res != nil {
		return res, nil
	}
	return nil, Refused(of.GetEvent(), rink, "This answer is not in the copy.")
}
