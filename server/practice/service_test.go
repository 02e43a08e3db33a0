package practice_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"go.uber.org/zap"
	"go.uber.org/zap/zaptest/observer"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/clienttest"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

var now = time.Date(2026, 1, 17, 9, 30, 0, 0, time.UTC)

// book is a server with a book in it, and who holds its token.
type book struct {
	*client.Client

	server *clienttest.Server
	admin  *client.Client
	id     string
}

func newBook(t *testing.T) *book {
	t.Helper()
	server := clienttest.Start(t, clienttest.WithClock(func() time.Time { return now }))
	admin := server.Client(client.WithToken(server.Admin))
	made, err := admin.CreateBook(t.Context(), &pb.CreateBookRequest{Title: "Ice club", Causes: []string{"timing", "axis"}})
	if err != nil {
		t.Fatal(err)
	}
	return &book{server.Client(client.WithToken(made.GetToken())), server, admin, made.GetBook().GetBook()}
}

// skater adds a skater who practises for a category of 2025-26.
func (b *book) skater(t *testing.T, name string) string {
	t.Helper()
	added, err := b.AddSkater(t.Context(), &pb.AddSkaterRequest{Book: b.id, Name: name, Season: "2025-26", Category: "senior-women"})
	if err != nil {
		t.Fatal(err)
	}
	return added.GetSkater().GetSkater()
}

func (b *book) add(t *testing.T, skater string, attempts ...*pb.Attempt) []*pb.Attempt {
	t.Helper()
	added, err := b.AddAttempts(t.Context(), &pb.AddAttemptsRequest{Book: b.id, Skater: skater, Attempts: attempts})
	if err != nil {
		t.Fatal(err)
	}
	return added.GetAttempts()
}

// came is an attempt so many days before now.
func came(days int, planned, code string) *pb.Attempt {
	return &pb.Attempt{Planned: planned, Came: code, Time: timestamppb.New(now.AddDate(0, 0, -days))}
}

// What GetAbilities answers is what PlanProgram takes, also of elements that have never
// failed and have no level below; what the season cannot value is left out by name.
func TestAbilitiesArePlanned(t *testing.T) {
	b := newBook(t)
	mira := b.skater(t, "Mira")
	var attempts []*pb.Attempt
	for i := range 40 {
		lutz := came(i%20, "3Lz", []string{"", "", "3Lz<", "2Lz", "", "", "3Lz", "1Lz", "3Lz<<", ""}[i%10])
		lutz.Fall = i%10 == 6
		attempts = append(attempts, lutz, came(i%20, "CCoSp4", []string{"CCoSp4", "CCoSp3", "CCoSp4", "CCoSp4"}[i%4]))
	}
	for range 6 {
		attempts = append(attempts, came(1, "ChSq1", ""), came(2, "2A", ""), came(2, "LSp3", "LSp4"), came(3, "StSqB", ""), came(3, "3T+3T", "3T+2T"))
	}
	attempts = append(attempts, came(1, "SpSq3", ""), came(1, "2A", "2A<<<"))
	attempts[len(attempts)-1].Came = "1A"
	b.add(t, mira, attempts...)
	if _, err := b.AddChange(t.Context(), &pb.AddChangeRequest{Book: b.id, Skater: mira, Text: "new entry", Code: "3Lz", Time: timestamppb.New(now.AddDate(0, 0, -10))}); err != nil {
		t.Fatal(err)
	}
	res, err := b.GetAbilities(t.Context(), &pb.GetAbilitiesRequest{Book: b.id, Skater: mira})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.PlanProgram(t.Context(), &pb.PlanProgramRequest{
		Season: "2025-26", Category: "senior-women", Segment: "free-skating", Abilities: res.GetAbilities(),
	}); err != nil {
		t.Error(err)
	}
	if left := res.GetLeftOut(); len(left) != 1 || left[0].GetField() != "SpSq3" || left[0].GetReason() != "ELEMENT_UNKNOWN" {
		t.Errorf("left out: %v", left)
	}
	if len(res.GetAbilities()) != 7 || len(res.GetRecords()) != 7 {
		t.Fatalf("%v", res)
	}
	for i, a := range res.GetAbilities() {
		sum := a.GetSuccess()
		for _, m := range a.GetMisses() {
			sum += m.GetChance()
		}
		if len(a.GetMisses()) > 0 && math.Abs(sum-1) > 1e-9 || !(a.GetLow() < a.GetSuccess() && a.GetSuccess() < a.GetHigh()) || res.GetRecords()[i].GetCode() != a.GetCode() {
			t.Errorf("%v", a)
		}
	}
	lutz := res.GetRecords()[0]
	if len(lutz.GetCame()) != 5 || lutz.GetSuccesses() != 20 || lutz.GetFolded() != 4 || len(lutz.GetWeeks()) != 3 {
		t.Errorf("%v", lutz)
	}
	if effect := lutz.GetChanges()[0]; effect.GetChange().GetText() != "new entry" || effect.GetBefore().GetAttempts() != 18 || effect.GetAfter().GetAttempts() != 22 || effect.Better == nil {
		t.Errorf("%v", effect)
	}
	// What is a double Lutz or less of the five ways is worth no more than what was
	// folded into it.
	since, err := b.GetAbilities(t.Context(), &pb.GetAbilitiesRequest{Book: b.id, Skater: mira, Since: "2026-01-16", Season: "2016-17"})
	if err != nil || since.GetRules().GetSeason() != "2016-17" || since.GetAbilities()[0].GetAttempts() >= 40 {
		t.Errorf("%v, %v", since, err)
	}
}

