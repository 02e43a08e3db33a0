package live

import (
	"slices"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// hall is what everybody is shown: the scoreboard.
type hall struct{}

func (hall) see(p *parts) proto.Message { return p.board() }

func (hall) whole(seen proto.Message, reset bool) *Frame {
	return boardFrame(seen.(*pb.Scoreboard), nil, reset)
}

// boardFrame makes the frame of a board, or of those members of it that are named as
// changed.
func boardFrame(board *pb.Scoreboard, changed []string, reset bool) *Frame {
	name := "scoreboard"
	if reset {
		name = "reset"
	}
	var keep func(fields) (fields, error)
	if changed != nil {
		keep = func(all fields) (fields, error) {
			return all.only(slices.Concat(always, changed)), nil
		}
	}
	return newFrame(board.GetSequence(), &pb.WatchScoreboardResponse{
		Update: &pb.WatchScoreboardResponse_Scoreboard{Scoreboard: board}, Reset_: reset, Changed: changed,
	}, name, board, keep)
}

// always are the members of a board, as in JSON, that move with every fact.
var always = []string{"event", "sequence", "time"}

// next returns the step from one board to a later one, nil when they look alike: how
// many judges have marked something is not seen in the hall.
func (hall) next(before, now proto.Message) *step {
	was, is := before.(*pb.Scoreboard), now.(*pb.Scoreboard)
	part := &pb.Scoreboard{Event: is.GetEvent(), Sequence: is.GetSequence(), Time: is.GetTime()}
	var changed []string
	from, to := was.ProtoReflect(), is.ProtoReflect()
	list := to.Descriptor().Fields()
	for i := range list.Len() {
		field := list.Get(i)
		if slices.Contains(always, field.JSONName()) || alike(field, from, to) {
			continue
		}
		changed = append(changed, field.JSONName())
		if to.Has(field) {
			part.ProtoReflect().Set(field, to.Get(field))
		}
	}
	if changed == nil {
		return nil
	}
	return newStep(boardFrame(is, nil, false), boardFrame(part, changed, false))
}

// alike reports whether a member of two boards looks the same.
func alike(field protoreflect.FieldDescriptor, a, b protoreflect.Message) bool {
	if field.Name() != "skater" || !a.Has(field) || !b.Has(field) {
		return same(field, a, b)
	}
	was, is := a.Interface().(*pb.Scoreboard).GetSkater(), b.Interface().(*pb.Scoreboard).GetSkater()
	return proto.Equal(&pb.ScoreboardSkater{Performance: uncounted(was.GetPerformance()), Place: was.GetPlace(), FinalPlace: was.GetFinalPlace(), Lead: was.GetLead()},
		&pb.ScoreboardSkater{Performance: uncounted(is.GetPerformance()), Place: is.GetPlace(), FinalPlace: is.GetFinalPlace(), Lead: is.GetLead()})
}

// same reports whether a field of two messages is equal. Parts that both took over
// from an earlier state are not looked into.
func same(field protoreflect.FieldDescriptor, a, b protoreflect.Message) bool {
	if a.Has(field) != b.Has(field) {
		return false
	}
	if field.Message() != nil && !field.IsList() && !field.IsMap() && a.Has(field) && a.Get(field).Message().Interface() == b.Get(field).Message().Interface() {
		return true
	}
	return a.Get(field).Equal(b.Get(field))
}

// uncounted returns a performance without how many judges have marked what.
func uncounted(p *pb.Performance) *pb.Performance {
	p = proto.CloneOf(p)
	for _, e := range p.GetElements() {
		e.MarksGiven = 0
	}
	for _, c := range p.GetComponents() {
		c.MarksGiven = 0
	}
	return p
}
