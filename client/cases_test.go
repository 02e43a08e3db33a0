package client_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"os"
	"reflect"
	"slices"
	"testing"
	"time"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/clienttest"
	"github.com/rinktally/rinktally/client/offline"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// A case of testdata/cases.json: a call, and what its answer or error must hold.
type testCase struct {
	Name    string          `json:"name"`
	Source  string          `json:"source"` // of what is expected
	Call    string          `json:"call"`
	Request json.RawMessage `json:"request"`
	Expect  any             `json:"expect"`
	Error   *struct {
		Code   string            `json:"code"`
		Reason string            `json:"reason"`
		Fields map[string]string `json:"fields"` // path: reason
	} `json:"error"`
}

type caller func(ctx context.Context, a client.Authority, request []byte) (proto.Message, error)

// calling makes a caller of one method, from JSON.
func calling[Req, Res proto.Message](method func(client.Authority, context.Context, Req) (Res, error)) caller {
	return func(ctx context.Context, a client.Authority, request []byte) (proto.Message, error) {
		var typed Req
		req := typed.ProtoReflect().New().Interface()
		if err := protojson.Unmarshal(request, req); err != nil {
			return nil, fmt.Errorf("the case's request: %w", err)
		}
		res, err := method(a, ctx, req.(Req))
		if err != nil {
			return nil, err
		}
		return res, nil
	}
}

var callers = map[string]caller{
	"ListSeasons":        calling(client.Authority.ListSeasons),
	"GetSeason":          calling(client.Authority.GetSeason),
	"ListElements":       calling(client.Authority.ListElements),
	"ExportElements":     calling(client.Authority.ExportElements),
	"GetElement":         calling(client.Authority.GetElement),
	"CompareSeasons":     calling(client.Authority.CompareSeasons),
	"CallLevels":         calling(client.Authority.CallLevels),
	"BatchCallLevels":    calling(client.Authority.BatchCallLevels),
	"ParseElements":      calling(client.Authority.ParseElements),
	"ValueElements":      calling(client.Authority.ValueElements),
	"ScoreSegment":       calling(client.Authority.ScoreSegment),
	"BatchScoreSegments": calling(client.Authority.BatchScoreSegments),
	"CheckProgram":       calling(client.Authority.CheckProgram),
	"BatchCheckPrograms": calling(client.Authority.BatchCheckPrograms),
	"PlanProgram":        calling(client.Authority.PlanProgram),
	"RankSegment":        calling(client.Authority.RankSegment),
	"RankEvent":          calling(client.Authority.RankEvent),
}

func loadCases(t *testing.T) []testCase {
	t.Helper()
	data, err := os.ReadFile("testdata/cases.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []testCase
	if err := json.Unmarshal(data, &cases); err != nil {
		t.Fatal(err)
	}
	return cases
}

// A day of the season 2025-26, so that "current" does not move.
func today() time.Time { return time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC) }

// both returns a client of a real server and the offline client.
func both(t *testing.T) (online *client.Client, local *offline.Client) {
	t.Helper()
	local, err := offline.New(offline.WithClock(today))
	if err != nil {
		t.Fatal(err)
	}
	return clienttest.Start(t, clienttest.WithClock(today)).Client(), local
}

func TestCasesOnlineAndOffline(t *testing.T) {
	online, local := both(t)
	called := map[string]bool{}
	for _, c := range loadCases(t) {
		t.Run(c.Name, func(t *testing.T) {
			if c.Source == "" {
				t.Fatal("the case names no source")
			}
			call := callers[c.Call]
			if call == nil {
				t.Fatalf("no call %q", c.Call)
			}
			called[c.Call] = true
			there, thereErr := call(t.Context(), online, c.Request)
			here, hereErr := call(t.Context(), local, c.Request)
			if c.Error != nil {
				c.checkError(t, thereErr)
				c.checkError(t, hereErr)
				sameError(t, thereErr, hereErr)
				return
			}
			if thereErr != nil || hereErr != nil {
				t.Fatalf("server: %v; offline: %v", thereErr, hereErr)
			}
			// As JSON, since the details of an error hold maps, whose order in bytes
			// is free.
			got := tree(t, here)
			if online := tree(t, there); !reflect.DeepEqual(online, got) {
				t.Errorf("the server answers\n%v\noffline\n%v", online, got)
			}
			for _, d := range differences("", c.Expect, got) {
				t.Error(d)
			}
		})
	}
	for name := range callers {
		if !called[name] {
			t.Errorf("no case calls %s", name)
		}
	}
}

