package browser_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// The event of the test: nobody in it exists, and the marks have no source but
// this table.
const ponds = "two-ponds-cup"

const juniors = "juniors-group-b" // by the rules of junior-women

const free = "free-skating"

var pondEntries = []string{
	"category,name,club", "Senior women,Eva Invented,Pond", "Senior women,Fay Invented,Lake",
	`"Juniors, group B",Gia Invented,Pond`, `"Juniors, group B",Hope Invented,Lake`, `"Juniors, group B",Jo Invented,Pond`,
}

// held is a segment of the event, with what everybody does there.
type held struct {
	title, category, segment string
	skated                   []performed
}

var segments = []held{
	{"Senior women, Short program", women, short, []performed{
		{"Eva Invented", []called{{"3lz+3t", "3Lz+3T", false, [3]int{2, 1, 3}}, {"ccosp4", "CCoSp4", false, [3]int{1, 2, 2}}}, [3]string{"7.25", "7.5", "7"}, 1, ""},
		{"Fay Invented", []called{{"3f+2t", "3F+2T", false, [3]int{1, 0, 2}}, {"stsq3", "StSq3", false, [3]int{3, 4, 3}}}, [3]string{"7.5", "7.25", "7.5"}, 0, "0.50"},
	}},
	{"Juniors, group B, Short program", juniors, short, []performed{
		{"Gia Invented", []called{{"2lz<", "2Lz<", false, [3]int{-2, -3, -2}}, {"usp2", "USp2", false, [3]int{1, 1, 0}}}, [3]string{"4.5", "4.75", "4.25"}, 0, ""},
		{"Hope Invented", []called{{"2f", "2F", false, [3]int{1, 1, 2}}, {"csp3", "CSp3", false, [3]int{2, 1, 2}}}, [3]string{"5", "5.25", "5"}, 0, ""},
		{"Jo Invented", []called{{"1a", "1A", false, [3]int{0, -1, 1}}, {"ssp2", "SSp2", false, [3]int{-1, 0, 0}}}, [3]string{"3.75", "4", "3.5"}, 2, ""},
	}},
	{"Senior women, Free skating", women, free, []performed{
		{"Eva Invented", []called{{"3lo x", "3Lo", true, [3]int{2, 2, 3}}, {"lsp4", "LSp4", false, [3]int{4, 3, 4}}}, [3]string{"8", "7.75", "8"}, 0, ""},
		{"Fay Invented", []called{{"2a", "2A", false, [3]int{-1, 0, -1}}, {"fcsp3", "FCSp3", false, [3]int{0, 1, 1}}}, [3]string{"7", "7.25", "7"}, 0, ""},
	}},
}

// A whole event of two categories by volunteers, who know what stands on the pages and
// on the printed sheets alone: from the first start of a server, where there is only the
// administrator's code, to the papers. Each desk is another device; the technical panel
// and the judges have only keys, and two of them lose their tablets.
func TestWholeEventThroughThePages(t *testing.T) {
	r := emptyRink(t)
	organiser := r.chrome.Open(t, r.server.URL+"/events", browser.Desk)
	newEvent(t, organiser, r.server.AdminToken)
	setUp(organiser)
	v := &volunteers{rink: r, hall: organiser.Beside(r.server.URL+"/events/"+ponds, browser.Hall), scores: map[string]map[string]scored{}}
	v.handOut(organiser)
	phone := r.chrome.Open(t, r.server.URL+"/events/"+ponds, browser.Phone)

	referee := v.at["Referee"].page
	for i, segment := range segments {
		if i > 0 {
			referee.Press("button", "Go on: "+segment.title)
		}
		if segment.segment == free {
			referee.Press("button", "Make the starting order")
			referee.Choose("Order", "last placed first")
			referee.Press("button", "Make the order")
			referee.Sees("Start " + segment.title + ".")
			referee.Press("button", "Close")
		}
		v.skate(segment)
	}
	organiser.Sees("Everything is skated and signed.")
	checkReads(t, r.server.URL)
	r.checkFinal(t, phone, women, "senior-women", []string{short, free}, v.scores, "Eva Invented", "Fay Invented")
	r.checkFinal(t, phone, juniors, "junior-women", []string{short}, v.scores, "Gia Invented", "Hope Invented", "Jo Invented")
	checkPapers(t, phone)
	narrow := r.chrome.Open(t, r.server.URL+"/events/"+ponds, browser.View{Name: "phone-320", Width: 320, Height: 640})
	shows(narrow, "thead", "Overall")
	if wide := browser.Evaluate[bool](narrow, `document.documentElement.scrollWidth > innerWidth`); wide {
		t.Error("the board is wider than a narrow phone")
	}
	pictures(map[string]*browser.Page{"whole-board": phone, "whole-narrow": narrow, "whole-hall": v.hall, "whole-organiser": organiser})
	for name, p := range map[string]*browser.Page{"organiser": organiser, "hall": v.hall, "phone": phone} {
		clean(t, name, p, false)
	}
	for name, d := range v.at {
		d.page.Picture("whole-" + strings.ReplaceAll(strings.ToLower(name), " ", "-"))
		clean(t, name, d.page, false)
	}
}

