package api

import (
	"errors"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/event"
)

// after is an event after a command: what it wrote, and what it was asked.
type after struct {
	*Reader

	wrote   event.Span
	req     proto.Message
	command *event.Command
}

// set sets a field of a response by its name.
func set(res proto.Message, field protoreflect.Name, value protoreflect.Value) {
	m := res.ProtoReflect()
	m.Set(m.Descriptor().Fields().ByName(field), value)
}

// show puts a part of an answer into its field.
func show(res proto.Message, field protoreflect.Name, part proto.Message) {
	set(res, field, protoreflect.ValueOfMessage(part.ProtoReflect()))
}

func wholeEvent(a *after, res proto.Message) error {
	show(res, "event", a.Event())
	return nil
}

func performance(a *after, res proto.Message) error {
	// The order may have been drawn again since; there is nothing to show then.
	if p, err := a.FindPerformance(a.req.(event.Place)); err == nil {
		show(res, "performance", a.Performance(p))
	}
	return nil
}

func calledSkater(a *after, res proto.Message) error {
	req := a.req.(*pb.CallSkaterRequest)
	g, err := a.FindSegment(req.GetCategory(), req.GetSegment())
	if err != nil {
		return err
	}
	for _, p := range g.Performances {
		if p.Called == a.wrote.Last {
			show(res, "performance", a.Performance(p))
			return nil
		}
	}
	return errors.New("the call is not in the log")
}

func calledElement(a *after, res proto.Message) error {
	p, err := a.FindPerformance(a.req.(event.Place))
	if err != nil {
		return err
	}
	show(res, "performance", a.Performance(p))
	for _, e := range p.Elements {
		if a.wrote.Has(e.Seq) { // others may have been revised behind it
			res.(*pb.CallElementResponse).Element = e.Number
		}
	}
	return nil
}

func segmentStanding(a *after, res proto.Message) error {
	req := a.req.(*pb.PublishSegmentRequest)
	g, err := a.FindSegment(req.GetCategory(), req.GetSegment())
	if err != nil {
		return err
	}
	show(res, "standing", a.SegmentStanding(g))
	return nil
}

func entry(a *after, res proto.Message) error {
	show(res, "entry", a.Competitor(a.Entry(a.req.(interface{ GetEntry() string }).GetEntry())))
	return nil
}

func newEntry(a *after, res proto.Message) error {
	for _, e := range a.Entries {
		if e.Seq == a.wrote.Last {
			show(res, "entry", a.Competitor(e))
			return nil
		}
	}
	return errors.New("the new entry is not in the log")
}

func imported(a *after, res proto.Message) error {
	counts := res.(*pb.ImportEntriesResponse)
	for _, e := range a.Entries {
		if a.wrote.Has(e.Seq) {
			counts.Added++
		}
	}
	counts.Changed = number(int(a.wrote.Last+1-a.wrote.First)) - counts.GetAdded()
	return nil
}

func token(a *after, res proto.Message) error {
	show(res, "info", a.Token(a.req.(*pb.RevokeTokenRequest).GetToken()).Info())
	return nil
}

// newToken shows the token itself once: the answer to a repeated request has no
// secret, since only its hash was kept.
func newToken(a *after, res proto.Message) error {
	t := a.TokenAt(a.wrote.Last)
	if t == nil {
		return errors.New("the new token is not in the log")
	}
	show(res, "info", t.Info())
	if string(t.GetHash()) == string(access.Hash(a.command.Token)) {
		set(res, "token", protoreflect.ValueOfString(a.command.Token))
	}
	return nil
}

// newSeat shows the code itself once, as newToken does the token.
func newSeat(a *after, res proto.Message) error {
	seat := a.SeatAt(a.wrote.Last)
	if seat == nil {
		return nil // a later code has ended this one
	}
	show(res, "expire_time", seat.GetExpireTime())
	if seat.IsCode(a.command.Code) {
		set(res, "code", protoreflect.ValueOfString(a.command.Code))
	}
	return nil
}
