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

// press presses the filled button of the bar as soon as it has a label and may be
// pressed.
func press(p *browser.Page, label string) {
	p.Wait(fmt.Sprintf(`(b => !b.hidden && b.ariaDisabled !== "true" && b.firstChild.textContent.startsWith(%q))(document.querySelector(".bar .primary"))`, label))
	p.Do(browser.Click(".bar .primary"))
}

// sign signs the result of the segment that is skated.
func sign(p *browser.Page) {
	press(p, "Sign the result")
	p.Do(browser.Click("dialog button[value=yes]"))
	p.Wait(`document.querySelector(".bar .say p").textContent.endsWith("is official.")`)
}

// menu opens a part of the referee's desk that stands in the menu.
func menu(p *browser.Page, label string) {
	p.Do(browser.Click(".menu summary"), chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`[...document.querySelectorAll(".menu .own button")].find(b => b.textContent === %q).click()`, label)))
}

// shut closes it again.
func shut(p *browser.Page) {
	p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("dialog.pane[open]").close()`))
}

// seesScore waits until the referee's desk shows what the confirmation would
// announce.
func seesScore(referee *browser.Page, want scored) {
	referee.Wait(fmt.Sprintf(`[document.getElementById("total"), ...document.querySelectorAll("#score dd")].map(d => d.textContent).join() === %q`,
		figures(want.SegmentScore, want.ElementScore, want.ComponentScore, want.TotalDeductions)))
}

// figures are points as pages write them.
func figures(points ...string) string {
	return strings.ReplaceAll(strings.Join(points, ","), "-", "−")
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

// full is a panel of as many judges as there are.
const full = 9

// many brings a rink with a full panel to the point where the fourth of 24 skaters is
// on the ice in a free skating; three are confirmed. Short programs are left out, so
// that the segment is the first.
func many(t *testing.T) (r *rink, at string) {
	t.Helper()
	r = newRink(t)
	at = "/v1/events/" + cup
	r.call("admin", http.MethodPut, at+"/categories/"+women, map[string]any{"segments": []string{free}}, nil)
	r.call("admin", http.MethodPut, at+"/panel", map[string]any{"panel": map[string]any{"judges": full}}, nil)
	lines := []string{"entry,category,name,club"}
	var order []string
	for i := range 24 {
		id := strconv.Itoa(i + 1)
		name := fmt.Sprintf("Skater Invented %s", string(rune('A'+i)))
		if i == 5 {
			name = "Wilhelmina-Konstantina Featherstonehaugh-Inventeddottir Xyz" // 60 letters
		}
		lines, order = append(lines, id+","+women+","+name+",Pond"), append(order, id)
	}
	r.call("organiser", http.MethodPost, at+"/entries:import", map[string]any{"csv": strings.Join(lines, "\n")}, nil)
	at += "/categories/" + women + "/segments/" + free
	r.call("organiser", http.MethodPost, at+":drawOrder", map[string]any{"method": "GIVEN", "entries": order, "groupSize": 6}, nil)
	r.call("referee", http.MethodPost, at+":start", map[string]any{}, nil)
	for i := range 3 {
		entry := strconv.Itoa(i + 1)
		r.call("technical", http.MethodPost, at+":callSkater", map[string]any{}, nil)
		r.call("technical", http.MethodPost, at+"/performances/"+entry+"/elements", map[string]any{"code": "2A"}, nil)
		for judge := 1; judge <= full; judge++ {
			r.marks(at, entry, judge, 1, i, 5)
		}
		r.call("referee", http.MethodPost, at+"/performances/"+entry+":confirm", map[string]any{}, nil)
	}
	r.call("technical", http.MethodPost, at+":callSkater", map[string]any{}, nil)
	return r, at
}

// marks enters a judge's marks for the first so many elements, all the same, and for
// every component, as the organiser enters them from paper.
func (r *rink) marks(at, entry string, judge, elements, mark int, component float64) {
	r.t.Helper()
	var given []any
	for e := range elements {
		given = append(given, map[string]any{"element": e + 1, "mark": mark})
	}
	by := fmt.Sprintf("%s/performances/%s/judges/%d/", at, entry, judge)
	if elements > 0 {
		r.call("organiser", http.MethodPut, by+"elementMarks", map[string]any{"marks": given}, nil)
	}
	var components []any
	for _, name := range []string{"COMPOSITION", "PRESENTATION", "SKATING_SKILLS"} {
		components = append(components, map[string]any{"component": name, "mark": component})
	}
	r.call("organiser", http.MethodPut, by+"componentMarks", map[string]any{"marks": components}, nil)
}

// The referee sees before confirming what is announced, and before signing the whole
// result. A correction shows what it changes before it is made, and is marked
// wherever the result is.
func TestRefereeSeesWhatIsAnnounced(t *testing.T) {
	r := ready(t, "Ada Invented", "Bea Invented")
	segment := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short
	r.element("3Lz")
	r.marked("1", 2, 7, true)
	r.call("referee", http.MethodPost, segment+"/performances/1:confirm", map[string]any{}, nil)
	r.call("technical", http.MethodPost, segment+":callSkater", map[string]any{}, nil)
	r.call("technical", http.MethodPost, segment+"/performances/2/elements", map[string]any{"code": "3F"}, nil)
	r.marked("2", 1, 8, false)
	page := r.desk("referee", "referee", laptop)
	press := func(label string) { t.Helper(); press(page, label) }
	page.Do(browser.Click(".bar button:not(.primary)")) // the program is over
	says(page, "Wait for 3 judges.")
	page.Wait(`[...document.querySelectorAll("#open li p")].map(p => p.textContent).join() === [1, 2, 3].map(n => "Judge " + n + " has no mark for the components.").join()`)

	r.marked("2", 1, 8, true)
	bea := performed{"Bea Invented", []called{{"3F", "3F", false, [3]int{1, 1, 1}}}, [3]string{"8", "8", "8"}, 1, ""}
	page.Wait(`document.querySelector(".bar .primary").ariaDisabled === "false"`)
	page.Do(browser.Click(".bar button:not(.primary)")) // change deductions
	page.Wait(`document.getElementById("deductions-pane").open`)
	page.Do(chromedp.Evaluate[chromedp.Void](oneFall))
	seesScore(page, r.score(women, short, bea))
	shut(page)
	page.Wait(`document.getElementById("places").textContent === "1st in the segment · 1st overall"`)
	for _, barrier := range page.EveryBarrier() {
		t.Error(barrier)
	}
	press("Confirm " + r.score(women, short, bea).SegmentScore)

	ada := performed{"Ada Invented", []called{{"3Lz", "3Lz", false, [3]int{2, 2, 2}}}, [3]string{"7", "7", "7"}, 0, ""}
	row := func(place, name string, s scored) string {
		return figures(strings.Join([]string{place, name, s.SegmentScore, s.ElementScore, s.ComponentScore, s.TotalDeductions, s.SegmentScore, place}, " "))
	}
	result := func(title string, rows ...string) {
		t.Helper()
		page.Wait(fmt.Sprintf(`document.getElementById("work-title").textContent === %q && [...document.querySelectorAll("#result tbody tr")].map(tr => [...tr.children].map(c => c.textContent).join(" ")).join() === %q`, title, strings.Join(rows, ",")))
	}
	first, second := r.score(women, short, bea), r.score(women, short, ada)
	result("Result to sign", row("1", "Bea Invented", first), row("2", "Ada Invented", second))
	for _, barrier := range page.EveryBarrier() {
		t.Error(barrier)
	}
	page.Picture("referee-to-sign")
	sign(page)
	result("Signed result", row("1", "Bea Invented", first), row("2", "Ada Invented", second))

	hall := r.chrome.Open(t, r.server.URL+"/events/"+cup, browser.Hall)
	hall.Wait(board + `.querySelectorAll("tbody tr").length === 2`)
	if marks := browser.Evaluate[string](hall, `[...`+board+`.querySelectorAll("td .corrected")].map(c => c.textContent).join("")`); marks != "" {
		t.Errorf("before there is a correction the board says %q", marks)
	}
	before := r.sequence()
	openCorrection(page, "2")
	compares(page, "Score", first.SegmentScore, first.SegmentScore)
	setIn(page, "fall", "3")
	bea.falls = 3
	worse := r.score(women, short, bea)
	compares(page, "Score", first.SegmentScore, worse.SegmentScore)
	setIn(page, "fall", "0")
	bea.falls = 0
	first = r.score(women, short, bea)
	compares(page, "Score", browser.Evaluate[string](page, `document.querySelector("#result tbody td:nth-child(3)").textContent`), first.SegmentScore)
	if now := r.sequence(); now != before {
		t.Errorf("looking at corrections moved the event from %s to %s", before, now)
	}
	page.Do(browser.Click("#correction .primary"))
	page.Wait(`document.getElementById("correct-reason-fault").textContent === "Say why, in words that everybody may read."`)
	page.Do(chromedp.SendKeys("#correct-reason", "no fall on the replay"))
	page.Wait(`document.getElementById("correct-reason-fault").textContent === ""`)
	page.Do(browser.Click("#correction .primary"))
	page.Wait(`!document.getElementById("correction").open && document.querySelector("#corrections li").textContent.endsWith("no fall on the replay")`)
	page.Do(browser.Click("#back"))
	result("Signed result", row("1", "Bea Invented (↺ corrected)", first), row("2", "Ada Invented", second))
	hall.Wait(`[...` + board + `.querySelectorAll("td .corrected")].map(c => c.textContent).join("") === "corrected" && ` + board + `.querySelector(".correction")?.textContent.endsWith(": no fall on the replay")`)
	hall.Picture("corrected")
	clean(t, "referee", page, false)
	clean(t, "hall", hall, false)
}

// oneFall presses the counter of falls once.
const oneFall = fall + `.nextElementSibling.click()`

// sequence is how far the event is.
func (r *rink) sequence() string {
	r.t.Helper()
	var got struct{ Event struct{ Sequence string } }
	r.call("referee", http.MethodGet, "/v1/events/"+cup, nil, &got)
	return got.Event.Sequence
}

// openCorrection opens the correction of an entry from its row in the queue.
func openCorrection(p *browser.Page, entry string) {
	p.Do(browser.Click(fmt.Sprintf(`#queue [data-key="entry %s"] button`, entry)))
	p.Wait(`!document.getElementById("back").hidden`)
	p.Do(browser.Click("#correct"))
	p.Wait(`document.getElementById("correction").open`)
}

