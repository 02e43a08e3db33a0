package browser_test

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// face is a page as somebody meets it: bare, before anything was done, and full, while
// somebody skates.
type face struct {
	name, path, sits string // sits: the desk whose code is typed
	bare, full       string // what it shows then; "" = the page is not looked at then
}

// What is folded on a page is looked at too.
var (
	unfold = chromedp.Evaluate[chromedp.Void](`globalThis.folded = [...document.querySelectorAll("details:not([open])")]; folded.forEach(d => { d.open = true; })`)
	fold   = chromedp.Evaluate[chromedp.Void](`folded.forEach(d => { d.open = false; })`)
)

const shownDesk = `!document.getElementById("desk").hidden`

var faces = []face{
	{"trust", "/trust", "", `document.querySelector("main h1, main h2").textContent !== ""`, ""},
	{"new", "/desk", "", `document.getElementById("event-season").value === "2025-26"`, ""},
	{"list", "/events", "", "", `document.querySelectorAll("#events li").length === 1`},
	{"desks", "/desk/" + cup, "", "", `document.getElementById("event").textContent === "Pond Cup"`},
	{"gate", "/desk/" + cup + "/judge", "", "", `document.querySelector(".seat")?.hidden === false`},
	{"board", "/events/" + cup, "", board + `?.textContent.includes("Pond Cup")`, board + `.querySelectorAll(".elements li").length === 4`},
	{"hall", "/events/" + cup + "?hall", "", `document.querySelector("#hall h1")?.textContent === "Pond Cup"`, `document.querySelectorAll("#hall .elements li").length === 3`},
	{"technical", "/desk/" + cup + "/technical", "technical", shownDesk, `document.querySelectorAll("#elements li").length === 3`},
	{"judge", "/desk/" + cup + "/judge", "judge 2", shownDesk, `document.querySelectorAll("#elements li").length === 3`},
	{"referee", "/desk/" + cup + "/referee", "referee", shownDesk, `document.querySelectorAll("#sheet .of-calls tr").length === 3`},
	{"announcer", "/desk/" + cup + "/announcer", "referee", shownDesk, `document.getElementById("read-name").textContent !== ""`},
	{"paper", "/desk/" + cup + "/paper", "organiser", shownDesk, `document.getElementById("codes").value.split("\n").length === 3`},
	{"organiser", "/desk/" + cup + "/organiser", "organiser", shownDesk, `document.querySelectorAll("#seats-list li").length === 6`},
}

