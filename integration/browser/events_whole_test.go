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
	"category,name,club", women + ",Eva Invented,Pond", women + ",Fay Invented,Lake", juniors + ",Gia Invented,Pond", juniors + ",Hope Invented,Lake",
}

// skated is what everybody does, by segment and name.
var skated = map[string][]performed{
	women + " " + short: {
		{"Eva Invented", []called{{"3lz+3t", "3Lz+3T", false, [3]int{2, 1, 3}}, {"ccosp4", "CCoSp4", false, [3]int{1, 2, 2}}}, [3]string{"7.25", "7.5", "7"}, 1, ""},
		{"Fay Invented", []called{{"3f+2t", "3F+2T", false, [3]int{1, 0, 2}}, {"stsq3", "StSq3", false, [3]int{3, 4, 3}}}, [3]string{"7.5", "7.25", "7.5"}, 0, "0.50"},
	},
	women + " " + free: {
		{"Eva Invented", []called{{"3lo x", "3Lo", true, [3]int{2, 2, 3}}, {"lsp4", "LSp4", false, [3]int{4, 3, 4}}}, [3]string{"8", "7.75", "8"}, 0, ""},
		{"Fay Invented", []called{{"2a", "2A", false, [3]int{-1, 0, -1}}, {"fcsp3", "FCSp3", false, [3]int{0, 1, 1}}}, [3]string{"7", "7.25", "7"}, 0, ""},
	},
	juniors + " " + short: {
		{"Gia Invented", []called{{"2lz<", "2Lz<", false, [3]int{-2, -3, -2}}, {"usp2", "USp2", false, [3]int{1, 1, 0}}}, [3]string{"4.5", "4.75", "4.25"}, 0, ""},
		{"Hope Invented", []called{{"2f", "2F", false, [3]int{1, 1, 2}}, {"csp3", "CSp3", false, [3]int{2, 1, 2}}}, [3]string{"5", "5.25", "5"}, 0, ""},
	},
}