// The feature that was missing most often of what was skated comes first; what CallLevels
// cannot read is not counted.
func TestFeaturesThatFail(t *testing.T) {
	b := newBook(t)
	mira := b.skater(t, "Mira")
	for i, text := range []string{"camel upward 8 / sit forward 3, upright 3", "camel upward 8 / sit forward 3, upright 3", "camel upward 3 / sit forward 3, upright 3", "camel upwrd", ""} {
		a := came(i, "CCoSp3", "")
		if text != "" {
			a.Level = &pb.LevelledElement{Kind: &pb.LevelledElement_Text{Text: text}}
		}
		b.add(t, mira, a)
	}
	res, err := b.GetAbilities(t.Context(), &pb.GetAbilitiesRequest{Book: b.id, Skater: mira})
	if err != nil {
		t.Fatal(err)
	}
	record := res.GetRecords()[0]
	var got []string
	for _, f := range record.GetFeatures() {
		got = append(got, fmt.Sprint(f.GetFeature(), " ", f.GetAttempts()))
	}
	if want := "EIGHT_REVOLUTIONS 2, DIFFICULT_VARIATION 3"; record.GetAttempts() != 5 || record.GetLevelled() != 3 || strings.Join(got, ", ") != want {
		t.Errorf("%d of %d attempts, %q, want %q", record.GetLevelled(), record.GetAttempts(), got, want)
	}
}

// A file that was exported comes back as it was, and adds nothing twice. What a
// spreadsheet would take for a formula stands behind a quotation mark in it.
func TestImportExport(t *testing.T) {
	b := newBook(t)
	mira := b.skater(t, "Mira")
	odd := came(1, "3Lz", "3Lz<")
	odd.Grade, odd.Cause, odd.Note, odd.RunThrough = proto.Float64(-2), "=axis", "late; =1+1, \"so\"", "run 1"
	odd.Level = &pb.LevelledElement{Kind: &pb.LevelledElement_Text{Text: "camel upward 8"}}
	b.add(t, mira, odd, came(2, "2A", ""), came(2, "2A", ""))
	export := func(skater string) string {
		t.Helper()
		file, err := b.ExportAttempts(t.Context(), &pb.ExportAttemptsRequest{Book: b.id, Skater: skater})
		if err != nil {
			t.Fatal(err)
		}
		return string(file.GetFile().GetData())
	}
	const want = `time,planned,came,grade,fall,cause,run_through,note,level
2026-01-15T09:30:00Z,2A,2A,,false,,,,
2026-01-15T09:30:00Z,2A,2A,,false,,,,
2026-01-16T09:30:00Z,3Lz,3Lz<,-2,false,'=axis,run 1,"late;' =1+1, ""so""","{""text"":""camel upward 8""}"
`
	if got := export(mira); got != want {
		t.Errorf("%s", got)
	}
	other := b.skater(t, "Nel")
	for _, added := range []int32{3, 0} {
		res, err := b.ImportAttempts(t.Context(), &pb.ImportAttemptsRequest{Book: b.id, Skater: other, Csv: want})
		if err != nil || res.GetAdded() != added || res.GetPassedOver() != 3-added {
			t.Errorf("%v, %v", res, err)
		}
	}
	if got := export(other); got != want {
		t.Errorf("%s", got)
	}
}

