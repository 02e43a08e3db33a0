package api

import (
	"fmt"
	"slices"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/standing"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/tables"
)

// Reader makes answers from a state. It is pure, and used only while the state
// may be read.
type Reader struct {
	*event.State

	season  *rules.Season // empty when the server has no table of the season
	changed *rules.Warning
	actor   access.Actor
	found   map[*event.Performance]map[int32]*pb.CalledElement // how levels were found, the same for everybody
}

// NewReader makes a reader for somebody; the actor decides which marks are shown.
// Confirmed scores are those of the log, whatever table the server has.
func NewReader(s *event.State, seasons *tables.Archive, actor access.Actor) *Reader {
	r := &Reader{State: s, actor: actor, found: map[*event.Performance]map[int32]*pb.CalledElement{}}
	r.season, r.changed = shownBy(seasons, s.Data)
	return r
}

// As returns a reader of the same state for somebody else.
func (r *Reader) As(actor access.Actor) *Reader {
	other := *r
	other.actor = actor
	return &other
}

// Table returns the table that the event is read by.
func (r *Reader) Table() *rules.Season { return r.season }

// RulesInfo names the table that the event pins.
func (r *Reader) RulesInfo() *pb.RulesInfo {
	return &pb.RulesInfo{Season: r.Data.GetSeason(), Revision: r.Data.GetRevision(), Title: r.season.Title}
}

// WarnDamaged is the code of the warning that the event's log is damaged.
const WarnDamaged rules.WarningCode = "EVENT_DAMAGED"

// Warnings returns what is to be known about the event as a whole, and more behind it.
func (r *Reader) Warnings(more ...*pb.Warning) []*pb.Warning {
	warnings := answer.Warnings(r.changed, nil)
	if r.Damage != nil {
		warnings = append(warnings, &pb.Warning{
			Code:    string(WarnDamaged),
			Message: fmt.Sprintf("the event's log is damaged at record %d: this is what it was before, and what came later is not in it", r.Damage.Seq),
		})
	}
	return append(warnings, more...)
}

// Event returns the whole event.
func (r *Reader) Event() *pb.Event {
	out := &pb.Event{
		Event: r.ID, Name: r.Data.GetName(), Place: r.Data.GetPlace(),
		StartDate: r.Data.GetStartDate(), EndDate: r.Data.GetEndDate(),
		Rules: r.RulesInfo(), Restricted: r.Data.GetRestricted(),
		Panel: panelOf(r.Panel), Sequence: r.Seq, Warnings: r.Warnings(), RehearsalOf: r.Data.GetRehearsalOf(),
	}
	for _, c := range r.Categories {
		category := &pb.EventCategory{Category: c.ID, Title: c.Title, RulesCategory: c.Rules, EntryCount: number(len(r.EntriesOf(c.ID)))}
		for _, g := range c.Segments {
			category.Segments = append(category.Segments, r.SegmentOf(g))
		}
		out.Categories = append(out.Categories, category)
	}
	return out
}

// Summary returns the event as lists show it.
func (r *Reader) Summary() *pb.EventSummary {
	return &pb.EventSummary{
		Event: r.ID, Name: r.Data.GetName(), Place: r.Data.GetPlace(),
		StartDate: r.Data.GetStartDate(), EndDate: r.Data.GetEndDate(), Season: r.Data.GetSeason(), Damaged: r.Damage != nil,
	}
}

// SegmentOf returns a segment with its starting order, as the event shows it.
func (r *Reader) SegmentOf(g *event.Segment) *pb.EventSegment {
	out := &pb.EventSegment{
		Segment: g.Key, Title: g.Title, State: g.State(),
		Panel: panelOf(r.PanelOf(g)), OwnPanel: g.Panel != nil, AbsentJudges: g.Absent, Scope: g.Scope,
	}
	for _, p := range g.Performances {
		out.Order = append(out.Order, StartingPlace(p))
	}
	if d := g.Draw; d != nil {
		out.Draw = &pb.OrderDraw{
			Method: pb.OrderMethod_Value(pb.OrderMethod_Value_value[d.GetMethod()]), Seed: d.GetSeed(), GroupSize: d.GetGroupSize(),
		}
	}
	if p := g.Current(); p != nil {
		out.Current = p.Entry.GetEntry()
	}
	return out
}

// StartingPlace returns a performance as starting orders show it.
func StartingPlace(p *event.Performance) *pb.StartingPlace {
	return &pb.StartingPlace{
		Number: p.Number, Group: p.Group, Entry: p.Entry.GetEntry(), Name: p.Entry.GetName(), Club: p.Entry.GetClub(), State: p.State(),
	}
}

func panelOf(p *event.Panel) *pb.EventPanel {
	if p == nil {
		return nil
	}
	out := &pb.EventPanel{Judges: p.Judges, CountedJudges: p.Counted}
	for _, m := range p.Members {
		out.Members = append(out.Members, &pb.PanelMember{
			Task: pb.PanelTask_Value(pb.PanelTask_Value_value[m.GetTask()]), Judge: m.GetJudge(), Name: m.GetName(),
		})
	}
	return out
}