// Nobody is shut out of an event: no barrier of any kind on any of its pages, on a phone
// and a laptop, light and dark, before anything was done and while somebody skates. No
// page is wider than its screen. The other pages have such tests of their own.
func TestEveryFace(t *testing.T) {
	r := newRink(t)
	pages := make([]*browser.Page, len(faces))
	look := func(i int, state, ready string) {
		f, p := faces[i], pages[i]
		p.Wait(ready)
		for _, view := range coachViews {
			p.Look(view)
			p.Picture("face-" + f.name + "-" + state)
			where := f.name + ", " + state + ", " + view.Name
			p.Do(unfold)
			if view.Dark { // the rest is the same
				for _, barrier := range p.FaintText() {
					t.Errorf("%s: %s", where, barrier)
				}
				p.Do(fold)
				continue
			}
			for _, barrier := range p.EveryBarrier() {
				t.Errorf("%s: %s", where, barrier)
			}
			if wide := browser.Evaluate[int](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
				t.Errorf("%s: the page is %d px wider than the screen", where, wide)
			}
			for _, small := range browser.Evaluate[[]string](p, smallTargets) {
				t.Errorf("%s: too small for a finger: %s", where, small)
			}
			p.Do(fold)
		}
		clean(t, f.name, p, false)
	}
	for i, f := range faces {
		pages[i] = r.chrome.Open(t, r.server.URL+f.path, coachViews[0])
		if f.sits != "" {
			sit(pages[i], r.tokens[f.sits])
		}
		if f.bare != "" {
			look(i, "bare", f.bare)
		}
	}
	r.runs()
	for i, f := range faces {
		if f.full != "" {
			look(i, "full", f.full)
		}
	}
	organiser := pages[len(pages)-1]
	organiser.Look(coachViews[0])
	for i, step := range []string{"event", "categories", "skaters", "panel", "seats", "orders", "start"} {
		organiser.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.querySelectorAll("#steps button")[%d].click()`, i)))
		organiser.Wait(fmt.Sprintf(`document.getElementById("step-%s").checkVisibility()`, step))
		organiser.Picture("face-organiser-" + step)
		for _, barrier := range organiser.EveryBarrier() {
			t.Errorf("organiser, %s: %s", step, barrier)
		}
	}
}

// runs brings an event to its second skater, after three elements.
func (r *rink) runs() {
	r.t.Helper()
	at := "/v1/events/" + cup
	var order []string
	for i, name := range []string{"Ada Invented", "Bea Invented With A Rather Long Name Of Several Words In All", "Cleo Invented", "Dora Invented"} {
		r.call("organiser", http.MethodPost, at+"/entries", map[string]any{"category": women, "name": name, "club": "Pond", "programTitle": fmt.Sprintf("Invented Waltz %d", i+1)}, nil)
		order = append(order, strconv.Itoa(i+1))
	}
	segment := at + "/categories/" + women + "/segments/" + short
	r.call("organiser", http.MethodPost, segment+":drawOrder", map[string]any{"method": "GIVEN", "entries": order}, nil)
	r.call("referee", http.MethodPost, segment+":start", map[string]any{}, nil)
	r.skates("1", 6)
	r.call("technical", http.MethodPost, segment+":callSkater", map[string]any{}, nil)
	for _, code := range []string{"3Lz+3T", "2A", "CCoSp4"} {
		r.call("technical", http.MethodPost, segment+"/performances/2/elements", map[string]any{"code": code}, nil)
	}
}

// Every link of every page leads to a page or a paper. What programs read is linked by
// its address or its kind.
func TestEveryLinkLeadsToAPage(t *testing.T) {
	r := newRink(t)
	r.runs()
	links := map[string]string{} // and a page that has it
	page := r.chrome.Open(t, r.server.URL, browser.Phone)
	for path, ready := range map[string]string{
		"/": "", "/count": "", "/practice": "", "/plan": "", "/program": "", "/trust": "", "/seasons": "", "/seasons/2025-26": drawn, "/seasons/compare?from=2024-25&to=2025-26": `document.querySelectorAll("main a.opener").length > 0`,
		"/docs/": "", "/docs/errors": "", "/docs/event": "", "/developers": "", "/no/such/page": "", "/parts": "", "/desk": "",
		"/events":        `document.querySelectorAll("#events li").length === 1`,
		"/events/" + cup: `document.querySelectorAll("#papers a").length > 0`,
		"/desk/" + cup:   `document.getElementById("event").textContent === "Pond Cup"`,
	} {
		page.Do(chromedp.Navigate(r.server.URL + path))
		if ready != "" {
			page.Wait(ready)
		}
		for _, link := range browser.Evaluate[[]string](page, `[...document.querySelectorAll("a[href]")].filter(a => !/^\/|JSON|OpenAPI/.test(a.textContent)).map(a => a.href.split("#")[0])`) {
			links[link] = path
		}
	}
	if len(links) < 20 {
		t.Fatalf("there are only %d links", len(links))
	}
	for link, path := range links {
		if link == r.server.URL+"/no/such/page" { // to its own text
			continue
		}
		if !strings.HasPrefix(link, r.server.URL) {
			t.Errorf("%s links to another site: %s", path, link)
			continue
		}
		req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, link, http.NoBody)
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Accept", "text/html")
		res, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		_ = res.Body.Close()
		kind, _, _ := strings.Cut(res.Header.Get("Content-Type"), ";")
		if res.StatusCode != http.StatusOK || !slices.Contains([]string{"text/html", "application/pdf", "text/csv"}, kind) {
			t.Errorf("%s links to %s: %s, %s", path, link, res.Status, kind)
		}
	}
}

// smallTargets lists what is too small for a finger. Links inside a sentence may be as
// high as its line.
const smallTargets = `[...document.querySelectorAll(":is(main, .top, .bar) :is(button, .button, select, summary, input:not([type=checkbox], [type=radio]), nav a)")]
	.filter(n => n.checkVisibility() && n.getBoundingClientRect().height < 43.5).map(n => n.outerHTML.slice(0, 200))`
