package errs_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/store"
)

// details takes a status apart.
func details(t *testing.T, err error) (*errdetails.ErrorInfo, []*errdetails.BadRequest_FieldViolation) {
	t.Helper()
	var info *errdetails.ErrorInfo
	var violations []*errdetails.BadRequest_FieldViolation
	for _, d := range status.Convert(err).Details() {
		switch d := d.(type) {
		case *errdetails.ErrorInfo:
			info = d
		case *errdetails.BadRequest:
			violations = d.GetFieldViolations()
		}
	}
	if info == nil {
		t.Fatalf("%v has no ErrorInfo", err)
	}
	if info.GetDomain() != "rinktally" {
		t.Errorf("domain %q", info.GetDomain())
	}
	return info, violations
}

// Every reason of the contract has a code, as a refusal and as a fault of a field,
// and the status that it makes is an error with this reason.
func TestEveryReasonHasACode(t *testing.T) {
	for number, name := range pb.ErrorReason_Value_name {
		reason := pb.ErrorReason_Value(number)
		if reason == pb.ErrorReason_ERROR_REASON_UNSPECIFIED {
			continue
		}
		if name == "INTERNAL" {
			continue // TestInternalHidesItsCause
		}
		refused := errs.New(reason, "x")
		fault := errs.From(rules.FieldErrors{{Field: "x", Reason: rules.Reason(name), Message: "is wrong"}}, nil)
		for _, err := range []error{refused, fault} {
			if code := status.Code(err); code == codes.OK || code == codes.Internal || code == codes.Unknown {
				t.Errorf("%s has the code %v", name, code)
			}
			if info, _ := details(t, err); info.GetReason() != name {
				t.Errorf("%s became %s", name, info.GetReason())
			}
		}
		if status.Code(refused) != status.Code(fault) {
			t.Errorf("%s is %v as a refusal and %v as a fault", name, status.Code(refused), status.Code(fault))
		}
	}
}

// A reason that the contract does not name is the server's fault, never a success.
func TestUnknownReasonIsRefused(t *testing.T) {
	for _, err := range []error{
		errs.New(pb.ErrorReason_ERROR_REASON_UNSPECIFIED, "x"),
		errs.New(pb.ErrorReason_Value(9999), "x"),
		errs.From(rules.FieldErrors{{Field: "x", Reason: "SOLD_OUT"}}, nil),
		errs.From(rules.FieldErrors{{Field: "x", Reason: rules.ReasonFieldInvalid}, {Field: "y", Reason: "SOLD_OUT"}}, nil),
	} {
		if info, _ := details(t, err); status.Code(err) != codes.Internal || info.GetReason() != "INTERNAL" {
			t.Errorf("%v", err)
		}
	}
}

// soldOut is a refusal as packages make them that know no statuses.
type soldOut struct{}

func (soldOut) Error() string { return "the hall is full" }

func (soldOut) Refused() (pb.ErrorReason_Value, []string) {
	return pb.ErrorReason_NOT_NOW, []string{"event", "cup", "state", "FULL"}
}

func TestRefusalsOfOthers(t *testing.T) {
	err := errs.From(fmt.Errorf("sell: %w", soldOut{}), nil)
	info, _ := details(t, err)
	if status.Code(err) != codes.FailedPrecondition || info.GetReason() != "NOT_NOW" || info.GetMetadata()["state"] != "FULL" ||
		status.Convert(err).Message() != "the hall is full" {
		t.Errorf("%v %v", err, info)
	}
}

func TestCodeOfEachReason(t *testing.T) {
	for reason, want := range map[rules.Reason]codes.Code{
		rules.ReasonSeasonUnknown:     codes.NotFound,
		"ELEMENT_NOT_FOUND":           codes.NotFound,
		"REVISION_MISMATCH":           codes.FailedPrecondition,
		rules.ReasonGOEUnknown:        codes.FailedPrecondition,
		rules.ReasonRulesNotAvailable: codes.FailedPrecondition,
		rules.ReasonCodeInvalid:       codes.InvalidArgument,
		rules.ReasonMarkOutOfRange:    codes.InvalidArgument,
		"PAGE_TOKEN_INVALID":          codes.InvalidArgument,
	} {
		err := errs.From(rules.FieldErrors{{Field: "x", Reason: reason, Message: "is wrong"}}, nil)
		if got := status.Code(err); got != want {
			t.Errorf("%s: %v, want %v", reason, got, want)
		}
		if info, _ := details(t, err); info.GetReason() != string(reason) {
			t.Errorf("%s became %s", reason, info.GetReason())
		}
	}
}

