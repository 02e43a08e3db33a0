package integration_test

import (
	"cmp"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/integration/protocols"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/batch"
)

// published reads the published score sheets with their requests as JSON.
func published(t *testing.T) (sheets []protocols.Sheet, requests []json.RawMessage) {
	t.Helper()
	dir, err := protocols.Folder("..")
	if err != nil {
		t.Skip(err)
	}
	if sheets, err = protocols.Read(dir); err != nil {
		t.Fatal(err)
	}
	catalog, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	for i := range sheets {
		season, err := catalog.Season(sheets[i].Season)
		if err != nil {
			t.Fatal(err)
		}
		request, err := sheets[i].Request(season)
		if err != nil {
			t.Fatalf("%v: %v", &sheets[i], err)
		}
		data, err := json.Marshal(request)
		if err != nil {
			t.Fatal(err)
		}
		requests = append(requests, data)
	}
	return sheets, requests
}

// faults compares a result with its sheet.
func faults(s *protocols.Sheet, result *pb.SegmentResult) []string {
	score, err := client.Score(result)
	if err != nil {
		return []string{err.Error()}
	}
	var bad []string
	points := func(text string) rules.Points {
		p, err := rules.ParsePoints(text)
		if err != nil {
			bad = append(bad, err.Error())
		}
		return p
	}
	got := &protocols.Figures{
		Components:   map[string]protocols.ComponentFigures{},
		ElementScore: points(score.GetElementScore()), ComponentScore: points(score.GetComponentScore()),
		TotalDeductions: points(score.GetTotalDeductions()), SegmentScore: points(score.GetSegmentScore()),
	}
	for _, e := range score.GetElements() {
		got.Elements = append(got.Elements, protocols.ElementFigures{
			BaseValue: points(e.GetBaseValue()), GOE: points(e.GetGoe()), Score: points(e.GetScore()),
		})
	}
	for _, c := range score.GetComponents() {
		got.Components[c.GetComponent().String()] = protocols.ComponentFigures{Panel: points(c.GetPanelScore()), Factor: points(c.GetFactor())}
	}
	return append(bad, s.Compare(got)...)
}

func report(t *testing.T, tally *protocols.Tally) {
	t.Helper()
	t.Log(tally)
	for _, fault := range tally.Faults {
		t.Error(fault)
	}
	for _, discipline := range []string{"men", "women", "pairs", "dance"} {
		if tally.Sheets[discipline] == 0 {
			t.Errorf("no sheet of %s was scored", discipline)
		}
	}
}

// TestPublishedSheetsOverREST scores every published sheet again over HTTP and
// compares every figure to the hundredth.
func TestPublishedSheetsOverREST(t *testing.T) {
	sheets, requests := published(t)
	server := start(t)
	var tally protocols.Tally
	for first := 0; first < len(sheets); first += batch.Max {
		last := min(first+batch.Max, len(sheets))
		body, err := json.Marshal(map[string]any{"segments": requests[first:last]})
		if err != nil {
			t.Fatal(err)
		}
		code, answer, err := server.post(t.Context(), "/v1/seasons/current/segments:batchScore", "application/json", body)
		if err != nil || code != http.StatusOK {
			t.Fatalf("HTTP %d, %v: %.500s", code, err, answer)
		}
		var res pb.BatchScoreSegmentsResponse
		if err := protojson.Unmarshal(answer, &res); err != nil {
			t.Fatal(err)
		}
		if len(res.GetResults()) != last-first {
			t.Fatalf("%d results of %d segments", len(res.GetResults()), last-first)
		}
		for i, result := range res.GetResults() {
			s := &sheets[first+i]
			tally.Add(s, faults(s, result))
		}
	}
	report(t, &tally)
}

// TestPublishedSheetsOverStream does the same over one stream of the client
// library.
func TestPublishedSheetsOverStream(t *testing.T) {
	sheets, requests := published(t)
	c := start(t).client(t)
	segments := func(yield func(*pb.ScoreSegmentRequest) bool) {
		for i := range requests {
			req := &pb.ScoreSegmentRequest{}
			if err := protojson.Unmarshal(requests[i], req); err != nil {
				t.Errorf("%v: %v", &sheets[i], err)
			}
			if !yield(req) {
				return
			}
		}
	}
	var tally protocols.Tally
	i := 0
	for result, err := range c.ScoreSegments(t.Context(), segments) {
		if err != nil {
			t.Fatal(err)
		}
		tally.Add(&sheets[i], faults(&sheets[i], result))
		i++
	}
	if i != len(sheets) {
		t.Errorf("%d results of %d segments", i, len(sheets))
	}
	report(t, &tally)
}

// TestPublishedPlacesOverREST ranks every published segment that is complete
// from its scores, given in the opposite order.
func TestPublishedPlacesOverREST(t *testing.T) {
	sheets, _ := published(t)
	server := start(t)
	groups := map[string][]*protocols.Sheet{}
	for i := range sheets {
		s := &sheets[i]
		key := fmt.Sprint(s.Season, " ", s.Event, " ", s.Category(), " ", s.SegmentKey())
		same := func(o *protocols.Sheet) bool { return o.Rank == s.Rank && o.TSS == s.TSS }
		if !slices.ContainsFunc(groups[key], same) { // some sheets stand in the source twice
			groups[key] = append(groups[key], s)
		}
	}
	complete := 0
	for _, key := range rules.SortedKeys(groups) {
		list := groups[key]
		slices.SortFunc(list, func(a, b *protocols.Sheet) int { return cmp.Compare(b.Rank, a.Rank) })
		if list[len(list)-1].Rank != 1 || list[0].Rank != len(list) {
			continue
		}
		complete++
		entries := make([]map[string]any, len(list))
		for i, s := range list {
			entries[i] = map[string]any{"id": fmt.Sprint(s.Rank), "segmentScore": s.TSS, "elementScore": s.TES, "componentScore": s.PCS}
		}
		body, err := json.Marshal(map[string]any{"segment": list[0].SegmentKey(), "entries": entries})
		if err != nil {
			t.Fatal(err)
		}
		code, answer, err := server.post(t.Context(), "/v1/seasons/"+list[0].Season+"/results:rankSegment", "application/json", body)
		if err != nil || code != http.StatusOK {
			t.Fatalf("%s: HTTP %d, %v: %.500s", key, code, err, answer)
		}
		var res pb.RankSegmentResponse
		if err := protojson.Unmarshal(answer, &res); err != nil {
			t.Fatal(err)
		}
		for _, e := range res.GetEntries() {
			if fmt.Sprint(e.GetPlace()) != e.GetId() || e.GetShared() {
				t.Errorf("%s: %s points are given place %d (shared: %v), published %s", key, e.GetSegmentScore(), e.GetPlace(), e.GetShared(), e.GetId())
			}
		}
	}
	t.Logf("%d complete segments ranked, %d incomplete ones left out", complete, len(groups)-complete)
	if complete == 0 {
		t.Error("no segment was ranked")
	}
}
