package event

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/store"
)

// CreateEvent decides to make an event.
func (d Decision) CreateEvent(r *pb.CreateEventRequest) ([]proto.Message, error) {
	if d.Data != nil {
		return nil, Exists(d.ID)
	}
	var faults rules.FieldErrors
	season, err := d.Season()
	if err != nil && !errors.As(err, &faults) {
		return nil, err // the table could not be kept
	}
	if err != nil {
		season = &rules.Season{}
	}
	data := &logv1.EventData{
		Name:   needed(&faults, "name", r.GetName(), maxText),
		Place:  ask.Text(&faults, "place", r.GetPlace(), maxText),
		Season: season.Params.Season, Revision: season.Revision, Restricted: r.GetRestricted(),
	}
	data.StartDate, data.EndDate = dates(&faults, r.GetStartDate(), r.GetEndDate())
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return facts(&logv1.EventCreated{Event: data})
}

// UpdateEvent decides to change an event.
func (d Decision) UpdateEvent(r *pb.UpdateEventRequest) ([]proto.Message, error) {
	var faults rules.FieldErrors
	data := proto.CloneOf(d.Data)
	if r.Name != nil {
		data.Name = needed(&faults, "name", r.GetName(), maxText)
	}
	if r.Place != nil {
		data.Place = ask.Text(&faults, "place", r.GetPlace(), maxText)
	}
	if r.StartDate != nil {
		data.StartDate = r.GetStartDate()
	}
	if r.EndDate != nil {
		data.EndDate = r.GetEndDate()
	}
	data.StartDate, data.EndDate = dates(&faults, data.GetStartDate(), data.GetEndDate())
	if r.Restricted != nil {
		data.Restricted = r.GetRestricted()
	}
	if r.Season != nil {
		season, err := d.newSeason()
		if err != nil {
			return nil, err
		}
		data.Season, data.Revision = season.Params.Season, season.Revision
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if proto.Equal(data, d.Data) {
		return nil, nil
	}
	return facts(&logv1.EventChanged{Event: data})
}

// newSeason returns the season that an event is to change to, if it can.
func (d Decision) newSeason() (*rules.Season, error) {
	for _, g := range d.Segments() {
		if g.Started {
			return nil, d.NotNow(g.State(), "another event", "%s of %s has started, so the season can no longer change", g.Title, g.Category.Title)
		}
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	var faults rules.FieldErrors
	d.panelsFit(&faults, season)
	for _, c := range d.Categories {
		for _, g := range c.Segments {
			if place, err := value.NewContext(season, c.Rules, g.Key, g.Scope); err != nil {
				faults.Add("season", rules.ReasonRulesNotAvailable, "%s of %s cannot be held: %v", g.Key, c.ID, err)
			} else if g.Scope != "" && !slices.Contains(season.Table(place.Category.Discipline).Scopes(), g.Scope) {
				faults.Add("season", rules.ReasonRulesNotAvailable, "%s of %s cannot be held: it has no values for %s", g.Key, c.ID, g.Scope)
			}
		}
	}
	return season, faults.Err()
}

// panelsFit says which panels a season does not have. Once a segment has started,
// neither its panel's size nor the season can be changed.
func (d Decision) panelsFit(faults *rules.FieldErrors, season *rules.Season) {
	panels := []*Panel{d.Panel}
	for _, g := range d.Segments() {
		panels = append(panels, g.Panel)
	}
	for _, p := range panels {
		if p == nil {
			continue
		}
		var own rules.FieldErrors
		checkPanel(&own, season, p.Judges, p.Counted)
		for _, fault := range own {
			faults.Add("season", fault.Reason, "does not go with a panel of the event: %v", fault)
		}
	}
}

// SetCategory decides to add or change a category, until one of its segments has a starting order.
func (d Decision) SetCategory(r *pb.SetCategoryRequest) ([]proto.Message, error) {
	var faults rules.FieldErrors
	identifier(&faults, "category", r.GetCategory(), categoryID, 2, 40, "small letters and digits, parted by single hyphens")
	title := ask.Text(&faults, "title", r.GetTitle(), maxText)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	before := d.State.Category(r.GetCategory())
	if before == nil && len(d.Categories) >= maxCategories {
		faults.Add("category", rules.ReasonTooManyItems, "the event has %d categories; at most %d are kept", len(d.Categories), maxCategories)
		return nil, faults
	}
	if before != nil {
		for _, g := range before.Segments {
			if g.Draw != nil {
				return nil, d.NotNow(g.State(), "a new category", "%s of %s has a starting order, so the category can no longer change", g.Title, before.Title)
			}
		}
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	fact := &logv1.CategorySet{Category: r.GetCategory(), Title: title, RulesCategory: r.GetRulesCategory()}
	if fact.GetRulesCategory() == "" {
		fact.RulesCategory = r.GetCategory()
	}
	category, unknown := season.Category(fact.GetRulesCategory())
	if len(unknown) > 0 {
		unknown[0].Field = "rulesCategory"
		return nil, unknown
	}
	if fact.GetTitle() == "" {
		fact.Title = category.Title
	}
	if fact.Segments, err = segmentsOf(season, fact.GetRulesCategory(), category, r.GetSegments()); err != nil {
		return nil, err
	}
	if err := setScopes(fact.GetSegments(), season.Table(category.Discipline), r.GetScopes()); err != nil {
		return nil, err
	}
	return facts(fact)
}

// setScopes puts scopes on segments. They must be some that the values know
// and are named in the titles.
func setScopes(segments []*logv1.SegmentData, values *rules.ValueTable, scopes []*pb.SegmentScope) error {
	var faults rules.FieldErrors
	known := values.Scopes()
	for i, s := range scopes {
		at := fmt.Sprintf("scopes[%d].", i)
		g := slices.IndexFunc(segments, func(d *logv1.SegmentData) bool { return d.GetSegment() == s.GetSegment() })
		switch {
		case g < 0:
			faults.Add(at+"segment", rules.ReasonSegmentUnknown, "the category has no segment %s", rules.Quote(s.GetSegment()))
		case segments[g].GetScope() != "":
			faults.Add(at+"segment", rules.ReasonFieldInvalid, "%s stands twice", s.GetSegment())
		case !slices.Contains(known, s.GetScope()):
			faults.Add(at+"scope", rules.ReasonFieldInvalid, "is %s; the values of the season know: %s", rules.Quote(s.GetScope()), cmp.Or(list(known), "none"))
		default:
			segments[g].Scope = s.GetScope()
			segments[g].Title += " (" + s.GetScope() + ")"
		}
	}
	return faults.Err()
}

// segmentsOf returns the segments that a category is to have.
func segmentsOf(season *rules.Season, key string, category *rules.Category, asked []string) ([]*logv1.SegmentData, error) {
	if len(asked) == 0 {
		for _, segment := range rules.SegmentKeys {
			if category.Segments[segment] != nil {
				asked = append(asked, segment)
			}
		}
	}
	var faults rules.FieldErrors
	var list []*logv1.SegmentData
	for i, segment := range asked {
		at := fmt.Sprintf("segments[%d]", i)
		place, unknown := value.NewContext(season, key, segment, "")
		if len(unknown) > 0 {
			for _, fault := range unknown {
				faults.Add(at, fault.Reason, "%s", fault.Message)
			}
			continue
		}
		if slices.Contains(asked[:i], segment) {
			faults.Add(at, rules.ReasonFieldInvalid, "%s stands twice", segment)
		}
		list = append(list, &logv1.SegmentData{Segment: segment, Title: place.Segment.Title})
	}
	return list, faults.Err()
}

// RemoveCategory decides to take a category without entries out.
func (d Decision) RemoveCategory(r *pb.RemoveCategoryRequest) ([]proto.Message, error) {
	c, err := d.FindCategory(r.GetCategory())
	if err != nil {
		return nil, err
	}
	if n := len(d.EntriesOf(c.ID)); n > 0 {
		return nil, refuse(pb.ErrorReason_NOT_NOW,
			fmt.Sprintf("%s has %d entries: move them to another category first", c.Title, n),
			"event", d.ID, "state", "HAS_ENTRIES", "allowed", "UpdateEntry")
	}
	return facts(&logv1.CategoryRemoved{Category: c.ID})
}

// SetPanel decides who judges: the event, or one segment.
func (d Decision) SetPanel(r *pb.SetPanelRequest) ([]proto.Message, error) {
	segments := d.Segments()
	if r.GetCategory() == "" && r.GetSegment() == "" {
		segments = slices.DeleteFunc(segments, func(g *Segment) bool { return g.Panel != nil })
	} else {
		g, err := d.FindSegment(r.GetCategory(), r.GetSegment())
		if err != nil {
			return nil, err
		}
		segments = []*Segment{g}
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	fact, err := panel(season, r)
	if err != nil {
		return nil, err
	}
	for _, g := range segments {
		if g.Started && d.PanelOf(g).Judges != fact.GetJudges() {
			return nil, d.NotNow(g.State(), "SetAbsentJudges",
				"%s of %s has started, so its number of judges can no longer change: name a judge who left as absent", g.Title, g.Category.Title)
		}
		if g.Published {
			return nil, d.NotNow(g.State(), "SetPanel of another segment",
				"the result of %s of %s is signed, so its panel can no longer change: give the other segments panels of their own", g.Title, g.Category.Title)
		}
	}
	return facts(fact)
}

func panel(season *rules.Season, r *pb.SetPanelRequest) (*logv1.PanelSet, error) {
	p := r.GetPanel()
	if p == nil {
		return nil, required("panel", "how many judges there are")
	}
	var faults rules.FieldErrors
	checkPanel(&faults, season, p.GetJudges(), p.GetCountedJudges())
	if n := len(p.GetMembers()); n > maxMembers {
		faults.Add("panel.members", rules.ReasonTooManyItems, "has %d members; at most %d are kept", n, maxMembers)
		return nil, faults
	}
	fact := &logv1.PanelSet{
		Category: r.GetCategory(), Segment: r.GetSegment(), Judges: p.GetJudges(), CountedJudges: slices.Sorted(slices.Values(p.GetCountedJudges())),
	}
	for i, m := range p.GetMembers() {
		at := fmt.Sprintf("panel.members[%d].", i)
		task, known := pb.PanelTask_Value_name[int32(m.GetTask())]
		switch isJudge := m.GetTask() == pb.PanelTask_JUDGE; {
		case !known || m.GetTask() == pb.PanelTask_PANEL_TASK_UNSPECIFIED:
			faults.Add(at+"task", rules.ReasonFieldRequired, "is empty: give REFEREE, JUDGE, TECHNICAL_CONTROLLER or another task")
		case isJudge && (m.GetJudge() < 1 || m.GetJudge() > p.GetJudges()):
			faults.Add(at+"judge", rules.ReasonJudgeUnknown, "there is no judge %d; the panel has judges 1 to %d", m.GetJudge(), p.GetJudges())
		case !isJudge && m.GetJudge() != 0:
			faults.Add(at+"judge", rules.ReasonFieldInvalid, "is %d; only a JUDGE has a number", m.GetJudge())
		}
		fact.Members = append(fact.Members, &logv1.PanelMember{Task: task, Judge: m.GetJudge(), Name: needed(&faults, at+"name", m.GetName(), maxText)})
	}
	return fact, faults.Err()
}

// checkPanel says what a season has against the size of a panel and the judges who
// count.
func checkPanel(faults *rules.FieldErrors, season *rules.Season, judges int32, counted []int32) {
	least, most := season.Panel.MinJudges, min(season.Panel.MaxJudges, maxJudges)
	if n := int(judges); n < least || n > most {
		faults.Add("panel.judges", rules.ReasonPanelSize, "is %d; season %s has panels of %d to %d judges", n, season.Params.Season, least, most)
	}
	judgeNumbers(faults, "panel.countedJudges", counted, judges)
	if len(counted) > 0 && !season.Panel.Draw {
		faults.Add("panel.countedJudges", rules.ReasonFieldInvalid, "season %s draws no judges: all marks count; leave it empty", season.Params.Season)
	}
}

// SetAbsentJudges decides which judges of a segment are absent.
func (d Decision) SetAbsentJudges(r *pb.SetAbsentJudgesRequest) ([]proto.Message, error) {
	g, err := d.FindSegment(r.GetCategory(), r.GetSegment())
	if err != nil {
		return nil, err
	}
	if g.Published {
		return nil, d.NotNow(g.State(), "CorrectResult", "the result of %s is signed", g.Title)
	}
	panel := d.PanelOf(g)
	if panel == nil {
		return nil, d.NotNow(g.State(), "SetPanel", "there is no panel yet: set it first")
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	var faults rules.FieldErrors
	judgeNumbers(&faults, "judges", r.GetJudges(), panel.Judges)
	if there := int(panel.Judges) - len(r.GetJudges()); len(faults) == 0 && there < season.Panel.MinJudges {
		faults.Add("judges", rules.ReasonPanelSize, "leaves %d judges; season %s needs %d", there, season.Params.Season, season.Panel.MinJudges)
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	judges := slices.Sorted(slices.Values(r.GetJudges()))
	if slices.Equal(judges, g.Absent) {
		return nil, nil
	}
	return facts(&logv1.AbsentJudgesSet{Category: g.Category.ID, Segment: g.Key, Judges: judges})
}

// applySetup folds the facts of the decisions above.
func (s *State) applySetup(fact proto.Message, _ *store.Record) error {
	switch f := fact.(type) {
	case *logv1.EventCreated:
		s.Data = f.GetEvent()
	case *logv1.EventChanged:
		s.Data = f.GetEvent()
	case *logv1.CategorySet:
		s.setCategory(f)
	case *logv1.CategoryRemoved:
		s.Categories = slices.DeleteFunc(s.Categories, func(c *Category) bool { return c.ID == f.GetCategory() })
	case *logv1.PanelSet:
		return s.setPanel(f, &Panel{Judges: f.GetJudges(), Members: f.GetMembers(), Counted: f.GetCountedJudges()})
	case *logv1.AbsentJudgesSet:
		g, err := s.segment(f.GetCategory(), f.GetSegment())
		if err == nil {
			g.Absent = f.GetJudges()
		}
		return err
	default:
		return errOtherFact
	}
	return nil
}

func (s *State) setPanel(f *logv1.PanelSet, panel *Panel) error {
	if f.GetSegment() == "" {
		s.Panel = panel
	} else {
		g, err := s.segment(f.GetCategory(), f.GetSegment())
		if err != nil {
			return err
		}
		g.Panel = panel
	}
	// Judges who are no longer on a panel are not absent from it either.
	for _, g := range s.Segments() {
		if p := s.PanelOf(g); p != nil {
			g.Absent = slices.DeleteFunc(slices.Clone(g.Absent), func(judge int32) bool { return judge > p.Judges })
		}
	}
	return nil
}

func (s *State) setCategory(f *logv1.CategorySet) {
	c := s.Category(f.GetCategory())
	if c == nil {
		c = &Category{ID: f.GetCategory()}
		s.Categories = append(s.Categories, c)
	}
	before := c.Segments
	c.Title, c.Rules, c.Segments = f.GetTitle(), f.GetRulesCategory(), nil
	for _, d := range f.GetSegments() {
		g := &Segment{Category: c, Key: d.GetSegment(), Title: d.GetTitle(), Scope: d.GetScope()}
		if i := slices.IndexFunc(before, func(b *Segment) bool { return b.Key == g.Key }); i >= 0 {
			g.Panel, g.Absent = before[i].Panel, before[i].Absent
		}
		c.Segments = append(c.Segments, g)
	}
}
