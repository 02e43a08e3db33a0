package browser_test

import (
	"net/http"
	"testing"

	"github.com/rinktally/rinktally/integration/browser"
)

// The pages around an event: the list when it is empty, full and closed to others, the
// page that makes an event, and the doors to its desks.
func TestDoorsToEvents(t *testing.T) {
	first, r := emptyRink(t), ready(t, "Ada Invented")
	closed := ready(t, "Bea Invented")
	closed.call("organiser", http.MethodPatch, "/v1/events/"+cup, map[string]any{"restricted": true}, nil)
	pages := []struct {
		name, url, ready string
		open             bool // what is folded
	}{
		{"empty", first.server.URL + "/events", `document.getElementById("first").checkVisibility() && !document.getElementById("new").checkVisibility()`, false},
		{"full", r.server.URL + "/events", `document.querySelectorAll("#events li").length === 1 && document.getElementById("new").checkVisibility()`, false},
		{"restricted", closed.server.URL + "/events", `document.getElementById("first").checkVisibility()`, true},
		{"restricted-board", closed.server.URL + "/events/" + cup, `document.getElementById("gate").checkVisibility() && !document.getElementById("board").checkVisibility()`, false},
		{"new", r.server.URL + "/desk", `document.getElementById("event-season").value === "2025-26"`, false},
		{"desks", r.server.URL + "/desk/" + cup, `document.getElementById("event").textContent === "Pond Cup"`, false},
		{"restricted-desks", closed.server.URL + "/desk/" + cup, `document.getElementById("event").textContent.startsWith("Only invited viewers")`, false},
	}
	for _, c := range pages {
		t.Run(c.name, func(t *testing.T) {
			page := r.chrome.Open(t, c.url, coachViews[0])
			page.Wait(c.ready)
			if c.open {
				page.Do(browser.Click("#restricted summary"))
			}
			for _, view := range coachViews {
				for _, barrier := range page.BarriersOf(view) {
					t.Errorf("%s: %s", view.Name, barrier)
				}
				page.Picture("doors-" + c.name)
				if wide := browser.Evaluate[bool](page, `document.documentElement.scrollWidth > innerWidth`); wide {
					t.Errorf("%s: the page is wider than the screen", view.Name)
				}
			}
			if home := browser.Evaluate[int](page, `document.querySelectorAll(".top a.home").length`); home != 1 {
				t.Error("there is no way home")
			}
		})
	}
}
