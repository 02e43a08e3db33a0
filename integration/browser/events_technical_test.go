package browser_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rinktally/rinktally/integration/browser"
)

// Screens at the rink: a common laptop, a lower one, a phone of another size.
var (
	laptop = browser.View{Name: "laptop", Width: 1366, Height: 768}
	low    = browser.View{Name: "low", Width: 1366, Height: 650, Dark: true}
	phone  = browser.View{Name: "phone-390", Width: 390, Height: 844}
)

// twelve are elements of a free skating, as somebody may type them; 5 and 12
// are the same spin.
var twelve = []string{"2Lz+2T", "2A", "3S<", "FCSp3", "CCoSp3", "2F", "3S+2T", "2A+1Eu+2S", "2Lo", "ChSq1", "StSq2", "CCoSp2"}

// inField says whether what is typed goes into the code field.
const inField = `document.activeElement === document.getElementById("code")`

func ctrlZ() chromedp.Action[chromedp.Void] {
	return chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl))
}

// calls waits until the list has these codes and everything is sent.
func calls(p *browser.Page, want ...string) {
	p.Wait(fmt.Sprintf(`[...document.querySelectorAll("#elements li")].map(li => [...li.querySelectorAll(".code, .half")].map(c => c.textContent).join(" ").trim()).join() === %q
		&& !document.querySelector("#elements [data-state=unsent]")`, strings.Join(want, ",")))
}

// The whole desk of the technical panel with the keyboard alone, from one skater to the
// next.
func TestTechnicalPanelByKeyboard(t *testing.T) {
	r := ready(t, "Ada Invented", "Bea Invented")
	page := r.desk("technical", "technical", laptop)
	page.Wait(inField)
	keys := func(actions ...string) {
		for _, a := range actions {
			page.Do(chromedp.KeyEvent(a))
		}
	}
	keys("lsp2")
	page.Wait(`document.getElementById("read").textContent.includes("LSp2 layback spin, level 2 · base value 1.90") && document.querySelector("#read .note").textContent === "Nothing in the rules speaks against it."`)
	keys("\r")
	calls(page, "LSp2")
	keys("3lz+3t\r")
	calls(page, "LSp2", "3Lz+3T")
	keys(kb.F4)
	page.Wait(`document.getElementById("half").getAttribute("aria-pressed") === "true"`)
	keys("2a\r")
	calls(page, "LSp2", "3Lz+3T", "2A 2nd half")
	keys("?")
	page.Wait(`document.querySelector("#look li .code")?.textContent === "3 2A"`)
	keys("x")
	calls(page, "LSp2", "3Lz+3T", "2A")
	keys(kb.ArrowUp, "e")
	page.Wait(`document.getElementById("code").value === "3Lz+3T" && document.querySelector(".bar").textContent.includes("Type the new code of 2 3Lz+3T.")`)
	keys("3lz+2t\r")
	calls(page, "LSp2", "3Lz+2T", "2A")
	keys(kb.ArrowDown, kb.ArrowDown)
	page.Do(ctrlZ())
	calls(page, "LSp2", "3Lz+2T")
	page.Wait(`document.querySelector(".toast").textContent.includes("Element 3 2A taken back.")`)

	// The same spin twice in five seconds is asked about, and has no value.
	keys("csp2\r")
	calls(page, "LSp2", "3Lz+2T", "CSp2 2nd half")
	keys("csp2\r")
	calls(page, "LSp2", "3Lz+2T", "CSp2 2nd half", "CSp2 2nd half")
	page.Wait(`/^Called twice\? Same as 3, \d seconds? before\.$/.test(document.querySelector("#elements [data-kind=twice]")?.textContent)`)
	page.Picture("technical-twice")
	keys("?", kb.F4)
	page.Do(ctrlZ())
	calls(page, "LSp2", "3Lz+2T", "CSp2 2nd half")

	keys(kb.F1)
	page.Wait(`document.querySelector("dialog.keys")?.textContent.includes("the second half has begun")`)
	page.Picture("technical-keys")
	for _, barrier := range page.EveryBarrier() {
		t.Error(barrier)
	}
	keys(kb.Escape)
	page.Wait(`!document.querySelector("dialog") && ` + inField)

	keys(kb.F2)
	page.Wait(`!document.getElementById("finder").hidden`)
	tap := func(label string) {
		page.Wait(fmt.Sprintf(`[...document.querySelectorAll("#finder button")].some(b => b.textContent === %q && (b.focus(), true))`, label))
		keys(" ")
	}
	tap("camel")
	page.Wait(`document.getElementById("code").value.startsWith("CSp")`)
	tap("upward")
	tap("8 revolutions")
	page.Wait(`document.querySelector("#finder .found").textContent.includes("2 features count") && document.querySelector("#finder .found strong").textContent === "Level 2"`)
	page.Picture("technical-finder")
	for _, barrier := range page.EveryBarrier() {
		t.Error(barrier)
	}
	keys(kb.Escape)
	page.Wait(`document.getElementById("finder").hidden && ` + inField)
	keys(kb.Escape)

	page.Do(browser.Click(`[aria-label="One more fall"]`)) // a mouse does not take the focus away
	page.Wait(inField + ` && document.querySelector(".counter output").textContent === "1" && document.querySelector(".counter").dataset.state === ""`)
	over(page)
	page.Picture("technical-over")
	use(page, "The program goes on") // it was a slip
	page.Wait(`document.querySelector(".strip .pill").textContent === "on the ice" && ` + inField)
	over(page)
	r.marked("1", 2, 7, true)
	r.finish("1")
	page.Wait(`document.querySelector(".bar .primary").textContent === "Call 2 Bea Invented" && document.querySelector(".bar .primary").ariaDisabled !== "true"`)
	page.Picture("technical-next")
	page.Do(browser.Click(".bar .primary"))
	page.Wait(`document.getElementById("skater").textContent === "Bea Invented" && ` + inField)
	keys("3f\r")
	calls(page, "3F")
	clean(t, "technical", page, false)
}

