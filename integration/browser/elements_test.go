package browser_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/integration/npm"
	"github.com/rinktally/rinktally/integration/wasm"
)

// elementsPage is a page of a club's site with both elements, in the club's own colour.
// %[1]s is where their modules lie, %[2]s the server.
const elementsPage = `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>Our club</title>
<link rel="icon" href="data:,">
<script type="module" src="%[1]sscoreboard.js"></script><script type="module" src="%[1]sprogram.js"></script>
<style>body { margin: 1rem; font-family: serif } rinktally-program { --rt-bad: #7a0060 } @media (prefers-color-scheme: dark) { body { background: #000; color: #fff } rinktally-program { --rt-bad: #ffa0e0 } }</style>
<main><h1>Our club</h1>
<rinktally-program server="%[2]s" season="2025-26" category="senior-women" segment="free-skating"
  text="3lz+3t +2, 3lz, 3Lz, CCoSp4, Axel | 2A, ChSq1"></rinktally-program>
<rinktally-scoreboard server="%[2]s" event="pond-cup" rows="2"></rinktally-scoreboard></main></html>`

// inside is the inside of an element.
func inside(element string) string {
	return fmt.Sprintf(`document.querySelector("rinktally-%s").shadowRoot`, element)
}

// has waits until a part of an element holds a text.
func has(p *browser.Page, element, selector, text string) {
	p.Wait(fmt.Sprintf(`[...%s.querySelectorAll(%q)].some((node) => node.textContent.includes(%q))`, inside(element), selector, text))
}

// TestElementsOnOtherSites shows both elements on pages of other sites: one that the
// server allows, with the modules of the server, and one that it does not, with those of
// the installed npm package.
func TestElementsOnOtherSites(t *testing.T) {
	packed := http.StripPrefix("/rinktally/", http.FileServerFS(os.DirFS(filepath.Join(npm.Install(t), "node_modules", "rinktally"))))
	r := newRinkWith(t, wasm.Built(t), func(server string) http.Handler { return pageOf(fmt.Sprintf(elementsPage, server+"/embed/", server)) })
	mux := http.NewServeMux()
	mux.Handle("GET /{$}", pageOf(fmt.Sprintf(elementsPage, "/rinktally/", r.server.URL)))
	mux.Handle("GET /rinktally/", packed)
	refused := httptest.NewServer(mux)
	t.Cleanup(refused.Close)
	r.hallField(3)
	r.call("referee", http.MethodPost, "/v1/events/"+cup+"/categories/"+women+"/segments/"+short+":start", map[string]any{}, nil)
	r.skates("1", 6)
	r.skates("2", 5)
	r.call("technical", http.MethodPost, "/v1/events/"+cup+"/categories/"+women+"/segments/"+short+":callSkater", map[string]any{}, nil)

	p := r.chrome.Open(t, r.club, coachViews[0])
	for _, view := range coachViews {
		p.Look(view)
		has(p, "program", "tbody tr:nth-child(1) code", "3Lz+3T")
		has(p, "program", "tbody tr:nth-child(1) .points", "10.10") // 5.90 + 4.20, the values of 2025-26
		has(p, "program", "tr.struck .finding", "for the third time")
		has(p, "program", "tr.struck .finding", "Axel")
		has(p, "program", "tr.half", "Second half")
		has(p, "program", ".lost", "2 without value")
		if colour := browser.Evaluate[string](p, `getComputedStyle(`+inside("program")+`.querySelector(".lost")).color`); colour != "rgb(122, 0, 96)" && colour != "rgb(255, 160, 224)" {
			t.Errorf("the page's colour is not taken: %s", colour)
		}
		has(p, "scoreboard", ".name", "Skater 3 Invented")
		p.Wait(rows + ".length === 2")
		p.Picture("elements")
		for _, barrier := range p.BarriersOf(view) {
			t.Error(barrier)
		}
		if wide := browser.Evaluate[bool](p, `document.documentElement.scrollWidth > innerWidth`); wide {
			t.Errorf("%s: the page is wider than the screen", view.Name)
		}
		clean(t, "elements", p, false)
	}
	tryAttributes(p)

	other := r.chrome.Open(t, refused.URL, browser.Desk)
	for element, part := range map[string]string{"program": ".nothing", "scoreboard": ".link"} {
		has(other, element, part, "--cors-origins "+refused.URL)
	}
	other.Picture("elements-refused")
	// The engine comes from the server to every site.
	other.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("rinktally-program").setAttribute("offline", "")`))
	has(other, "program", "tbody tr:nth-child(1) .points", "10.10")
}

// tryAttributes changes those of the elements one by one.
func tryAttributes(p *browser.Page) {
	set := func(element string, pairs ...string) {
		for i := 0; i < len(pairs); i += 2 {
			p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.querySelector("rinktally-%s").setAttribute(%q, %q)`, element, pairs[i], pairs[i+1])))
		}
	}
	shows(p, ".state", "On the ice")
	set("scoreboard", "view", "result")
	visible(p, ".places", ".skater", ".next")
	set("scoreboard", "rows", "1")
	has(p, "scoreboard", ".places .quiet", "and 2 more")
	set("scoreboard", "view", "skater", "entry", "2")
	visible(p, ".sheet", ".places")
	shows(p, ".sheet h3", "Skater 02 Pelagia-Wilhelmina")
	set("scoreboard", "view", "standing", "category", women, "segment", free)
	hasText(p, "h2 span", "Senior women, free skating")
	set("scoreboard", "event", "no-cup")
	shows(p, ".link", "there is no event")

	set("program", "season", "2016-17")
	has(p, "program", ".quiet", "2016-17")
	has(p, "program", "tbody tr:nth-child(1) .points", "10.30") // 6.00 + 4.30: ISU Communication 2000
	set("program", "category", "no-category")
	has(p, "program", ".nothing", "category")
	set("program", "category", "senior-men", "text", "4T")
	has(p, "program", "h2", "Senior men, free skating")
	has(p, "program", "tbody tr:nth-child(1) .points", "10.30") // the quadruple toe loop: the same communication
	set("program", "text", "")
	has(p, "program", ".nothing", "“text” is missing")
}
