package api_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"google.golang.org/protobuf/types/known/durationpb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/tables"
)

// A new event pins the table of its season; faults of the request come together.
func TestCreateEvent(t *testing.T) {
	r := newRink(t)
	admin := as(t.Context(), pb.Role_ADMIN)
	e := must(r.CreateEvent(admin, &pb.CreateEventRequest{Name: "Čáp & Žába Cup 2026", StartDate: "2026-03-14", Season: "current"})).GetEvent()
	season, _, faults := r.tables.Tables().Season("2025-26", "")
	if faults != nil {
		t.Fatal(faults)
	}
	if e.GetEvent() != "cap-zaba-cup-2026" || e.GetEndDate() != "2026-03-14" || e.GetRules().GetSeason() != "2025-26" || e.GetRules().GetRevision() != season.Revision {
		t.Errorf("created %v", e)
	}
	_, err := r.CreateEvent(admin, &pb.CreateEventRequest{Season: "1998-99", StartDate: "14.3.2026"})
	refused(t, err, pb.ErrorReason_SEASON_UNKNOWN, "season", "name", "startDate")
	_, err = r.CreateEvent(admin, &pb.CreateEventRequest{Name: "x", Season: "2025-26", StartDate: "2026-03-14", EndDate: "2026-03-13"})
	refused(t, err, pb.ErrorReason_FIELD_INVALID, "endDate")
	_, err = r.CreateEvent(admin, &pb.CreateEventRequest{Event: "_server", Season: "2025-26", StartDate: "2026-03-32"})
	refused(t, err, pb.ErrorReason_FIELD_INVALID, "event", "name", "startDate")
	_, err = r.CreateEvent(admin, &pb.CreateEventRequest{Name: "x", Event: "cap-zaba-cup-2026", Season: "2025-26", StartDate: "2026-03-14"})
	refused(t, err, pb.ErrorReason_EVENT_EXISTS)
	if id := must(r.CreateEvent(admin, &pb.CreateEventRequest{Name: "Кубок", Season: "2025-26", StartDate: "2026-03-14"})).GetEvent().GetEvent(); id != "event" {
		t.Errorf("an event without Latin letters is %q, want event", id)
	}
}

// The season can be changed until a segment starts, and categories until they
// have an order.
func TestSetUpCloses(t *testing.T) {
	r := newCup(t)
	must(r.UpdateEvent(organiser(t), &pb.UpdateEventRequest{Event: cup, Season: new("2024-25")}))
	if e := must(r.UpdateEvent(organiser(t), &pb.UpdateEventRequest{Event: cup, Season: new("2025-26"), Place: new("Elsewhere")})).GetEvent(); e.GetRules().GetSeason() != "2025-26" || e.GetPlace() != "Elsewhere" || e.GetName() != "Spring Cup" {
		t.Errorf("changed to %v", e)
	}
	for _, c := range []struct {
		req    *pb.SetCategoryRequest
		reason pb.ErrorReason_Value
		field  string
	}{
		{&pb.SetCategoryRequest{Category: "Seniors"}, pb.ErrorReason_FIELD_INVALID, "category"},
		{&pb.SetCategoryRequest{Category: "club-girls"}, pb.ErrorReason_CATEGORY_UNKNOWN, "rulesCategory"},
		{&pb.SetCategoryRequest{Category: "club-girls", RulesCategory: "junior-women", Segments: []string{"free-skating", "rhythm-dance", "free-skating"}}, pb.ErrorReason_SEGMENT_UNKNOWN, "segments[1]"},
	} {
		c.req.Event = cup
		_, err := r.SetCategory(organiser(t), c.req)
		refused(t, err, c.reason, c.field)
	}
	own := must(r.SetCategory(organiser(t), &pb.SetCategoryRequest{Event: cup, Category: "club-girls", Title: "Girls of the club", RulesCategory: "junior-women", Segments: []string{"free-skating"}})).GetEvent()
	if c := own.GetCategories()[1]; c.GetTitle() != "Girls of the club" || len(c.GetSegments()) != 1 || c.GetSegments()[0].GetSegment() != free {
		t.Errorf("category is %v", c)
	}
	must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short}))
	_, err := r.SetCategory(organiser(t), &pb.SetCategoryRequest{Event: cup, Category: category})
	refused(t, err, pb.ErrorReason_NOT_NOW)
	must(r.StartSegment(referee(t), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
	_, err = r.UpdateEvent(organiser(t), &pb.UpdateEventRequest{Event: cup, Season: new("2024-25")})
	refused(t, err, pb.ErrorReason_NOT_NOW)
	_, err = r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: "club-girls", Segment: free})
	refused(t, err, pb.ErrorReason_NOT_NOW) // it has no entries
}

