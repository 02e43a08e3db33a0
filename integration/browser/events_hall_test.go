package browser_test

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// screens are what halls have, beside one that stands upright.
var screens = []browser.View{
	{Name: "720", Width: 1280, Height: 720},
	{Name: "1080", Width: 1920, Height: 1080},
	{Name: "2160", Width: 3840, Height: 2160},
	{Name: "upright", Width: 1080, Height: 1920},
}

// freeProgram is twelve elements of a free program.
var freeProgram = []string{"3Lz+3T", "2A", "3S<", "FCSp3", "StSq2", "2F", "3S+2T", "2A+1Eu+2S", "2Lo", "ChSq1", "CCoSp3", "LSp2"}

// hallField enters so many skaters in warm-up groups of six; two of five have a name and
// a club of 60 characters.
func (r *rink) hallField(size int) {
	r.t.Helper()
	at := "/v1/events/" + cup
	order := make([]string, size)
	var csv strings.Builder
	csv.WriteString("category,name,club\n")
	for i := range size {
		name, club := fmt.Sprintf("Skater %d Invented", i+1), "Pond"
		if i%5 < 2 {
			name = fmt.Sprintf("Skater %02d Pelagia-Wilhelmina Brünnstetter-Oosterveen Invented", i+1)
			club = "Skating Club of the Rather Long and Wholly Invented Valley X"
		}
		order[i] = fmt.Sprint(i + 1)
		fmt.Fprintf(&csv, "%s,%s,%s\n", women, name, club)
	}
	r.call("organiser", http.MethodPost, at+"/entries:import", map[string]any{"csv": csv.String()}, nil)
	r.call("organiser", http.MethodPost, at+"/categories/"+women+"/segments/"+short+":drawOrder", map[string]any{"method": "GIVEN", "entries": order, "groupSize": 6}, nil)
}

// outside lists what of the hall's screen is not inside its viewport, or is cut.
const outside = `(() => {
	const bad = [];
	for (const node of document.querySelectorAll(%s)) {
		const box = node.getBoundingClientRect();
		if (!box.height || box.left < 0 || box.top < 0 || box.right > innerWidth + 1 || box.bottom > innerHeight + 1) bad.push("outside: " + node.textContent);
		for (let over = node.parentElement; over && over.id !== "hall"; over = over.parentElement) {
			const frame = over.getBoundingClientRect();
			if (getComputedStyle(over).overflow !== "visible" && (box.bottom > frame.bottom + 1 || box.right > frame.right + 1)) bad.push("cut: " + node.textContent);
		}
	}
	for (const node of document.querySelectorAll("#hall .fits")) {
		if (node.scrollWidth > node.clientWidth + 1 || node.scrollHeight > node.clientHeight + 1) bad.push("does not fit: " + node.textContent);
	}
	return bad;
})()`

// seen checks that parts of the hall's screen are there and inside it.
func seen(t *testing.T, p *browser.Page, name string, selectors ...string) {
	t.Helper()
	p.Picture(name)
	for _, selector := range selectors {
		if browser.Evaluate[int](p, fmt.Sprintf("document.querySelectorAll(%q).length", selector)) == 0 {
			t.Errorf("%s: there is no %s", name, selector)
		}
	}
	for _, bad := range browser.Evaluate[[]string](p, fmt.Sprintf(outside, strconv.Quote(strings.Join(selectors, ", ")))) {
		t.Errorf("%s: %s", name, bad)
	}
}

