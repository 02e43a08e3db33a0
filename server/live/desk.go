package live

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/event/api"
)

// desk is what the desks of one role are shown: all that the calls that get and list
// answer them.
type desk struct {
	role  pb.Role_Value
	judge int32
}

// deskOf returns the desk of a caller. Roles that see the same share it.
func deskOf(who access.Actor) desk {
	switch who.Role {
	case pb.Role_ADMIN, pb.Role_ORGANISER:
		return desk{role: pb.Role_ORGANISER}
	case pb.Role_REFEREE, pb.Role_ANNOUNCER:
		return desk{role: who.Role}
	case pb.Role_JUDGE:
		return desk{pb.Role_JUDGE, who.Judge}
	default:
		return desk{}
	}
}

// listsTokens is what ListTokens asks of its caller.
var listsTokens = api.Needs()[pb.EventService_ListTokens_FullMethodName]

// see returns all that the desk is shown. The event in it has no sequence number.
func (d desk) see(p *parts) proto.Message {
	r := p.reader.As(access.Actor{Event: p.reader.ID, Role: d.role, Judge: d.judge})
	out := &pb.WatchEventResponse{
		Sequence: r.Seq, Event: p.eventPart(), Entries: p.entriesPart(r, r.SeesAll()),
		Order: p.orderPart(), Standing: p.standingPart(), FinalStanding: p.finalPart(),
	}
	if latest := latest(r.State); latest != nil {
		out.Performance = r.Performance(latest)
	}
	if listsTokens.Allows(d.role) {
		out.Tokens = p.tokensPart()
	}
	return out
}

func (d desk) whole(seen proto.Message, reset bool) *Frame {
	of := seen.(*pb.WatchEventResponse)
	out := answer.Shallow(of)
	out.Reset_, out.Event = reset, numbered(of)
	return eventFrame(out, nil)
}

// numbered returns the event with its sequence number.
func numbered(of *pb.WatchEventResponse) *pb.Event {
	e := proto.CloneOf(of.GetEvent())
	e.Sequence = of.GetSequence()
	return e
}

// eventFrame makes the frame of an answer. of names the fields of its performance
// that are written in JSON; nil writes all.
func eventFrame(out *pb.WatchEventResponse, of []string) *Frame {
	name := "change"
	if out.GetReset_() {
		name = "reset"
	}
	members := []string{"sequence", "reset"}
	list := out.ProtoReflect().Descriptor().Fields()
	for i := range list.Len() {
		if field := list.Get(i); out.ProtoReflect().Has(field) {
			members = append(members, field.JSONName())
		}
	}
	return newFrame(out.GetSequence(), out, name, out, func(all fields) (fields, error) {
		all = all.only(members)
		if of == nil || all["performance"] == nil {
			return all, nil
		}
		var p fields
		if err := json.Unmarshal(all["performance"], &p); err != nil {
			return nil, err
		}
		body, err := p.only(of).encode()
		all["performance"] = body
		return all, err
	})
}

// next returns what changes for the desk from one state to a later one, nil when that
// is nothing.
func (d desk) next(before, now proto.Message) *step {
	was, is := before.(*pb.WatchEventResponse), now.(*pb.WatchEventResponse)
	out := &pb.WatchEventResponse{Sequence: is.GetSequence()}
	if was.GetEvent() != is.GetEvent() && !proto.Equal(was.GetEvent(), is.GetEvent()) {
		out.Event = numbered(is)
	}
	out.Entries = pick(out, "entries", was.GetEntries(), is.GetEntries(), is.GetEntries(), (*pb.Entry).GetEntry)
	out.Tokens = pick(out, "tokens", was.GetTokens(), is.GetTokens(), is.GetTokens(), (*pb.TokenInfo).GetId)
	out.Order = member(out, "order", was.GetOrder(), is.GetOrder())
	out.Standing = member(out, "standing", was.GetStanding(), is.GetStanding())
	out.FinalStanding = member(out, "finalStanding", was.GetFinalStanding(), is.GetFinalStanding())
	written := d.performance(out, was.GetPerformance(), is.GetPerformance())
	if proto.Equal(out, &pb.WatchEventResponse{Sequence: is.GetSequence()}) {
		return nil
	}
	frame := eventFrame(out, written)
	return newStep(frame, frame)
}

// message is a pointer to a message.
type message[T any] interface {
	*T
	proto.Message
}

// member returns a member that is new or has changed, nil when it is as before. One
// that is gone is named as removed.
func member[T any, M message[T]](out *pb.WatchEventResponse, name string, was, is M) M {
	switch {
	case was == is || was != nil && is != nil && proto.Equal(was, is):
		return nil
	case is == nil:
		out.Removed = append(out.Removed, &pb.RemovedMember{Member: name})
	}
	return is
}

