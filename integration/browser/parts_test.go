package browser_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// Every part of the pages, in every face.
func TestParts(t *testing.T) {
	url := browser.Serve(t)
	chrome := browser.Start(t)
	wide := browser.View{Name: "wide", Width: 1366, Height: 768}
	wideDark := browser.View{Name: "wide-dark", Width: 1366, Height: 768, Dark: true}
	hall := browser.View{Name: "wide-hall", Width: 1366, Height: 768}
	for _, view := range []browser.View{browser.Phone, browser.PhoneDark, wide, wideDark, hall} {
		t.Run(view.Name, func(t *testing.T) {
			page := chrome.Open(t, url+"/parts", view)
			page.Wait(`document.querySelector(".bar .say p").textContent !== ""`)
			if text := page.Text("#unsent"); !strings.Contains(text, "3 not sent yet") || !strings.Contains(text, "no connection since 14:02:31") {
				t.Errorf("the state of sending is %q", text)
			}
			if view == hall {
				page.Do(chromedp.Evaluate[chromedp.Void](`document.documentElement.dataset.face = "hall"`))
			}
			page.Picture("parts")
			for _, barrier := range page.BarriersOf(view) {
				t.Error(barrier)
			}
			page.Do(browser.Click("#question"))
			page.Wait(`document.activeElement.textContent === "Keep the order" && document.activeElement.classList.contains("primary")`)
			for _, barrier := range page.BarriersOf(view) {
				t.Errorf("a question: %s", barrier)
			}
			page.Picture("parts-question")
			page.Do(chromedp.KeyEvent("\x1b"))
			page.Wait(`!document.querySelector("dialog")`)
			page.Do(browser.Click("#task"))
			page.Wait(`document.activeElement.id === "ask-reason"`)
			page.Do(chromedp.KeyEvent("\r"))
			page.Picture("parts-task")
			page.Do(chromedp.KeyEvent("\x1b"))
			page.Wait(`!document.querySelector("dialog")`)
			page.Do(browser.Click("#take-back"), chromedp.Focus(".toast button"))
			for _, barrier := range page.BarriersOf(view) {
				t.Errorf("a toast: %s", barrier)
			}
			page.Picture("parts-toast")
			page.Do(browser.Click(".toast button"))
			page.Wait(`!document.querySelector(".toast")`)
			page.Do(chromedp.SendKeys("#bad-code", "x"))
			page.Wait(`document.getElementById("bad-code").getAttribute("aria-invalid") === "false" && document.getElementById("bad-code-fault").textContent === ""`)
			if wide := browser.Evaluate[bool](page, `document.documentElement.scrollWidth > innerWidth`); wide {
				t.Error("the page is wider than the screen")
			}
			small := browser.Evaluate[[]string](page, `[...document.querySelectorAll("main :is(button, select, summary, input:not([type=checkbox], [type=radio], [type=file])), main label.check")]
				.filter(n => n.getBoundingClientRect().height < 44).map(n => n.outerHTML)`)
			if len(small) > 0 {
				t.Errorf("too small for a finger: %s", strings.Join(small, "\n"))
			}
			if problems := page.Problems(); len(problems) > 0 {
				t.Errorf("the browser complains: %s", strings.Join(problems, "\n"))
			}
		})
	}
}
