package browser_test

import (
	"bytes"
	"fmt"
	"image"
	_ "image/png" // of screenshots
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"github.com/rinktally/rinktally/integration/browser"
)

// use presses what a person reads: a button, a link or a summary that is in view, by
// its name. A dialog is in front of everything else.
func use(p *browser.Page, name string) {
	named := fmt.Sprintf(`[...(document.querySelector("dialog[open]") ?? document).querySelectorAll("button, a, summary")]
		.find(x => x.checkVisibility({ visibilityProperty: true }) && (x.getAttribute("aria-label") ?? x.querySelector("strong")?.textContent ?? x.innerText).trim() === %q)`, name)
	p.Wait("!!" + named)
	p.Do(chromedp.Evaluate[chromedp.Void](named + ".click()"))
}

// fill types into the field with a label, as a person finds it.
func fill(p *browser.Page, label, text string) {
	named := fmt.Sprintf(`[...document.querySelectorAll("label")].find(x => x.checkVisibility() && x.innerText.trim() === %q)?.control`, label)
	p.Wait("!!" + named)
	p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{
		const field = %s;
		field.focus();
		field.value = %q;
		for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
	}`, named, text)))
}

// readQR reads the QR code that the page shows, as a camera does.
func readQR(p *browser.Page, selector string) string {
	return scan(p, func() []byte {
		p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.querySelector(%q).scrollIntoView({ block: "center" })`, selector)))
		return browser.Ask(p, chromedp.Screenshot(selector))
	})
}

// scan reads a QR code in a picture of the page. As a camera it looks until it finds
// one: what is photographed may move.
func scan(p *browser.Page, photo func() []byte) (text string) {
	p.Until(func() string {
		var err error
		if text, err = qrText(photo()); err != nil {
			return fmt.Sprintf("no QR code is found: %v", err)
		}
		return ""
	})
	return text
}