// Every reason that the calculation can give is one of the contract.
func TestReasonsOfTheCalculationAreContract(t *testing.T) {
	for _, reason := range []rules.Reason{
		rules.ReasonFieldRequired, rules.ReasonFieldInvalid, rules.ReasonTooManyItems, rules.ReasonSeasonUnknown,
		rules.ReasonCategoryUnknown, rules.ReasonSegmentUnknown, rules.ReasonCodeInvalid, rules.ReasonSignUnknown,
		rules.ReasonElementUnknown, rules.ReasonScopeRequired, rules.ReasonGOEUnknown, rules.ReasonMarkOutOfRange,
		rules.ReasonMarkOffGrid, rules.ReasonPanelSize, rules.ReasonJudgeUnknown, rules.ReasonComponentMissing,
		rules.ReasonComponentUnknown, rules.ReasonComponentTwice, rules.ReasonDeductionUnknown, rules.ReasonDeductionValue,
		rules.ReasonPositionInvalid, rules.ReasonVariationInvalid, rules.ReasonRevolutionsWrong, rules.ReasonRulesNotAvailable,
	} {
		if pb.ErrorReason_Value_value[string(reason)] == 0 {
			t.Errorf("%s is not in the contract", reason)
		}
	}
}

func TestAllFaultsTogetherTheGravestFirst(t *testing.T) {
	var faults rules.FieldErrors
	faults.Add("elements[0].marks[1]", rules.ReasonGOEUnknown, "is in no source")
	faults.Add("elements[2].code", rules.ReasonCodeInvalid, "is no code")
	faults.Add("category", rules.ReasonFieldRequired, "is empty")
	faults.Add("category", rules.ReasonFieldRequired, "is empty") // said once
	err := errs.From(faults, &pb.ScoreSegmentRequest{
		Season: "2016-17", Elements: []*pb.MarkedElement{{}, {}, {Code: "3Xz"}},
	})
	if status.Code(err) != codes.InvalidArgument {
		t.Errorf("code %v", status.Code(err))
	}
	info, violations := details(t, err)
	if info.GetReason() != "CODE_INVALID" {
		t.Errorf("the status is about %s", info.GetReason())
	}
	for key, want := range map[string]string{"field": "elements[2].code", "found": "3Xz", "season": "2016-17"} {
		if got := info.GetMetadata()[key]; got != want {
			t.Errorf("metadata %s is %q, want %q", key, got, want)
		}
	}
	if len(violations) != 3 {
		t.Fatalf("%d violations, want 3: %v", len(violations), violations)
	}
	if v := violations[1]; v.GetField() != "elements[2].code" || v.GetReason() != "CODE_INVALID" || v.GetDescription() != "is no code" {
		t.Errorf("violation %v", v)
	}
	if !strings.Contains(status.Convert(err).Message(), "and 2 more") {
		t.Errorf("message %q", status.Convert(err).Message())
	}
}

func TestFoundIsWhatStandsAtThePath(t *testing.T) {
	req := &pb.ScoreSegmentRequest{
		Season:     strings.Repeat("x", 100),
		Elements:   []*pb.MarkedElement{{Code: "3Lz", Marks: []int32{1, 2, 7}}},
		Components: []*pb.MarkedComponent{{Component: pb.Component_TIMING, Marks: []float64{8.3}}},
	}
	for field, want := range map[string]string{
		"season":                  strings.Repeat("x", 40) + "…",
		"elements[0].marks[2]":    "7",
		"elements[0].marks":       "3",
		"components[0].component": "TIMING",
		"components[0].marks[0]":  "8.3",
		"elements[9].code":        "",
		"elements[x].code":        "",
		"elements[0].nothing":     "",
		"elements[0]":             "",
		"":                        "",
	} {
		info, _ := details(t, errs.From(rules.FieldErrors{{Field: field, Reason: rules.ReasonFieldInvalid}}, req))
		if got := info.GetMetadata()["found"]; got != want {
			t.Errorf("%s: found %q, want %q", field, got, want)
		}
	}
}

// What is allowed stands in the metadata as in the words; without a short list of
// it there is no such key.
func TestAllowedIsInTheMetadata(t *testing.T) {
	for want, fault := range map[string]rules.FieldError{
		"-5 to +5": rules.Fault("x", rules.ReasonMarkOutOfRange, "is %d; allowed is %s", 7, rules.Allow("%d to +%d", -5, 5)),
		"a, b":     rules.Fault("x", rules.ReasonFieldInvalid, "is %q; allowed are: %s", "c", rules.AllowList([]string{"a", "b"})),
		"":         rules.Fault("x", rules.ReasonFieldRequired, "is empty: %s", "give it"),
	} {
		info, violations := details(t, errs.From(fault, nil))
		if got, there := info.GetMetadata()["allowed"]; got != want || there != (want != "") {
			t.Errorf("allowed is %q, want %q", got, want)
		}
		if !strings.Contains(violations[0].GetDescription(), want) {
			t.Errorf("the words %q do not say %q", violations[0].GetDescription(), want)
		}
	}
}