// A whole event of two categories by hand, through the pages alone: from the first
// start of a server, where there is only the administrator's token, to the papers.
func TestWholeEventThroughThePages(t *testing.T) {
	r := emptyRink(t)
	start := r.chrome.Open(t, r.server.URL+"/events", browser.Desk)
	organiser := newEvent(t, r, start)
	setUp(organiser)
	desks := r.handOut(organiser)
	hall := organiser.Beside(r.server.URL+"/events/"+ponds, browser.Hall)
	phone := r.chrome.Open(t, r.server.URL+"/events/"+ponds, browser.Phone)

	scores := map[string]map[string]scored{} // by name and segment
	for _, name := range []string{"Eva Invented", "Fay Invented", "Gia Invented", "Hope Invented"} {
		scores[name] = map[string]scored{}
	}
	r.skate(desks, hall, juniors, short, scores)
	r.skate(desks, hall, women, short, scores)
	desks["referee"].Do(choose("segment", women+" "+free))
	press(desks["referee"], "Make the starting order")
	desks["referee"].Do(choose("draw-method", "REVERSE_STANDING"), chromedp.Click("#draw button[type=submit]"))
	says(desks["referee"], "Start Senior women, Free skating.")
	shut(desks["referee"])
	r.skate(desks, hall, women, free, scores)

	says(organiser, "Everything is skated and signed.")
	checkReads(t, r.server.URL)
	r.checkFinal(t, phone, women, "senior-women", []string{short, free}, scores, "Eva Invented", "Fay Invented")
	r.checkFinal(t, phone, juniors, "junior-women", []string{short}, scores, "Gia Invented", "Hope Invented")
	checkPapers(t, phone)
	narrow := r.chrome.Open(t, r.server.URL+"/events/"+ponds, browser.View{Name: "phone-320", Width: 320, Height: 640})
	shows(narrow, "thead", "Overall")
	if wide := browser.Evaluate[bool](narrow, `document.documentElement.scrollWidth > innerWidth`); wide {
		t.Error("the board is wider than a narrow phone")
	}
	pictures(map[string]*browser.Page{"whole-board": phone, "whole-narrow": narrow, "whole-hall": hall, "whole-organiser": organiser, "whole-referee": desks["referee"]})
	for name, p := range map[string]*browser.Page{"organiser": organiser, "hall": hall, "phone": phone, "referee": desks["referee"], "technical": desks["technical panel"]} {
		clean(t, name, p, false)
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

// newEvent goes from the list that is empty to the organiser's desk of a new event.
func newEvent(t *testing.T, r *rink, p *browser.Page) *browser.Page {
	t.Helper()
	p.Wait(`!document.getElementById("first").hidden`)
	for _, barrier := range p.EveryBarrier() {
		t.Error(barrier)
	}
	p.Picture("whole-first")
	p.Do(chromedp.Click(`#first a`, chromedp.NodeVisible), chromedp.WaitVisible("#event-name"))
	p.Wait(`document.getElementById("event-season").value === "2025-26"`)
	p.Do(chromedp.SendKeys("#event-name", "Two Ponds Cup"), chromedp.SendKeys("#event-place", "Invented Hall"), set("event-start", "2026-01-15"))
	p.Do(chromedp.SendKeys("#token", "rt__wrong\r"))
	p.Wait(`document.getElementById("fault").textContent.startsWith("This server does not know this code") && document.getElementById("token").getAttribute("aria-invalid") === "true"`)
	_ = p.Problems() // the refusal
	p.Picture("whole-new")
	p.Do(set("token", ""), chromedp.SendKeys("#token", r.server.AdminToken+"\r"), chromedp.WaitVisible("#steps"))
	if path := browser.Evaluate[string](p, "location.pathname"); path != "/desk/"+ponds+"/organiser" {
		t.Errorf("the new event's page is %s", path)
	}
	return p
}

// setUp makes categories, panel, entries and starting orders, by what the desk says
// is to be done now.
func setUp(p *browser.Page) {
	step := func(name, text string) {
		says(p, text)
		use(p, name)
	}
	step("Add a category", "Add the categories that compete.")
	p.Picture("whole-organiser-empty")
	p.Do(choose("category-rules", women), chromedp.Click("#step-categories button[type=submit]"))
	p.Wait(`document.querySelectorAll("#categories li").length === 1`)
	p.Do(choose("category-rules", "junior-women"), set("category-title", "Juniors, group B"),
		chromedp.Click(`#category-segments [value="free-skating"]`), chromedp.Click("#step-categories button[type=submit]"))
	p.Wait(`document.querySelectorAll("#categories li").length === 2`)

	step("Add skaters", "Bring in the skaters of Senior women.")
	csv := strings.Join(pondEntries, "\n")
	p.Do(chromedp.Click("#entries summary"), set("csv", strings.Replace(csv, "Fay Invented", "", 1)), chromedp.Click("#csv-box button"))
	p.Wait(`document.querySelector("#entries .fault li")?.textContent === "Line 3: name is empty"`)
	_ = p.Problems() // the refusal
	p.Do(set("csv", csv), chromedp.Click("#csv-box button"))

	step("Set the panel", "Say how many judges there are.")
	p.Do(chromedp.SendKeys("#judges", "4\r"))
	says(p, "7 desks have no sheet yet: print them and hand them out.")
	for _, segment := range []string{women + " " + free, ""} { // fewer, first in one segment and then everywhere
		p.Do(choose("panel-where", segment), set("judges", "3"), chromedp.Click("#step-panel button"))
		p.Wait(`document.querySelector("#step-panel .note").textContent === "Senior women, Free skating: 3 judges of its own."`)
	}
	says(p, "6 desks have no sheet yet: print them and hand them out.")

	use(p, "Starting orders")
	p.Do(choose("segment", women+" "+short))
	p.Wait(`!document.querySelector("#draw .row").hidden`)
	p.Do(chromedp.SendKeys("#draw-seed", "7\r"))
	p.Wait(`document.querySelectorAll("#order li").length === 2`)
	p.Do(choose("segment", juniors+" "+short))
	p.Wait(`document.querySelectorAll("#order li").length === 0`)
	p.Do(chromedp.Click("#draw button[type=submit]"))
	p.Wait(`document.querySelectorAll("#order li").length === 2`)

	// Somebody comes too late for the draw, skates first then, and withdraws.
	use(p, "Skaters")
	p.Do(choose("entry-category", juniors), chromedp.SendKeys("#entry-name", "Ivy Invented\r"))
	p.Wait(`[...document.querySelectorAll("#entries .name")].some(n => n.textContent === "Ivy Invented")`)
	use(p, "Starting orders")
	p.Wait(`document.querySelectorAll("#draw li button").length === 2`)
	p.Picture("whole-late")
	p.Do(chromedp.Click(`[aria-label="Ivy Invented: Skates first"]`))
	p.Wait(`document.querySelectorAll("#order li").length === 3 && document.querySelector("#order .name").textContent === "Ivy Invented"`)
	use(p, "Skaters")
	p.Do(chromedp.Click(`[aria-label="Withdraw Ivy Invented"]`), chromedp.Click("dialog button[value=yes]", chromedp.NodeVisible))
	p.Wait(`document.querySelector("#order .badge").textContent === "out"`)
}

// handOut prints all sheets and opens each desk by its QR code, in other tabs of the
// same browser; the announcer, for whom that has no connection left, in another one.
func (r *rink) handOut(p *browser.Page) map[string]*browser.Page {
	r.t.Helper()
	use(p, "Print all 6 sheets")
	p.Wait(`document.querySelectorAll(".sheet .qr").length === 6`)
	p.Picture("whole-sheets")
	p.Wait(`document.querySelector("dialog .caution").textContent.startsWith("This works on this machine only.")`)
	desks := map[string]*browser.Page{}
	for _, name := range browser.Evaluate[[]string](p, `[...document.querySelectorAll(".sheet")].map(s => s.getAttribute("aria-label"))`) {
		link := readQR(r.t, p, fmt.Sprintf(`.sheet[aria-label=%q] .qr`, name))
		var desk *browser.Page
		if name == "Announcer" {
			desk = r.chrome.Open(r.t, link, browser.Desk)
		} else {
			desk = p.Beside(link, browser.Desk)
		}
		desk.Wait(`document.getElementById("desk").hidden === false && !location.href.includes("token")`)
		name = strings.ToLower(name)
		if who := browser.Evaluate[string](desk, `document.querySelector(".who").textContent`); who != "You sit here as "+name+"." {
			r.t.Errorf("the sheet of %s opens the desk of %s", name, who)
		}
		desks[name] = desk
	}
	use(p, "Close")
	return desks
}

// skate holds a segment at the desks, from the referee's start to the signature, and
// adds what segments:score says of everybody.
func (r *rink) skate(desks map[string]*browser.Page, hall *browser.Page, category, segment string, scores map[string]map[string]scored) {
	r.t.Helper()
	referee, technical := desks["referee"], desks["technical panel"]
	judges := []*browser.Page{desks["judge 1"], desks["judge 2"], desks["judge 3"]}
	referee.Do(choose("segment", category+" "+segment))
	press(referee, "Start the segment")
	todo := map[string]performed{}
	for _, p := range skated[category+" "+segment] {
		todo[p.name] = p
	}
	rulesCategory := map[string]string{women: women, juniors: "junior-women"}[category]
	for len(todo) > 0 {
		press(referee, "Call ")
		referee.Wait(`document.querySelector(".bar .say p").textContent.endsWith("is on the ice.")`)
		name := browser.Evaluate[string](referee, `document.getElementById("skater").textContent`)
		p, ok := todo[name]
		if !ok {
			r.t.Fatalf("%s is on the ice", name)
		}
		delete(todo, name)
		technical.Wait(fmt.Sprintf(`document.getElementById("skater").textContent === %q`, name))
		for n := range p.elements {
			callElement(r.t, technical, p, n)
		}
		for j, judge := range judges {
			judge.Wait(fmt.Sprintf(`document.getElementById("skater").textContent === %q`, name))
			for n, e := range p.elements {
				seesElements(judge, len(p.elements))
				judge.Do(chromedp.Click(fmt.Sprintf(`#elements li:nth-child(%d) .tile`, n+1)), chromedp.Click(fmt.Sprintf(`#mark-pad [data-mark="%d"]`, e.marks[j])))
				judge.Wait(fmt.Sprintf(tile+`.querySelector(".own").textContent === %q`, n, signed(e.marks[j])))
			}
			markComponents(judge, p.components[j])
		}
		if p.falls > 0 {
			technical.Do(chromedp.Click(`[aria-label="One more fall"]`))
			referee.Wait(fall + `.textContent === "1"`)
		}
		if p.other != "" {
			menu(referee, "Deductions")
			referee.Do(chromedp.SendKeys("#other-note", "by the rules of the test"), chromedp.SendKeys("#other-points", p.other+"\r"))
			referee.Wait(`document.querySelector("#deductions .entries li")?.textContent.includes("by the rules of the test -0.50")`)
			referee.Picture("whole-deduction")
			shut(referee)
		}
		over(technical)
		referee.Wait(`document.getElementById("open-title").textContent === "Nothing is open"`)
		score := r.score(rulesCategory, segment, p)
		seesScore(referee, score)
		press(referee, "Confirm "+score.SegmentScore)
		scores[name][segment] = score
		shows(hall, "h3", name)
		shows(hall, ".figures .main dd", score.SegmentScore)
	}
	sign(referee)
	shows(hall, ".standing-of", "Official")
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
