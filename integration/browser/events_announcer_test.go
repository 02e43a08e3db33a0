package browser_test

import (
	"fmt"
	"net/http"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// The announcer reads each score once, then whom to call; a corrected score comes
// again. A viewer's code is enough, and what is read changes nothing on the server.
func TestAnnouncerReads(t *testing.T) {
	r, at := many(t)
	var viewer struct{ Token string }
	r.call("organiser", http.MethodPost, "/v1/events/"+cup+"/tokens", map[string]any{"role": "VIEWER"}, &viewer)
	r.tokens["viewer"] = viewer.Token
	var list struct {
		Standing struct {
			Places []struct{ Entry, SegmentScore string }
		}
	}
	score := func(entry string) string {
		r.call("", http.MethodGet, at+"/standing", nil, &list)
		for _, p := range list.Standing.Places {
			if p.Entry == entry {
				return p.SegmentScore
			}
		}
		t.Fatalf("entry %s has no place", entry)
		return ""
	}
	page := r.desk("viewer", "announcer", laptop)
	reads := func(title, name, score string) {
		t.Helper()
		page.Wait(fmt.Sprintf(`["read-title", "read-name", "read-score"].map(id => document.getElementById(id).textContent).join() === %q`, title+","+name+","+score))
	}
	reads("Nothing to read", "", "") // the last of them is before who skates now
	says(page, "Skater Invented D is on the ice.")

	r.call("organiser", http.MethodPatch, "/v1/events/"+cup+"/entries/5", map[string]any{"programTitle": "The Lighthouse Keeper"}, nil)
	r.call("technical", http.MethodPost, at+"/performances/4/elements", map[string]any{"code": "3Lz"}, nil)
	for judge := 1; judge <= full; judge++ {
		r.marks(at, "4", judge, 1, 2, 6)
	}
	r.call("referee", http.MethodPost, at+"/performances/4:confirm", map[string]any{}, nil)
	reads("Read now", "Skater Invented D", score("4"))
	page.Wait(fmt.Sprintf(`document.getElementById("read-say").textContent === %q`,
		"For Senior women, Free skating, Skater Invented D of Pond receives "+score("4")+" points. That is 1st place in this segment."))
	page.Wait(`document.getElementById("program-title").textContent === "The Lighthouse Keeper"`)
	page.Wait(`document.getElementById("call-say").textContent === "The next skater, number 5, representing Pond: Skater Invented E." && document.querySelector("#after-rows .note").textContent === "then warm-up group 2"`)
	if over := browser.Evaluate[bool](page, `document.getElementById("desk").scrollHeight > document.getElementById("desk").clientHeight`); over {
		t.Error("what is to be read has to be scrolled")
	}
	for _, barrier := range page.EveryBarrier() {
		t.Error(barrier)
	}
	page.Picture("announcer")
	before := r.sequence()
	page.Do(chromedp.KeyEvent(" "))
	reads("Nothing to read", "", "")
	says(page, "Call Skater Invented E when the referee is ready.")
	page.Do(browser.Click(".bar button:not(.primary)"))
	page.Wait(`getComputedStyle(document.documentElement).fontSize === "20px"`)
	page.Picture("announcer-bigger")

	r.call("referee", http.MethodPost, at+"/performances/2:correct", map[string]any{
		"reason": "a slip of the pen", "elementMarks": []any{map[string]any{"element": 1, "judge": 1, "mark": -5}, map[string]any{"element": 1, "judge": 2, "mark": -5}},
	}, nil)
	reads("Read now: corrected score", "Skater Invented B", score("2"))
	press(page, "Score is read")
	reads("Nothing to read", "", "")
	if now := r.sequence(); now != strconv.Itoa(number(t, before)+3) { // two marks and the correction
		t.Errorf("reading moved the event from %s to %s", before, now)
	}
	clean(t, "announcer", page, false)
	for _, view := range []browser.View{phone, browser.PhoneDark} {
		narrow := r.desk("viewer", "announcer", view)
		says(narrow, "Read the score of Skater Invented D.")
		for _, barrier := range narrow.EveryBarrier() {
			t.Errorf("%s: %s", view.Name, barrier)
		}
		if wide := browser.Evaluate[bool](narrow, `document.documentElement.scrollWidth > innerWidth`); wide {
			t.Errorf("%s: the page is wider than the screen", view.Name)
		}
		narrow.Picture("announcer")
	}

	// Who may see who sits where is told whose desk has fallen silent.
	sees := r.desk("referee", "announcer", laptop)
	sees.Do(chromedp.Evaluate[chromedp.Void](`{ const now = Date.now; Date.now = () => now() + 600_000; }`))
	r.call("technical", http.MethodPost, at+":callSkater", map[string]any{}, nil)
	sees.Wait(`document.querySelector(".bar .note").textContent.startsWith("Technical panel: the desk is silent since ")`)
}

func number(t *testing.T, text string) int {
	t.Helper()
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return n
}