// news returns the items of a list that are new or have changed, and the keys of
// those that are to be taken out first. New items are put behind the others, so from
// where the order is another one everything is taken out and comes again.
func news[T any](was, is []T, key func(T) string, same func(a, b T) bool) (changed []T, gone []string) {
	place := make(map[string]int, len(was))
	for i, item := range was {
		place[key(item)] = i
	}
	stays := make([]bool, len(was))
	kept, last := 0, -1
	for _, item := range is {
		at, there := place[key(item)]
		if !there || at <= last {
			break
		}
		if !same(was[at], item) {
			changed = append(changed, item)
		}
		stays[at], last = true, at
		kept++
	}
	for i, item := range was {
		if !stays[i] {
			gone = append(gone, key(item))
		}
	}
	return append(changed, is[kept:]...), gone
}

// performance puts into an answer what changes of the performance, and returns the
// names of its fields that are written in JSON; nil writes all.
func (d desk) performance(out *pb.WatchEventResponse, was, is *pb.Performance) []string {
	if was == nil || is == nil || was.GetEntry() != is.GetEntry() || was.GetSegment() != is.GetSegment() ||
		was.GetCategory() != is.GetCategory() || was.GetState() != is.GetState() {
		out.Performance = member(out, "performance", was, is)
		return nil
	}
	from, to := d.shown(was), d.shown(is)
	if proto.Equal(from, to) {
		return nil
	}
	var written []string
	part := &pb.Performance{}
	list := part.ProtoReflect().Descriptor().Fields()
	for i := range list.Len() {
		field := list.Get(i)
		if is.ProtoReflect().Has(field) {
			part.ProtoReflect().Set(field, is.ProtoReflect().Get(field))
		}
		if !same(field, from.ProtoReflect(), to.ProtoReflect()) {
			written = append(written, field.JSONName())
		}
	}
	part.Elements = pick(out, "performance.elements", from.GetElements(), to.GetElements(), is.GetElements(), elementKey)
	part.Components = pick(out, "performance.components", from.GetComponents(), to.GetComponents(), is.GetComponents(), componentKey)
	part.Missing = pick(out, "performance.missing", from.GetMissing(), to.GetMissing(), to.GetMissing(), missingKey)
	for i, e := range part.GetElements() {
		again := slices.ContainsFunc(out.GetRemoved(), func(r *pb.RemovedMember) bool {
			return r.GetMember() == "performance.elements" && r.GetId() == elementKey(e)
		})
		if !again {
			part.Elements[i] = callOf(out, find(from.GetElements(), e, elementKey), e)
		}
	}
	out.Performance = part
	return append(slices.DeleteFunc(written, func(name string) bool {
		return name == "elements" && part.Elements == nil || name == "components" && part.Components == nil || name == "missing" && part.Missing == nil
	}), "category", "segment", "entry")
}

// pick returns the items of a list that are new or have changed in what the desk is
// shown, each as all that the desk may read. Those to be taken out first are named as
// removed.
func pick[T any](out *pb.WatchEventResponse, name string, was, is, all []T, key func(T) string) []T {
	changed, gone := news(was, is, key, func(a, b T) bool {
		if m, ok := any(a).(proto.Message); ok {
			return proto.Equal(m, any(b).(proto.Message))
		}
		return any(a) == any(b)
	})
	for _, id := range gone {
		out.Removed = append(out.Removed, &pb.RemovedMember{Member: name, Id: id})
	}
	for i, item := range changed {
		changed[i] = find(all, item, key)
	}
	return changed
}

// find returns the item of a list that has the key of another, the zero value when
// there is none.
func find[T any](list []T, like T, key func(T) string) T {
	var none T
	for _, item := range list {
		if key(item) == key(like) {
			return item
		}
	}
	return none
}

// callOf returns an element without its call where that is as before. A call that is
// gone while the code stays is named as removed.
func callOf(out *pb.WatchEventResponse, was, is *pb.PerformedElement) *pb.PerformedElement {
	switch {
	case was.GetCode() != is.GetCode() || was.GetCall() == nil:
		return is
	case is.GetCall() == nil:
		out.Removed = append(out.Removed, &pb.RemovedMember{Member: "performance.elements.call", Id: elementKey(is)})
		return is
	case !proto.Equal(was.GetCall(), is.GetCall()):
		return is
	}
	is = proto.CloneOf(is)
	is.Call = nil
	return is
}

// shown returns a performance as far as its changes are worth a message: a judge is
// not shown how far the other judges are.
func (d desk) shown(p *pb.Performance) *pb.Performance {
	if d.role != pb.Role_JUDGE || p.GetState() == pb.PerformanceState_CONFIRMED {
		return p
	}
	p = uncounted(p)
	p.Missing, p.ElementScore = nil, ""
	for _, e := range p.GetElements() {
		e.Goe, e.Score = "", ""
	}
	return p
}

func elementKey(e *pb.PerformedElement) string     { return strconv.Itoa(int(e.GetElement())) }
func componentKey(c *pb.PerformedComponent) string { return c.GetComponent().String() }

// missingKey is what a line that says what is missing has before the judges' numbers.
func missingKey(line string) string {
	key, _, _ := strings.Cut(line, " of judge")
	return key
}
