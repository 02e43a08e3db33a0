package program_test

import (
	"context"
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/program"
	"github.com/rinktally/rinktally/server/tables"
)

func service(t testing.TB) *program.Service {
	t.Helper()
	all, err := tables.New(func() time.Time { return time.Date(2026, 1, 10, 0, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	return program.New(all)
}

// Text and elements are two ways to say the same, so they are answered alike.
func TestTextAndElementsAgree(t *testing.T) {
	s := service(t)
	base := &pb.CheckProgramRequest{Season: "current", Category: "senior-women", Segment: "free-skating"}
	asText, asList := proto.CloneOf(base), proto.CloneOf(base)
	asText.Text = "3Lz+3T +2, CCoSp4\n# the second half\n| 2A -1.25; 3F*"
	asList.Elements = []*pb.PlannedElement{
		{Code: "3Lz+3T", Grade: proto.Float64(2)}, {Code: "CCoSp4"}, {Code: "2A", SecondHalf: true, Grade: proto.Float64(-1.25)}, {Code: "3F*", SecondHalf: true},
	}
	a, err := s.CheckProgram(context.Background(), asText)
	if err != nil {
		t.Fatal(err)
	}
	b, err := s.CheckProgram(context.Background(), asList)
	if err != nil {
		t.Fatal(err)
	}
	if !proto.Equal(a, b) {
		t.Errorf("as text\n%v\nas a list\n%v", a, b)
	}
	if got := a.GetElements()[3].GetCode(); got != "3F" {
		t.Errorf("a no-value mark of the request must be found again, got %s", got)
	}
}

// Every finding stands at its element, and the text of each is for people.
func TestFindingsAreAtTheirElements(t *testing.T) {
	res, err := service(t).CheckProgram(context.Background(), &pb.CheckProgramRequest{
		Season: "2025-26", Category: "senior-women", Segment: "free-skating", DurationSeconds: 300,
		Text: "3Lz, 3Lz, 2A, 3Lo, FCSp4, 3Lz, 3F+2T, StSq3, ChSq1, CCoSp4, CCoSp4",
	})
	if err != nil {
		t.Fatal(err)
	}
	at := map[int32]bool{}
	for i, e := range res.GetElements() {
		for _, n := range e.GetFindings() {
			at[n] = true
			if f := res.GetFindings()[n]; f.Element == nil || f.GetElement() != int32(i) || !strings.HasPrefix(f.GetAt(), "elements["+strconv.Itoa(i)+"]") {
				t.Errorf("element %d points to %v", i, f)
			}
		}
	}
	for i, f := range res.GetFindings() {
		if (f.Element != nil) != at[int32(i)] {
			t.Errorf("finding %d, %v, is not told where it belongs", i, f)
		}
		if f.GetMessage() == "" || f.GetRule() == "" || f.GetSource() == "" || f.GetConfidence() == "" {
			t.Errorf("finding %d lacks its words, rule or source: %v", i, f)
		}
	}
	for _, want := range []pb.FindingCode_Value{pb.FindingCode_REPEATED_ALONE, pb.FindingCode_JUMP_TOO_OFTEN, pb.FindingCode_SPIN_SAME_CODE, pb.FindingCode_TOO_LONG} {
		if !slices.ContainsFunc(res.GetFindings(), func(f *pb.Finding) bool { return f.GetCode() == want }) {
			t.Errorf("%v was not found", want)
		}
	}
}

// A harder element is never suggested without the words of caution.
func TestCautionStandsBesideHarderContent(t *testing.T) {
	res, err := service(t).CheckProgram(context.Background(), &pb.CheckProgramRequest{
		Season: "2025-26", Category: "senior-women", Segment: "free-skating", Text: "CCoSp3",
	})
	if err != nil {
		t.Fatal(err)
	}
	change := res.GetElements()[0].GetWorth()
	// Published ISU score sheets of 2025-26: CCoSp3 3.00, CCoSp4 3.50.
	if len(change) != 1 || change[0].GetCall() != pb.PanelCall_NEXT_LEVEL || change[0].GetDifference() != "0.50" || change[0].Jump != nil {
		t.Errorf("worth %v", change)
	}
	if !strings.Contains(res.GetCaution(), "coach") || !strings.Contains(res.GetCaution(), "medical") {
		t.Errorf("caution %q", res.GetCaution())
	}
}

// The panel's calls are kept where that is asked for, and taken off under a second
// season, whose rules they do not follow. Values: ISU Communication 2000 (3A 8.50)
// and published sheets of 2025-26 (3A 8.00, 2T 1.30).
func TestPanelCallsAreKept(t *testing.T) {
	req := &pb.CheckProgramRequest{
		Season: "2016-17", CompareSeason: "2025-26", Category: "senior-men", Segment: "free-skating",
		Text: "3A+2T*+REP, 4T", KeepPanelCalls: true,
	}
	res, err := service(t).CheckProgram(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	if e := res.GetElements()[0]; e.GetCode() != "3A+2T*+REP" || e.GetBaseValue() != "5.95" || len(e.GetFindings()) > 0 {
		t.Errorf("kept: %v", e)
	}
	second := res.GetCompared()
	e := second.GetElements()[0]
	if e.GetCode() != "3A+2T" || e.GetBaseValue() != "9.30" || len(e.GetFindings()) != 1 {
		t.Fatalf("compared: %v", e)
	}
	if f := second.GetFindings()[e.GetFindings()[0]]; f.GetCode() != pb.FindingCode_CALLS_TAKEN_OFF || f.GetSeverity() != pb.Severity_WARNING {
		t.Errorf("the second season takes them off without a word: %v", f)
	}
}

func TestComparison(t *testing.T) {
	s := service(t)
	ask := func(season, other string) *pb.CheckProgramResponse {
		t.Helper()
		res, err := s.CheckProgram(context.Background(), &pb.CheckProgramRequest{
			Season: season, CompareSeason: other, Category: "senior-women", Segment: "free-skating", Text: "3Lz +2, 2A",
		})
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	// ISU Communication 2000 (3Lz 6.00, 2A 3.30); published sheets of 2025-26
	// (3Lz 5.90, 2A 3.30). A +2 of a scale to 3 is none of a scale to 5.
	res := ask("2025-26", "2016-17")
	second := res.GetCompared()
	if res.GetTotalBaseValue() != "9.20" || second.GetTotalBaseValue() != "9.30" || second.GetRules().GetSeason() != "2016-17" || second.GetCompared() != nil {
		t.Errorf("%s and %s of %s", res.GetTotalBaseValue(), second.GetTotalBaseValue(), second.GetRules().GetSeason())
	}
	warned := slices.ContainsFunc(second.GetWarnings(), func(w *pb.Warning) bool { return w.GetCode() == "EXPECTATIONS_UNUSED" })
	if res.GetPredicted() == nil || second.GetPredicted() != nil || !warned {
		t.Errorf("expected grades are carried over: %v, warned %v", second.GetPredicted(), warned)
	}
	// The grades of 2024-25 are those of 2025-26.
	res = ask("2025-26", "2024-25")
	if res.GetCompared().GetPredicted().GetElementScore() != res.GetPredicted().GetElementScore() {
		t.Errorf("%v and %v", res.GetPredicted(), res.GetCompared().GetPredicted())
	}
}

func TestFaults(t *testing.T) {
	s := service(t)
	for _, c := range []struct {
		name   string
		in     *pb.CheckProgramRequest
		code   codes.Code
		reason string
		fields []string
	}{
		{"nothing", &pb.CheckProgramRequest{}, codes.InvalidArgument, "FIELD_REQUIRED", []string{"elements", "season", "category", "segment"}},
		{"season and the rest", &pb.CheckProgramRequest{Season: "1998-99", Segment: "free-skating", Elements: []*pb.PlannedElement{{Code: "x$"}}},
			codes.NotFound, "SEASON_UNKNOWN", []string{"season", "category", "elements[0].code"}},
		{"both seasons", &pb.CheckProgramRequest{Season: "2025-26", CompareSeason: "1998-99", Category: "senior-women", Segment: "short", Text: "2A"},
			codes.NotFound, "SEASON_UNKNOWN", []string{"segment", "compareSeason"}},
		{"revision", &pb.CheckProgramRequest{Season: "2025-26", Revision: "sha256:0", Category: "senior-women", Segment: "free-skating", Text: "2A"},
			codes.FailedPrecondition, "REVISION_MISMATCH", []string{"revision"}},
		{"text and elements", &pb.CheckProgramRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating", Text: "2A", Elements: []*pb.PlannedElement{{Code: "2A"}}},
			codes.InvalidArgument, "FIELD_INVALID", []string{"text"}},
		{"text without an element", &pb.CheckProgramRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating", Text: " # nothing, yet\n , |"},
			codes.InvalidArgument, "FIELD_REQUIRED", []string{"text"}},
		{"too many", &pb.CheckProgramRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating", Text: strings.Repeat("2A,", 41)},
			codes.InvalidArgument, "TOO_MANY_ITEMS", []string{"elements"}},
		{"too long a text", &pb.CheckProgramRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating", Text: strings.Repeat(" ", 70_000)},
			codes.InvalidArgument, "CODE_INVALID", []string{"text.line[1]"}},
		{"components", &pb.CheckProgramRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating", Text: "2A",
			Components: []*pb.ExpectedComponent{{Component: pb.Component_TIMING, Mark: 8}, {Component: pb.Component_COMPOSITION, Mark: 11}, {Component: 99, Mark: 1}}},
			codes.InvalidArgument, "MARK_OUT_OF_RANGE", []string{"components[1].mark", "components", "components[2].component", "components[0].component"}},
		{"no element of the season", &pb.CheckProgramRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating", Text: "2A, 5A"},
			codes.InvalidArgument, "ELEMENT_UNKNOWN", []string{"elements[1].code"}},
		{"only in the second season", &pb.CheckProgramRequest{Season: "2025-26", CompareSeason: "2016-17", Category: "senior-women", Segment: "free-skating", Text: "3Lzq"},
			codes.InvalidArgument, "SIGN_UNKNOWN", []string{"compareSeason"}},
		{"only in the first season", &pb.CheckProgramRequest{Season: "2025-26", CompareSeason: "2016-17", Category: "senior-women", Segment: "free-skating", Text: "2A",
			Components: []*pb.ExpectedComponent{{Component: pb.Component_COMPOSITION, Mark: 8}}},
			codes.InvalidArgument, "COMPONENT_MISSING", []string{"components"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := s.CheckProgram(context.Background(), c.in)
			if status.Code(err) != c.code || errs.Reason(err) != c.reason {
				t.Errorf("got %v %s: %v", status.Code(err), errs.Reason(err), err)
			}
			got := slices.Compact(errs.Fields(err))
			if !slices.Equal(got, c.fields) {
				t.Errorf("fields %v, want %v: %v", got, c.fields, err)
			}
		})
	}
}

// TestWarningsNameTheirFields checks that warnings name the fields of the request as
// it was given: the lines of a text, and elements by their own place even where
// others were left out.
func TestWarningsNameTheirFields(t *testing.T) {
	s := service(t)
	fields := func(req *pb.CheckProgramRequest) []string {
		t.Helper()
		// No sheet shows a 4A as the base value of 2018-19.
		req.Season, req.Category, req.Segment = "2018-19", "senior-men", "free-skating"
		res, err := s.CheckProgram(context.Background(), req)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range res.GetWarnings() {
			if w.GetRule() == "values.singles.4A" && w.GetConfidence() == "inferred" {
				return w.GetFields()
			}
		}
		t.Fatalf("no warning of the value: %v", res.GetWarnings())
		return nil
	}
	if got := fields(&pb.CheckProgramRequest{Text: "3Lz, 4A, CCoSp4\n\n4A+2T"}); !slices.Equal(got, []string{"text.line[1]", "text.line[3]"}) {
		t.Errorf("of a text: %v", got)
	}
	if got := fields(&pb.CheckProgramRequest{Partial: true, Elements: []*pb.PlannedElement{{Code: "4F5"}, {Code: "5A"}, {Code: "4A"}}}); !slices.Equal(got, []string{"elements[2]"}) {
		t.Errorf("of a part: %v", got)
	}
}

// While a program is being written, what cannot be read yet does not take the
// figures of the rest away.
func TestPartialProgram(t *testing.T) {
	s := service(t)
	whole := &pb.CheckProgramRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating", Text: "3Lz, 2A +2, CCoSp4"}
	want, err := s.CheckProgram(context.Background(), whole)
	if err != nil {
		t.Fatal(err)
	}
	part := &pb.CheckProgramRequest{
		Season: "2025-26", Category: "senior-women", Segment: "free-skating", Partial: true, CompareSeason: "2016-17",
		Text: "3Lz, 5A, 3\n2A +2, 3Lz@@, 5A<, CCoSp4\n+",
	}
	got, err := s.CheckProgram(context.Background(), part)
	if err != nil {
		t.Fatal(err)
	}
	var fields []string
	for _, l := range got.GetLeftOut() {
		fields = append(fields, l.GetField())
		if l.GetReason() == "" || l.GetMessage() == "" {
			t.Errorf("no reason: %v", l)
		}
	}
	// 5A and 5A< can be read, but no season has them.
	if want := []string{"text.line[1]", "text.line[2]", "text.line[3]", "elements[1].code", "elements[3].code"}; !slices.Equal(fields, want) {
		t.Errorf("left out %v, want %v", fields, want)
	}
	if got.GetCompared() == nil {
		t.Error("the second season is missing")
	}
	got.LeftOut, got.Compared = nil, nil
	if !proto.Equal(got, want) {
		t.Errorf("got\n%v\nwant\n%v", got, want)
	}

	part.Text, part.CompareSeason = "3Lzq", "2016-17" // that season did not have the sign
	got, err = s.CheckProgram(context.Background(), part)
	if err != nil || got.GetCompared() != nil || len(got.GetLeftOut()) != 1 || got.GetLeftOut()[0].GetField() != "compareSeason" {
		t.Errorf("a second season that cannot take the program: %v %v", got.GetLeftOut(), err)
	}
	part.Text, part.CompareSeason = "", ""
	if got, err = s.CheckProgram(context.Background(), part); err != nil || len(got.GetElements()) != 0 || len(got.GetFindings()) == 0 {
		t.Errorf("nothing yet: %v %v", got, err)
	}
	part.Elements = []*pb.PlannedElement{{Code: "3Lz", Grade: proto.Float64(9)}, {Code: "2A", Grade: proto.Float64(0.001)}}
	got, err = s.CheckProgram(context.Background(), part)
	if err != nil || len(got.GetElements()) != 1 || len(got.GetLeftOut()) != 2 {
		t.Errorf("grades: %v %v", got, err)
	}
	part.Category = "senior-cats"
	if _, err = s.CheckProgram(context.Background(), part); errs.Reason(err) != "CATEGORY_UNKNOWN" {
		t.Errorf("a wrong category is still an error, got %v", err)
	}
}

// Each kind of finding is a word of the contract. The engine's constants are
// read from its source, since Go cannot list them.
func TestEveryFindingIsInTheContract(t *testing.T) {
	f, err := parser.ParseFile(token.NewFileSet(), "../../rules/program/finding.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	ast.Inspect(f, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		if kind, ok := spec.Type.(*ast.Ident); !ok || kind.Name != "Code" {
			return true
		}
		word, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
		if err != nil {
			t.Fatal(err)
		}
		found++
		if pb.FindingCode_Value_value[word] == 0 {
			t.Errorf("%s is not in the contract", word)
		}
		return true
	})
	if known := len(pb.FindingCode_Value_name) - 1; found != known {
		t.Errorf("the engine has %d kinds of finding, the contract %d", found, known)
	}
}

// Marks for more components than any segment has are refused before each is looked
// up among the others.
func TestComponentsOfNoSegment(t *testing.T) {
	req := &pb.CheckProgramRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating", Text: "2A"}
	for n := range int32(101) {
		req.Components = append(req.Components, &pb.ExpectedComponent{Component: pb.Component_Value(1000 + n), Mark: 8})
	}
	_, err := service(t).CheckProgram(context.Background(), req)
	if fields := errs.Fields(err); errs.Reason(err) != "TOO_MANY_ITEMS" || len(fields) != 1 || fields[0] != "components" {
		t.Errorf("%v at %q", err, fields)
	}
}
