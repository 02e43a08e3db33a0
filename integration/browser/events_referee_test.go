package browser_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// seesScore waits until the referee's desk shows what the confirmation would
// announce.
func seesScore(referee *browser.Page, want scored) {
	referee.Wait(fmt.Sprintf(`[...document.querySelectorAll("#score dd")].slice(0, 4).map(d => d.textContent).join() === "%s,%s,%s,%s"`,
		want.SegmentScore, want.ElementScore, want.ComponentScore, want.TotalDeductions))
}

// marked returns all marks of a performance by the API, the component marks only if
// asked.
func (r *rink) marked(entry string, mark int, component float64, withComponents bool) {
	r.t.Helper()
	at := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short + "/performances/" + entry
	for judge := 1; judge <= 3; judge++ {
		by := fmt.Sprintf("%s/judges/%d/", at, judge)
		desk := fmt.Sprintf("judge %d", judge)
		r.call(desk, http.MethodPut, by+"elementMarks", map[string]any{"marks": []any{map[string]any{"element": 1, "mark": mark}}}, nil)
		if !withComponents {
			continue
		}
		var marks []any
		for _, name := range []string{"COMPOSITION", "PRESENTATION", "SKATING_SKILLS"} {
			marks = append(marks, map[string]any{"component": name, "mark": component})
		}
		r.call(desk, http.MethodPut, by+"componentMarks", map[string]any{"marks": marks}, nil)
	}
}

// The referee sees the score and the places before confirming, what lacks once, and
// the whole result before signing. A correction is marked wherever the result is.
func TestRefereeSeesWhatIsAnnounced(t *testing.T) {
	r := ready(t, "Ada Invented", "Bea Invented")
	segment := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short
	r.element("3Lz")
	r.marked("1", 2, 7, true)
	r.call("referee", http.MethodPost, segment+"/performances/1:confirm", map[string]any{}, nil)
	r.call("technical", http.MethodPost, segment+":callSkater", map[string]any{}, nil)
	r.call("technical", http.MethodPost, segment+"/performances/2/elements", map[string]any{"code": "3F"}, nil)
	r.marked("2", 1, 8, false)

	page := r.desk("referee", "referee", browser.Desk)
	page.Wait(`document.querySelectorAll("#missing li").length === 3 && document.querySelectorAll("#score dd").length === 2`)
	page.Do(chromedp.Click("#confirm", chromedp.NodeVisible))
	page.Wait(`document.getElementById("confirm-fault").textContent === "Not confirmed: something is still missing."`)
	for _, lack := range browser.Evaluate[[]string](page, `[...document.querySelectorAll("#missing li")].map(li => li.textContent)`) {
		if n := strings.Count(browser.Evaluate[string](page, `document.body.innerText`), lack); n != 1 {
			t.Errorf("%q stands on the page %d times", lack, n)
		}
	}
	_ = page.Problems() // the refusal
	page.Picture("referee-lacks")

	r.marked("2", 1, 8, true)
	bea := performed{"Bea Invented", []called{{"3F", "3F", false, [3]int{1, 1, 1}}}, [3]string{"8", "8", "8"}, 1, ""}
	page.Do(chromedp.Click(`[aria-label="One more fall"]`))
	seesScore(page, r.score(women, short, bea))
	page.Wait(`[...document.querySelectorAll("#score dd")].slice(4).map(d => d.textContent).join() === "1,1"`)
	for _, barrier := range page.Barriers() {
		t.Error(barrier)
	}
	page.Do(chromedp.Click("#confirm"))

	ada := performed{"Ada Invented", []called{{"3Lz", "3Lz", false, [3]int{2, 2, 2}}}, [3]string{"7", "7", "7"}, 0, ""}
	row := func(place, name string, s scored) string {
		return strings.Join([]string{place, name, s.SegmentScore, s.ElementScore, s.ComponentScore, s.TotalDeductions, s.SegmentScore, place}, " ")
	}
	result := func(title string, rows ...string) {
		t.Helper()
		page.Wait(fmt.Sprintf(`document.getElementById("result-title").textContent === %q && [...document.querySelectorAll("#result tbody tr")].map(tr => [...tr.children].map(c => c.textContent).join(" ")).join() === %q`, title, strings.Join(rows, ",")))
	}
	first := r.score(women, short, bea)
	second := r.score(women, short, ada)
	result("Result to sign", row("1", "Bea Invented", first), row("2", "Ada Invented", second))
	page.Picture("referee-to-sign")
	page.Do(chromedp.Click("#publish"), chromedp.Click("dialog button[value=yes]", chromedp.NodeVisible))
	result("Signed result", row("1", "Bea Invented", first), row("2", "Ada Invented", second))

	hall := r.chrome.Open(t, r.server.URL+"/events/"+cup, browser.Hall)
	hall.Wait(board + `.querySelectorAll("tbody tr").length === 2`)
	if marks := browser.Evaluate[string](hall, `[...`+board+`.querySelectorAll("td .corrected")].map(c => c.textContent).join("")`); marks != "" {
		t.Errorf("before there is a correction the board says %q", marks)
	}
	r.call("referee", http.MethodPost, segment+"/performances/2:correct", map[string]any{"reason": "no fall on the replay", "deductions": map[string]any{}}, nil)
	bea.falls = 0
	first = r.score(women, short, bea)
	result("Signed result", row("1", "Bea Invented (corrected)", first), row("2", "Ada Invented", second))
	hall.Wait(`[...` + board + `.querySelectorAll("td .corrected")].map(c => c.textContent).join("") === "corrected" && ` + board + `.querySelector(".correction")?.textContent.endsWith(": no fall on the replay")`)
	hall.Picture("corrected")
	clean(t, "referee", page, false)
	clean(t, "hall", hall, false)
}