// What is refused, with the path of each fault, and nothing of it is kept.
func TestRefusals(t *testing.T) {
	b := newBook(t)
	mira := b.skater(t, "Mira")
	attempts := func(list ...*pb.Attempt) error {
		_, err := b.AddAttempts(t.Context(), &pb.AddAttemptsRequest{Book: b.id, Skater: mira, Attempts: list})
		return err
	}
	csv := func(text string) error {
		_, err := b.ImportAttempts(t.Context(), &pb.ImportAttemptsRequest{Book: b.id, Skater: mira, Csv: text})
		return err
	}
	late := came(0, "3Lz", "")
	late.Time = timestamppb.New(now.Add(48 * time.Hour))
	good := came(1, "3Lz", "")
	for name, c := range map[string]struct {
		err    error
		reason string
		fields string
	}{
		"no attempts":   {attempts(), "FIELD_REQUIRED", "attempts"},
		"too many":      {attempts(make([]*pb.Attempt, 1001)...), "TOO_MANY_ITEMS", "attempts"},
		"no code":       {attempts(good, &pb.Attempt{}), "FIELD_REQUIRED", "attempts[1].planned"},
		"a call":        {attempts(&pb.Attempt{Planned: "3Lz<"}), "FIELD_INVALID", "attempts[0].planned"},
		"no element":    {attempts(&pb.Attempt{Planned: "3Lz", Came: "3Q"}), "CODE_INVALID", "attempts[0].came"},
		"another kind":  {attempts(&pb.Attempt{Planned: "3Lz", Came: "CCoSp3"}), "FIELD_INVALID", "attempts[0].came"},
		"an id":         {attempts(&pb.Attempt{Attempt: "1", Planned: "3Lz"}), "FIELD_INVALID", "attempts[0].attempt"},
		"a grade":       {attempts(&pb.Attempt{Planned: "3Lz", Grade: proto.Float64(5.5)}), "MARK_OUT_OF_RANGE", "attempts[0].grade"},
		"a fine grade":  {attempts(&pb.Attempt{Planned: "3Lz", Grade: proto.Float64(0.001)}), "MARK_OFF_GRID", "attempts[0].grade"},
		"tomorrow":      {attempts(late), "FIELD_INVALID", "attempts[0].time"},
		"a long note":   {attempts(&pb.Attempt{Planned: "3Lz", Note: strings.Repeat("x", 501)}), "FIELD_INVALID", "attempts[0].note"},
		"several":       {attempts(&pb.Attempt{Planned: "3Lz<", Cause: "a\nb"}, &pb.Attempt{}), "FIELD_INVALID", "attempts[0].cause attempts[0].planned attempts[1].planned"},
		"no CSV":        {csv(""), "FIELD_REQUIRED", "csv"},
		"a column":      {csv("time,planned,mood\n"), "CSV_INVALID", "csv.line[1]"},
		"no time":       {csv("planned\n3Lz\n"), "CSV_INVALID", "csv.line[1]"},
		"lines":         {csv("time,planned,grade,fall\n2026-01-05,3Lz,,\n,3Lz<,x,maybe\n"), "CSV_INVALID", "csv.line[3].time csv.line[3].grade csv.line[3].fall csv.line[3].planned"},
		"no such":       {second(b.ListAttempts(t.Context(), &pb.ListAttemptsRequest{Book: b.id, Skater: "9"})), "NOT_IN_BOOK", "skater"},
		"no id":         {second(b.ListChanges(t.Context(), &pb.ListChangesRequest{Book: b.id, Skater: "01"})), "NOT_IN_BOOK", "skater"},
		"no attempt":    {second(b.UpdateAttempt(t.Context(), &pb.UpdateAttemptRequest{Book: b.id, Skater: mira, Attempt: "7"})), "NOT_IN_BOOK", "attempt"},
		"a day":         {second(b.ListAttempts(t.Context(), &pb.ListAttemptsRequest{Book: b.id, Skater: mira, From: "yesterday"})), "FIELD_INVALID", "from"},
		"a page":        {second(b.ListAttempts(t.Context(), &pb.ListAttemptsRequest{Book: b.id, Skater: mira, PageToken: "x"})), "PAGE_TOKEN_INVALID", "pageToken"},
		"no season":     {second(b.GetAbilities(t.Context(), &pb.GetAbilitiesRequest{Book: b.id, Skater: mira, Season: "1998-99"})), "SEASON_UNKNOWN", "season"},
		"a category":    {second(b.GetAbilities(t.Context(), &pb.GetAbilitiesRequest{Book: b.id, Skater: mira, Category: "robots"})), "CATEGORY_UNKNOWN", "category"},
		"no book":       {second(b.admin.DeleteBook(t.Context(), &pb.DeleteBookRequest{Book: "none"})), "BOOK_UNKNOWN", ""},
		"causes":        {second(b.UpdateBook(t.Context(), &pb.UpdateBookRequest{Book: b.id, Causes: &pb.BookCauses{Causes: []string{"axis", "axis", ""}}})), "FIELD_INVALID", "causes.causes[1] causes.causes[2]"},
		"two programs":  {second(b.UpdateSkater(t.Context(), &pb.UpdateSkaterRequest{Book: b.id, Skater: mira, Programs: &pb.SkaterPrograms{Programs: []*pb.SkaterProgram{{Segment: "short-program"}, {Segment: "short-program"}}}})), "FIELD_INVALID", "programs.programs[1].segment"},
		"no name":       {second(b.AddSkater(t.Context(), &pb.AddSkaterRequest{Book: b.id})), "FIELD_REQUIRED", "name"},
		"a request id":  {second(b.AddSkater(t.Context(), &pb.AddSkaterRequest{Book: b.id, Name: "x", RequestId: "a b"})), "FIELD_INVALID", "requestId"},
		"other's token": {second(b.admin.GetBook(t.Context(), &pb.GetBookRequest{Book: b.id})), "PERMISSION_DENIED", ""},
	} {
		var fields []string
		var refused *client.Error
		if errors.As(c.err, &refused) {
			for _, v := range refused.Violations {
				fields = append(fields, v.Field)
			}
		}
		if got := reason(c.err); got != c.reason || strings.Join(fields, " ") != c.fields {
			t.Errorf("%s: %s at %q, want %s at %q: %v", name, got, fields, c.reason, c.fields, c.err)
		}
	}
	if list, err := b.ListAttempts(t.Context(), &pb.ListAttemptsRequest{Book: b.id, Skater: mira}); err != nil || len(list.GetAttempts()) != 0 {
		t.Errorf("%v, %v", list, err)
	}
}

