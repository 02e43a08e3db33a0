package event

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/standing"
	"github.com/rinktally/rinktally/server/errs"
)

func (d decision) addEntry(r *pb.AddEntryRequest) ([]proto.Message, error) {
	var faults rules.FieldErrors
	if err := gather(&faults, d.canEnter(r.GetCategory())); err != nil {
		return nil, err
	}
	entry := &logv1.EntryData{
		Entry: r.GetEntry(), Category: r.GetCategory(),
		Name: printedName(&faults, "name", r.GetName()), Club: printed(&faults, "club", r.GetClub()),
	}
	if len(d.Entries) >= maxEntries {
		faults.Add("entry", rules.ReasonTooManyItems, "the event has %d entries; at most %d are kept", len(d.Entries), maxEntries)
	}
	if entry.GetEntry() == "" {
		entry.Entry = d.freeEntry(nil)
	}
	checkEntryID(&faults, "entry", entry.GetEntry())
	if d.State.Entry(entry.GetEntry()) != nil {
		faults.Add("entry", rules.ReasonFieldInvalid, "%s is taken; leave it empty to get the next number", rules.Quote(entry.GetEntry()))
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return facts(&logv1.EntryAdded{Entry: entry})
}

// canEnter tells whether somebody can be entered in a category: until the result
// of its first segment is signed.
func (d decision) canEnter(category string) error {
	c, err := d.category(category)
	if err != nil {
		return err
	}
	if len(c.Segments) == 0 {
		return nil
	}
	if g := c.Segments[0]; g.Published {
		return d.notNow(g.State(), "another category", "the result of %s of %s is signed, so nobody can be entered any more", g.Title, c.Title)
	}
	return nil
}

func checkEntryID(faults *rules.FieldErrors, field, id string) {
	identifier(faults, field, id, entryID, 1, 20, "letters and digits, parted by single hyphens")
}

// freeEntry gives the next number that no entry has, nor any of those that are
// about to be added.
func (d decision) freeEntry(taken map[string]bool) string {
	for n := d.nextEntry + 1; ; n++ {
		if id := strconv.Itoa(n); d.State.Entry(id) == nil && !taken[id] {
			return id
		}
	}
}

func (d decision) updateEntry(r *pb.UpdateEntryRequest) ([]proto.Message, error) {
	e, err := d.entry(r.GetEntry())
	if err != nil {
		return nil, err
	}
	var faults rules.FieldErrors
	entry := proto.CloneOf(e.EntryData)
	if r.Name != nil {
		entry.Name = printedName(&faults, "name", r.GetName())
	}
	if r.Club != nil {
		entry.Club = printed(&faults, "club", r.GetClub())
	}
	if r.Category != nil && r.GetCategory() != entry.GetCategory() {
		if err := d.canMove(e, r.GetCategory()); err != nil {
			return nil, err
		}
		entry.Category = r.GetCategory()
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if proto.Equal(entry, e.EntryData) {
		return nil, nil
	}
	return facts(&logv1.EntryChanged{Entry: entry})
}

// canMove tells whether an entry can go to another category: only while it
// stands in no starting order.
func (d decision) canMove(e *Entry, category string) error {
	if err := d.canEnter(category); err != nil {
		return err
	}
	for _, g := range d.Segments() {
		if g.Performance(e.GetEntry()) != nil {
			return d.notNow(g.State(), "WithdrawEntry", "%s stands in the starting order of %s, so the category can no longer change", e.GetName(), g.Title)
		}
	}
	return nil
}

func (d decision) importEntries(r *pb.ImportEntriesRequest) ([]proto.Message, error) {
	rows, faults := parseEntries(r.GetCsv())
	taken := map[string]bool{}
	for _, row := range rows {
		taken[row.Entry] = true
	}
	seen := map[string]bool{}
	known := map[entryRow]string{} // entry ids by what is printed of them
	for _, e := range d.Entries {
		known[entryRow{Category: e.GetCategory(), Name: e.GetName(), Club: e.GetClub()}] = e.GetEntry()
	}
	added := 0
	var list []proto.Message
	for _, row := range rows {
		var before *Entry
		if row.Entry == "" {
			// A file without ids that is imported again would double everybody.
			same := entryRow{Category: row.Category, Name: row.Name, Club: row.Club}
			if id, ok := known[same]; ok {
				faults.Add(row.at("entry"), reasonCSV, "is empty, and the same competitor is there already as entry %s; give an id if these are two", rules.Quote(id))
			}
			row.Entry = d.freeEntry(taken)
			taken[row.Entry], known[same] = true, row.Entry
		} else {
			before = d.State.Entry(row.Entry)
		}
		if seen[row.Entry] {
			faults.Add(row.at("entry"), reasonCSV, "%s stands in an earlier line too", rules.Quote(row.Entry))
		}
		seen[row.Entry] = true
		fact, err := d.importRow(row, before)
		if err != nil {
			words := errs.Text(err)
			if asked := (rules.FieldErrors)(nil); errors.As(err, &asked) {
				words = asked[0].Message
			}
			faults.Add(row.at("category"), reasonCSV, "%s", words)
		}
		if before == nil {
			added++
		}
		if fact != nil {
			list = append(list, fact)
		}
	}
	if n := len(d.Entries) + added; n > maxEntries {
		faults.Add("csv", rules.ReasonTooManyItems, "brings the event to %d entries; at most %d are kept", n, maxEntries)
	}
	slices.SortStableFunc(faults, func(a, b rules.FieldError) int { return lineOf(a.Field) - lineOf(b.Field) })
	return list, faults.Err()
}

// importRow returns the fact of one line, or nil when it changes nothing.
func (d decision) importRow(row entryRow, before *Entry) (proto.Message, error) {
	entry := &logv1.EntryData{Entry: row.Entry, Category: row.Category, Name: row.Name, Club: row.Club}
	if before != nil && row.keepClub {
		entry.Club = before.GetClub()
	}
	if before == nil {
		if row.Category == "" {
			return nil, nil // the line's own fault, told already
		}
		return &logv1.EntryAdded{Entry: entry}, d.canEnter(row.Category)
	}
	if proto.Equal(entry, before.EntryData) {
		return nil, nil
	}
	var err error
	if row.Category != "" && row.Category != before.GetCategory() {
		err = d.canMove(before, row.Category)
	}
	return &logv1.EntryChanged{Entry: entry}, err
}

func (d decision) withdrawEntry(r *pb.WithdrawEntryRequest) ([]proto.Message, error) {
	e, err := d.entry(r.GetEntry())
	if err != nil {
		return nil, err
	}
	var faults rules.FieldErrors
	status := standing.Withdrawn
	switch r.GetStatus() {
	case pb.CompetitorStatus_COMPETITOR_STATUS_UNSPECIFIED, pb.CompetitorStatus_WITHDRAWN:
	case pb.CompetitorStatus_DISQUALIFIED:
		status = standing.Disqualified
	default:
		faults.Add("status", rules.ReasonFieldInvalid, "is %s; allowed are %s", r.GetStatus(), rules.Allowed("WITHDRAWN, DISQUALIFIED"))
	}
	reason := text(&faults, "reason", r.GetReason(), maxReason)
	if reason == "" && len(faults) == 0 && (status == standing.Disqualified || d.scored(e)) {
		faults.Add("reason", rules.ReasonFieldRequired, "is empty: give the reason, since it takes a place away")
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if e.Status == status && e.Reason == reason {
		return nil, nil
	}
	if err := d.mayUnplace(e, status); err != nil {
		return nil, err
	}
	return facts(&logv1.EntryWithdrawn{Entry: e.GetEntry(), Status: string(status), Reason: reason})
}

// mayUnplace tells whether the caller may give an entry another status. Who is
// disqualified loses the places in all segments, who withdraws only the one over
// them; what the referee has signed of these, only the referee can change.
func (d decision) mayUnplace(e *Entry, status standing.Status) error {
	if d.Actor.Role == pb.Role_REFEREE {
		return nil
	}
	c := d.State.Category(e.GetCategory())
	disqualified := status == standing.Disqualified || e.Status == standing.Disqualified
	for _, g := range c.Segments {
		if p := g.Performance(e.GetEntry()); p != nil && p.Score != nil && g.Published && (disqualified || c.Official()) {
			return errs.Refuse(pb.ErrorReason_PERMISSION_DENIED, fmt.Sprintf("the result of %s is signed: only the referee can change the place of %s", g.Title, e.GetName()))
		}
	}
	return nil
}

// scored tells that an entry has a confirmed score.
func (d decision) scored(e *Entry) bool {
	return slices.ContainsFunc(d.Segments(), func(g *Segment) bool {
		p := g.Performance(e.GetEntry())
		return p != nil && p.Score != nil
	})
}

func (d decision) reinstateEntry(r *pb.ReinstateEntryRequest) ([]proto.Message, error) {
	e, err := d.entry(r.GetEntry())
	if err != nil {
		return nil, err
	}
	var faults rules.FieldErrors
	reason := needed(&faults, "reason", r.GetReason(), maxReason)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if !e.Out() {
		return nil, nil
	}
	if err := d.mayUnplace(e, standing.Competing); err != nil {
		return nil, err
	}
	for _, g := range d.Segments() {
		if p := g.Performance(e.GetEntry()); p != nil && g.Published && p.Score == nil {
			return nil, d.notNow(g.State(), "", "the result of %s is signed without a score of %s", g.Title, e.GetName())
		}
	}
	return facts(&logv1.EntryReinstated{Entry: e.GetEntry(), Reason: reason})
}

func (d decision) drawStartingOrder(r *pb.DrawStartingOrderRequest) ([]proto.Message, error) {
	g, err := d.segment(r.GetCategory(), r.GetSegment())
	if err != nil {
		return nil, err
	}
	if g.Published {
		return nil, d.notNow(g.State(), "", "the result of %s is signed, so its order can no longer change", g.Title)
	}
	if g.Started && r.GetMethod() != pb.OrderMethod_GIVEN {
		return nil, d.notNow(g.State(), "GIVEN", "%s has started: only who has not been called yet can change places, by an order that is GIVEN", g.Title)
	}
	fact := &logv1.OrderDrawn{Category: g.Category.ID, Segment: g.Key, GroupSize: r.GetGroupSize()}
	if r.GetGroupSize() < 0 {
		return nil, rules.Fault("groupSize", rules.ReasonFieldInvalid, "is %d; allowed is %s", r.GetGroupSize(), rules.Allowed("0 or more"))
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
		return nil, d.notNow(g.State(), "AddEntry", "%s has no entries that compete", g.Category.Title)
	}
	return facts(fact)
}

// Shuffled gives entries in the order that a seed makes: sorted by the SHA-256 of
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

// reverseStanding gives the best of the segments before, the last of them first.
func (d decision) reverseStanding(g *Segment, qualified int) ([]string, error) {
	if g == g.Category.Segments[0] {
		return nil, rules.Fault("method", rules.ReasonFieldInvalid, "is REVERSE_STANDING, but %s is the first segment of %s; allowed are %s",
			g.Title, g.Category.Title, rules.Allowed("RANDOM, GIVEN"))
	}
	if before := g.unfinishedBefore(); before != nil {
		return nil, d.notNow(before.State(), "ConfirmSkater", "%s is not finished, so there is no standing to go by", before.Title)
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
		if called[i] = p.Entry.GetEntry(); p.called > 0 {
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