// finish sends every mark of an element and confirms.
func (r *rink) finish(entry string) {
	r.t.Helper()
	r.markElements(entry)
	r.call("referee", http.MethodPost, "/v1/events/"+cup+"/categories/"+women+"/segments/"+short+"/performances/"+entry+":confirm", map[string]any{}, nil)
}

// markElements sends every mark of an element.
func (r *rink) markElements(entry string) {
	r.t.Helper()
	at := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short + "/performances/" + entry
	var sheet struct {
		Performance struct{ Elements []struct{ Element int } }
	}
	r.call("referee", http.MethodGet, at, nil, &sheet)
	for judge := 1; judge <= 3; judge++ {
		var marks []any
		for _, e := range sheet.Performance.Elements {
			marks = append(marks, map[string]any{"element": e.Element, "mark": 1})
		}
		r.call(fmt.Sprint("judge ", judge), http.MethodPut, fmt.Sprint(at, "/judges/", judge, "/elementMarks"), map[string]any{"marks": marks}, nil)
	}
}

// freeSkating makes a category with a free skating alone and calls its first skater. It
// returns the path of that performance.
func (r *rink) freeSkating(names ...string) string {
	r.t.Helper()
	const group = "group-b"
	at := "/v1/events/" + cup
	r.call("organiser", http.MethodPut, at+"/categories/"+group, map[string]any{"rulesCategory": women, "segments": []string{free}}, nil)
	var order []string
	for i, name := range names {
		r.call("organiser", http.MethodPost, at+"/entries", map[string]any{"category": group, "name": name, "club": "Pond"}, nil)
		order = append(order, fmt.Sprint(i+1))
	}
	at += "/categories/" + group + "/segments/" + free
	r.call("organiser", http.MethodPost, at+":drawOrder", map[string]any{"method": "GIVEN", "entries": order}, nil)
	r.call("referee", http.MethodPost, at+":start", map[string]any{}, nil)
	r.call("technical", http.MethodPost, at+":callSkater", map[string]any{}, nil)
	return at + "/performances/1"
}