// reason returns the reason of a refusal; "" where a call was answered.
func reason(err error) string {
	var refused *client.Error
	if errors.As(err, &refused) {
		return refused.Reason.String()
	}
	if err != nil {
		return err.Error()
	}
	return ""
}

func second[T any](_ T, err error) error { return err }

// A repeated request is answered to the byte as the first one, whatever has become of
// what it added; what is changed keeps the rest.
func TestAttemptsAreKept(t *testing.T) {
	b := newBook(t)
	mira := b.skater(t, "Mira")
	req := &pb.AddAttemptsRequest{Book: b.id, Skater: mira, RequestId: "r", Attempts: []*pb.Attempt{
		{Planned: "3Lz+3T", Came: "3Lz<+3T"}, {Planned: "2A", Grade: proto.Float64(1.25), Cause: " axis ", RunThrough: "run 1"}, came(3, "CCoSp4", "CCoSp3"),
	}}
	first, err := b.AddAttempts(t.Context(), req)
	if err != nil {
		t.Fatal(err)
	}
	one, err := b.UpdateAttempt(t.Context(), &pb.UpdateAttemptRequest{Book: b.id, Skater: mira, Attempt: "2", Planned: proto.String("3A"), Note: proto.String("late")})
	if err != nil || one.GetAttempt().GetCame() != "3A" || one.GetAttempt().GetGrade() != 1.25 || one.GetAttempt().GetCause() != "axis" || one.GetAttempt().GetNote() != "late" {
		t.Errorf("%v, %v", one, err)
	}
	for range 2 {
		if _, err := b.DeleteAttempt(t.Context(), &pb.DeleteAttemptRequest{Book: b.id, Skater: mira, Attempt: "1"}); err != nil {
			t.Error(err)
		}
	}
	again, err := b.AddAttempts(t.Context(), req)
	if err != nil || !proto.Equal(first, again) {
		t.Errorf("%v, then %v, %v", first, again, err)
	}
	req.Attempts = req.GetAttempts()[:1]
	if _, err := b.AddAttempts(t.Context(), req); reason(err) != "REQUEST_ID_REUSED" {
		t.Error(err)
	}
	page, err := b.ListAttempts(t.Context(), &pb.ListAttemptsRequest{Book: b.id, Skater: mira, PageSize: 1})
	if err != nil || len(page.GetAttempts()) != 1 || page.GetAttempts()[0].GetAttempt() != "2" || page.GetNextPageToken() == "" {
		t.Fatalf("%v, %v", page, err)
	}
	last, err := b.ListAttempts(t.Context(), &pb.ListAttemptsRequest{Book: b.id, Skater: mira, PageSize: 1, PageToken: page.GetNextPageToken()})
	if err != nil || len(last.GetAttempts()) != 1 || last.GetAttempts()[0].GetAttempt() != "3" || last.GetNextPageToken() != "" {
		t.Errorf("%v, %v", last, err)
	}
	b.add(t, mira, came(1, "2A", ""))
	if _, err := b.ListAttempts(t.Context(), &pb.ListAttemptsRequest{Book: b.id, Skater: mira, PageSize: 1, PageToken: page.GetNextPageToken()}); reason(err) != "PAGE_TOKEN_INVALID" {
		t.Error(err)
	}
}