// setIn types into a field of the correction by its label, and leaves it.
func setIn(p *browser.Page, label, value string) {
	p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{
		const field = document.querySelector('#correction [aria-label="%s"]');
		field.value = %q;
		field.dispatchEvent(new Event("input", { bubbles: true }));
		field.dispatchEvent(new Event("change", { bubbles: true }));
	}`, label, value)))
}

// compares waits until the correction shows a line with what is now and after.
func compares(p *browser.Page, name, now, after string) {
	p.Wait(fmt.Sprintf(`[...document.querySelectorAll(".compare tbody tr")].some(tr => [...tr.children].map(c => c.textContent).join() === %q)`, figures(name, now, after)))
}

// A mark that the referee deletes is not 0: it stops the correction, at its own field,
// and what comes after is not known until it is put back. Marks of the same row keep
// their own faults.
func TestADeletedMarkStopsTheCorrection(t *testing.T) {
	r := ready(t, "Ada Invented", "Bea Invented")
	at := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short + "/performances/1"
	r.element("3Lz")
	r.marked("1", 2, 7, true)
	r.call("referee", http.MethodPost, at+":confirm", map[string]any{}, nil)
	ada := performed{"Ada Invented", []called{{"3Lz", "3Lz", false, [3]int{2, 2, 2}}}, [3]string{"7", "7", "7"}, 0, ""}
	was := r.score(women, short, ada).SegmentScore
	for _, view := range []browser.View{laptop, browser.PhoneDark} {
		page := r.desk("referee", "referee", view)
		openCorrection(page, "1")
		compares(page, "Score", was, was)
		const mark = "Judge 1, element 1"
		setIn(page, mark, "")
		compares(page, "Score", was, "–")
		field := `document.querySelector('#correction [aria-label="` + mark + `"]')`
		page.Wait(`document.getElementById(` + field + `.getAttribute("aria-describedby")).textContent === "Judge 1 has no mark for element 1. Type −5 to +5, or put +2 back."`)
		if red := browser.Evaluate[string](page, `[...document.querySelectorAll("#correction [aria-invalid=true]")].map(f => f.ariaLabel).join()`); red != mark {
			t.Errorf("these fields are red: %q", red)
		}
		if off := browser.Evaluate[string](page, `document.querySelector("#correction .primary").ariaDisabled`); off != "true" {
			t.Error("a correction with an empty mark can be sent")
		}
		for _, barrier := range page.EveryBarrier() {
			t.Error(barrier)
		}
		page.Picture("correct-empty")
		setIn(page, mark, "+9")
		page.Wait(`document.getElementById(` + field + `.getAttribute("aria-describedby")).textContent === "“+9” is no mark of judge 1 for element 1. Type −5 to +5, or put +2 back."`)
		setIn(page, mark, "-3")
		page.Wait(field + `.getAttribute("aria-invalid") === "false" && document.querySelectorAll("#correction .why .fault:not(:empty)").length === 0`)
		after := ada
		after.elements = []called{{"3Lz", "3Lz", false, [3]int{-3, 2, 2}}}
		compares(page, "Score", was, r.score(women, short, after).SegmentScore)
		if struck := browser.Evaluate[string](page, `[...document.querySelectorAll(".compare s")].map(s => s.textContent).join()`); !strings.Contains(struck, was) {
			t.Errorf("struck are %q, want %s among them", struck, was)
		}
		// A code that no season has is refused by the server, at its field.
		setIn(page, "Code of element 1", "3Q")
		page.Wait(`document.querySelector('#correction [aria-label="Code of element 1"]').getAttribute("aria-invalid") === "true" && document.querySelector("#correction .why .fault:not(:empty)").textContent.includes("3Q")`)
		_ = page.Problems() // the refusal
		setIn(page, "Code of element 1", "3Lz")
		compares(page, "Score", was, r.score(women, short, after).SegmentScore)
		page.Picture("correct")
		// One with a value that nobody has marked is refused too; one without needs no marks.
		added := `document.querySelector('#correction [aria-label="Code of an element that was left out"]')`
		setIn(page, "Code of an element that was left out", "3T")
		page.Wait(`document.getElementById(` + added + `.getAttribute("aria-describedby"))?.textContent === "Has 0 marks for 3T, which has a value; the marks of judges 1, 2, 3 are needed"`)
		page.Picture("correct-unmarked")
		_ = page.Problems() // the refusal
		setIn(page, "Code of an element that was left out", "CCoSp")
		compares(page, "Score", was, r.score(women, short, after).SegmentScore)
		page.Wait(added + `.getAttribute("aria-invalid") === "false"`)
		page.Do(chromedp.KeyEvent("\x1b"))
		page.Wait(`!document.getElementById("correction").open`)
		clean(t, "referee", page, false)
	}
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

// An order that stands is made again only after a question, with a reason, which the
// log keeps.
func TestOrderIsMadeAgainWithAReason(t *testing.T) {
	r := newRink(t)
	at := "/v1/events/" + cup
	for _, name := range []string{"Ada Invented", "Bea Invented", "Cleo Invented"} {
		r.call("organiser", http.MethodPost, at+"/entries", map[string]any{"category": women, "name": name}, nil)
	}
	page := r.desk("referee", "referee", laptop)
	order := func(want string) {
		t.Helper()
		page.Wait(fmt.Sprintf(`[...document.querySelectorAll("#queue .name")].map(n => n.textContent.slice(0, 1)).join("") === %q`, want))
	}
	press(page, "Make the starting order")
	page.Do(choose("draw-method", "GIVEN"), set("draw-given", "2, 3, 1"), browser.Click("#draw button[type=submit]"))
	order("BCA")
	again := func(answer string) {
		t.Helper()
		page.Do(set("draw-given", "1, 2, 3"), browser.Click("#draw button[type=submit]"))
		page.Wait(`document.querySelector("#ask-reason") !== null`)
		page.Picture("referee-redraw")
		page.Do(chromedp.Evaluate[chromedp.Void](answer))
		page.Wait(`document.querySelector("#ask-reason") === null`)
	}
	again(`document.querySelector("dialog:has(#ask-reason) .primary").click()`) // keeps the order
	order("BCA")
	again(`document.getElementById("ask-reason").value = "a wrong list"; document.querySelector("dialog:has(#ask-reason) [value=yes]").click()`)
	order("ABC")
	var log struct{ Facts []struct{ Kind, JSON string } }
	r.call("referee", http.MethodGet, at+"/facts?pageSize=1000", nil, &log)
	var drawn []string
	for _, fact := range log.Facts {
		if fact.Kind == "OrderDrawn" {
			drawn = append(drawn, fact.JSON)
		}
	}
	if len(drawn) != 2 || strings.Contains(drawn[0], "reason") || !strings.Contains(drawn[1], `"reason":"a wrong list"`) {
		t.Errorf("the log says of the orders: %q", drawn)
	}
	shut(page)
	press(page, "Start the segment")
	press(page, "Call 1 Ada Invented")
	says(page, "Ada Invented is on the ice.")
	clean(t, "referee", page, false)
}

// fits is true when nothing of the referee's desk has to be scrolled.
const fits = `[document.documentElement, document.getElementById("desk"), document.querySelector("#sheet .scroll"), document.querySelector(".side"), document.getElementById("queue")]
	.every((n) => n.scrollHeight === n.clientHeight && n.scrollWidth === n.clientWidth)`

// Of 24 skaters and 12 elements nothing has to be scrolled for what is to be done
// next: the bar has it, says for whom to wait, and lights up by itself.
func TestRefereeGoesByTheQueue(t *testing.T) {
	r, at := many(t)
	for _, code := range twelve {
		r.call("technical", http.MethodPost, at+"/performances/4/elements", map[string]any{"code": code}, nil)
	}
	for judge := 1; judge < full; judge++ {
		r.marks(at, "4", judge, 12, judge%3-1, 5.25)
	}
	r.marks(at, "4", full, 11, 1, 5)
	r.call("technical", http.MethodPost, at+"/performances/4/elements/5:review", map[string]any{"inReview": true}, nil)
	r.call("technical", http.MethodPost, at+"/performances/4:endProgram", map[string]any{}, nil)

	page := r.desk("referee", "referee", laptop)
	says(page, "Wait for judge 9 and the technical panel.")
	page.Wait(`[...document.querySelectorAll("#open li p")].slice(0, 2).map(p => p.textContent).join() === "Judge 9 has no mark for 12 CCoSp2. Nobody sits there yet.,The panel looks again at 5 CCoSp3."`)
	page.Wait(`document.querySelector('#open [data-state=warning] p')?.textContent.endsWith("The panel left it.")`) // the program check
	page.Wait(`document.querySelector(".bar .primary").ariaDisabled === "true" && document.querySelectorAll("#sheet [data-missing]").length === 1`)
	if got := browser.Evaluate[string](page, `[...document.querySelectorAll("#queue li:not(.group)")].map(li => li.querySelector(".index").textContent + (li.dataset.state ?? "")).join()`); got != "2done,3done,4now,5,6,7,8,9" {
		t.Errorf("the queue shows %s", got)
	}
	for _, barrier := range page.EveryBarrier() {
		t.Error(barrier)
	}
	page.Picture("referee-open")
	for _, size := range [][2]int64{{1366, 768}, {1366, 650}} {
		page.Do(chromedp.EmulateViewport(size[0], size[1]))
		page.Wait(fits)
		page.Picture(fmt.Sprintf("referee-%d", size[1]))
	}
	page.Do(chromedp.EmulateViewport(1366, 768))

	page.Do(chromedp.Evaluate[chromedp.Void](`globalThis.today = Date.now; Date.now = () => today() + 600_000`))
	r.call("technical", http.MethodPost, at+"/performances/4/elements/5:review", map[string]any{"inReview": false}, nil)
	says(page, "Wait for judge 9.")
	page.Wait(`[...document.querySelectorAll("#open [data-state=warning] p")].some(p => p.textContent.startsWith("Technical panel: the desk is silent since "))`)
	page.Picture("referee-silent")
	page.Do(chromedp.Evaluate[chromedp.Void](`Date.now = today`))
	page.Do(browser.Click(".bar button:not(.primary)")) // although the mark is missing
	page.Wait(`document.querySelector("dialog[open] h2")?.textContent === "Confirm although a mark is missing?"`)
	page.Do(chromedp.KeyEvent("\x1b"))
	r.call("organiser", http.MethodPut, at+"/performances/4/judges/9/elementMarks", map[string]any{"marks": []any{map[string]any{"element": 12, "mark": 1}}}, nil)
	page.Wait(`document.querySelector(".bar .primary kbd").textContent === "Ctrl Enter"`)
	score := browser.Evaluate[string](page, `document.getElementById("total").textContent`)
	says(page, "Confirm "+score+" for Skater Invented D.")
	page.Wait(fits)
	page.Picture("referee-ready")
	page.Do(chromedp.KeyEvent("\r", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	press(page, "Call 5 Skater Invented E")
	says(page, "Skater Invented E is on the ice.")

	// An earlier sheet is looked at, and left by itself when somebody else is called.
	page.Do(browser.Click("#queue li[data-state=done] button"))
	page.Wait(`!document.getElementById("correct").hidden && document.getElementById("work-title").textContent === "3 Skater Invented C"`)
	page.Do(browser.Click("#back"))
	page.Wait(`document.getElementById("work-title").textContent === "Score sheet"`)

	// A correction of twelve elements has its answers in view too.
	openCorrection(page, "4")
	page.Wait(`(d => d.bottom <= innerHeight && d.right <= innerWidth)(document.querySelector("#correction .primary").getBoundingClientRect())`)
	compares(page, "Score", score, score)
	setIn(page, "Judge 3, element 11", "+4")
	page.Wait(`document.querySelector("#correction .foot .note").textContent.startsWith("Judge 3, element 11:") && document.querySelector(".compare s") !== null`)
	page.Picture("correct-twelve")
	page.Do(chromedp.KeyEvent("\x1b"), browser.Click("#back"))

	// Without a connection nothing is confirmed.
	for judge := 1; judge <= full; judge++ {
		r.marks(at, "5", judge, 0, 0, 5)
	}
	page.Wait(`document.querySelectorAll("#sheet [data-missing]").length === 0 && document.querySelector(".bar .primary").ariaDisabled === "true"`)
	page.Do(browser.Click(".bar button:not(.primary)")) // the program is over
	page.Wait(`document.querySelector(".bar .primary").ariaDisabled === "false"`)
	r.server.Stop()
	says(page, "No connection: the score cannot be confirmed. Marks go on.")
	page.Wait(`document.querySelector(".bar .primary").ariaDisabled === "true"`)
	page.Picture("referee-cut")
	r.server.Start()
	page.Wait(`document.querySelector(".bar .primary").ariaDisabled === "false"`)
	clean(t, "referee", page, true)
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
