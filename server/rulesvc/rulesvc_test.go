package rulesvc_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/rulesvc"
	"github.com/rinktally/rinktally/server/tables"
)

var ctx = context.Background()

func service(t *testing.T, day string) *rulesvc.Service {
	t.Helper()
	loaded, err := tables.New(func() time.Time {
		when, err := time.Parse(time.DateOnly, day)
		if err != nil {
			panic(err)
		}
		return when
	})
	if err != nil {
		t.Fatal(err)
	}
	return rulesvc.New(loaded)
}

func TestListSeasons(t *testing.T) {
	res, err := service(t, "2016-12-01").ListSeasons(ctx, &pb.ListSeasonsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if res.GetCurrent() != "2016-17" || len(res.GetWarnings()) != 0 {
		t.Errorf("current %s, warnings %v", res.GetCurrent(), res.GetWarnings())
	}
	if !slices.IsSortedFunc(res.GetSeasons(), func(a, b *pb.SeasonSummary) int {
		return map[bool]int{true: -1, false: 1}[a.GetValidFrom() <= b.GetValidFrom()]
	}) {
		t.Error("not oldest first")
	}
	for _, s := range res.GetSeasons() {
		if s.GetRevision() == "" || s.GetTitle() == "" || !slices.Contains(s.GetDisciplines(), "singles") {
			t.Errorf("%v", s)
		}
	}
	late, err := service(t, "2099-12-01").ListSeasons(ctx, &pb.ListSeasonsRequest{})
	if err != nil || len(late.GetWarnings()) != 1 || late.GetWarnings()[0].GetCode() != "SEASON_NOT_LOADED" {
		t.Errorf("%v, %v", late.GetWarnings(), err)
	}
}

func TestGetSeasonShowsEveryRuleWithItsSource(t *testing.T) {
	res, err := service(t, "2016-12-01").GetSeason(ctx, &pb.GetSeasonRequest{Season: "2016-17"})
	if err != nil {
		t.Fatal(err)
	}
	s := res.GetSeason()
	// The GOE scale of -3 to +3 and marks in quarters are those on the published
	// score sheets of 2016-17.
	if s.GetGoe().GetMin() != -3 || s.GetGoe().GetMax() != 3 || s.GetComponentMarks().GetStep() != .25 {
		t.Errorf("goe %v, marks %v", s.GetGoe(), s.GetComponentMarks())
	}
	i := slices.IndexFunc(s.GetCategories(), func(c *pb.Category) bool { return c.GetCategory() == "senior-women" })
	if i < 0 {
		t.Fatal("no senior-women")
	}
	women := s.GetCategories()[i]
	var order []string
	for _, g := range women.GetSegments() {
		order = append(order, g.GetSegment())
		if len(g.GetComponents()) != 5 || g.GetSecondHalf().GetText() == "" {
			t.Errorf("%v", g)
		}
	}
	if !slices.Equal(order, []string{"short-program", "free-skating"}) {
		t.Errorf("segments %v", order)
	}
	if len(s.GetRules()) < 100 || len(s.GetSigns()) == 0 || len(s.GetDeductions()) == 0 || len(s.GetValueSources()) == 0 {
		t.Errorf("%d rules, %d signs, %d deductions", len(s.GetRules()), len(s.GetSigns()), len(s.GetDeductions()))
	}
	for _, r := range s.GetRules() {
		if r.GetSource() == "" || r.GetConfidence() == "" {
			t.Errorf("rule %s has no source or confidence", r.GetKey())
		}
	}
}

// The list of level features names what the season's table has and nothing else;
// each is a word of the contract.
func TestLevelFeatures(t *testing.T) {
	s := service(t, "2025-12-01")
	for season, blade := range map[string]bool{"2016-17": false, "2025-26": true} {
		res, err := s.GetSeason(ctx, &pb.GetSeasonRequest{Season: season})
		if err != nil {
			t.Fatal(err)
		}
		byName := map[pb.Feature_Value]*pb.LevelFeature{}
		for _, f := range res.GetSeason().GetLevelFeatures() {
			byName[f.GetFeature()] = f
			rule := "levels.spins.features." + f.GetFeature().String()
			if slices.Contains(f.GetKinds(), "STEP_SEQUENCE") {
				rule = "levels.steps."
			}
			if f.GetFeature() == 0 || !slices.ContainsFunc(res.GetSeason().GetRules(), func(r *pb.Rule) bool { return strings.HasPrefix(r.GetKey(), rule) }) {
				t.Errorf("%s: no rule of the season is behind %v", season, f)
			}
		}
		edge := byName[pb.Feature_CHANGE_OF_EDGE]
		if edge.GetTitle() != "Change of edge" || edge.GetShort() != "edge" || len(edge.GetKinds()) != 4 || edge.GetReported() != "position" ||
			!slices.Contains(edge.GetPositions(), "CAMEL") || !strings.Contains(edge.GetReach(), "2 revolutions on each edge") {
			t.Errorf("%s: %v", season, edge)
		}
		if got := byName[pb.Feature_DIFFICULT_BLADE] != nil; got != blade {
			t.Errorf("%s: the blade is listed: %v, want %v", season, got, blade)
		}
		if byName[pb.Feature_TURN_COMBINATIONS] == nil || byName[pb.Feature_EIGHT_REVOLUTIONS].GetReported() != "" {
			t.Errorf("%s: %v", season, byName)
		}
	}
}

func TestEveryElementIsOnOnePage(t *testing.T) {
	s := service(t, "2026-01-15")
	var all, paged []string
	whole, err := s.ListElements(ctx, &pb.ListElementsRequest{Season: "2025-26", Discipline: "singles", PageSize: 5000})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range whole.GetElements() {
		all = append(all, e.GetCode())
	}
	if len(all) < 50 || !slices.IsSorted(all) || whole.GetNextPageToken() != "" {
		t.Fatalf("%d elements, sorted %v, token %q", len(all), slices.IsSorted(all), whole.GetNextPageToken())
	}
	req := &pb.ListElementsRequest{Season: "2025-26", Discipline: "singles", PageSize: 7}
	for {
		res, err := s.ListElements(ctx, req)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range res.GetElements() {
			paged = append(paged, e.GetCode())
		}
		if req.PageToken = res.GetNextPageToken(); req.GetPageToken() == "" {
			break
		}
	}
	if !slices.Equal(all, paged) {
		t.Errorf("%d in one answer, %d in pages", len(all), len(paged))
	}
}

func TestPageTokensBelongToTheirList(t *testing.T) {
	s := service(t, "2026-01-15")
	first, err := s.ListElements(ctx, &pb.ListElementsRequest{Season: "2025-26", Kind: "jump", PageSize: 3})
	if err != nil {
		t.Fatal(err)
	}
	token := first.GetNextPageToken()
	for name, req := range map[string]*pb.ListElementsRequest{
		"another kind":       {Season: "2025-26", Kind: "spin", PageToken: token},
		"another discipline": {Season: "2025-26", Kind: "jump", Discipline: "singles", PageToken: token},
		"another season":     {Season: "2016-17", Kind: "jump", PageToken: token},
		"cut":                {Season: "2025-26", Kind: "jump", PageToken: token[:len(token)-2]},
		"longer":             {Season: "2025-26", Kind: "jump", PageToken: token + "AAAA"},
		"no base64":          {Season: "2025-26", Kind: "jump", PageToken: "%%%"},
	} {
		if _, err := s.ListElements(ctx, req); errs.Reason(err) != "PAGE_TOKEN_INVALID" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := s.ListElements(ctx, &pb.ListElementsRequest{Season: "2025-26", Kind: "jump", PageSize: 9, PageToken: token}); err != nil {
		t.Errorf("another page size: %v", err)
	}
}

func TestListFaults(t *testing.T) {
	s := service(t, "2026-01-15")
	for want, req := range map[string]*pb.ListElementsRequest{
		"SEASON_UNKNOWN": {Season: "x"},
		"FIELD_REQUIRED": {},
		"FIELD_INVALID":  {Season: "2025-26", Kind: "jumps", Discipline: "single", PageSize: -1},
	} {
		if _, err := s.ListElements(ctx, req); errs.Reason(err) != want {
			t.Errorf("%v: %v", req, err)
		}
	}
}

func TestGetElement(t *testing.T) {
	s := service(t, "2026-01-15")
	res, err := s.GetElement(ctx, &pb.GetElementRequest{Season: "2025-26", Code: "3Lz", Category: "senior-women"})
	if err != nil {
		t.Fatal(err)
	}
	e := res.GetElement()
	// Base value as the published score sheets of 2025-26 print it; a grade is ten
	// per cent of it.
	if e.GetName() != "triple Lutz" || e.GetBaseValue() != "5.90" || e.GetKind() != "jump" || len(e.GetGoePoints()) != 11 {
		t.Errorf("%v", e)
	}
	for i, g := range e.GetGoePoints() {
		if int(g.GetMark()) != i-5 {
			t.Errorf("mark %d at %d", g.GetMark(), i)
		}
	}
	if e.GetGoePoints()[10].GetPoints() != "2.95" {
		t.Errorf("+5 is %s", e.GetGoePoints()[10].GetPoints())
	}
	for _, r := range e.GetReducedForms() {
		if r.GetBaseValue() >= e.GetBaseValue() {
			t.Errorf("%v is not reduced", r)
		}
	}
	signed, err := s.GetElement(ctx, &pb.GetElementRequest{Season: "2025-26", Code: "3Lz<"})
	if err != nil || signed.GetElement().GetBaseValue() != "4.72" || len(signed.GetElement().GetReducedForms()) != 0 {
		t.Errorf("%v, %v", signed, err)
	}
}

func TestGetElementFaults(t *testing.T) {
	s := service(t, "2026-01-15")
	for _, c := range []struct {
		code, category, reason string
		status                 codes.Code
	}{
		{"5A", "", "ELEMENT_NOT_FOUND", codes.NotFound},
		{"", "", "FIELD_REQUIRED", codes.InvalidArgument},
		{"x", "", "CODE_INVALID", codes.InvalidArgument},
		{"3Lz+3T", "", "CODE_INVALID", codes.InvalidArgument},
		{"3Lz*", "", "CODE_INVALID", codes.InvalidArgument},
		{"3Lz+REP", "", "CODE_INVALID", codes.InvalidArgument},
		{"3Lz", "nobody", "CATEGORY_UNKNOWN", codes.InvalidArgument},
	} {
		_, err := s.GetElement(ctx, &pb.GetElementRequest{Season: "2016-17", Code: c.code, Category: c.category})
		if errs.Reason(err) != c.reason || status.Code(err) != c.status {
			t.Errorf("%q %q: %v %v", c.code, c.category, status.Code(err), err)
		}
	}
}

// The sections of the compulsory dances of 2005-06 have the same codes and, on the
// published score sheets, values of their own.
func TestGetElementOfScope(t *testing.T) {
	s := service(t, "2026-01-15")
	_, err := s.GetElement(ctx, &pb.GetElementRequest{Season: "2005-06", Code: "1S4"})
	if errs.Reason(err) != "SCOPE_REQUIRED" || !slices.Equal(errs.Fields(err), []string{"scope"}) || !strings.Contains(err.Error(), "Yankee Polka") {
		t.Errorf("without a scope: %v", err)
	}
	for scope, want := range map[string]string{"Tango Romantica": "2.00", "Yankee Polka": "1.20"} {
		res, err := s.GetElement(ctx, &pb.GetElementRequest{Season: "2005-06", Code: "1S4", Scope: scope})
		if err != nil || res.GetElement().GetBaseValue() != want || res.GetElement().GetScope() != scope {
			t.Errorf("%s: %v %v, want %s", scope, res.GetElement(), err, want)
		}
	}
}

func TestCompareSeasons(t *testing.T) {
	s := service(t, "2026-01-15")
	res, err := s.CompareSeasons(ctx, &pb.CompareSeasonsRequest{From: "2016-17", To: "2025-26", Discipline: "singles"})
	if err != nil {
		t.Fatal(err)
	}
	// 3Lz: 6.00 on the published score sheets of 2016-17, 5.90 on those of 2025-26.
	i := slices.IndexFunc(res.GetChanged(), func(c *pb.ValueChange) bool { return c.GetCode() == "3Lz" })
	if i < 0 || res.GetChanged()[i].GetFrom() != "6.00" || res.GetChanged()[i].GetTo() != "5.90" || res.GetChanged()[i].GetDifference() != "-0.10" {
		t.Errorf("%v", res.GetChanged())
	}
	if !slices.ContainsFunc(res.GetRuleChanges(), func(c *pb.RuleChange) bool {
		return c.GetKey() == "goe.max" && c.GetFrom() == "3" && c.GetTo() == "5"
	}) {
		t.Error("the GOE scale is not among the changes")
	}
	for _, c := range res.GetRuleChanges() {
		for _, other := range []string{"levels.pairs", "categories.senior-dance", "program.categories.senior-pairs", "program.layouts.free-pairs"} {
			if strings.HasPrefix(c.GetKey(), other+".") {
				t.Errorf("%s is among the changes of single skating", c.GetKey())
			}
		}
	}
	same, err := s.CompareSeasons(ctx, &pb.CompareSeasonsRequest{From: "2025-26", To: "current"})
	if err != nil || len(same.GetChanged())+len(same.GetAdded())+len(same.GetRemoved())+len(same.GetRuleChanges()) != 0 {
		t.Errorf("a season differs from itself: %v, %v", same, err)
	}
	back, err := s.CompareSeasons(ctx, &pb.CompareSeasonsRequest{From: "2025-26", To: "2016-17", Discipline: "singles"})
	if err != nil || len(back.GetAdded()) != len(res.GetRemoved()) || len(back.GetRemoved()) != len(res.GetAdded()) || len(back.GetChanged()) != len(res.GetChanged()) {
		t.Errorf("backwards: %v", err)
	}
	_, err = s.CompareSeasons(ctx, &pb.CompareSeasonsRequest{To: "x", Discipline: "y"})
	if errs.Reason(err) != "SEASON_UNKNOWN" {
		t.Errorf("%v", err)
	}
}

// Every season fits twice into what a gRPC client receives by default, 4 MiB, also as
// its tables grow; and callers share it.
func TestSeasonsFitIntoAMessage(t *testing.T) {
	const most = 2 << 20
	s := service(t, "2026-01-15")
	list, err := s.ListSeasons(ctx, &pb.ListSeasonsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	for _, season := range list.GetSeasons() {
		req := &pb.GetSeasonRequest{Season: season.GetSeason()}
		res, err := s.GetSeason(ctx, req)
		if err != nil {
			t.Fatal(err)
		}
		if size := proto.Size(res); size > most {
			t.Errorf("%s is %d bytes", req.GetSeason(), size)
		}
		if again, err := s.GetSeason(ctx, req); err != nil || again.GetSeason() != res.GetSeason() {
			t.Errorf("%s was put together again, %v", req.GetSeason(), err)
		}
	}
}