// Run-throughs are grouped by their name, the newest first, and scored as CheckProgram
// scores what came; one that cannot be scored says why.
func TestRunThroughs(t *testing.T) {
	b := newBook(t)
	mira := b.skater(t, "Mira")
	run := func(name string, days int, attempts ...*pb.Attempt) {
		t.Helper()
		for i, a := range attempts {
			a.RunThrough, a.Time = name, timestamppb.New(now.AddDate(0, 0, -days).Add(time.Duration(i)*time.Minute))
		}
		b.add(t, mira, attempts...)
	}
	run("old", 9, &pb.Attempt{Planned: "2A"}, &pb.Attempt{Planned: "SpSq3"})
	run("new", 1, &pb.Attempt{Planned: "CCoSp4", Grade: proto.Float64(2)}, &pb.Attempt{Planned: "3Lz", Came: "3Lz<", Fall: true}, &pb.Attempt{Planned: "2A", Grade: proto.Float64(1)})
	b.add(t, mira, came(0, "3Lz", "")) // tried by itself
	list := func() (*pb.ListRunThroughsResponse, error) {
		return b.ListRunThroughs(t.Context(), &pb.ListRunThroughsRequest{Book: b.id, Skater: mira})
	}
	if _, err := list(); reason(err) != "FIELD_REQUIRED" {
		t.Errorf("without a segment: %v", err)
	}
	planned := []*pb.PlannedElement{{Code: "CCoSp4"}, {Code: "3Lz"}, {Code: "2A", SecondHalf: true}}
	if _, err := b.UpdateSkater(t.Context(), &pb.UpdateSkaterRequest{Book: b.id, Skater: mira, Programs: &pb.SkaterPrograms{
		Programs: []*pb.SkaterProgram{{Segment: "free-skating", Elements: planned}},
	}}); err != nil {
		t.Fatal(err)
	}
	res, err := list()
	if err != nil || len(res.GetRunThroughs()) != 2 {
		t.Fatalf("%v, %v", res, err)
	}
	check, err := b.CheckProgram(t.Context(), &pb.CheckProgramRequest{
		Season: "2025-26", Category: "senior-women", Segment: "free-skating", KeepPanelCalls: true, Elements: []*pb.PlannedElement{
			{Code: "CCoSp4", Grade: proto.Float64(2)}, {Code: "3Lz<", Grade: proto.Float64(-5)}, {Code: "2A", Grade: proto.Float64(1), SecondHalf: true},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	one := res.GetRunThroughs()[0]
	if one.GetRunThrough() != "new" || one.GetElementScore() != check.GetPredicted().GetElementScore() || one.GetFalls() != 1 || one.GetFallDeduction() != "-1.00" || !proto.Equal(one.GetProgram(), check) {
		t.Errorf("%v, want %v", one, check)
	}
	if old := res.GetRunThroughs()[1]; old.GetRunThrough() != "old" || old.GetElementScore() != "" || old.GetError().GetCode() == 0 || len(old.GetAttempts()) != 2 {
		t.Errorf("%v", old)
	}
}

// A renewed token opens the book and the one before does not; a deleted book is opened
// by none.
func TestTokensOfBooks(t *testing.T) {
	b := newBook(t)
	renewed, err := b.RenewBookToken(t.Context(), &pb.RenewBookTokenRequest{Book: b.id})
	if err != nil {
		t.Fatal(err)
	}
	read := func(c *client.Client) string {
		_, err := c.GetBook(t.Context(), &pb.GetBookRequest{Book: b.id})
		return reason(err)
	}
	next := b.server.Client(client.WithToken(renewed.GetToken()))
	if read(b.Client) != "UNAUTHENTICATED" || read(next) != "" {
		t.Errorf("the token before: %q, the new one: %q", read(b.Client), read(next))
	}
	if _, err := b.admin.DeleteBook(t.Context(), &pb.DeleteBookRequest{Book: b.id}); err != nil || read(next) != "UNAUTHENTICATED" {
		t.Errorf("%v; then %q", err, read(next))
	}
}

// What a refusal quotes may name a child: it is for the caller, not for the log.
func TestNamesStayOutOfTheLog(t *testing.T) {
	core, log := observer.New(zap.DebugLevel)
	server := clienttest.Start(t, clienttest.WithLogger(zap.New(core)))
	made, err := server.Client(client.WithToken(server.Admin)).CreateBook(t.Context(), &pb.CreateBookRequest{Title: "Invented club"})
	if err != nil {
		t.Fatal(err)
	}
	c, id := server.Client(client.WithToken(made.GetToken())), made.GetBook().GetBook()
	const name = "Mirabelle"
	if _, err := c.AddSkater(t.Context(), &pb.AddSkaterRequest{Book: id, Name: name}); err != nil {
		t.Fatal(err)
	}
	for i, err := range []error{
		second(c.AddAttempts(t.Context(), &pb.AddAttemptsRequest{Book: id, Skater: "1", Attempts: []*pb.Attempt{{Planned: "9" + name}}})),
		second(c.GetAbilities(t.Context(), &pb.GetAbilitiesRequest{Book: id, Skater: "1", Category: name})),
		second(c.AddChange(t.Context(), &pb.AddChangeRequest{Book: id, Skater: name, Text: name})),
	} {
		if err == nil {
			t.Errorf("request %d is not refused", i)
		}
	}
	lines := log.All()
	if len(lines) < 5 {
		t.Fatalf("%d lines", len(lines))
	}
	for _, line := range lines {
		if text := fmt.Sprint(line.Message, line.ContextMap()); strings.Contains(text, name) || strings.Contains(text, "Invented club") || strings.Contains(text, made.GetToken()) {
			t.Errorf("the log says %s", text)
		}
	}
}
