package live

import (
	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/tables"
)

// parts is what an event shows besides the performance that runs: it stays the same
// while that is called and marked, and is the same for all who may see it. Each part
// is made when it is asked for first.
type parts struct {
	reader   *api.Reader // nobody's
	event    *pb.Event   // without its sequence number
	entries  map[bool][]*pb.Entry
	order    *pb.StartingOrder
	standing *pb.SegmentStanding
	final    *pb.FinalStanding
	tokens   []*pb.TokenInfo
	segments []*pb.ScoreboardSegment
	short    *short
	tags     *tags
	damage   *store.DamagedError // of the event's log, when the parts were made
	copied   *pb.Scoreboard      // of an event that is only copied here
}

func newParts(s *event.State, seasons *tables.Archive) *parts {
	return &parts{reader: api.NewReader(s, seasons, access.Actor{}), damage: s.Damage}
}

// alike reports whether two parts of an event rest on the same table and the same
// damage of the log, of which what is shown has warnings.
func (p *parts) alike(to *parts) bool {
	return p.reader.Table() == to.reader.Table() && p.damage == to.damage
}

// after returns the parts of a state that follows by a commit.
func (p *parts) after(s *event.State, commit []store.Record, seasons *tables.Archive) *parts {
	next := newParts(s, seasons)
	if p != nil && p.alike(next) && OnlyRunning(s, commit) {
		next.event, next.entries, next.order, next.tokens = p.event, p.entries, p.order, p.tokens
		next.standing, next.final, next.segments = p.standing, p.final, p.segments
		next.short, next.tags = p.short, p.tags
	}
	return next
}

// running are the kinds of facts that change a performance before its confirmation
// and nothing else.
var running = map[string]bool{}

func init() {
	for _, fact := range []proto.Message{
		&logv1.ElementCalled{}, &logv1.ElementRevised{}, &logv1.ElementRemoved{}, &logv1.ElementReviewed{},
		&logv1.ElementMarksGiven{}, &logv1.ComponentMarksGiven{}, &logv1.DeductionsSet{}, &logv1.NothingChanged{},
	} {
		running[event.Kind(fact)] = true
	}
}

// OnlyRunning reports whether a commit changed nothing but the performance that is
// called last, before its confirmation.
func OnlyRunning(s *event.State, commit []store.Record) bool {
	for i := range commit {
		if !running[commit[i].Kind] {
			return false
		}
	}
	p := latest(s)
	return p != nil && p.Score == nil
}

// latest returns the performance that was called last in the segment that was worked
// on last, or nil.
func latest(s *event.State) *event.Performance {
	if s.Focus == nil {
		return nil
	}
	return s.Focus.Latest()
}

func (p *parts) eventPart() *pb.Event {
	if p.event == nil {
		p.event = p.reader.Event()
		p.event.Sequence = 0
	}
	return p.event
}

// entriesPart returns the entries as the reader's actor sees them; private is
// whether that is with the reasons of withdrawals.
func (p *parts) entriesPart(r *api.Reader, private bool) []*pb.Entry {
	if p.entries[private] == nil {
		list := make([]*pb.Entry, 0, len(r.Entries))
		for _, e := range r.Entries {
			list = append(list, r.Competitor(e))
		}
		if p.entries == nil {
			p.entries = map[bool][]*pb.Entry{}
		}
		p.entries[private] = list
	}
	return p.entries[private]
}

func (p *parts) orderPart() *pb.StartingOrder {
	if g := p.reader.Focus; p.order == nil && g != nil {
		shown := p.reader.SegmentOf(g)
		p.order = &pb.StartingOrder{
			Category: g.Category.ID, Segment: g.Key, State: shown.GetState(), Places: shown.GetOrder(), Draw: shown.GetDraw(),
		}
	}
	return p.order
}

func (p *parts) standingPart() *pb.SegmentStanding {
	if g := p.reader.Focus; p.standing == nil && g != nil {
		p.standing = p.reader.SegmentStanding(g)
	}
	return p.standing
}

func (p *parts) finalPart() *pb.FinalStanding {
	if g := p.reader.Focus; p.final == nil && g != nil {
		p.final = p.reader.FinalStanding(g.Category)
	}
	return p.final
}

func (p *parts) tokensPart() []*pb.TokenInfo {
	if p.tokens == nil {
		p.tokens = make([]*pb.TokenInfo, 0, len(p.reader.Tokens))
		for _, t := range p.reader.Tokens {
			p.tokens = append(p.tokens, t.Info())
		}
	}
	return p.tokens
}

func (p *parts) segmentsPart() []*pb.ScoreboardSegment {
	if p.segments == nil {
		for _, g := range p.reader.Segments() {
			p.segments = append(p.segments, segment(g))
		}
	}
	return p.segments
}
