package integration_test

import (
	"context"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
)

// Two variants of a club's invented table: another title, another value of the
// triple Lutz, another deduction for a fall.
var variants = []struct{ params, values string }{
	{"season: club\ntitle: Club rules, first draft\nextends: 2025-26\nsource: invented\nvalid_from: 2025-07-01\nvalid_to: 2026-06-30\n" +
		"values: {singles: extend}\ndeductions: {FALL: {each: 0.50}}\n",
		"# invented\ncode,base_value\n3Lz,6.10\n"},
	{"season: club\ntitle: Club rules, second draft\nextends: 2025-26\nsource: invented\nvalid_from: 2025-07-01\nvalid_to: 2026-06-30\n" +
		"values: {singles: extend}\ndeductions: {FALL: {each: 1.50}}\n",
		"# invented\ncode,base_value\n3Lz,7.30\n"},
}

// writeClub puts a variant into a folder of tables.
func writeClub(t testing.TB, dir string, params, values string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Join(dir, "club"), 0o750); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"season.yaml": params, "singles.csv": values} {
		if err := os.WriteFile(filepath.Join(dir, "club", name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// seen is what an answer shows of the table it comes from.
type seen struct{ revision, title, lutz, fall string }

func clubSegment() *pb.ScoreSegmentRequest {
	req := &pb.ScoreSegmentRequest{
		Season: "club", Category: "senior-women", Segment: "free-skating",
		Elements:   []*pb.MarkedElement{{Code: "3Lz", Marks: []int32{0, 0, 0, 0, 0}}, {Code: "StSq3", Marks: []int32{0, 0, 0, 0, 0}}},
		Deductions: []*pb.Deduction{{Kind: pb.DeductionKind_FALL}},
	}
	for _, c := range []pb.Component_Value{pb.Component_COMPOSITION, pb.Component_PRESENTATION, pb.Component_SKATING_SKILLS} {
		req.Components = append(req.Components, &pb.MarkedComponent{Component: c, Marks: []float64{7, 7, 7, 7, 7}})
	}
	return req
}

func seenIn(res *pb.ScoreSegmentResponse) seen {
	return seen{res.GetRules().GetRevision(), res.GetRules().GetTitle(), res.GetElements()[0].GetBaseValue(), res.GetTotalDeductions()}
}

// TestReloadUnderLoad reloads the tables 20 times in 10 seconds while callers ask
// over gRPC and REST as fast as they can. No call fails, and no answer mixes two
// revisions.
func TestReloadUnderLoad(t *testing.T) {
	const reloads, span, callers = 20, 10 * time.Second, 8
	dir := t.TempDir()
	writeClub(t, dir, variants[0].params, variants[0].values)
	server := start(t, func(c *config.Config) { c.Rules = dir })
	conn := pb.NewScoringServiceClient(server.conn(t))

	// What each variant answers when nothing changes.
	known := map[seen]int{}
	for i, v := range variants {
		writeClub(t, dir, v.params, v.values)
		if err := server.app.Tables().Reload(); err != nil {
			t.Fatal(err)
		}
		res, err := conn.ScoreSegment(t.Context(), clubSegment())
		if err != nil {
			t.Fatal(err)
		}
		known[seenIn(res)] = i
	}
	if len(known) != len(variants) {
		t.Fatalf("the variants answer alike: %v", known)
	}

	ctx, stop := context.WithCancel(t.Context())
	var calls, switches atomic.Int64
	var mu sync.Mutex
	answered := map[int]int{}
	check := func(last *seen, got seen) {
		i, ok := known[got]
		if !ok {
			t.Errorf("an answer of no variant: %+v", got)
			return
		}
		if *last != got {
			switches.Add(1)
		}
		*last = got
		mu.Lock()
		answered[i]++
		mu.Unlock()
		calls.Add(1)
	}
	body, err := json.Marshal(map[string]any{
		"category": "senior-women", "segment": "free-skating",
		"elements":   []any{map[string]any{"code": "3Lz", "marks": []int{0, 0, 0, 0, 0}}, map[string]any{"code": "StSq3", "marks": []int{0, 0, 0, 0, 0}}},
		"components": []any{map[string]any{"component": "COMPOSITION", "marks": []int{7, 7, 7, 7, 7}}, map[string]any{"component": "PRESENTATION", "marks": []int{7, 7, 7, 7, 7}}, map[string]any{"component": "SKATING_SKILLS", "marks": []int{7, 7, 7, 7, 7}}},
		"deductions": []any{map[string]any{"kind": "FALL"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	overGRPC := func() {
		var last seen
		for ctx.Err() == nil {
			res, err := conn.ScoreSegment(context.Background(), clubSegment())
			if err != nil {
				t.Errorf("gRPC: %v", err)
				return
			}
			check(&last, seenIn(res))
		}
	}
	overREST := func() {
		var last seen
		for ctx.Err() == nil {
			code, answer, err := server.post(context.Background(), "/v1/seasons/club/segments:score", "application/json", body)
			if err != nil || code != http.StatusOK {
				t.Errorf("REST: HTTP %d, %v: %.300s", code, err, answer)
				return
			}
			var res struct {
				Elements        []struct{ BaseValue string }
				TotalDeductions string
				Rules           struct{ Revision, Title string }
			}
			if err := json.Unmarshal(answer, &res); err != nil {
				t.Error(err)
				return
			}
			check(&last, seen{res.Rules.Revision, res.Rules.Title, res.Elements[0].BaseValue, res.TotalDeductions})
		}
	}
	var done sync.WaitGroup
	done.Go(func() {
		parallel(callers, func(i int) {
			if i%4 == 3 {
				overREST()
				return
			}
			overGRPC()
		})
	})
	every := time.NewTicker(span / reloads)
	defer every.Stop()
	for i := range reloads {
		<-every.C
		v := variants[i%len(variants)]
		writeClub(t, dir, v.params, v.values)
		if err := server.app.Tables().Reload(); err != nil {
			t.Errorf("reload %d: %v", i, err)
		}
	}
	stop()
	done.Wait()
	t.Logf("%d calls, %d reloads, answers of each variant: %v, %d times a caller saw the other one", calls.Load(), reloads, answered, switches.Load())
	if len(answered) < 2 || switches.Load() < reloads {
		t.Error("the callers did not see the reloads")
	}
}

// TestBrokenTableIsNotServed breaks the loaded table: the last good one answers
// on, and the fault is shown with file and line.
func TestBrokenTableIsNotServed(t *testing.T) {
	dir := t.TempDir()
	writeClub(t, dir, variants[0].params, variants[0].values)
	server := start(t, func(c *config.Config) { c.Rules = dir })
	conn := pb.NewScoringServiceClient(server.conn(t))
	before, err := conn.ScoreSegment(t.Context(), clubSegment())
	if err != nil {
		t.Fatal(err)
	}
	writeClub(t, dir, variants[1].params, "# invented\ncode,base_value\n3Lz,high\n")
	err = server.app.Tables().Reload()
	if err == nil || !strings.Contains(err.Error(), "club/singles.csv:3") {
		t.Errorf("want the fault with file and line, got: %v", err)
	}
	after, err := conn.ScoreSegment(t.Context(), clubSegment())
	if err != nil || seenIn(after) != seenIn(before) {
		t.Errorf("after a load that failed: %+v, %v; before: %+v", seenIn(after), err, seenIn(before))
	}
	code, answer, err := server.do(t.Context(), http.MethodGet, "/readyz", "", nil)
	if err != nil || code != http.StatusOK || !strings.Contains(string(answer), "club/singles.csv:3") {
		t.Errorf("/readyz says HTTP %d, %v: %s", code, err, answer)
	}
}