// tree returns a message as decoded JSON.
func tree(t *testing.T, m proto.Message) any {
	t.Helper()
	data, err := protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	var v any
	if err := json.Unmarshal(data, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

func (c *testCase) checkError(t *testing.T, err error) {
	t.Helper()
	var e *client.Error
	if !errors.As(err, &e) {
		t.Fatalf("want a *client.Error, got %T: %v", err, err)
	}
	if e.Code.String() != c.Error.Code {
		t.Errorf("code %s, want %s", e.Code, c.Error.Code)
	}
	if c.Error.Reason != "" && !errors.Is(err, client.ErrReason(named(t, c.Error.Reason))) {
		t.Errorf("reason %s, want %s", e.Reason, c.Error.Reason)
	}
	for field, name := range c.Error.Fields {
		reason := named(t, name)
		found := slices.ContainsFunc(e.Violations, func(v client.Violation) bool { return v.Field == field && v.Reason == reason })
		if !found || !errors.Is(err, client.ErrReason(reason)) {
			t.Errorf("no violation %s of %s in %+v", reason, field, e.Violations)
		}
	}
}

// named returns the reason with a name.
func named(t *testing.T, name string) pb.ErrorReason_Value {
	t.Helper()
	number, ok := pb.ErrorReason_Value_value[name]
	if !ok {
		t.Fatalf("the case names %q, which is no reason", name)
	}
	return pb.ErrorReason_Value(number)
}

// sameError checks that two errors differ in the request id only.
func sameError(t *testing.T, there, here error) {
	t.Helper()
	var a, b *client.Error
	if !errors.As(there, &a) || !errors.As(here, &b) {
		t.Fatalf("server: %v; offline: %v", there, here)
	}
	if a.RequestID == "" {
		t.Error("the server's error has no request id")
	}
	if b.RequestID != "" {
		t.Errorf("the offline error has a request id: %s", b.RequestID)
	}
	if a.Error() != b.Error() || a.Reason != b.Reason || fmt.Sprint(a.Metadata) != fmt.Sprint(b.Metadata) || !slices.Equal(a.Violations, b.Violations) {
		t.Errorf("the server says\n%+v\noffline\n%+v", a, b)
	}
}

// differences lists where got lacks what want holds; got may hold more, except
// in lists.
func differences(at string, want, got any) []string {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			return []string{fmt.Sprintf("%s: want an object, got %v", at, got)}
		}
		var out []string
		for key, value := range w {
			out = append(out, differences(at+"."+key, value, g[key])...)
		}
		return out
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			return []string{fmt.Sprintf("%s: want %d items, got %v", at, len(w), got)}
		}
		var out []string
		for i := range w {
			out = append(out, differences(fmt.Sprintf("%s[%d]", at, i), w[i], g[i])...)
		}
		return out
	}
	if want != got {
		return []string{fmt.Sprintf("%s: want %v, got %v", at, want, got)}
	}
	return nil
}

// segment returns the request of the published short program.
func segment(t *testing.T) *pb.ScoreSegmentRequest {
	t.Helper()
	req := &pb.ScoreSegmentRequest{}
	if err := protojson.Unmarshal(loadCases(t)[0].Request, req); err != nil {
		t.Fatal(err)
	}
	return req
}

// TestScoreSegments sends more than fits into any buffer on the way, with bad
// segments among them, and expects every answer in order.
func TestScoreSegments(t *testing.T) {
	online, local := both(t)
	good := segment(t)
	bad := proto.CloneOf(good)
	bad.Elements[1].Code = "9X"
	const n = 3000
	isBad := func(i int) bool { return i%7 == 3 }
	for name, a := range map[string]client.Authority{"server": online, "offline": local} {
		t.Run(name, func(t *testing.T) {
			source := func(yield func(*pb.ScoreSegmentRequest) bool) {
				for i := range n {
					req := good
					if isBad(i) {
						req = bad
					}
					if !yield(req) {
						return
					}
				}
			}
			i := 0
			for result, err := range a.ScoreSegments(t.Context(), source) {
				if err != nil {
					t.Fatal(err)
				}
				score, err := client.Score(result)
				switch {
				case isBad(i) && !errors.Is(err, client.ErrReason(pb.ErrorReason_ELEMENT_UNKNOWN)) && !errors.Is(err, client.ErrReason(pb.ErrorReason_CODE_INVALID)):
					t.Fatalf("segment %d: want an error of its code, got %v", i, err)
				case !isBad(i) && err != nil:
					t.Fatalf("segment %d: %v", i, err)
				case !isBad(i) && score.GetSegmentScore() != "56.40": // as published
					t.Fatalf("segment %d: %s", i, score.GetSegmentScore())
				}
				i++
			}
			if i != n {
				t.Errorf("%d results of %d segments", i, n)
			}
		})
	}
}

