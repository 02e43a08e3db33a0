package browser_test

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rinktally/rinktally/integration/browser"
)

// The screens of judges: a phone, the same with the browser's bars, a tablet.
var (
	lowPhone = browser.View{Name: "phone-low", Width: 390, Height: 664, Dark: true}
	tablet   = browser.View{Name: "tablet", Width: 1024, Height: 768}
)

// says waits for the sentence in the bar.
func says(p *browser.Page, text string) {
	p.Wait(fmt.Sprintf(`document.querySelector(".bar .say p").textContent === %q`, text))
}

// own waits for the marks that the tiles show.
func own(p *browser.Page, kind, want string) {
	p.Wait(fmt.Sprintf(`[...document.querySelectorAll("#%s .own")].map(o => o.textContent).join() === %q`, kind, want))
}

// A judge's whole desk by keys: marks go on to the next element by themselves, a new
// element moves nothing, and after the program the components come.
func TestJudgeByKeyboard(t *testing.T) {
	r := ready(t, "Ada Invented", "Bea Invented")
	page := r.desk("judge 1", "judge", tablet)
	keys := func(actions ...string) {
		for _, a := range actions {
			page.Do(chromedp.KeyEvent(a))
		}
	}
	says(page, "Everything called so far has a mark.")
	for _, code := range []string{"3Lz", "CCoSp4", "StSq3"} {
		r.element(code)
	}
	says(page, "Mark 1 3Lz.")
	page.Wait(`document.getElementById("current-name").textContent === "triple Lutz"`)
	keys("3", "-", "2")
	own(page, "elements", "+3,−2,now")
	says(page, "Mark 3 StSq3.")
	keys(kb.ArrowUp)
	says(page, "2 CCoSp4 has −2. Another mark changes it.")
	r.element("2A")
	seesElements(page, 4)
	says(page, "2 CCoSp4 has −2. Another mark changes it.")
	keys("-", "5")
	own(page, "elements", "+3,−5,now,no mark")
	page.Do(ctrlZ())
	own(page, "elements", "+3,−2,no mark,no mark")
	keys(kb.Delete)
	own(page, "elements", "+3,now,no mark,no mark")
	keys("1", "0", "4")
	own(page, "elements", "+3,+1,0,+4")
	says(page, "Everything called so far has a mark.")
	arrived(page)
	r.call("technical", "POST", "/v1/events/"+cup+"/categories/"+women+"/segments/"+short+"/performances/1:endProgram", map[string]any{}, nil)
	says(page, "Composition has no mark.")
	keys("5.3\r")
	page.Wait(`document.getElementById("mark-fault").textContent === "5.3 is no mark. Type 0.25 to 10.00 in quarters, such as 5.25."`)
	keys("5,25\r", "5.5\r")
	own(page, "components", "5.25,5.50,no mark")
	says(page, "Skating Skills has no mark.")
	keys("c")
	says(page, "4 2A has +4. Another mark changes it.")
	keys("c", "6\r")
	own(page, "components", "5.25,5.50,6.00")
	says(page, "You are done.")
	arrived(page)
	clean(t, "judge", page, false)
}

// Everything is on the screen of a judge with twelve elements, by day and by night, and
// is given by taps.
func TestJudgeFits(t *testing.T) {
	r := newRink(t)
	at := r.freeSkating("Wilhelmina-Konstantina Featherstonehaugh-Inventeddottir Junior", "Ada Invented")
	for _, code := range twelve {
		r.call("technical", "POST", at+"/elements", map[string]any{"code": code}, nil)
	}
	for i, view := range []browser.View{phone, lowPhone, tablet} {
		page := r.desk(fmt.Sprint("judge ", i+1), "judge", view)
		fits := func(when string) {
			t.Helper()
			over := browser.Evaluate[[]string](page, `["#desk", "body"].filter(s => { const n = document.querySelector(s); return n.scrollHeight > n.clientHeight + 1 || n.scrollWidth > n.clientWidth + 1; })`)
			if len(over) > 0 {
				t.Errorf("%s, %s: scrolls: %v", view.Name, when, over)
			}
			page.Picture("judge-" + when)
			for _, barrier := range page.EveryBarrier() {
				t.Errorf("%s, %s: %s", view.Name, when, barrier)
			}
		}
		says(page, "Mark 1 2Lz+2T.")
		for n := range 9 {
			page.Do(browser.Click(fmt.Sprintf(`#mark-pad [data-mark="%d"]`, n%5-2)))
			says(page, fmt.Sprintf("Mark %d %s.", n+2, twelve[n+1]))
		}
		page.Do(browser.Click(`#elements li:nth-child(11) .tile`))
		says(page, "Mark 11 StSq2.")
		arrived(page)
		fits("marking")
		page.Do(browser.Click(`#mark-pad [data-mark="1"]`), browser.Click(`#mark-pad [data-mark="1"]`), browser.Click(`#mark-pad [data-mark="1"]`))
		if i == 0 {
			r.call("technical", "POST", at+":endProgram", map[string]any{}, nil)
		}
		says(page, "Composition has no mark.")
		tap := func(text string) {
			page.Wait(fmt.Sprintf(`[...document.querySelectorAll("#component-pad button")].some(b => b.textContent === %q && !b.disabled && (b.click(), true))`, text))
		}
		tap("5")
		says(page, "Composition: choose the quarter.")
		tap("5.50")
		tap("5")
		says(page, "Presentation: choose the quarter.")
		fits("grading")
		tap("5.25")
		tap("5")
		tap("5.75")
		says(page, "You are done.")
		own(page, "components", "5.50,5.25,5.75")
		arrived(page)
		fits("done")
		clean(t, view.Name, page, false)
	}
}

// Marks that are given while the server is away stand on their tiles, dashed, and
// arrive when it is back.
func TestJudgeOffline(t *testing.T) {
	r := ready(t, "Ada Invented")
	r.element("3Lz")
	r.element("CCoSp3")
	page := r.desk("judge 2", "judge", browser.View{Name: "phone-dark", Width: 390, Height: 844, Dark: true})
	says(page, "Mark 1 3Lz.")
	r.call("technical", "POST", "/v1/events/"+cup+"/categories/"+women+"/segments/"+short+"/performances/1:endProgram", map[string]any{}, nil)
	page.Wait(`document.querySelector(".strip .pill").textContent === "program over"`)
	r.server.Stop()
	page.Do(chromedp.KeyEvent("2"), chromedp.KeyEvent("-1"), chromedp.KeyEvent("5\r"), chromedp.KeyEvent("5.5\r"), chromedp.KeyEvent("5.25\r"))
	says(page, "You are done. 5 marks wait to be sent.")
	own(page, "elements", "+2,−1")
	page.Wait(`document.querySelectorAll(".tile.unsent").length === 5 && document.querySelector(".sending").textContent.includes("5 not sent yet")`)
	page.Picture("judge-offline")
	for _, barrier := range page.EveryBarrier() {
		t.Error(barrier)
	}
	r.server.Start()
	says(page, "You are done.")
	arrived(page)
	own(page, "components", "5.00,5.50,5.25")
	if n := r.facts("ElementMarksGiven"); n != 2 {
		t.Errorf("%d marks of elements stand in the log, want 2", n)
	}
	clean(t, "judge", page, true)
}