// A panel fits the season, can be a segment's own, and keeps its size once the
// segment has started.
func TestPanel(t *testing.T) {
	r := newCup(t)
	set := func(req *pb.SetPanelRequest) error {
		req.Event = cup
		_, err := r.SetPanel(referee(t), req)
		return err
	}
	refused(t, set(&pb.SetPanelRequest{}), pb.ErrorReason_FIELD_REQUIRED, "panel")
	refused(t, set(&pb.SetPanelRequest{Panel: &pb.EventPanel{Judges: 99}}), pb.ErrorReason_PANEL_SIZE_MISMATCH, "panel.judges")
	refused(t, set(&pb.SetPanelRequest{Panel: &pb.EventPanel{Judges: 5, CountedJudges: []int32{1, 6}}}), pb.ErrorReason_JUDGE_UNKNOWN, "panel.countedJudges[1]", "panel.countedJudges")
	refused(t, set(&pb.SetPanelRequest{Panel: &pb.EventPanel{Judges: 5, Members: []*pb.PanelMember{
		{Task: pb.PanelTask_JUDGE, Judge: 6, Name: "Judge"}, {Name: "Nobody"}, {Task: pb.PanelTask_REFEREE},
	}}}), pb.ErrorReason_JUDGE_UNKNOWN, "panel.members[0].judge", "panel.members[1].task", "panel.members[2].name")
	own := &pb.EventPanel{Judges: 5, Members: []*pb.PanelMember{{Task: pb.PanelTask_REFEREE, Name: "Referee"}}}
	if err := set(&pb.SetPanelRequest{Category: category, Segment: short, Panel: own}); err != nil {
		t.Fatal(err)
	}
	if g, f := r.segment(t, short), r.segment(t, free); g.GetPanel().GetJudges() != 5 || !g.GetOwnPanel() || f.GetPanel().GetJudges() != 3 || f.GetOwnPanel() {
		t.Errorf("panels are %v and %v", g.GetPanel(), f.GetPanel())
	}
	must(r.SetAbsentJudges(referee(t), &pb.SetAbsentJudgesRequest{Event: cup, Category: category, Segment: short, Judges: []int32{5, 1}}))
	if err := set(&pb.SetPanelRequest{Category: category, Segment: short, Panel: &pb.EventPanel{Judges: 4}}); err != nil {
		t.Fatal(err)
	}
	if absent := r.segment(t, short).GetAbsentJudges(); len(absent) != 1 || absent[0] != 1 {
		t.Errorf("judge 5 has left the panel, absent are %v", absent)
	}
	must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short}))
	must(r.StartSegment(referee(t), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
	refused(t, set(&pb.SetPanelRequest{Category: category, Segment: short, Panel: &pb.EventPanel{Judges: 5}}), pb.ErrorReason_NOT_NOW)
	if err := set(&pb.SetPanelRequest{Panel: &pb.EventPanel{Judges: 7}}); err != nil { // the event's, not this segment's
		t.Fatal(err)
	}
}

// An event whose table has changed in the server still shows its confirmed
// scores, and refuses to score on by other rules.
func TestAnotherTableThanThePinnedOne(t *testing.T) {
	r := started(t)
	before := r.skate(t, short, "1", 1)
	r.call(t, short, "2", "2A")
	other := api.New(host.NewBook(r.log, nil), tables.NewArchive(retitled(t), nil, ""))
	p := must(other.GetPerformance(t.Context(), &pb.GetPerformanceRequest{Event: cup, Category: category, Segment: short, Entry: "1"})).GetPerformance()
	if p.GetSegmentScore() != before.GetSegmentScore() || p.GetWarnings()[0].GetCode() != string(api.WarnRevisionChanged) {
		t.Errorf("score %s (was %s), warnings %v", p.GetSegmentScore(), before.GetSegmentScore(), p.GetWarnings())
	}
	_, err := other.CallElement(panel(t), &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: "2", Code: "3T"})
	refused(t, err, pb.ErrorReason_REVISION_MISMATCH)
	must(other.UpdateEntry(organiser(t), &pb.UpdateEntryRequest{Event: cup, Entry: "2", Club: new("Lake")})) // needs no table
}