func TestManyFaultsAreBounded(t *testing.T) {
	var faults rules.FieldErrors
	for i := range 5000 {
		faults.Add(strings.Repeat("f", i%7+1), rules.ReasonFieldInvalid, "fault %d", i)
	}
	if _, violations := details(t, errs.From(faults, nil)); len(violations) != 100 {
		t.Errorf("%d violations", len(violations))
	}
}

func TestInternalHidesItsCause(t *testing.T) {
	cause := errors.New("secret path")
	err := errs.From(cause, nil)
	if status.Code(err) != codes.Internal || strings.Contains(status.Convert(err).Message(), "secret") {
		t.Errorf("status %v", status.Convert(err))
	}
	if !errors.Is(err, cause) {
		t.Error("the log cannot find the cause")
	}
	if info, _ := details(t, err); info.GetReason() != "INTERNAL" {
		t.Errorf("reason %s", info.GetReason())
	}
}

// What is wrong with the store is for whoever runs the server, and stands in the
// log.
func TestStoreFaultsAreLogged(t *testing.T) {
	for fault, reason := range map[error]string{store.ErrStoreFull: "STORE_FULL", store.ErrUnavailable: "STORE_UNAVAILABLE"} {
		err := errs.From(fmt.Errorf("%w: secret path", fault), nil)
		if info, _ := details(t, err); info.GetReason() != reason || strings.Contains(status.Convert(err).Message(), "secret") {
			t.Errorf("status %v", status.Convert(err))
		}
		if !strings.Contains(errs.Text(err), "secret path") {
			t.Errorf("the log says %q", errs.Text(err))
		}
	}
}

func TestContext(t *testing.T) {
	if err := errs.Context(context.Background()); err != nil {
		t.Errorf("a living context gave %v", err)
	}
	late, stop := context.WithDeadline(context.Background(), time.Unix(0, 0))
	defer stop()
	left, leave := context.WithCancel(context.Background())
	leave()
	for want, ctx := range map[codes.Code]context.Context{codes.DeadlineExceeded: late, codes.Canceled: left} {
		if got := status.Code(errs.Context(ctx)); got != want {
			t.Errorf("%v, want %v", got, want)
		}
	}
}

func TestRateLimitedSaysWhenToComeAgain(t *testing.T) {
	err := errs.RateLimited(1200 * time.Millisecond)
	if errs.Metadata(err, "retry_after_seconds") != "2" || status.Code(err) != codes.ResourceExhausted {
		t.Errorf("%v", status.Convert(err).Details())
	}
	for _, d := range status.Convert(err).Details() {
		if retry, ok := d.(*errdetails.RetryInfo); ok && retry.GetRetryDelay().AsDuration() == 1200*time.Millisecond {
			return
		}
	}
	t.Error("no RetryInfo")
}

func TestStatusesOfLibrariesGetAReason(t *testing.T) {
	for code, want := range map[codes.Code]string{
		codes.InvalidArgument: "FIELD_INVALID", codes.NotFound: "NOT_FOUND", codes.DeadlineExceeded: "DEADLINE",
		codes.Canceled: "CANCELLED", codes.Unknown: "INTERNAL", codes.ResourceExhausted: "BODY_TOO_LARGE",
	} {
		if got := errs.Reason(errs.From(status.Error(code, "x"), nil)); got != want {
			t.Errorf("%v: %s, want %s", code, got, want)
		}
	}
}

// A token that is sent where something else belongs is shown neither to the caller
// nor in the log.
func TestTokensAreNotShown(t *testing.T) {
	const secret = "dTiC2_cretSecretSecretSecretSecretSecret-43"
	for _, token := range []string{"rt__" + secret, "rt_spring-cup_" + secret, "rb_k3v5q2c7m4x6b3ta_" + secret} {
		for name, err := range map[string]error{
			"event": errs.UnknownEvent(token),
			"found": errs.From(rules.Fault("season", rules.ReasonSeasonUnknown, "there is no season %s", rules.Quote(token)), &pb.GetSeasonRequest{Season: token}),
			"path":  errs.UnknownMethod("/v1/events/" + token),
		} {
			info, _ := details(t, err)
			if all := fmt.Sprint(errs.Text(err), info.GetMetadata(), status.Convert(err).Proto()); strings.Contains(all, secret[:3]) {
				t.Errorf("%s: %s", name, all)
			}
		}
	}
	if got := errs.Shown("start_time_x of art_2"); got != "start_time_x of art_2" {
		t.Errorf("what is no token became %q", got)
	}
}