// A mark that the referee deletes is not 0: the correction is refused and says why,
// and the announced mark stays.
func TestADeletedMarkIsNotZero(t *testing.T) {
	r := ready(t, "Ada Invented")
	at := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short + "/performances/1"
	r.element("3Lz")
	r.marked("1", 2, 7, true)
	r.call("referee", http.MethodPost, at+":confirm", map[string]any{}, nil)
	page := r.desk("referee", "referee", browser.Desk)
	page.Wait(`[...document.querySelectorAll("#correct-entry option")].some(o => o.value === "1")`)
	_ = browser.Evaluate[bool](page, `(() => {
		const entry = document.getElementById("correct-entry");
		entry.value = "1";
		return entry.dispatchEvent(new Event("change"));
	})()`)
	page.Wait(`document.querySelector('[aria-label="Element 1, judge 1"]')?.value === "2"`)
	_ = browser.Evaluate[bool](page, `(() => {
		document.querySelector('[aria-label="Element 1, judge 1"]').value = "";
		document.getElementById("correct-reason").value = "a slip of the pen";
		document.getElementById("correct").requestSubmit();
		return true;
	})()`)
	page.Wait(`document.getElementById("correct-fault").textContent.includes("left out")`)
	_ = page.Problems() // the refusal
	var sheet struct {
		Performance struct {
			Elements []struct{ Marks []struct{ Mark int } }
		}
	}
	r.call("referee", http.MethodGet, at, nil, &sheet)
	if mark := sheet.Performance.Elements[0].Marks[0].Mark; mark != 2 {
		t.Errorf("the mark is %d, want 2", mark)
	}
}

// Names wrap between their words, on narrow phones too; a word that is wider than
// its column still ends in an ellipsis and is never broken.
func TestNamesWrapBetweenWords(t *testing.T) {
	r := ready(t, "Wilhelmina-Konstantina Featherstonehaugh-Inventeddottir", "Ada Invented", "Bartholomewina Inventedsdottir-Chrysanthemum")
	r.element("3Lz+2A+2A+SEQ")
	for _, view := range []browser.View{{Name: "phone-320", Width: 320, Height: 640}, {Name: "phone-390", Width: 390, Height: 844}, browser.Hall} {
		page := r.chrome.Open(t, r.server.URL+"/events/"+cup, view)
		page.Wait(board + `.querySelectorAll("tbody tr").length === 3`)
		broken := browser.Evaluate[[]string](page, `(() => {
			const broken = [];
			for (const node of `+board+`.querySelectorAll("h2, h3, td.name span, .next li, .elements .code > span, dt, dd")) {
				const text = node.firstChild;
				for (const word of (text?.data ?? "").matchAll(/[^\s+-]+/g)) {
					const range = document.createRange();
					range.setStart(text, word.index);
					range.setEnd(text, word.index + word[0].length);
					if (new Set([...range.getClientRects()].map(r => r.top)).size > 1) broken.push(word[0]);
				}
			}
			return broken;
		})()`)
		if len(broken) > 0 {
			t.Errorf("%s: broken in the middle: %q", view.Name, broken)
		}
		if wide := browser.Evaluate[bool](page, `document.documentElement.scrollWidth > innerWidth`); wide {
			t.Errorf("%s: the page is wider than the screen", view.Name)
		}
		page.Picture("names")
		clean(t, view.Name, page, false)
	}
}
