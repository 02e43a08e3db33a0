package browser_test

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"

	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/store"
)

// ready brings a rink to the point where the first skater is on the ice, by the
// API.
func ready(t *testing.T, names ...string) *rink {
	t.Helper()
	r := newRink(t)
	r.onIce(names...)
	return r
}

// onIce enters skaters, starts their segment and calls the first.
func (r *rink) onIce(names ...string) {
	r.t.Helper()
	at := "/v1/events/" + cup
	var order []string
	for i, name := range names {
		r.call("organiser", http.MethodPost, at+"/entries", map[string]any{"category": women, "name": name, "club": "Pond"}, nil)
		order = append(order, strconv.Itoa(i+1))
	}
	at += "/categories/" + women + "/segments/" + short
	r.call("organiser", http.MethodPost, at+":drawOrder", map[string]any{"method": "GIVEN", "entries": order}, nil)
	r.call("referee", http.MethodPost, at+":start", map[string]any{}, nil)
	r.call("technical", http.MethodPost, at+":callSkater", map[string]any{}, nil)
}

// element calls an element of the first skater by the API.
func (r *rink) element(code string) {
	r.t.Helper()
	path := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short + "/performances/1/elements"
	r.call("technical", http.MethodPost, path, map[string]any{"code": code}, nil)
}

// Names are text, whatever they contain.
func TestNamesAreText(t *testing.T) {
	const name = `<img src=x onerror="document.title='broken'"><b>Ada</b>`
	r := ready(t, name)
	for path, shown := range map[string]string{
		"/events/" + cup: board + `.querySelector("h3").textContent`, "/desk/" + cup + "/referee": `document.getElementById("skater")?.textContent`,
	} {
		page := r.chrome.Open(t, r.server.URL+path, browser.Desk)
		if strings.HasPrefix(path, "/desk") {
			sit(page, r.tokens["referee"])
		}
		page.Wait(fmt.Sprintf("%s === %q", shown, name))
		clean(t, path, page, false)
	}
}

// Who is entered while the segment runs is put behind the others, also when the one
// who was called last has withdrawn.
func TestLateEntryWhileTheSegmentRuns(t *testing.T) {
	r := ready(t, "Ada Invented", "Bea Invented")
	r.call("referee", http.MethodPost, "/v1/events/"+cup+"/entries/1:withdraw", map[string]any{}, nil)
	r.call("organiser", http.MethodPost, "/v1/events/"+cup+"/entries", map[string]any{"category": women, "name": "Late Invented"}, nil)
	page := r.desk("referee", "referee", browser.Desk)
	menu(page, "Starting order")
	page.Do(browser.Click(`[aria-label="Late Invented: Skates last"]`))
	page.Wait(`[...document.querySelectorAll("#queue li")].map(li => li.querySelector(".index").textContent + li.querySelector(".name").textContent + li.querySelector("small").textContent).join() === "1Ada Inventeddoes not skate,2Bea Inventedis next,3Late Invented"`)
	page.Wait(`document.querySelectorAll("#draw li").length === 0`)
	clean(t, "referee", page, false)
}

// Where reading is restricted, the board says so, and gives the papers to who comes
// from a desk, as they are: the end of a PDF says at which byte its table stands.
func TestRestrictedBoardGivesPapers(t *testing.T) {
	r := ready(t, "Ada Invented")
	r.call("organiser", http.MethodPatch, "/v1/events/"+cup, map[string]any{"restricted": true}, nil)
	closed := r.chrome.Open(t, r.server.URL+"/events/"+cup, browser.Desk)
	closed.Wait(`!document.getElementById("gate").hidden && document.getElementById("board").hidden && document.getElementById("more").hidden`)
	page := r.desk("referee", "referee", browser.Desk)
	page.Do(browser.Click(".menu summary"), browser.Click(".menu a"), chromedp.WaitVisible("#papers a"))
	page.Do(chromedp.Evaluate[chromedp.Void](`{
		const make = URL.createObjectURL;
		URL.createObjectURL = (blob) => { blob.arrayBuffer().then((data) => { window.paper = new TextDecoder("latin1").decode(data); }); return make.call(URL, blob); };
	}`), browser.Click("#papers a"))
	page.Wait(`window.paper?.startsWith("%PDF") && window.paper.startsWith("xref", Number(/startxref\s+(\d+)/.exec(window.paper)[1]))`)
}