// qrText reads the QR code in a picture.
func qrText(photo []byte) (string, error) {
	picture, _, err := image.Decode(bytes.NewReader(photo))
	if err != nil {
		return "", err
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(picture)
	if err != nil {
		return "", err
	}
	found, err := qrcode.NewQRCodeReader().Decode(bits, nil)
	if err != nil {
		return "", err
	}
	return found.GetText(), nil
}

// From an event with nothing in it to its first skater on the ice, by what the pages
// say alone: one desk sits down by the QR code of its sheet, another by a typed code.
func TestOrganiserLeadsToTheFirstSkater(t *testing.T) {
	r := emptyRink(t)
	r.tokens["admin"] = r.server.AdminToken
	r.call("admin", http.MethodPost, "/v1/events", map[string]any{"event": cup, "name": "Pond Cup", "place": "Invented Hall", "startDate": "2026-12-12", "season": "2025-26"}, nil)
	p := r.chrome.Open(t, r.server.URL+"/desk/"+cup+"/organiser", browser.View{Name: "laptop", Width: 1366, Height: 768})
	sit(p, r.tokens["admin"])
	stands := func(name string) {
		t.Helper()
		for _, barrier := range p.EveryBarrier() {
			t.Errorf("%s: %s", name, barrier)
		}
		if tall := browser.Evaluate[bool](p, `document.documentElement.scrollHeight > innerHeight || document.documentElement.scrollWidth > innerWidth`); tall {
			t.Errorf("%s: the desk is larger than the screen", name)
		}
		p.Picture("organiser-" + name)
	}

	says(p, "Add the categories that compete.")
	use(p, "Event and rules")
	p.Wait(`document.getElementById("step-event").innerText.includes("Scored by the table of 2025-26.") && document.getElementById("step-event").innerText.includes("No table for Dec 12, 2026 is shipped; the newest is 2025-26.")`)
	p.Wait(`document.getElementById("own-table").innerText.includes("rinktally rules new 2026-27 --from 2025-26")`)
	stands("event")
	use(p, "Add a category")
	fill(p, "Rules of", women)
	use(p, "Add the category")

	says(p, "Bring in the skaters of Senior women.")
	use(p, "Add skaters")
	use(p, "Take skaters from a CSV file")
	file := "category,name,club\nSenior women,Ada Invented,Pond\nsenior-women,Bea Invented,Lake\n"
	fill(p, "or its text", file)
	use(p, "Take these skaters")
	p.Wait(`document.getElementById("step-skaters").innerText.includes("2 added, 0 changed.")`)
	fill(p, "or its text", file+"Senior women,Cleo Invented With A Rather Long Name Of Several Words,Eissportverein Hinterkaltenbach am See\n")
	use(p, "Take these skaters")
	p.Wait(`document.querySelector("dialog h2")?.textContent === "These 2 skaters are here already."`)
	stands("repeated")
	use(p, "Add 1 new")
	p.Wait(`document.getElementById("step-skaters").innerText.includes("1 added, 0 changed.") && document.querySelectorAll("#step-skaters .entries li").length === 3`)
	use(p, "Take these skaters")
	p.Wait(`document.getElementById("step-skaters").innerText.includes("These 3 skaters are here already. Nothing was changed.")`)
	_ = p.Problems() // the refusals
	use(p, "Change Ada Invented")
	fill(p, "Program title, which the announcer reads", "Invented Waltz")
	use(p, "Change")
	p.Wait(`document.querySelector("#step-skaters .entries li").innerText.includes("Ada Invented, Pond, “Invented Waltz”")`)
	stands("skaters")

	says(p, "Say how many judges there are.")
	use(p, "Set the panel")
	fill(p, "How many", "3")
	use(p, "Set")
	says(p, "6 desks have no sheet yet: print them and hand them out.")
	use(p, "Print all 6 sheets")
	p.Wait(`document.querySelectorAll(".sheet .qr").length === 6`)
	p.Picture("organiser-sheets")
	p.OnPaper(func() {
		p.Picture("organiser-sheets-printed")
		for look, want := range map[string]int{".sheet .qr": 6, ".sheet h3": 18, ".printed > header button": 0, "main": 0} {
			if n := browser.Evaluate[int](p, fmt.Sprintf(`[...document.querySelectorAll(%q)].filter(e => e.checkVisibility()).length`, look)); n != want {
				t.Errorf("on paper are %d of %s, want %d", n, look, want)
			}
		}
	})
	for _, barrier := range p.EveryBarrier() {
		t.Errorf("sheets: %s", barrier)
	}
	text := p.Text(`.sheet[aria-label="Judge 2"]`)
	if where := strings.TrimPrefix(r.server.URL, "http://") + "/desk/" + cup; !strings.Contains(text, where) || strings.Contains(text, "token") || strings.Contains(text, "rt_") {
		t.Errorf("the sheet does not lead to %s, or shows more than a volunteer needs: %s", where, text)
	}
	scanned := r.chrome.Open(t, readQR(p, `.sheet[aria-label="Judge 2"] .qr`), browser.Phone)
	scanned.Wait(`document.querySelector(".top .title").textContent === "Judge 2" && !document.getElementById("desk").hidden && location.hash === ""`)
	use(p, "Close")

	use(p, "Seat the desks")
	p.Wait(`[...document.querySelectorAll(".seats li")].find(li => li.textContent.startsWith("Judge 2")).querySelector(".answers").textContent === "answered now"`)
	says(p, "Make the starting order of Senior women, Short program.")
	use(p, "Code: Referee")
	p.Wait(`document.querySelector(".seats .typed:not([hidden]) .code")?.textContent.length === 7`)
	use(p, "Copy: Referee")
	p.Wait(`document.querySelector(".toast p")?.textContent === "The code of Referee is copied."`)
	stands("seats")
	code := browser.Evaluate[string](p, `document.querySelector(".seats .typed:not([hidden]) .code").textContent`)
	referee := r.chrome.Open(t, r.server.URL+"/desk/"+cup, browser.Phone)
	fill(referee, "Code", strings.ToLower(code))
	referee.Picture("organiser-code")
	use(referee, "Sit down")
	referee.Do(chromedp.WaitVisible("#desk"))
	referee.Wait(`location.pathname.endsWith("/referee")`)
	late := r.chrome.Open(t, r.server.URL+"/desk/"+cup, browser.Phone)
	fill(late, "Code", code)
	use(late, "Sit down")
	late.Wait(`document.getElementById("code-fault").textContent.endsWith("Please ask the organiser for a new code.") && document.getElementById("code").getAttribute("aria-invalid") === "true"`)
	for _, barrier := range late.EveryBarrier() {
		t.Error(barrier)
	}
	late.Picture("organiser-code-used")
	_ = late.Problems() // the refusal
	use(p, "QR code: Judge 1")
	p.Wait(`document.querySelectorAll(".scan .qr").length === 1`)
	p.Picture("organiser-qr")
	if link := readQR(p, ".scan .qr"); !strings.HasPrefix(link, r.server.URL+"/desk/"+cup+"/judge#") {
		t.Errorf("the QR code of judge 1 opens %s", strings.Split(link, "#")[0])
	}
	use(p, "Close")

	use(p, "Starting order")
	use(p, "Make the order")
	says(p, "At 4 desks nobody has sat down yet.")
	stands("orders")
	use(p, "Start the first segment")
	rehearses(t, r, p, scanned, stands)
	use(p, "Start it")
	says(p, "Senior women, Short program: running.")
	stands("start")
	r.call("admin", http.MethodPost, "/v1/events/"+cup+"/categories/"+women+"/segments/"+short+":callSkater", map[string]any{}, nil)
	scanned.Wait(`document.getElementById("skater").textContent.endsWith("Invented") || document.getElementById("skater").textContent.startsWith("Cleo Invented")`)
	clean(t, "organiser", p, false)
	clean(t, "judge", scanned, false)
}

// rehearses plays a skater on the seated desks, of which nothing is left.
func rehearses(t *testing.T, r *rink, p, judge *browser.Page, stands func(string)) {
	t.Helper()
	at := "/v1/events/" + cup
	var before, after struct{ Facts []any }
	r.call("admin", http.MethodGet, at+"/facts?pageSize=1000", nil, &before)
	use(p, "Rehearse")
	for _, desk := range []*browser.Page{p, judge} {
		desk.Do(chromedp.WaitVisible(".rehearsal"))
		desk.Wait(`location.pathname.startsWith("/desk/` + cup + `-rehearsal/") && document.querySelector(".rehearsal")?.checkVisibility() && document.querySelector(".rehearsal").innerText === "Rehearsal: nothing counts"`)
	}
	segment := at + "-rehearsal/categories/" + women + "/segments/" + short
	use(p, "Start the first segment")
	use(p, "Start it")
	says(p, "Senior women, Short program: running.")
	var called struct{ Performance struct{ Entry string } }
	r.call("admin", http.MethodPost, segment+":callSkater", map[string]any{}, &called)
	r.call("admin", http.MethodPost, segment+"/performances/"+called.Performance.Entry+"/elements", map[string]any{"code": "2A"}, nil)
	judge.Wait(`document.querySelectorAll(".tile").length === 1 || document.getElementById("desk").innerText.includes("2A")`)
	judge.Picture("rehearsal-judge")
	for _, barrier := range judge.EveryBarrier() {
		t.Errorf("a judge's rehearsal: %s", barrier)
	}
	use(p, "Start the first segment")
	p.Wait(`[...document.querySelectorAll("button")].some(b => b.innerText === "End the rehearsal" && b.checkVisibility())`)
	stands("rehearsal")
	use(p, "End the rehearsal")
	for _, desk := range []*browser.Page{p, judge} {
		desk.Do(chromedp.WaitVisible(".toast"))
		desk.Wait(`location.pathname.startsWith("/desk/` + cup + `/") && !document.getElementById("desk").hidden && !document.querySelector(".rehearsal").checkVisibility()`)
		desk.Wait(`document.querySelector(".toast p")?.textContent === "Everything is as before."`)
		_ = desk.Problems() // the rehearsal that is there no more
	}
	r.call("admin", http.MethodGet, at+"/facts?pageSize=1000", nil, &after)
	if len(before.Facts) != len(after.Facts) {
		t.Errorf("%d facts before the rehearsal, %d after", len(before.Facts), len(after.Facts))
	}
	if res, err := http.Get(r.server.URL + at + "-rehearsal"); err != nil || res.StatusCode != http.StatusNotFound {
		t.Errorf("the rehearsal is still there: %v, %v", res.Status, err)
	} else {
		_ = res.Body.Close()
	}
}