// Competitor returns an entry. Why one does not compete, often a matter of health,
// is for those who decide on it only.
func (r *Reader) Competitor(e *event.Entry) *pb.Entry {
	out := &pb.Entry{
		Entry: e.GetEntry(), Category: e.GetCategory(), Name: e.GetName(), Club: e.GetClub(), Status: statusOf(e),
		ProgramTitle: e.GetProgramTitle(),
	}
	if r.SeesAll() {
		out.Reason = e.Reason
	}
	return out
}

func statusOf(e *event.Entry) pb.CompetitorStatus_Value {
	switch e.Status {
	case standing.Withdrawn:
		return pb.CompetitorStatus_WITHDRAWN
	case standing.Disqualified:
		return pb.CompetitorStatus_DISQUALIFIED
	default:
		return pb.CompetitorStatus_COMPETING
	}
}

// SegmentStanding returns the places of a segment.
func (r *Reader) SegmentStanding(g *event.Segment) *pb.SegmentStanding {
	out := &pb.SegmentStanding{
		Category: g.Category.ID, Segment: g.Key, Status: official(g.Published), Rules: r.RulesInfo(), Warnings: r.Warnings(),
	}
	for _, placed := range event.SegmentPlaces(r.season, g) {
		p := placed.Performance
		place := &pb.SegmentPlace{
			Place: number(placed.Place.Number), Entry: p.Entry.GetEntry(), Name: p.Entry.GetName(), Club: p.Entry.GetClub(),
			Number: p.Number, TieBrokenBy: placed.Broken, Shared: placed.Shared, Status: statusOf(p.Entry),
			Corrected: len(p.Corrections) > 0,
		}
		if s := p.Score; s != nil {
			place.SegmentScore, place.ElementScore = points(s.GetSegmentScore()), points(s.GetElementScore())
			place.ComponentScore, place.TotalDeductions = points(s.GetComponentScore()), points(s.GetTotalDeductions())
		}
		out.Places = append(out.Places, place)
	}
	return out
}

// FinalStanding returns the result over a category's segments.
func (r *Reader) FinalStanding(c *event.Category) *pb.FinalStanding {
	out := &pb.FinalStanding{Category: c.ID, Status: official(c.Official()), Rules: r.RulesInfo(), Warnings: r.Warnings()}
	for _, t := range event.FinalPlaces(r.season, r.State, c, "") {
		place := &pb.FinalPlace{
			Place: number(t.Number), Entry: t.GetEntry(), Name: t.GetName(), Club: t.GetClub(),
			TieBrokenBy: t.Broken, Shared: t.Shared, Status: statusOf(t.Entry),
		}
		if len(t.Scored) > 0 && t.Status != standing.Disqualified {
			place.TotalScore = answer.Points(t.Total)
		}
		for _, p := range t.Scored {
			place.Segments = append(place.Segments, &pb.RankedSegment{
				Segment: p.Segment.Key, Place: number(t.Event.Segments[p.Segment.Key].Number), SegmentScore: points(p.Score.GetSegmentScore()),
			})
			place.Corrected = place.GetCorrected() || len(p.Corrections) > 0
		}
		out.Places = append(out.Places, place)
	}
	return out
}

func official(signed bool) pb.ResultStatus_Value {
	if signed {
		return pb.ResultStatus_OFFICIAL
	}
	return pb.ResultStatus_PROVISIONAL
}

// points returns stored hundredths as answers carry them.
func points(hundredths int64) string { return answer.Points(rules.Points(hundredths)) }

// seesMarks reports whether the reader's actor sees a judge's marks in a performance.
func (r *Reader) seesMarks(p *event.Performance, judge int32) bool {
	return p.State() == pb.PerformanceState_CONFIRMED || r.SeesAll() || r.actor.Role == pb.Role_JUDGE && r.actor.Judge == judge
}

// SeesAll reports whether the reader's actor sees what is kept from others: marks
// and scores before the confirmation, and why somebody does not compete.
func (r *Reader) SeesAll() bool {
	switch r.actor.Role {
	case pb.Role_ORGANISER, pb.Role_REFEREE, pb.Role_ADMIN:
		return true
	default:
		return false
	}
}

// judgesOf returns the judges who marked, in order, as far as the actor sees them.
func judgesOf[M any](r *Reader, p *event.Performance, marks map[int32]M) []int32 {
	var seen []int32
	for judge := range marks {
		if r.seesMarks(p, judge) {
			seen = append(seen, judge)
		}
	}
	slices.Sort(seen)
	return seen
}

// deductionsOf returns deductions with the points that they take off.
func deductionsOf(list []*logv1.Deduction) []*pb.ScoredDeduction {
	var out []*pb.ScoredDeduction
	for _, d := range list {
		out = append(out, &pb.ScoredDeduction{
			Kind: pb.DeductionKind_Value(pb.DeductionKind_Value_value[d.GetKind()]), Count: d.GetCount(), Value: points(d.GetValue()), Note: d.GetNote(),
		})
	}
	return out
}

// number is a count of entries, elements or judges, which are limited far below
// what it holds.
func number(n int) int32 { return int32(n) }