// TestScoreSegmentsLeftEarly leaves the range while the sequence has no end.
func TestScoreSegmentsLeftEarly(t *testing.T) {
	online, local := both(t)
	req := segment(t)
	for name, a := range map[string]client.Authority{"server": online, "offline": local} {
		t.Run(name, func(t *testing.T) {
			ended := false
			endless := func(yield func(*pb.ScoreSegmentRequest) bool) {
				defer func() { ended = true }()
				for yield(req) {
				}
			}
			seen := 0
			for _, err := range a.ScoreSegments(t.Context(), endless) {
				if err != nil {
					t.Fatal(err)
				}
				if seen++; seen == 5 {
					break
				}
			}
			if seen != 5 || !ended {
				t.Errorf("%d results seen; the sequence has ended: %v", seen, ended)
			}
		})
	}
}

// TestScoreSegmentsCancelled cancels the context in the middle.
func TestScoreSegmentsCancelled(t *testing.T) {
	online, local := both(t)
	req := segment(t)
	for name, a := range map[string]client.Authority{"server": online, "offline": local} {
		t.Run(name, func(t *testing.T) {
			ctx, cancel := context.WithCancel(t.Context())
			defer cancel()
			endless := iter.Seq[*pb.ScoreSegmentRequest](func(yield func(*pb.ScoreSegmentRequest) bool) {
				for yield(req) {
				}
			})
			var last error
			seen := 0
			for _, err := range a.ScoreSegments(ctx, endless) {
				if last = err; err == nil {
					if seen++; seen == 5 {
						cancel()
					}
				}
			}
			var e *client.Error
			if !errors.Is(last, context.Canceled) || !errors.As(last, &e) {
				t.Errorf("want context.Canceled in a *client.Error, got %v", last)
			}
		})
	}
}

func TestAllElements(t *testing.T) {
	online, local := both(t)
	for name, a := range map[string]client.Authority{"server": online, "offline": local} {
		t.Run(name, func(t *testing.T) {
			req := &pb.ListElementsRequest{Season: "2016-17", Discipline: "singles", PageSize: 7}
			var paged, whole []string
			for e, err := range client.AllElements(t.Context(), a, req) {
				if err != nil {
					t.Fatal(err)
				}
				paged = append(paged, e.GetCode()+e.GetScope())
			}
			if req.GetPageToken() != "" {
				t.Error("the request was changed")
			}
			answer, err := a.ListElements(t.Context(), &pb.ListElementsRequest{Season: "2016-17", Discipline: "singles", PageSize: 1000})
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range answer.GetElements() {
				whole = append(whole, e.GetCode()+e.GetScope())
			}
			if len(whole) < 8 || !slices.Equal(paged, whole) {
				t.Errorf("%d elements by pages of 7, %d at once", len(paged), len(whole))
			}
			for _, err := range client.AllElements(t.Context(), a, &pb.ListElementsRequest{Season: "1998-99"}) {
				if !errors.Is(err, client.ErrReason(pb.ErrorReason_SEASON_UNKNOWN)) {
					t.Errorf("want SEASON_UNKNOWN, got %v", err)
				}
			}
		})
	}
}

func TestWhatChanged(t *testing.T) {
	_, local := both(t)
	answer, err := local.CompareSeasons(t.Context(), &pb.CompareSeasonsRequest{From: "2016-17", To: "2021-22", Discipline: "singles"})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(answer.GetChanged(), func(v *pb.ValueChange) bool { return v.GetCode() == "3A" })
	if i < 0 {
		t.Fatal("3A is not among the changes")
	}
	// 8.50: ISU Communication 2000; 8.00: published ISU score sheets of 2021-22.
	if c := answer.GetChanged()[i]; c.GetFrom() != "8.50" || c.GetTo() != "8.00" || c.GetDifference() != "-0.50" {
		t.Errorf("3A: %v", c)
	}
}
