package browser_test

import (
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// The doors of the first page lead somewhere, and so does being lost.
func TestFirstPage(t *testing.T) {
	url, chrome := browser.Serve(t), browser.Start(t)
	page := chrome.Open(t, url+"/", coachViews[0])
	look := func(name string) {
		t.Helper()
		for _, view := range coachViews {
			for _, barrier := range page.BarriersOf(view) {
				t.Errorf("%s, %s: %s", name, view.Name, barrier)
			}
			page.Picture(name)
			if wide := browser.Evaluate[bool](page, `document.documentElement.scrollWidth > innerWidth`); wide {
				t.Errorf("%s, %s: the page is wider than the screen", name, view.Name)
			}
		}
	}
	page.Wait(`document.getElementById("season").textContent === "Season 2025-26"`)
	look("first")
	dead := browser.Evaluate[[]string](page, `Promise.all([...document.querySelectorAll("a[href]")].map(async a => [a.href, (await fetch(a.href)).status]))
		.then(all => all.filter(([, status]) => status !== 200).map(String))`)
	if len(dead) > 0 {
		t.Errorf("links lead nowhere: %v", dead)
	}
	clean(t, "first", page, false)

	for _, view := range []browser.View{coachViews[0], coachViews[2]} {
		page.Look(view)
		page.Do(chromedp.Navigate(url + "/no/such/page"))
		page.Wait(`document.querySelector("main h1").textContent === "Nothing is here"`)
		if view == coachViews[0] {
			look("lost")
			page.Look(view)
		}
		_ = page.Problems() // that nothing is here
		page.Do(browser.Click("main a.primary"), chromedp.WaitVisible(".doors a.primary"), browser.Click(".doors a.primary"), chromedp.WaitVisible("#pad"))
		page.Wait(`location.pathname === "/count" && document.querySelector("main").dataset.ready === ""`)
		clean(t, "first", page, false)
	}
}

// Developers try every example.
func TestDevelopersTryExamples(t *testing.T) {
	url, chrome := browser.Serve(t), browser.Start(t)
	page := chrome.Open(t, url+"/developers", coachViews[0])
	page.Wait(`document.getElementById("current").textContent === "2025-26"`)
	for i := range browser.Evaluate[int](page, `document.querySelectorAll("[role=tab]").length`) {
		page.Do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("[role=tab]")[`+string(rune('0'+i))+`].click()`),
			chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").replaceChildren()`), browser.Click("#call button[type=submit]"))
		page.Wait(`document.querySelectorAll("#answer table").length > 0`)
		for _, view := range coachViews {
			for _, barrier := range page.BarriersOf(view) {
				t.Errorf("example %d, %s: %s", i, view.Name, barrier)
			}
		}
	}
	page.Do(chromedp.SetValue("#request", "{"), browser.Click("#call button[type=submit]"))
	page.Wait(`document.querySelector("#answer .fault") !== null`)
	for _, view := range coachViews {
		page.Look(view)
		page.Picture("developers")
		if wide := browser.Evaluate[bool](page, `document.documentElement.scrollWidth > innerWidth`); wide {
			t.Errorf("%s: the page is wider than the screen", view.Name)
		}
	}
	_ = page.Problems() // the refusal
}
