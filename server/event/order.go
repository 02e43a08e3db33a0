package event

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strconv"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/store"
)

// DrawStartingOrder decides on a starting order: drawn, by the standing, or given.
func (d Decision) DrawStartingOrder(r *pb.DrawStartingOrderRequest) ([]proto.Message, error) {
	g, err := d.FindSegment(r.GetCategory(), r.GetSegment())
	if err != nil {
		return nil, err
	}
	if g.Published {
		return nil, d.NotNow(g.State(), "", "the result of %s is signed, so its order can no longer change", g.Title)
	}
	if g.Started && r.GetMethod() != pb.OrderMethod_GIVEN {
		return nil, d.NotNow(g.State(), "GIVEN", "%s has started: only who has not been called yet can change places, by an order that is GIVEN", g.Title)
	}
	fact := &logv1.OrderDrawn{Category: g.Category.ID, Segment: g.Key, GroupSize: r.GetGroupSize()}
	var faults rules.FieldErrors
	fact.Reason = ask.Text(&faults, "reason", r.GetReason(), maxReason)
	if r.GetGroupSize() < 0 {
		faults.Add("groupSize", rules.ReasonFieldInvalid, "is %d; allowed is %s", r.GetGroupSize(), rules.Allowed("0 or more"))
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	var eligible []string
	for _, e := range d.EntriesOf(g.Category.ID) {
		if !e.Out() {
			eligible = append(eligible, e.GetEntry())
		}
	}
	switch r.GetMethod() {
	case pb.OrderMethod_ORDER_METHOD_UNSPECIFIED, pb.OrderMethod_RANDOM:
		fact.Method, fact.Seed = pb.OrderMethod_RANDOM.String(), d.Chance
		if r.Seed != nil {
			fact.Seed = r.GetSeed()
		}
		fact.Entries = Shuffled(fact.GetSeed(), eligible)
	case pb.OrderMethod_REVERSE_STANDING:
		fact.Method = pb.OrderMethod_REVERSE_STANDING.String()
		fact.Entries, err = d.reverseStanding(g, int(r.GetQualified()))
	case pb.OrderMethod_GIVEN:
		fact.Method = pb.OrderMethod_GIVEN.String()
		fact.Entries, err = r.GetEntries(), given(r.GetEntries(), eligible, g)
	default:
		return nil, rules.Fault("method", rules.ReasonFieldInvalid, "is %d; allowed are %s", r.GetMethod(), rules.Allowed("RANDOM, REVERSE_STANDING, GIVEN"))
	}
	if err != nil {
		return nil, err
	}
	if len(fact.GetEntries()) == 0 {
		return nil, d.NotNow(g.State(), "AddEntry", "%s has no entries that compete", g.Category.Title)
	}
	return facts(fact)
}

// Shuffled returns entries in the order that a seed makes: sorted by the SHA-256 of
// "seed/entry", lowest first. Anybody can make it again with a calculator of that
// hash.
func Shuffled(seed uint64, entries []string) []string {
	key := func(entry string) string {
		sum := sha256.Sum256([]byte(strconv.FormatUint(seed, 10) + "/" + entry))
		return string(sum[:])
	}
	out := slices.Clone(entries)
	slices.SortFunc(out, func(a, b string) int {
		if key(a) < key(b) {
			return -1
		}
		return 1
	})
	return out
}

// reverseStanding returns the best of the segments before, the last of them first.
func (d Decision) reverseStanding(g *Segment, qualified int) ([]string, error) {
	if g == g.Category.Segments[0] {
		return nil, rules.Fault("method", rules.ReasonFieldInvalid, "is REVERSE_STANDING, but %s is the first segment of %s; allowed are %s",
			g.Title, g.Category.Title, rules.Allowed("RANDOM, GIVEN"))
	}
	if before := g.unfinishedBefore(); before != nil {
		return nil, d.NotNow(before.State(), "ConfirmSkater", "%s is not finished, so there is no standing to go by", before.Title)
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	var order []string
	for _, t := range FinalPlaces(season, d.State, g.Category, g.Key) {
		if t.Number > 0 && (qualified <= 0 || t.Number <= qualified) {
			order = append(order, t.GetEntry())
		}
	}
	slices.Reverse(order)
	return order, nil
}

// given checks an order that a request lists. Everybody skates in the first
// segment; to later ones only some may have come. Once the segment has started the
// order stays up to who was called last, since it was skated, and who withdrew may
// keep the place behind that.
func given(order, eligible []string, g *Segment) error {
	var faults rules.FieldErrors
	if len(order) > maxEntries {
		faults.Add("entries", rules.ReasonTooManyItems, "has %d entries; an event keeps at most %d", len(order), maxEntries)
		return faults
	}
	called := make([]string, len(g.Performances))
	fixed := 0
	for i, p := range g.Performances {
		if called[i] = p.Entry.GetEntry(); p.Called > 0 {
			fixed = i + 1
		}
	}
	called = called[:fixed]
	if len(order) < len(called) {
		faults.Add("entries", rules.ReasonFieldInvalid, "is too short: up to who was called last the order stays: %s", list(called))
	}
	for i, entry := range order {
		at := fmt.Sprintf("entries[%d]", i)
		switch {
		case i < len(called):
			if entry != called[i] {
				faults.Add(at, rules.ReasonFieldInvalid, "is %s; up to who was called last the order stays: %s", rules.Quote(entry), list(called))
			}
		case !slices.Contains(eligible, entry) && !(g.Started && g.Performance(entry) != nil):
			faults.Add(at, rules.ReasonFieldInvalid, "%s is no entry of %s that competes", rules.Quote(entry), g.Category.ID)
		case slices.Contains(order[:i], entry):
			faults.Add(at, rules.ReasonFieldInvalid, "%s stands twice", rules.Quote(entry))
		}
	}
	for _, entry := range eligible {
		if (g == g.Category.Segments[0] || g.Started && g.Performance(entry) != nil) && !slices.Contains(order, entry) {
			faults.Add("entries", rules.ReasonFieldRequired, "lacks entry %s", rules.Quote(entry))
		}
	}
	return faults.Err()
}

// applyOrder folds a starting order.
func (s *State) applyOrder(fact proto.Message, r *store.Record) error {
	f, ok := fact.(*logv1.OrderDrawn)
	if !ok {
		return errOtherFact
	}
	g, err := s.segment(f.GetCategory(), f.GetSegment())
	if err != nil {
		return err
	}
	order := make([]*Performance, len(f.GetEntries()))
	for i, id := range f.GetEntries() {
		e := s.Entry(id)
		if e == nil {
			return fmt.Errorf("there is no entry %q", id)
		}
		p := g.Performance(id) // in a segment that runs, what was skated stays
		if p == nil {
			p = &Performance{Segment: g, Entry: e}
			p.blank()
		}
		p.Number, p.Group = number(i+1), 1
		if size := f.GetGroupSize(); size > 0 {
			p.Group = number(i)/size + 1
		}
		order[i] = p
	}
	g.Draw, g.Drawn, g.Performances = f, r.Seq, order
	return nil
}

// blank makes the performance one that has not begun.
func (p *Performance) blank() {
	p.stage, p.Elements, p.Deductions = pb.PerformanceState_WAITING, nil, nil
	p.Components = map[string]map[int32]rules.Points{}
}