// pace lets the waits of a page that begin from now on last so many times as long.
func pace(p *browser.Page, times float64) {
	p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{
		window.waits ??= setTimeout;
		window.setTimeout = (run, ms, ...more) => window.waits(run, ms * %g, ...more);
	}`, times)))
}

// soon waits as Wait does, which has a limit that pace changes, too.
func soon(p *browser.Page, expression string) {
	_ = browser.Evaluate[bool](p, fmt.Sprintf(`new Promise((done) => {
		const look = () => (%s ? done(true) : requestAnimationFrame(look));
		look();
	})`, expression))
}

// On a hall's screen nothing that matters is cut, in any scene and at any size.
func TestHallFitsEveryScreen(t *testing.T) {
	r := newRink(t)
	const size = 24
	r.hallField(size)
	segment := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short
	pages := make([]*browser.Page, len(screens))
	for i, view := range screens {
		pages[i] = r.chrome.Open(t, r.server.URL+"/events/"+cup+"?hall", view)
	}
	scene := func(name, is, ready string, selectors ...string) {
		t.Helper()
		for i, p := range pages {
			p.Wait(fmt.Sprintf(`document.getElementById("hall").dataset.scene === %q && (%s)`, is, ready))
			seen(t, p, "hall-"+name, selectors...)
			if screens[i].Name == "1080" {
				for _, barrier := range p.EveryBarrier() {
					t.Error(barrier)
				}
			}
		}
	}
	scene("before", "before", `document.querySelectorAll("#hall .groups li").length === 24`, "#hall .groups li", "#hall header")

	r.call("referee", http.MethodPost, segment+":start", map[string]any{}, nil)
	const skated = 15 // so that names of 60 characters are on the ice and next
	for i := range skated {
		r.skates(fmt.Sprint(i+1), 9-0.25*float64(i*7%skated))
	}
	r.call("technical", http.MethodPost, segment+":callSkater", map[string]any{}, nil)
	for _, code := range freeProgram {
		r.call("technical", http.MethodPost, segment+"/performances/16/elements", map[string]any{"code": code}, nil)
	}
	scene("running", "running", `document.querySelector("#hall .box code")?.textContent === "LSp2" && document.querySelector("#hall .words").textContent === "Layback spin, level 2" && document.querySelectorAll("#hall .elements li").length === 12`,
		"#hall .box code", "#hall .box .words", "#hall .box b", "#hall .elements li", "#hall .elements li.now", "#hall .places li", "#hall footer li:first-child", "#hall .skater .name", "#hall .so-far b", "#hall .lead b")
	first := make([]string, len(pages))
	for i, p := range pages {
		first[i] = p.Text("#hall .label span")
	}
	for i, p := range pages {
		rows := browser.Evaluate[int](p, `Number(document.querySelector("#hall .right .places").style.getPropertyValue("--rows"))`)
		if rows < 5 {
			t.Errorf("%s: there are %d rows of places", screens[i].Name, rows)
		}
		p.Wait(fmt.Sprintf(`document.querySelector("#hall .label span").textContent !== %q`, first[i])) // the others, in turn
		seen(t, p, "hall-turned", "#hall .places li")
		if place := p.Text("#hall .places li:first-child .place"); place != "1" {
			t.Errorf("%s: the first row is place %s, want the leader", screens[i].Name, place)
		}
	}
	r.call("technical", http.MethodPost, segment+"/performances/16:endProgram", map[string]any{}, nil)
	scene("waiting", "running", `document.querySelector("#hall .wait")?.textContent === "Waiting for the score"`,
		"#hall .wait", "#hall .last b", "#hall .elements li", "#hall .places li", "#hall footer li:first-child")
	for _, p := range pages {
		if last := p.Text("#hall .last .name"); last != "Skater 15 Invented" {
			t.Errorf("the last score is that of %s", last)
		}
	}
	for _, p := range pages {
		pace(p, 100) // a score stays for long enough to be looked at here
	}
	r.scores("16", len(freeProgram), 5)
	scene("score", "score", `document.querySelectorAll("#hall .places li.now").length === 1`,
		"#hall .score-box b", "#hall .score-box p", "#hall dd", "#hall .places li", "#hall .places li.now", "#hall footer li:first-child")

	// Who is called next does not end the score; the first element does.
	r.call("technical", http.MethodPost, segment+":callSkater", map[string]any{}, nil)
	pages[0].Wait(`document.getElementById("hall").dataset.scene === "score"`)
	r.call("technical", http.MethodPost, segment+"/performances/17/elements", map[string]any{"code": "2A"}, nil)
	scene("next", "running", `document.querySelector("#hall .skater .name").textContent.startsWith("Skater 17 ")`, "#hall .box code", "#hall .skater .name")

	// Nothing is heard.
	pace(pages[1], 0.01)
	r.call("technical", http.MethodPost, segment+"/performances/17/elements", map[string]any{"code": "2F"}, nil)
	soon(pages[1], `document.querySelector("#hall header .pill").textContent.startsWith("No news since ")`)
	seen(t, pages[1], "hall-silent", "#hall header .pill")

	// A score stays for a while, and then what was skated comes back.
	r.scores("17", 2, 6)
	soon(pages[1], `document.getElementById("hall").dataset.scene === "running" && document.querySelector("#hall .box p")?.textContent.endsWith(" in the short program")`)
	seen(t, pages[1], "hall-confirmed", "#hall .box b", "#hall .elements li", "#hall .places li")
	pace(pages[1], 1)

	// What of 24 is left withdraws, and the referee signs.
	for entry := 18; entry <= size; entry++ {
		r.call("referee", http.MethodPost, fmt.Sprintf("/v1/events/%s/entries/%d:withdraw", cup, entry), map[string]any{}, nil)
	}
	r.call("referee", http.MethodPost, segment+":publish", map[string]any{}, nil)
	scene("result", "result", `document.querySelector("#hall header .pill").textContent === "Official" && document.querySelectorAll("#hall .scene .places li").length > 10`,
		"#hall .medals li", "#hall .scene .places li", "#hall header .pill")
	for i, p := range pages {
		clean(t, screens[i].Name, p, false)
	}
}