// Where reading is restricted, the board and the list take a token as the desks do,
// and refuse a wrong one with its reason.
func TestRestrictedEventsTakeAToken(t *testing.T) {
	r := ready(t, "Ada Invented")
	r.call("organiser", http.MethodPatch, "/v1/events/"+cup, map[string]any{"restricted": true}, nil)
	var viewer struct{ Token string }
	r.call("organiser", http.MethodPost, "/v1/events/"+cup+"/tokens", map[string]any{"role": "VIEWER"}, &viewer)

	page := r.chrome.Open(t, r.server.URL+"/events", browser.Phone)
	page.Wait(`!document.getElementById("first").hidden`)
	page.Do(browser.Click("#restricted summary"))
	refusedThenIn := func(in string) {
		t.Helper()
		sit(page, "rt_pond-cup_nonsense")
		page.Wait(`document.getElementById("token-fault").textContent.includes("ask the organiser for another") && document.getElementById("token").getAttribute("aria-invalid") === "true"`)
		_ = page.Problems() // the refusal
		page.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("token").value = ""`))
		for _, barrier := range page.EveryBarrier() {
			t.Error(barrier)
		}
		page.Picture("restricted")
		sit(page, viewer.Token)
		page.Wait(in)
	}
	refusedThenIn(`document.querySelector("#events a")?.textContent === "Pond Cup" && document.getElementById("first").hidden`)
	page.Do(browser.Click("#events a"), chromedp.WaitVisible("#board"))
	page.Wait(`document.querySelector("rinktally-scoreboard")?.shadowRoot?.querySelector("h3")?.textContent === "Ada Invented"`)

	page = r.chrome.Open(t, r.server.URL+"/events/"+cup, browser.Phone)
	page.Wait(`!document.getElementById("gate").hidden`)
	_ = page.Problems() // the refusal
	refusedThenIn(`document.getElementById("gate").hidden && ` + board + `.querySelector("h3").textContent === "Ada Invented"`)
	page.Do(chromedp.Reload())
	page.Wait(`document.querySelector("rinktally-scoreboard")?.shadowRoot?.querySelector("h3")?.textContent === "Ada Invented"`)
	clean(t, "board", page, false)

	linked := r.chrome.Open(t, r.server.URL+"/events/"+cup+"?hall#token="+viewer.Token, browser.Hall)
	linked.Wait(`document.querySelector("#hall .skater .name")?.textContent === "Ada Invented"`)
	if at := browser.Evaluate[string](linked, "location.href"); strings.Contains(at, viewer.Token) {
		t.Errorf("the token stays in the address: %s", at)
	}
	clean(t, "hall", linked, false)
}

// A desk says why a token does not open it, and closes when its token ends.
func TestTokensOfDesks(t *testing.T) {
	r := ready(t, "Ada Invented")
	page := r.chrome.Open(t, r.server.URL+"/desk/"+cup+"/judge", browser.Desk)
	empty := chromedp.Evaluate[chromedp.Void](`document.getElementById("token").value = ""`)
	for _, c := range [][2]string{
		{"rt_pond-cup_nonsense", "ask the organiser for another"},
		{r.tokens["technical"], "This code is for the technical panel; this desk is “Judge”. Go to the right desk"},
	} {
		page.Wait(`document.querySelector(".seat")?.hidden === false`)
		page.Do(empty)
		sit(page, c[0])
		page.Wait(fmt.Sprintf(`document.getElementById("token-fault").textContent.includes(%q) && document.getElementById("token").value === ""`, c[1]))
	}
	_ = page.Problems() // the refusals
	page.Picture("gate-wrong")
	page.Do(browser.Click("#token-fault a"), chromedp.WaitVisible("#calling")) // leads to the right desk
	page = r.chrome.Open(t, r.server.URL+"/desk/"+cup+"/judge", browser.Desk)
	sit(page, r.server.URL+"/desk/"+cup+"/judge#token="+r.tokens["judge 3"]) // a link holds its code
	page.Wait(`document.querySelector(".top .title").textContent === "Judge 3" && !document.getElementById("desk").hidden`)
	if kept := browser.Evaluate[int](page, `localStorage.length + document.cookie.length`); kept != 0 {
		t.Error("something is kept longer than the tab")
	}
	r.revoke("judge 3")
	page.Wait(`!document.querySelector(".seat").hidden && document.getElementById("desk").hidden`)
	if left := browser.Evaluate[int](page, `Object.keys(sessionStorage).filter(k => k.startsWith("rinktally token")).length`); left != 0 {
		t.Error("the token that ended is still kept")
	}
}

// Who makes an event with a token that is not the administrator's is told what is
// wrong with it.
func TestNewEventSaysWhatIsWrongWithAToken(t *testing.T) {
	r := newRink(t)
	page := r.chrome.Open(t, r.server.URL+"/desk", browser.Phone)
	page.Wait(`document.getElementById("event-season").value === "2025-26"`)
	page.Do(set("event-name", "Lake Cup"), set("event-start", "2026-01-15"))
	for _, c := range [][2]string{{"rt__wrong", "This server does not know this code"}, {r.tokens["organiser"], "This code is not the administrator's."}} {
		page.Do(set("token", ""))
		sit(page, c[0])
		page.Wait(fmt.Sprintf(`document.getElementById("fault").textContent.startsWith(%q) && document.getElementById("token").getAttribute("aria-invalid") === "true"`, c[1]))
		_ = page.Problems() // the refusal
	}
	page.Picture("new-refused")
}

// facts counts the facts of a kind in the log.
func (r *rink) facts(kind string) int {
	r.t.Helper()
	var log struct{ Facts []struct{ Kind string } }
	r.call("referee", http.MethodGet, "/v1/events/"+cup+"/facts?pageSize=1000", nil, &log)
	n := 0
	for _, fact := range log.Facts {
		if fact.Kind == kind {
			n++
		}
	}
	return n
}

// givenOnce checks that a mark of an element stands in the log once.
func (r *rink) givenOnce() {
	r.t.Helper()
	if given := r.facts("ElementMarksGiven"); given != 1 {
		r.t.Errorf("the mark stands %d times in the log", given)
	}
}

// A desk shows what the server says while it takes nothing, here that its disk is
// full, and sends what was typed when there is room again.
func TestDeskTellsWhyNothingIsTaken(t *testing.T) {
	r := ready(t, "Ada Invented")
	r.element("3Lz")
	page := r.desk("judge 1", "judge", browser.Phone)
	seesElements(page, 1)
	full := status.Convert(errs.From(store.ErrStoreFull, nil))
	body, err := protojson.Marshal(full.Proto())
	if err != nil {
		t.Fatal(err)
	}
	page.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{
		const ask = fetch;
		window.fetch = (url, options) => options?.method === "PUT"
			? Promise.resolve(new Response(%q, { status: 429, headers: { "Content-Type": "application/json" } })) : ask(url, options);
		window.makeRoom = () => { window.fetch = ask; };
	}`, body)))
	markElement(page, 0, 4)
	page.Wait(fmt.Sprintf(`document.querySelector(".notice")?.textContent.toLowerCase().includes(%q)`, "what you type is kept and sent again by itself. the server says: "+strings.ToLower(full.Message())))
	page.Do(chromedp.Evaluate[chromedp.Void](`makeRoom()`))
	arrived(page)
	r.givenOnce()
	clean(t, "judge", page, false)
}