// Nothing has to be scrolled with twelve elements, on a common laptop and on a lower
// one; and what the rules have against an element stands on its row.
func TestTechnicalPanelFits(t *testing.T) {
	names := make([]string, 24)
	for i := range names {
		names[i] = fmt.Sprintf("Skater %d Invented", i+1)
	}
	names[0] = "Wilhelmina-Konstantina Featherstonehaugh-Inventeddottir Junior"
	r := newRink(t)
	at := r.freeSkating(names...) + "/elements"
	for _, code := range twelve {
		r.call("technical", http.MethodPost, at, map[string]any{"code": code}, nil)
	}
	for _, n := range []int{3, 5} {
		r.call("technical", http.MethodPost, fmt.Sprint(at, "/", n, ":review"), map[string]any{"inReview": true}, nil)
	}
	for _, view := range []browser.View{laptop, low, phone} {
		page := r.desk("technical", "technical", view)
		page.Wait(`[...document.querySelectorAll("#elements .name")].every(n => n.textContent) && document.querySelectorAll("#elements li").length === 12`)
		page.Wait(`document.querySelector("#elements li:last-child .why").textContent.startsWith("No value as it stands.")`)
		if view != phone {
			parts := `["#desk", ".do", "body", "#elements"]`
			if view == low { // the oldest rows move up
				parts = `["#desk", ".do", "body"]`
			}
			over := browser.Evaluate[[]string](page, parts+`.filter(s => { const n = document.querySelector(s); return n.scrollHeight > n.clientHeight + 1 || n.scrollWidth > n.clientWidth + 1; })`)
			if len(over) > 0 {
				t.Errorf("%s: scrolls: %v", view.Name, over)
			}
			if !browser.Evaluate[bool](page, `document.querySelector("#elements .tinted").getBoundingClientRect().bottom <= document.querySelector(".bar").getBoundingClientRect().top`) {
				t.Errorf("%s: the newest row is not in view", view.Name)
			}
		}
		page.Picture("technical-full")
		for _, barrier := range page.EveryBarrier() {
			t.Errorf("%s: %s", view.Name, barrier)
		}
		clean(t, view.Name, page, false)
	}
}

// What is called while the server is away stands in the list, dashed, can be taken
// back, and is there once when the server is back. What the server refuses is a fault on
// its row.
func TestTechnicalPanelOffline(t *testing.T) {
	r := ready(t, "Ada Invented")
	r.element("3Lz")
	page := r.desk("technical", "technical", browser.View{Name: "laptop-dark", Width: 1366, Height: 768, Dark: true})
	calls(page, "3Lz")
	r.server.Stop()
	page.Do(chromedp.KeyEvent("ccosp3\r"), chromedp.KeyEvent("3q\r"), chromedp.KeyEvent("2a\r"), chromedp.KeyEvent("stsq2\r"), chromedp.KeyEvent("stsq2\r"))
	unsent := func(want string) {
		t.Helper()
		page.Wait(fmt.Sprintf(`[...document.querySelectorAll("#elements [data-state=unsent] .code")].map(c => c.textContent).join() === %q`, want))
	}
	unsent("CCoSp3,3q,2A,StSq2,StSq2")
	page.Wait(`document.querySelector(".sending").textContent.includes("5 not sent yet") && document.querySelector(".sending").textContent.includes("no connection since")`)
	page.Wait(`document.querySelector(".bar").textContent.includes("Go on calling. 5 elements are waiting to be sent.") && document.querySelector(".figure").textContent.includes("as last known")`)
	page.Wait(`document.querySelector("#elements [data-kind=twice]").textContent.startsWith("Called twice? Same as 5")`)
	page.Picture("technical-offline")
	for _, barrier := range page.EveryBarrier() {
		t.Error(barrier)
	}
	page.Do(ctrlZ())
	unsent("CCoSp3,3q,2A,StSq2")
	page.Do(chromedp.KeyEvent(kb.ArrowUp), chromedp.KeyEvent(kb.ArrowUp), chromedp.KeyEvent(kb.ArrowUp), ctrlZ()) // the server may have it already
	unsent("3q,2A,StSq2")
	r.server.Start()
	page.Wait(`document.querySelector("#elements [data-state=fault] .code")?.textContent === "3q"`)
	page.Wait(`[...document.querySelectorAll("#elements .code")].map(c => c.textContent).join() === "3Lz,2A,StSq2,3q"`)
	arrived(page)
	page.Picture("technical-refused")
	for _, problem := range page.Problems() { // of the time without a server, and the refusal
		if !strings.Contains(problem, "ERR_CONNECTION") && !strings.Contains(problem, "ERR_INCOMPLETE_CHUNKED") && !strings.Contains(problem, "400 (Bad Request)") {
			t.Error(problem)
		}
	}
	for _, barrier := range page.EveryBarrier() {
		t.Error(barrier)
	}
	page.Do(chromedp.Reload())
	page.Wait(`document.querySelector("#elements [data-state=fault] .code")?.textContent === "3q"`)
	page.Do(browser.Click(`#elements [data-state=fault] .answers [name=back]`))
	calls(page, "3Lz", "2A", "StSq2")
	if n := r.facts("ElementCalled"); n != 4 {
		t.Errorf("%d elements were called, want 3Lz, 2A, StSq2 and CCoSp3, which was taken back", n)
	}
	clean(t, "technical", page, true)
}