// checkReads counts the calls that the pages made so far: desks live on the answers to
// their own calls and on their streams, and ask for little beside.
func checkReads(t *testing.T, url string) {
	t.Helper()
	reads, writes := 0, 0
	called := map[string]int{}
	for _, m := range regexp.MustCompile(`(?m)^grpc_server_started_total\{grpc_method="(\w+)",grpc_service="rinktally\.v1\.(\w+)",grpc_type="unary"\} (\d+)$`).FindAllStringSubmatch(string(fetch(t, url+"/metrics")), -1) {
		n, err := strconv.Atoi(m[3])
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case n == 0 || m[2] == "ScoringService" || m[2] == "ResultService" || m[2] == "ProgramService": // of no event
			continue
		case strings.HasPrefix(m[1], "Get") || strings.HasPrefix(m[1], "List") || strings.HasPrefix(m[1], "Preview"):
			reads += n
		default:
			writes += n
		}
		called[m[1]] = n
	}
	t.Logf("%d reads and %d writes: %v", reads, writes, called)
	if writes == 0 || reads > 2*writes {
		t.Errorf("the pages made %d reads for %d writes, want at most 2 for each", reads, writes)
	}
}

// set gives a field a value, as typing does where a test has no keys for it.
func set(id, value string) chromedp.Action[chromedp.Void] {
	return chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{
		const field = document.getElementById(%q);
		field.value = %q;
		field.dispatchEvent(new Event("input", { bubbles: true }));
	}`, id, value))
}

// checkFinal compares the final result that the board links to with results:rank of
// what segments:score says.
func (r *rink) checkFinal(t *testing.T, board *browser.Page, category, rulesCategory string, segments []string, scores map[string]map[string]scored, names ...string) {
	t.Helper()
	var competitors []map[string]any
	for _, name := range names {
		var of []map[string]any
		for _, segment := range segments {
			s := scores[name][segment]
			of = append(of, map[string]any{"segment": segment, "segmentScore": s.SegmentScore, "elementScore": s.ElementScore, "componentScore": s.ComponentScore})
		}
		competitors = append(competitors, map[string]any{"id": name, "segments": of})
	}
	var want struct {
		Competitors []struct {
			ID         string
			Place      int
			TotalScore string
		}
	}
	r.call("", http.MethodPost, "/v1/seasons/2025-26/results:rank", map[string]any{"category": rulesCategory, "competitors": competitors}, &want)
	link := fmt.Sprintf(`[...document.querySelectorAll("#papers a")].find(a => a.href.includes("/%s/documents/FINAL_RESULT") && a.href.includes("CSV"))?.href`, category)
	board.Wait(link + ` !== undefined`)
	rows, err := csv.NewReader(strings.NewReader(string(fetch(t, browser.Evaluate[string](board, link))))).ReadAll()
	if err != nil || len(want.Competitors) != len(names) {
		t.Fatalf("%v; results:rank gives %+v", err, want)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for i, w := range want.Competitors {
		got := rows[i+1]
		if got[column["place"]] != strconv.Itoa(w.Place) || got[column["name"]] != w.ID || got[column["total_score"]] != w.TotalScore || got[column["status"]] != "OFFICIAL" {
			t.Errorf("%s: the paper says %v, results:rank %+v", category, got, w)
		}
	}
}

// checkPapers opens every paper that the board links to.
func checkPapers(t *testing.T, board *browser.Page) {
	t.Helper()
	links := browser.Evaluate[[]string](board, `[...document.querySelectorAll("#papers a")].map(a => a.href)`)
	// Of three segments the order, the result and the sheets, and two final results,
	// each as PDF and CSV.
	if len(links) != (3*3+2)*2 {
		t.Errorf("the board links to %d papers: %v", len(links), links)
	}
	for _, link := range links {
		data := fetch(t, link)
		if strings.Contains(link, "PDF") != strings.HasPrefix(string(data), "%PDF") || !strings.Contains(link, "PDF") && !strings.Contains(string(data), "Invented") {
			t.Errorf("%s gives %.80q", link, data)
		}
	}
}

func fetch(t *testing.T, url string) []byte {
	t.Helper()
	req, err := http.NewRequestWithContext(context.Background(), http.MethodGet, url, http.NoBody)
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d, %v", url, res.StatusCode, err)
	}
	return data
}