// The table that an event pins is kept, so a server that has loaded another one
// of the season since goes on by the pinned one.
func TestPinnedTableIsKept(t *testing.T) {
	r := newRink(t)
	first := api.New(r.book, tables.NewArchive(embedded(), r.log, ""))
	must(first.CreateEvent(as(t.Context(), pb.Role_ADMIN), &pb.CreateEventRequest{Event: cup, Name: "Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	pinned := must(first.GetEvent(t.Context(), &pb.GetEventRequest{Event: cup})).GetEvent().GetRules()

	later := api.New(host.NewBook(r.log, nil), tables.NewArchive(retitled(t), r.log, ""))
	e := must(later.SetCategory(organiser(t), &pb.SetCategoryRequest{Event: cup, Category: category})).GetEvent()
	if e.GetRules().GetRevision() != pinned.GetRevision() || e.GetRules().GetTitle() != pinned.GetTitle() || len(e.GetWarnings()) > 0 {
		t.Errorf("the event pins %v and goes on by %v, with warnings %v", pinned, e.GetRules(), e.GetWarnings())
	}
}

// Where an earlier program kept the tables in a folder, they are read there, and go
// into the store.
func TestPinnedTableInAFolder(t *testing.T) {
	r := started(t)
	pinned := must(r.GetEvent(t.Context(), &pb.GetEventRequest{Event: cup})).GetEvent().GetRules()
	folder := t.TempDir()
	for name, data := range must(embedded().Catalog().Season("2025-26")).Files {
		path := filepath.Join(folder, strings.TrimPrefix(pinned.GetRevision(), "sha256:"), filepath.FromSlash(name))
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, data, 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	log := must(sqlite.Open(t.Context(), sqlite.Options{Path: sqlite.Memory}))
	t.Cleanup(func() { _ = log.Close() })
	for _, archive := range []*tables.Archive{tables.NewArchive(retitled(t), log, folder), tables.NewArchive(retitled(t), log, "")} {
		server := api.New(host.NewBook(r.log, nil), archive)
		e := must(server.GetEvent(t.Context(), &pb.GetEventRequest{Event: cup})).GetEvent()
		if e.GetRules().GetTitle() != pinned.GetTitle() || len(e.GetWarnings()) > 0 {
			t.Errorf("goes on by %v, with warnings %v", e.GetRules(), e.GetWarnings())
		}
	}
}

// retitled is the embedded tables with another title of 2025-26, which makes
// another revision.
func retitled(t *testing.T) *tables.Tables {
	t.Helper()
	season := must(seasons.FS.ReadFile("2025-26/season.yaml"))
	return must(tables.New(func() time.Time { return day }, table.Layer{Name: "club", FS: fstest.MapFS{
		"2025-26/season.yaml": {Data: bytes.Replace(season, []byte("title: Season"), []byte("title: Other season"), 1)},
	}}))
}

// A season that does not have the panels of an event cannot become the event's:
// once a segment has started, nothing of the two could be changed any more.
func TestSeasonMustHaveThePanels(t *testing.T) {
	r := newRink(t)
	loaded := must(tables.New(func() time.Time { return day }, table.Layer{Name: "club", FS: fstest.MapFS{
		"small/season.yaml": {Data: []byte("season: small\ntitle: Small\nsource: our own rule\nextends: 2025-26\npanel: {max_judges: 5}\n")},
	}}))
	server := api.New(r.book, tables.NewArchive(loaded, nil, ""))
	must(server.CreateEvent(as(t.Context(), pb.Role_ADMIN), &pb.CreateEventRequest{Event: cup, Name: "Cup", StartDate: "2026-03-14", Season: "2009-10"}))
	must(server.SetCategory(organiser(t), &pb.SetCategoryRequest{Event: cup, Category: category}))
	set := func(segment string, panel *pb.EventPanel) {
		req := &pb.SetPanelRequest{Event: cup, Segment: segment, Panel: panel}
		if segment != "" {
			req.Category = category
		}
		must(server.SetPanel(organiser(t), req))
	}
	to := func(season string) error {
		_, err := server.UpdateEvent(organiser(t), &pb.UpdateEventRequest{Event: cup, Season: &season})
		return err
	}
	set("", &pb.EventPanel{Judges: 5, CountedJudges: []int32{1, 3}}) // a drawn panel
	refused(t, to("2025-26"), pb.ErrorReason_FIELD_INVALID, "season")
	set("", &pb.EventPanel{Judges: 5})
	set(free, &pb.EventPanel{Judges: 7})
	refused(t, to("small"), pb.ErrorReason_PANEL_SIZE_MISMATCH, "season")
	set(free, &pb.EventPanel{Judges: 5})
	if err := to("small"); err != nil {
		t.Error(err)
	}
}

// A token is shown once, kept as a hash, and ends when it expires or is revoked.
func TestTokens(t *testing.T) {
	r := newCup(t)
	now := day
	book := host.NewBook(r.log, func() time.Time { return now })
	server := api.New(book, r.tables)
	create := func(req *pb.CreateTokenRequest) *pb.CreateTokenResponse {
		req.Event = cup
		return must(server.CreateToken(organiser(t), req))
	}
	req := &pb.CreateTokenRequest{Role: pb.Role_JUDGE, Judge: 2, Label: "tablet 2", Lifetime: durationpb.New(time.Hour), RequestId: "t1"}
	judge := create(req)
	if !strings.HasPrefix(judge.GetToken(), "rt_spring-cup_") || judge.GetInfo().GetId() != "1" || len(judge.GetToken()) != len("rt_spring-cup_")+43 {
		t.Fatalf("token %q with id %q", judge.GetToken(), judge.GetInfo().GetId())
	}
	if again := create(req); again.GetToken() != "" || again.GetInfo().GetId() != "1" {
		t.Errorf("repeated: %v; want the same token without its secret", again)
	}
	holds := func(token string) bool {
		actor, ok, err := book.Holder(t.Context(), cup, access.Hash(token))
		if err != nil {
			t.Fatal(err)
		}
		if ok && (actor.Role != pb.Role_JUDGE || actor.Judge != 2 || actor.Event != cup) {
			t.Errorf("the holder is %v", actor)
		}
		return ok
	}
	if !holds(judge.GetToken()) || holds(judge.GetToken()+"x") {
		t.Error("a good token does not hold, or a bad one does")
	}
	now = day.Add(time.Hour)
	if holds(judge.GetToken()) {
		t.Error("the token holds after its end")
	}
	now = day
	must(server.RevokeToken(organiser(t), &pb.RevokeTokenRequest{Event: cup, Token: "1"}))
	if holds(judge.GetToken()) {
		t.Error("the token holds after it was revoked")
	}
	records := must(r.log.Read(t.Context(), cup, 0, 0))
	secret := judge.GetToken()[len("rt_spring-cup_"):]
	for _, record := range records {
		if strings.Contains(string(record.Body), secret) {
			t.Error("the log has the token's secret")
		}
	}
	for _, f := range must(server.ListFacts(organiser(t), &pb.ListFactsRequest{Event: cup})).GetFacts() {
		if strings.Contains(f.GetJson(), "hash") {
			t.Errorf("a hash is shown: %s", f.GetJson())
		}
	}
	for _, c := range []struct {
		req    *pb.CreateTokenRequest
		reason pb.ErrorReason_Value
		field  string
	}{
		{&pb.CreateTokenRequest{}, pb.ErrorReason_FIELD_REQUIRED, "role"},
		{&pb.CreateTokenRequest{Role: pb.Role_ADMIN}, pb.ErrorReason_FIELD_INVALID, "role"},
		{&pb.CreateTokenRequest{Role: pb.Role_JUDGE}, pb.ErrorReason_JUDGE_UNKNOWN, "judge"},
		{&pb.CreateTokenRequest{Role: pb.Role_REFEREE, Judge: 1}, pb.ErrorReason_FIELD_INVALID, "judge"},
		{&pb.CreateTokenRequest{Role: pb.Role_REFEREE, Lifetime: durationpb.New(-time.Hour)}, pb.ErrorReason_FIELD_INVALID, "lifetime"},
	} {
		c.req.Event = cup
		_, err := server.CreateToken(organiser(t), c.req)
		refused(t, err, c.reason, c.field)
	}
	_, err := server.RevokeToken(organiser(t), &pb.RevokeTokenRequest{Event: cup, Token: judge.GetToken()})
	refused(t, err, pb.ErrorReason_NOT_IN_EVENT)
	if strings.Contains(err.Error(), secret) {
		t.Error("a token sent in place of its id is shown in the answer")
	}
}

// The administrator's first token is made once.
func TestAdminToken(t *testing.T) {
	r := newRink(t)
	first, made, err := r.book.FirstAdminToken(t.Context(), "first start")
	if err != nil || !made {
		t.Fatal(first, made, err)
	}
	if again, made, err := r.book.FirstAdminToken(t.Context(), "second start"); err != nil || made || again != "" {
		t.Errorf("the second start makes %q, %t, %v", again, made, err)
	}
	actor, ok, err := r.book.Holder(t.Context(), "", access.Hash(first))
	if err != nil || !ok || actor.Role != pb.Role_ADMIN {
		t.Errorf("the holder is %v, %t, %v", actor, ok, err)
	}
	if err := r.book.RevokeAdminToken(t.Context(), "1"); err != nil {
		t.Fatal(err)
	}
	if _, ok, _ := r.book.Holder(t.Context(), "", access.Hash(first)); ok {
		t.Error("the token holds after it was revoked")
	}
	if _, made, err := r.book.FirstAdminToken(t.Context(), "third start"); err != nil || !made {
		t.Error("without a token that holds no new one is made", err)
	}
	if list := must(r.ListEvents(as(t.Context(), pb.Role_ADMIN), &pb.ListEventsRequest{})).GetEvents(); len(list) != 0 {
		t.Errorf("the server's own stream is listed as an event: %v", list)
	}
}

// Lists go page by page, and leave out what the caller may not know of.
func TestListEvents(t *testing.T) {
	r := newRink(t)
	admin := as(t.Context(), pb.Role_ADMIN)
	for _, id := range []string{"aaa", "bbb", "ccc", "ddd"} {
		must(r.CreateEvent(admin, &pb.CreateEventRequest{Event: id, Name: id, StartDate: "2026-03-14", Season: "2025-26", Restricted: id == "bbb"}))
	}
	if _, _, err := r.book.FirstAdminToken(t.Context(), ""); err != nil {
		t.Fatal(err)
	}
	pages := func(actor access.Actor) string {
		var got []string
		req := &pb.ListEventsRequest{PageSize: 2}
		for {
			res := must(r.ListEvents(access.WithActor(t.Context(), actor), req))
			var ids []string
			for _, e := range res.GetEvents() {
				ids = append(ids, e.GetEvent())
			}
			got = append(got, strings.Join(ids, " "))
			if req.PageToken = res.GetNextPageToken(); req.GetPageToken() == "" {
				return strings.Join(got, " | ")
			}
		}
	}
	for actor, want := range map[access.Actor]string{
		{}:                                   "aaa ccc | ddd",
		{Role: pb.Role_ADMIN}:                "aaa bbb | ccc ddd",
		{Role: pb.Role_VIEWER, Event: "bbb"}: "aaa bbb | ccc ddd",
	} {
		if got := pages(actor); got != want {
			t.Errorf("%v sees %q, want %q", actor, got, want)
		}
	}
	_, err := r.ListEvents(t.Context(), &pb.ListEventsRequest{PageToken: "%%"})
	refused(t, err, pb.ErrorReason_PAGE_TOKEN_INVALID, "pageToken")
	_, err = r.ListEvents(t.Context(), &pb.ListEventsRequest{PageSize: -1})
	refused(t, err, pb.ErrorReason_FIELD_INVALID, "pageSize")
}
