package browser_test

import (
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// Every page under /docs/ that the first links to: on a phone and a wide screen, light
// and dark, without any barrier, without a script, and no heavier than a picture.
func TestDocs(t *testing.T) {
	const heaviest = 100 << 10 // compressed
	url := browser.Serve(t)
	chrome := browser.Start(t)
	wideDark := browser.View{Name: "wide-dark", Width: 1366, Height: 768, Dark: true}
	pages := []string{""}
	for _, m := range regexp.MustCompile(`<h2 id="[a-z]+-title"><a href="([a-z]+)">`).FindAllStringSubmatch(string(overWire(t, url+"/docs/", "identity")), -1) {
		pages = append(pages, m[1])
	}
	if len(pages) < 8 {
		t.Fatalf("the pages are only %v", pages)
	}
	for _, name := range pages {
		if n := len(overWire(t, url+"/docs/"+name, "gzip")); n > heaviest {
			t.Errorf("/docs/%s has %d bytes", name, n)
		}
		t.Run(name, func(t *testing.T) {
			page := chrome.Open(t, url+"/docs/"+name, browser.Phone)
			page.Wait(`document.querySelector("h1").textContent !== ""`)
			if lost := browser.Evaluate[[]string](page, `[...document.querySelectorAll("main a[href^='#']")].map(a => a.getAttribute("href"))
				.filter(to => !document.getElementById(to.slice(1)))`); len(lost) > 0 {
				t.Errorf("these lead nowhere: %v", lost)
			}
			views := []browser.View{browser.Phone, wideDark}
			for _, view := range views {
				page.Look(view)
				page.Picture("docs-" + name)
				if browser.Evaluate[bool](page, `document.documentElement.scrollWidth > innerWidth`) {
					t.Errorf("%s: the page is wider than the screen", view.Name)
				}
			}
			// Sections are alike, and axe takes a time that grows faster than their number.
			page.Do(chromedp.Evaluate[chromedp.Void](`[...document.querySelectorAll("main section")].slice(24).forEach(s => s.remove())`))
			for _, view := range views {
				for _, barrier := range page.BarriersOf(view) {
					t.Errorf("%s: %s", view.Name, barrier)
				}
			}
			if n := browser.Evaluate[int](page, `document.querySelectorAll("script:not([type='application/json'])").length`); n > 0 {
				t.Errorf("the page has %d scripts", n)
			}
			if problems := page.Problems(); len(problems) > 0 {
				t.Errorf("the browser complains: %s", strings.Join(problems, "\n"))
			}
		})
	}
}

// overWire returns a page as it comes over the wire.
func overWire(t *testing.T, url, encoding string) []byte {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, http.NoBody)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Accept-Encoding", encoding)
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		t.Fatalf("%s: %s, %v", url, res.Status, err)
	}
	return body
}
