package browser_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// clickIn clicks a part of the board.
func clickIn(p *browser.Page, selector string) {
	p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`%s.querySelector(%q).click()`, board, selector)))
}

// hasText waits until a part of the board has exactly this text.
func hasText(p *browser.Page, selector, text string) {
	p.Wait(fmt.Sprintf(`%s.querySelector(%q)?.textContent === %q`, board, selector, text))
}

// visible waits until parts of the board are shown, and others are not.
func visible(p *browser.Page, shown string, hidden ...string) {
	p.Wait(fmt.Sprintf(`%s.querySelector(%q)?.checkVisibility()`, board, shown))
	for _, selector := range hidden {
		p.Wait(fmt.Sprintf(`!%s.querySelector(%q)?.checkVisibility()`, board, selector))
	}
}

// looksWell checks a state of the board for barriers and its width, and takes its picture.
func looksWell(t *testing.T, p *browser.Page, name string) {
	t.Helper()
	p.Picture("board-" + name)
	for _, barrier := range p.EveryBarrier() {
		t.Errorf("%s: %s", name, barrier)
	}
	if wide := browser.Evaluate[bool](p, `document.documentElement.scrollWidth > innerWidth`); wide {
		t.Errorf("%s: the page is wider than the screen", name)
	}
}

// Parents follow an event from the starting order to the signed and corrected result:
// every skater opens, and what is open can be shared.
func TestBoardFromTheOrderToTheResult(t *testing.T) {
	r := newRink(t)
	r.hallField(3)
	segment := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short
	pages := make([]*browser.Page, len(coachViews))
	each := func(do func(p *browser.Page)) {
		t.Helper()
		for _, p := range pages {
			do(p)
		}
	}
	for i, view := range coachViews {
		pages[i] = r.chrome.Open(t, r.server.URL+"/events/"+cup, view)
	}
	each(func(p *browser.Page) {
		hasText(p, "h2 span", "Senior women, short program")
		p.Wait(board + `.querySelectorAll(".order li").length === 3`)
		visible(p, ".order", ".skater", ".places", ".standing-of")
		looksWell(t, p, "order")
	})
	// An order that is made again is there at once, without another step of the event.
	names := browser.Evaluate[[]string](pages[0], `[...`+board+`.querySelectorAll(".order li b")].map(b => b.textContent)`)
	for i, order := range [][]string{{"3", "2", "1"}, {"1", "2", "3"}} {
		r.call("organiser", http.MethodPost, segment+":drawOrder", map[string]any{"method": "GIVEN", "entries": order, "reason": "an invented reason"}, nil)
		each(func(p *browser.Page) {
			p.Wait(fmt.Sprintf(`%s.querySelector(".order li b").textContent === %q`, board, names[2-2*i]))
		})
	}

	r.call("referee", http.MethodPost, segment+":start", map[string]any{}, nil)
	r.skates("1", 6)
	r.call("technical", http.MethodPost, segment+":callSkater", map[string]any{}, nil)
	for _, code := range []string{"3Lz+2T", "LSp2"} {
		r.call("technical", http.MethodPost, segment+"/performances/2/elements", map[string]any{"code": code}, nil)
	}
	each(func(p *browser.Page) {
		hasText(p, ".state", "On the ice, 2 of 3")
		shows(p, ".elements li:last-child", "Layback spin, level 2")
		shows(p, ".lead", "in this segment leads.")
		shows(p, ".next li", "Skater 3 Invented")
		visible(p, ".skater", ".order", ".sheet")
		looksWell(t, p, "running")

		// Who has skated opens, and stands in the address.
		clickIn(p, "tbody tr button")
		visible(p, ".sheet", ".skater", ".places")
		shows(p, ".sheet .lines", "Double Axel")
		shows(p, ".sheet .points small", "3.30 + ")
		shows(p, ".sheet .where", "1st in the short program")
		if at := browser.Evaluate[string](p, "location.search"); !strings.Contains(at, "entry=1") || !strings.Contains(at, "segment="+short) {
			t.Errorf("the address of a score sheet is %s", at)
		}
		looksWell(t, p, "sheet")
		p.Do(chromedp.Evaluate[chromedp.Void](`Object.defineProperty(navigator, "clipboard", { value: { writeText: async (text) => { window.copied = text; } } })`), browser.Click("#share"))
		p.Wait(`window.copied?.endsWith(location.pathname + location.search) && document.querySelector(".toast") !== null`)
		p.Do(chromedp.Evaluate[chromedp.Void](`history.back()`))
		visible(p, ".skater", ".sheet")
	})
	shared := r.chrome.Open(t, browser.Evaluate[string](pages[0], "window.copied"), browser.Phone)
	visible(shared, ".sheet", ".places")
	shows(shared, ".sheet .lines", "Double Axel")

	// The one on the ice opens, and goes on.
	clickIn(pages[0], "h3 button")
	shows(pages[0], ".sheet .where", "Technical score so far")
	r.call("technical", http.MethodPost, segment+"/performances/2/elements", map[string]any{"code": "StSq2"}, nil)
	shows(pages[0], ".sheet .lines", "StSq2")
	clickIn(pages[0], ".back")
	visible(pages[0], ".skater", ".sheet")

	r.scores("2", 3, 7)
	shows(pages[0], ".aloud", ", 1st.")
	r.skates("3", 5)
	r.call("referee", http.MethodPost, segment+":publish", map[string]any{}, nil)
	var marks []any
	for judge := 1; judge <= 3; judge++ {
		marks = append(marks, map[string]any{"element": 1, "judge": judge, "mark": 5})
	}
	correct := map[string]any{"reason": "judge 1 marked the wrong line", "elementMarks": marks}
	r.call("referee", http.MethodPost, segment+"/performances/1:correct", correct, nil)
	each(func(p *browser.Page) {
		shows(p, ".standing-of", "Official")
		hasText(p, ".places h3 span", "Result")
		shows(p, ".correction", "judge 1 marked the wrong line")
		visible(p, ".places", ".skater", ".next")
		p.Wait(`document.querySelectorAll("#signed a").length === 2`)
		looksWell(t, p, "signed")
		if text := browser.Evaluate[string](p, `document.body.innerText + `+board+`.querySelector(".board").innerText`); strings.Contains(text, "memory") || strings.Contains(text, "unofficial until") {
			t.Errorf("under an official result stands:\n%s", text)
		}

		clickIn(p, `button[data-entry="1"]`)
		shows(p, ".sheet .correction", "judge 1 marked the wrong line")
		clickIn(p, ".marks summary")
		p.Wait(board + `.querySelectorAll(".marks tbody tr").length === 4`)
		looksWell(t, p, "sheet-signed")
		clickIn(p, ".back")
		p.Wait(board + `.activeElement?.dataset.entry === "1"`)

		// The other segment, and the result over both.
		p.Do(chromedp.Evaluate[chromedp.Void](choosing(women + "/" + free)))
		hasText(p, "h2 span", "Senior women, free skating")
		visible(p, ".nothing", ".places", ".order")
		p.Do(chromedp.Evaluate[chromedp.Void](choosing(women + "/")))
		hasText(p, "h2 span", "Senior women, all segments")
		p.Wait(rows + ".length === 3")
		looksWell(t, p, "final")
	})
	for i, p := range pages {
		clean(t, coachViews[i].Name, p, false)
	}
}

// choosing chooses a segment on the board.
func choosing(value string) string {
	return fmt.Sprintf(`{
		const choose = %s.querySelector("select");
		choose.value = %q;
		choose.dispatchEvent(new Event("change"));
	}`, board, value)
}
