package scoring_test

import (
	"context"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/integration/invented"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/server/batch"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

func service(t testing.TB) *scoring.Service {
	t.Helper()
	loaded, err := tables.New(func() time.Time { return time.Date(2026, 1, 15, 0, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	return scoring.New(loaded)
}

// read fills a message from JSON as a caller writes it.
func read[M proto.Message](t *testing.T, json string, m M) M {
	t.Helper()
	if err := protojson.Unmarshal([]byte(json), m); err != nil {
		t.Fatal(err)
	}
	return m
}

// faults returns "field reason" of every violation.
func faults(err error) []string {
	var list []string
	for _, d := range status.Convert(err).Details() {
		if bad, ok := d.(*errdetails.BadRequest); ok {
			for _, v := range bad.GetFieldViolations() {
				list = append(list, v.GetField()+" "+v.GetReason())
			}
		}
	}
	slices.Sort(list)
	return list
}

func wantFaults(t *testing.T, err error, want ...string) {
	t.Helper()
	slices.Sort(want)
	if got := faults(err); !slices.Equal(got, want) {
		t.Errorf("faults\n  %s\nwant\n  %s", strings.Join(got, "\n  "), strings.Join(want, "\n  "))
	}
}

// Two facts of common practice, in the tables 2012-13 to 2021-22: a layback with
// eight revolutions in the classic position, three in the side position and a
// variation is level 3; a camel variation held eight revolutions is two features
// on one foot, a sit variation the third and an upright variation the fourth.
func TestLevelsOfCommonPractice(t *testing.T) {
	s := service(t)
	for json, want := range map[string]string{
		`{"spin":{"feet":[{"positions":[
			{"position":"LAYBACK","lean":"BACKWARD","revolutions":8},
			{"position":"LAYBACK","lean":"SIDEWAYS","revolutions":3},
			{"position":"LAYBACK","lean":"BACKWARD","variation":"LAYBACK","revolutions":3}]}]}}`: "LSp3",
		`{"spin":{"feet":[{"positions":[{"position":"CAMEL","variation":"CAMEL_UPWARD","revolutions":8}]},
			{"change":"STEP","positions":[
			{"position":"SIT","variation":"SIT_FORWARD","revolutions":3},
			{"position":"UPRIGHT","variation":"UPRIGHT_STRAIGHT_OR_SIDEWAYS","revolutions":3}]}]}}`: "CCoSp4",
	} {
		for _, season := range []string{"2012-13", "2016-17", "2021-22"} {
			req := read(t, `{"category":"senior-women","segment":"free-skating","elements":[`+json+`]}`, &pb.CallLevelsRequest{})
			req.Season = season
			res, err := s.CallLevels(context.Background(), req)
			if err != nil {
				t.Fatalf("%s: %v", season, err)
			}
			if got := res.GetElements()[0].GetCode(); !strings.HasPrefix(got, want[:len(want)-1]) || res.GetElements()[0].GetLevel() != want[len(want)-1:] {
				t.Errorf("%s: %s, want %s", season, got, want)
			}
			if res.GetRules().GetSeason() != season || !strings.HasPrefix(res.GetRules().GetRevision(), "sha256:") {
				t.Errorf("rules %v", res.GetRules())
			}
		}
	}
}

// A step sequence whose code lacks its pattern has a note, no warning about a
// code that is not there. (Published protocols name the pattern until 2011-12.)
// Each path of an answer stands beside it in words.
func TestWhereInWords(t *testing.T) {
	res, err := service(t).CallLevels(context.Background(), &pb.CallLevelsRequest{
		Season: "2016-17", Category: "senior-women", Segment: "free-skating",
		Elements: []*pb.LevelledElement{{Kind: &pb.LevelledElement_Spin{Spin: &pb.Spin{
			Flying: pb.Flying_DIFFICULT,
			Feet: []*pb.SpinFoot{
				{Positions: []*pb.SpinPosition{{Position: pb.Position_CAMEL, Revolutions: 3}}},
				{Change: pb.FootChange_JUMP, Positions: []*pb.SpinPosition{
					{Position: pb.Position_CAMEL, Revolutions: 3},
					{Position: pb.Position_CAMEL, Variation: pb.Variation_CAMEL_UPWARD, Revolutions: 3},
				}},
			},
		}}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{"flying": "flying entry", "feet[1].change": "foot 2", "feet[1].positions[1]": "foot 2, position 2"}
	for _, f := range res.GetElements()[0].GetFeatures() {
		if f.GetWhere() != want[f.GetAt()] {
			t.Errorf("%s is %q, want %q", f.GetAt(), f.GetWhere(), want[f.GetAt()])
		}
		delete(want, f.GetAt())
	}
	if len(want) > 0 {
		t.Errorf("nothing is said of %v", want)
	}
}

func TestLevelWithoutCode(t *testing.T) {
	req := read(t, `{"season":"2010-11","category":"senior-women","segment":"free-skating","elements":[
		{"stepSequence":{"turns":[{"type":"LOOP","clockwise":2}]}}]}`, &pb.CallLevelsRequest{})
	res, err := service(t).CallLevels(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	e := res.GetElements()[0]
	if e.GetCode() != "" || e.GetBaseValue() != "" || !strings.Contains(strings.Join(e.GetNotes(), " "), "pattern") {
		t.Errorf("element %v", e)
	}
	for _, w := range res.GetWarnings() {
		if w.GetRule() == "" || strings.Contains(w.GetMessage(), "no base value") {
			t.Errorf("warning %v", w)
		}
	}
}

// A combination without change of foot in two positions is reduced in 2016-17;
// a value that the table does not have is left empty and warns.
func TestLevelWithoutValue(t *testing.T) {
	req := read(t, `{"season":"2016-17","category":"senior-women","segment":"free-skating","elements":[
		{"spin":{"feet":[{"positions":[{"position":"CAMEL","revolutions":3},{"position":"SIT","revolutions":3}]}]}}]}`, &pb.CallLevelsRequest{})
	res, err := service(t).CallLevels(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	e := res.GetElements()[0]
	noted := slices.ContainsFunc(e.GetNotes(), func(n string) bool { return strings.Contains(n, "no base value for CoSpBV") })
	if e.GetCode() != "CoSpBV" || !e.GetReducedValue() || e.GetBaseValue() != "" || !noted {
		t.Errorf("element %v", e)
	}
}

func TestLevelFaultsComeTogether(t *testing.T) {
	req := read(t, `{"category":"senior-women","segment":"free","elements":[
		{"spin":{"feet":[{"change":"STEP","positions":[
			{"position":"CAMEL","variation":"SIT_FORWARD","revolutions":2.3},
			{"position":"SIT","lean":"SIDEWAYS","revolutions":-1}]}]}},
		{"stepSequence":{"turns":[{"type":"LOOP","clockwise":-1}]}},
		{}]}`, &pb.CallLevelsRequest{})
	req.Season = "2016-17"
	_, err := service(t).CallLevels(context.Background(), req)
	wantFaults(t, err,
		"segment SEGMENT_UNKNOWN",
		"elements[0].spin.feet[0].change FIELD_INVALID",
		"elements[0].spin.feet[0].positions[0].revolutions REVOLUTIONS_INVALID",
		"elements[0].spin.feet[0].positions[0].variation VARIATION_INVALID",
		"elements[0].spin.feet[0].positions[1].lean FIELD_INVALID",
		"elements[0].spin.feet[0].positions[1].revolutions REVOLUTIONS_INVALID",
		"elements[1].stepSequence.turns[0].clockwise FIELD_INVALID",
		"elements[2] FIELD_REQUIRED")
}

// Values of the published scale of 2025-26 as its sheets print them.
func TestValueElements(t *testing.T) {
	req := read(t, `{"season":"2025-26","category":"senior-men","segment":"free-skating",
		"elements":[{"code":"3Lz+3T"},{"code":"3T","secondHalf":true}]}`, &pb.ValueElementsRequest{})
	res, err := service(t).ValueElements(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	got := protojson.MarshalOptions{}.Format(res)
	first, second := res.GetElements()[0], res.GetElements()[1]
	if first.GetBaseValue() != "10.10" || first.GetParts()[0].GetBaseValue() != "5.90" || first.GetParts()[1].GetBaseValue() != "4.20" {
		t.Errorf("%s", got)
	}
	// 4.20 x 1.10, the bonus of the last three jump elements of the second half.
	if second.GetBaseValue() != "4.62" || second.GetFactors()[0].GetKind() != pb.FactorKind_SECOND_HALF || second.GetFactors()[0].GetBy() != "1.10" {
		t.Errorf("%s", got)
	}
	if res.GetTotalBaseValue() != "14.72" {
		t.Errorf("total %s", res.GetTotalBaseValue())
	}
}

func TestValueFaultsComeTogether(t *testing.T) {
	s := service(t)
	_, err := s.ValueElements(context.Background(), read(t, `{"season":"1998-99","elements":[{"code":"3Lz"},{"code":"x"}]}`, &pb.ValueElementsRequest{}))
	if status.Code(err) != codes.NotFound || errs.Reason(err) != "SEASON_UNKNOWN" {
		t.Errorf("%v", err)
	}
	wantFaults(t, err, "season SEASON_UNKNOWN", "category FIELD_REQUIRED", "segment FIELD_REQUIRED", "elements[1].code CODE_INVALID")
	_, err = s.ValueElements(context.Background(), read(t, `{"season":"2016-17","category":"nobody","segment":"free-skating"}`, &pb.ValueElementsRequest{}))
	wantFaults(t, err, "category CATEGORY_UNKNOWN", "elements FIELD_REQUIRED")
}

// The arithmetic itself is checked where it is done; here that a request reaches
// it whole and its result comes back whole.
func TestScoreSegment(t *testing.T) {
	req := invented.FreeSkate()
	req.Explain = true
	res, err := service(t).ScoreSegment(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	if len(res.GetElements()) != 12 || len(res.GetComponents()) != 3 || len(res.GetDeductions()) != 1 || len(res.GetSteps()) == 0 {
		t.Fatalf("%s", protojson.Format(res))
	}
	points := func(text string) rules.Points {
		t.Helper()
		p, err := rules.ParsePoints(text)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	var elements, components rules.Points
	for _, e := range res.GetElements() {
		if points(e.GetBaseValue())+points(e.GetGoe()) != points(e.GetScore()) {
			t.Errorf("%s: %s + %s is not %s", e.GetCode(), e.GetBaseValue(), e.GetGoe(), e.GetScore())
		}
		elements += points(e.GetScore())
	}
	for _, c := range res.GetComponents() {
		components += points(c.GetScore())
	}
	if elements != points(res.GetElementScore()) || components != points(res.GetComponentScore()) ||
		elements+components+points(res.GetTotalDeductions()) != points(res.GetSegmentScore()) || res.GetTotalDeductions() != "-1.00" {
		t.Errorf("%s", protojson.Format(res))
	}
}

func TestScoreFaultsComeTogether(t *testing.T) {
	req := read(t, `{"season":"2025-26","category":"senior-women","segment":"short-program",
		"elements":[{"code":"3Lz+3T","marks":[2,2,9]},{"code":"?","marks":[1,1,1]}],
		"components":[{"component":"COMPOSITION","marks":[8.333,8.3,11]},{"component":"TIMING","marks":[8,8,8]},
			{"component":"PRESENTATION","marks":[8,8,8]},{"component":"SKATING_SKILLS","marks":[8,8,8]}],
		"deductions":[{"kind":"FALL","count":0},{"kind":"OTHER","value":"1,5"}]}`, &pb.ScoreSegmentRequest{})
	_, err := service(t).ScoreSegment(context.Background(), req)
	wantFaults(t, err,
		"components[0].marks[0] MARK_OFF_GRID", "components[0].marks[1] MARK_OFF_GRID", "components[0].marks[2] MARK_OUT_OF_RANGE",
		"components[1].component COMPONENT_UNKNOWN",
		"elements[0].marks[2] MARK_OUT_OF_RANGE", "elements[1].code CODE_INVALID",
		"deductions[0].count DEDUCTION_VALUE", "deductions[1].value DEDUCTION_VALUE")
}

// A message over gRPC can hold lists that no panel gives. They are refused before
// anything is made of them: each deduction is compared with those before it, say.
func TestListsOfNoPanelAreRefused(t *testing.T) {
	const long = 100_000
	for field, change := range map[string]func(*pb.ScoreSegmentRequest){
		"deductions": func(r *pb.ScoreSegmentRequest) {
			r.Deductions = slices.Repeat([]*pb.Deduction{{Kind: pb.DeductionKind_FALL}}, long)
		},
		"countedJudges": func(r *pb.ScoreSegmentRequest) {
			r.CountedJudges = append(make([]int32, long), slices.Repeat([]int32{1}, long)...)
		},
		"absentJudges": func(r *pb.ScoreSegmentRequest) { r.AbsentJudges = make([]int32, long) },
		"components": func(r *pb.ScoreSegmentRequest) {
			r.Components = slices.Repeat([]*pb.MarkedComponent{{Component: pb.Component_TIMING}}, long)
		},
		"components[1].marks": func(r *pb.ScoreSegmentRequest) { r.Components[1].Marks = slices.Repeat([]float64{0.001}, long) },
		"elements[2].marks":   func(r *pb.ScoreSegmentRequest) { r.Elements[2].Marks = slices.Repeat([]int32{99}, long) },
		"elements[3].missingMarks": func(r *pb.ScoreSegmentRequest) {
			r.Elements[3].MissingMarks = slices.Repeat([]*pb.MissingMark{{Judge: 1}}, long)
		},
		"elements": func(r *pb.ScoreSegmentRequest) { r.Elements = slices.Repeat(r.Elements[:1], long) },
	} {
		t.Run(field, func(t *testing.T) {
			req := invented.FreeSkate()
			change(req)
			_, err := service(t).ScoreSegment(context.Background(), req)
			wantFaults(t, err, field+" TOO_MANY_ITEMS")
		})
	}
}

// Marks are taken exactly or not at all.
func TestComponentMarksAreExact(t *testing.T) {
	s := service(t)
	for mark, want := range map[float64]string{
		8.25: "", 8.3: "MARK_OFF_GRID", 8.2500001: "MARK_OFF_GRID", math.NaN(): "MARK_OUT_OF_RANGE", math.Inf(1): "MARK_OUT_OF_RANGE",
		1e300: "MARK_OUT_OF_RANGE", -8.25: "MARK_OUT_OF_RANGE", 10.25: "MARK_OUT_OF_RANGE", 0.25: "", 10: "",
	} {
		req := invented.FreeSkate()
		req.Components[1].Marks[4] = mark
		_, err := s.ScoreSegment(context.Background(), req)
		if want == "" {
			if err != nil {
				t.Errorf("%v: %v", mark, err)
			}
			continue
		}
		wantFaults(t, err, "components[1].marks[4] "+want)
	}
}

func TestUnknownEnumNumbersAreFaults(t *testing.T) {
	req := invented.FreeSkate()
	req.Components[0].Component = 99
	req.Deductions = append(req.Deductions, &pb.Deduction{Kind: 77})
	_, err := service(t).ScoreSegment(context.Background(), req)
	wantFaults(t, err, "components COMPONENT_MISSING", "components[0].component COMPONENT_UNKNOWN", "deductions[1].kind DEDUCTION_UNKNOWN")
}

func TestPinnedRevision(t *testing.T) {
	s := service(t)
	req := invented.FreeSkate()
	first, err := s.ScoreSegment(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	req.Revision = first.GetRules().GetRevision()
	if _, err := s.ScoreSegment(context.Background(), req); err != nil {
		t.Errorf("the table's own revision: %v", err)
	}
	req.Revision = "sha256:00"
	if _, err := s.ScoreSegment(context.Background(), req); status.Code(err) != codes.FailedPrecondition || errs.Reason(err) != "REVISION_MISMATCH" {
		t.Errorf("%v", err)
	}
}

func TestBatchOneBadOneGood(t *testing.T) {
	s := service(t)
	good, bad, other := invented.FreeSkate(), invented.FreeSkate(), invented.FreeSkate()
	good.Season = ""
	bad.Elements[3].Marks[2] = 9
	other.Season = "1998-99"
	res, err := s.BatchScoreSegments(context.Background(), &pb.BatchScoreSegmentsRequest{
		Season: "2025-26", Segments: []*pb.ScoreSegmentRequest{good, bad, nil, other, good},
	})
	if err != nil {
		t.Fatal(err)
	}
	alone, err := s.ScoreSegment(context.Background(), invented.FreeSkate())
	if err != nil {
		t.Fatal(err)
	}
	var reasons []string
	for i, r := range res.GetResults() {
		if r.GetScore() != nil {
			if !proto.Equal(r.GetScore(), alone) {
				t.Errorf("segment %d differs from the same one scored alone", i)
			}
			reasons = append(reasons, "")
			continue
		}
		reasons = append(reasons, errs.Reason(status.FromProto(r.GetError()).Err()))
	}
	if want := []string{"", "MARK_OUT_OF_RANGE", "FIELD_REQUIRED", "SEASON_UNKNOWN", ""}; !slices.Equal(reasons, want) {
		t.Errorf("reasons %q, want %q", reasons, want)
	}
	if good.GetSeason() != "" {
		t.Error("the request was changed")
	}
}

// TestWarningsNameTheirFields checks that a warning names what of the request rests on
// it: here the elements with a level that the category does not have. A batch names
// the segment too.
func TestWarningsNameTheirFields(t *testing.T) {
	s := service(t)
	req := read(t, `{"category":"basic-novice-girls","segment":"free-skating","elements":[
		{"code":"2A","marks":[0,0,0,0,0]},{"code":"CCoSp4","marks":[0,0,0,0,0]},{"code":"StSq1","marks":[0,0,0,0,0]},{"code":"SSp4","marks":[0,0,0,0,0]}],
		"components":[{"component":"COMPOSITION","marks":[3,3,3,3,3]},{"component":"PRESENTATION","marks":[3,3,3,3,3]},{"component":"SKATING_SKILLS","marks":[3,3,3,3,3]}]}`,
		&pb.ScoreSegmentRequest{})
	req.Season = "2025-26"
	above := func(list []*pb.Warning) *pb.Warning {
		i := slices.IndexFunc(list, func(w *pb.Warning) bool { return w.GetCode() == string(rules.WarnLevelAboveCap) })
		if i < 0 {
			t.Fatalf("no warning of the levels: %v", list)
		}
		return list[i]
	}
	alone, err := s.ScoreSegment(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	if w := above(alone.GetWarnings()); !slices.Equal(w.GetFields(), []string{"elements[1]", "elements[3]"}) || w.GetRule() != "categories.basic-novice-girls.max_level" {
		t.Errorf("is %v", w)
	}
	batch, err := s.BatchScoreSegments(context.Background(), &pb.BatchScoreSegmentsRequest{Season: "2025-26", Segments: []*pb.ScoreSegmentRequest{invented.FreeSkate(), req}})
	if err != nil {
		t.Fatal(err)
	}
	if w := above(batch.GetResults()[1].GetScore().GetWarnings()); !slices.Equal(w.GetFields(), []string{"segments[1].elements[1]", "segments[1].elements[3]"}) {
		t.Errorf("in a batch: %v", w)
	}
}

// TestCautionStandsOnce checks that what leaves the next level to the coach is said
// once, however many elements show a way to it, and not at all without one.
func TestCautionStandsOnce(t *testing.T) {
	const spin = `{"spin":{"feet":[{"positions":[{"position":"CAMEL","revolutions":3}]}]}}`
	for elements, want := range map[string]bool{
		spin + "," + `{"spin":{"feet":[{"positions":[{"position":"SIT","revolutions":3}]}]}}`: true,
		`{"spin":{"feet":[{"positions":[{"position":"CAMEL","revolutions":1}]}]}}`:            false, // no spin, no level
	} {
		req := read(t, `{"category":"senior-women","segment":"free-skating","elements":[`+elements+`]}`, &pb.CallLevelsRequest{})
		req.Season = "2025-26"
		res, err := service(t).CallLevels(context.Background(), req)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(res.GetCaution(), "not advice"); got != want {
			t.Errorf("%s: the caution is %q", elements, res.GetCaution())
		}
		for _, e := range res.GetElements() {
			for _, note := range e.GetNotes() {
				if strings.Contains(note, "not advice") {
					t.Errorf("a note of an element repeats it: %q", note)
				}
			}
		}
	}
}

func TestBatchLimits(t *testing.T) {
	s := service(t)
	_, err := s.BatchScoreSegments(context.Background(), &pb.BatchScoreSegmentsRequest{Season: "2025-26"})
	wantFaults(t, err, "segments FIELD_REQUIRED")
	_, err = s.BatchScoreSegments(context.Background(), &pb.BatchScoreSegmentsRequest{
		Season: "nope", Segments: make([]*pb.ScoreSegmentRequest, batch.Max+1),
	})
	wantFaults(t, err, "season SEASON_UNKNOWN", "segments TOO_MANY_ITEMS")
	given, stop := context.WithCancel(context.Background())
	stop()
	_, err = s.BatchScoreSegments(given, &pb.BatchScoreSegmentsRequest{Season: "2025-26", Segments: []*pb.ScoreSegmentRequest{invented.FreeSkate()}})
	if errs.Reason(err) != "CANCELLED" {
		t.Errorf("%v", err)
	}
}

// fakeStream returns requests and keeps answers.
type fakeStream struct {
	grpc.BidiStreamingServer[pb.ScoreSegmentsRequest, pb.ScoreSegmentsResponse]
	requests []*pb.ScoreSegmentsRequest
	answers  []*pb.ScoreSegmentsResponse
}

func (f *fakeStream) Recv() (*pb.ScoreSegmentsRequest, error) {
	if len(f.requests) == 0 {
		return nil, io.EOF
	}
	next := f.requests[0]
	f.requests = f.requests[1:]
	return next, nil
}

func (f *fakeStream) Send(r *pb.ScoreSegmentsResponse) error {
	f.answers = append(f.answers, r)
	return nil
}

func TestStreamAnswersInOrderAndGoesOnAfterAFault(t *testing.T) {
	bad := invented.FreeSkate()
	bad.Category = "nobody"
	stream := &fakeStream{requests: []*pb.ScoreSegmentsRequest{{Segment: invented.FreeSkate()}, {Segment: bad}, {}, {Segment: invented.FreeSkate()}}}
	if err := service(t).ScoreSegments(stream); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, a := range stream.answers {
		got = append(got, errs.Reason(status.FromProto(a.GetResult().GetError()).Err()))
	}
	if want := []string{"", "CATEGORY_UNKNOWN", "FIELD_REQUIRED", ""}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// Every word that the level engine can answer is one of the contract; a new one
// would otherwise travel as "unspecified".
func TestLevelWordsAreContract(t *testing.T) {
	for _, f := range rules.SpinFeatures {
		if pb.Feature_Value_value[string(f)] == 0 {
			t.Errorf("feature %s is not in the contract", f)
		}
	}
	for _, f := range append(slices.Clone(rules.StepFeatures), rules.TurnVarietyFeature) {
		if pb.Feature_Value_value[string(f)] == 0 {
			t.Errorf("feature %s is not in the contract", f)
		}
	}
	for _, r := range []level.Reason{
		level.LimitPerFoot, level.AlreadyUsed, level.TooFew, level.WrongPosition, level.LimitPerSpin, level.MandatoryMissing,
		level.NotThisSeason, level.NotThisSegment, level.UsedVariation, level.Surplus, level.MissingPosition, level.SharedFeature,
		level.LevelCap, level.NoVariety, level.ElementFault, level.NotCalled,
	} {
		if pb.FeatureReason_Value_value[string(r)] == 0 {
			t.Errorf("reason %s is not in the contract", r)
		}
	}
}
