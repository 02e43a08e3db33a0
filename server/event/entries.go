package event

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/standing"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/spreadsheet"
	"github.com/rinktally/rinktally/server/store"
)

// AddEntry decides to add a competitor.
func (d Decision) AddEntry(r *pb.AddEntryRequest) ([]proto.Message, error) {
	var faults rules.FieldErrors
	if err := gather(&faults, d.canEnter(r.GetCategory())); err != nil {
		return nil, err
	}
	entry := &logv1.EntryData{
		Entry: r.GetEntry(), Category: r.GetCategory(),
		Name: printedName(&faults, "name", r.GetName()), Club: printed(&faults, "club", r.GetClub()),
		ProgramTitle: printed(&faults, "programTitle", r.GetProgramTitle()),
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

// canEnter reports whether somebody can be entered in a category: until the result
// of its first segment is signed.
func (d Decision) canEnter(category string) error {
	c, err := d.FindCategory(category)
	if err != nil {
		return err
	}
	if len(c.Segments) == 0 {
		return nil
	}
	if g := c.Segments[0]; g.Published {
		return d.NotNow(g.State(), "another category", "the result of %s of %s is signed, so nobody can be entered any more", g.Title, c.Title)
	}
	return nil
}

func checkEntryID(faults *rules.FieldErrors, field, id string) {
	identifier(faults, field, id, entryID, 1, 20, "letters and digits, parted by single hyphens")
}

// freeEntry returns the next number that no entry has, nor any of those that are
// about to be added.
func (d Decision) freeEntry(taken map[string]bool) string {
	for n := d.nextEntry + 1; ; n++ {
		if id := strconv.Itoa(n); d.State.Entry(id) == nil && !taken[id] {
			return id
		}
	}
}

// UpdateEntry decides to change how a competitor is printed, or the category.
func (d Decision) UpdateEntry(r *pb.UpdateEntryRequest) ([]proto.Message, error) {
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
	if r.ProgramTitle != nil {
		entry.ProgramTitle = printed(&faults, "programTitle", r.GetProgramTitle())
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
	if e.erased && r.Name == nil {
		entry.Name = "" // what stands for it is no name
	}
	return facts(&logv1.EntryChanged{Entry: entry})
}

// ErasePerson decides to erase who a competitor is.
func (d Decision) ErasePerson(r *pb.ErasePersonRequest) ([]proto.Message, error) {
	e, err := d.entry(r.GetEntry())
	switch {
	case err != nil:
		return nil, err
	case e.inside > 0:
		return nil, refuse(pb.ErrorReason_NOT_NOW,
			fmt.Sprintf("fact %d was written by an earlier program, with the name inside: taking it out would break the chain of hashes that proves the results", e.inside),
			"event", d.ID, "state", "NAME_INSIDE", "allowed", "")
	case e.erased && len(e.apart) == 0:
		return nil, nil
	default:
		return facts(&logv1.PersonErased{Entry: e.GetEntry()})
	}
}

// canMove reports whether an entry can go to another category: only while it
// stands in no starting order.
func (d Decision) canMove(e *Entry, category string) error {
	if err := d.canEnter(category); err != nil {
		return err
	}
	for _, g := range d.Segments() {
		if g.Performance(e.GetEntry()) != nil {
			return d.NotNow(g.State(), "WithdrawEntry", "%s stands in the starting order of %s, so the category can no longer change", e.GetName(), g.Title)
		}
	}
	return nil
}

// categoriesByTitle returns the ids of categories by their titles in small letters,
// where those are of one only.
func (d Decision) categoriesByTitle() map[string]string {
	ids := map[string]string{}
	for _, c := range d.Categories {
		title := strings.ToLower(c.Title)
		if _, twice := ids[title]; twice {
			ids[title] = "" // no category
			continue
		}
		ids[title] = c.ID
	}
	maps.DeleteFunc(ids, func(_, id string) bool { return id == "" })
	return ids
}

// ImportEntries decides to add and change competitors from CSV.
func (d Decision) ImportEntries(r *pb.ImportEntriesRequest) ([]proto.Message, error) {
	rows, faults := parseEntries(r.GetCsv())
	taken := map[string]bool{}
	for _, row := range rows {
		taken[row.Entry] = true
	}
	seen := map[string]bool{}
	known := map[entryRow]string{} // entry ids by what is printed of them
	titles := d.categoriesByTitle()
	for _, e := range d.Entries {
		known[entryRow{Category: e.GetCategory(), Name: e.GetName(), Club: e.GetClub()}] = e.GetEntry()
	}
	added := 0
	var list []proto.Message
	for _, row := range rows {
		var before *Entry
		if id, ok := titles[strings.ToLower(row.Category)]; ok && d.Category(row.Category) == nil {
			row.Category = id
		}
		if row.Entry == "" {
			// A file without ids that is imported again would double everybody.
			same := entryRow{Category: row.Category, Name: row.Name, Club: row.Club}
			id, there := known[same]
			if there && r.GetOnlyNew() && d.State.Entry(id) != nil {
				continue
			}
			if there {
				faults.Add(row.at("entry"), spreadsheet.ReasonCSV, "is empty, and the same competitor is there already as entry %s; give an id if these are two", rules.Quote(id))
			}
			row.Entry = d.freeEntry(taken)
			taken[row.Entry], known[same] = true, row.Entry
		} else {
			before = d.State.Entry(row.Entry)
		}
		if seen[row.Entry] {
			faults.Add(row.at("entry"), spreadsheet.ReasonCSV, "%s stands in an earlier line too", rules.Quote(row.Entry))
		}
		seen[row.Entry] = true
		fact, err := d.importRow(row, before)
		if err != nil {
			words := err.Error()
			if asked := (rules.FieldErrors)(nil); errors.As(err, &asked) {
				words = asked[0].Message
			}
			faults.Add(row.at("category"), spreadsheet.ReasonCSV, "%s", words)
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
	slices.SortStableFunc(faults, func(a, b rules.FieldError) int { return spreadsheet.LineOf(a.Field) - spreadsheet.LineOf(b.Field) })
	return list, faults.Err()
}

// importRow returns the fact of one line, or nil when it changes nothing.
func (d Decision) importRow(row entryRow, before *Entry) (proto.Message, error) {
	entry := &logv1.EntryData{Entry: row.Entry, Category: row.Category, Name: row.Name, Club: row.Club, ProgramTitle: row.ProgramTitle}
	if before != nil && row.keepProgramTitle {
		entry.ProgramTitle = before.GetProgramTitle()
	}
	if before != nil && row.keepClub {
		entry.Club = before.GetClub()
	}
	if before == nil {
		if row.Category == "" {
			return nil, nil // the line's own fault, reported already
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

// WithdrawEntry decides to take a competitor out.
func (d Decision) WithdrawEntry(r *pb.WithdrawEntryRequest) ([]proto.Message, error) {
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
	reason := ask.Text(&faults, "reason", r.GetReason(), maxReason)
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

// mayUnplace reports whether the caller may give an entry another status. Who is
// disqualified loses the places in all segments, who withdraws only the one over
// them; what the referee has signed of these, only the referee can change.
func (d Decision) mayUnplace(e *Entry, status standing.Status) error {
	if d.Actor.Role == pb.Role_REFEREE {
		return nil
	}
	c := d.State.Category(e.GetCategory())
	disqualified := status == standing.Disqualified || e.Status == standing.Disqualified
	for _, g := range c.Segments {
		if p := g.Performance(e.GetEntry()); p != nil && p.Score != nil && g.Published && (disqualified || c.Official()) {
			return refuse(pb.ErrorReason_PERMISSION_DENIED, fmt.Sprintf("the result of %s is signed: only the referee can change the place of %s", g.Title, e.GetName()))
		}
	}
	return nil
}

// scored reports that an entry has a confirmed score.
func (d Decision) scored(e *Entry) bool {
	return slices.ContainsFunc(d.Segments(), func(g *Segment) bool {
		p := g.Performance(e.GetEntry())
		return p != nil && p.Score != nil
	})
}

// ReinstateEntry decides to take a withdrawal back.
func (d Decision) ReinstateEntry(r *pb.ReinstateEntryRequest) ([]proto.Message, error) {
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
			return nil, d.NotNow(g.State(), "", "the result of %s is signed without a score of %s", g.Title, e.GetName())
		}
	}
	return facts(&logv1.EntryReinstated{Entry: e.GetEntry(), Reason: reason})
}

// maxEntryNumber bounds the numbers given to entries without an id.
const maxEntryNumber = 1_000_000

// applyEntry folds the facts of the decisions above.
func (s *State) applyEntry(fact proto.Message, r *store.Record) error {
	switch f := fact.(type) {
	case *logv1.EntryAdded:
		e := &Entry{EntryData: f.GetEntry(), Seq: r.Seq}
		e.hold(r, e.GetName() != "")
		e.nameless()
		s.Entries = append(s.Entries, e)
		if n, err := strconv.Atoi(f.GetEntry().GetEntry()); err == nil && n < maxEntryNumber {
			s.nextEntry = max(s.nextEntry, n)
		}
		return nil
	case *logv1.EntryChanged:
		e, err := s.entry(f.GetEntry().GetEntry())
		if err == nil {
			e.EntryData = f.GetEntry()
			e.erased = e.erased && e.GetName() == ""
			e.hold(r, e.GetName() != "")
			e.nameless()
		}
		return err
	case *logv1.PersonErased:
		e, err := s.entry(f.GetEntry())
		if err == nil {
			e.EntryData, e.Reason, e.erased = &logv1.EntryData{Entry: e.GetEntry(), Category: e.GetCategory(), ProgramTitle: e.GetProgramTitle()}, "", true
			e.nameless()
			// With the salts of calls that changed nothing, since some of these had a
			// name in them too.
			s.Unerased = slices.Concat(s.Unerased, e.apart, s.salts)
			e.apart, s.salts = nil, nil
		}
		return err
	case *logv1.EntryWithdrawn:
		e, err := s.entry(f.GetEntry())
		if err != nil {
			return err
		}
		e.Status, e.Reason = standing.Status(f.GetStatus()), f.GetReason()
		e.hold(r, e.Reason != "")
		for _, g := range s.Segments() {
			// What was skated before the withdrawal stays in the log only. Should
			// the entry come back, it begins again.
			if p := g.Performance(f.GetEntry()); p != nil && p.stage != pb.PerformanceState_CONFIRMED {
				p.blank()
			}
		}
		return nil
	case *logv1.EntryReinstated:
		e, err := s.entry(f.GetEntry())
		if err == nil {
			e.Status, e.Reason = standing.Competing, ""
			e.hold(r, f.GetReason() != "")
		}
		return err
	default:
		return errOtherFact
	}
}

// hold notes where the log has something of the person: apart from a fact, or inside
// it when there is some and it does not stand apart.
func (e *Entry) hold(r *store.Record, some bool) {
	switch {
	case r.Apart != nil:
		e.apart = append(e.apart, r.Seq)
	case some && r.Seal == (store.Hash{}):
		e.inside = r.Seq
	}
}

// nameless puts the entry's id in the place of a name that was erased, or left out
// of the export that the event came from.
func (e *Entry) nameless() {
	if e.GetName() == "" {
		e.Name = "entry " + e.GetEntry()
	}
}
