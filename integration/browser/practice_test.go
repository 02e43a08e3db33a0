package browser_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/integration/wasm"
)

// practiceBook is a book of a server, as its owner reaches it by the API.
type practiceBook struct {
	t           *testing.T
	server      *browser.Server
	Book, Token string
	link        string
}

// call makes a call on the book and decodes its answer.
func (b *practiceBook) call(method, path, token string, body, into any) {
	b.t.Helper()
	var sent io.Reader
	if body != nil {
		data, err := json.Marshal(body)
		if err != nil {
			b.t.Fatal(err)
		}
		sent = bytes.NewReader(data)
	}
	req, err := http.NewRequestWithContext(b.t.Context(), method, b.server.URL+"/v1/practice/books"+path, sent)
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+token)
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		b.t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		b.t.Fatalf("%s %s: %d, %v: %s", method, path, res.StatusCode, err, data)
	}
	if err := json.Unmarshal(data, into); err != nil {
		b.t.Fatal(err)
	}
}

// newPracticeBook makes a book, as the administrator does.
func newPracticeBook(t *testing.T, server *browser.Server) *practiceBook {
	t.Helper()
	b := &practiceBook{t: t, server: server}
	var made struct {
		Book  struct{ Book string }
		Token string
	}
	b.call(http.MethodPost, "", server.AdminToken, map[string]any{"title": "Ice club", "causes": []string{"timing", "axis", "landing position"}}, &made)
	b.Book, b.Token = made.Book.Book, made.Token
	b.link = b.linkWith(b.Token)
	return b
}

func (b *practiceBook) linkWith(token string) string {
	return b.server.URL + "/practice#book=" + b.Book + "&token=" + token
}

// attempt is what the tests ask of an attempt.
type attempt struct {
	Planned, Came, Cause string
	Fall                 bool
}

// attempts lists what the book has of its first skater.
func (b *practiceBook) attempts() []attempt {
	b.t.Helper()
	var list struct{ Attempts []attempt }
	b.call(http.MethodGet, "/"+b.Book+"/skaters/1/attempts?pageSize=1000", b.Token, nil, &list)
	return list.Attempts
}

// serversDay has a page's clock go as the server's does.
func serversDay() string {
	return fmt.Sprintf(`(() => {
		const Real = Date, late = Real.now() - %d;
		globalThis.Date = class extends Real {
			constructor(...args) { super(...(args.length ? args : [Real.now() - late])); }
			static now() { return Real.now() - late; }
		};
	})()`, browser.Today().UnixMilli())
}

// openPractice opens the page on a phone whose clock goes as the server's does.
func openPractice(t *testing.T, chrome *browser.Chrome, url string, view browser.View) *browser.Page {
	t.Helper()
	p := chrome.Open(t, "about:blank", view)
	browser.Call(p, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: serversDay()})
	p.Do(chromedp.Navigate(url))
	p.Wait(`document.querySelector("main").dataset.ready === ""`)
	return p
}

// coach is somebody at the boards, who finds things by what can be read.
type coach struct {
	*browser.Page

	n, well map[string]int // what was tried today, by element
}

// try is an attempt in two touches.
func (c *coach) try(code, key string) {
	name := code + " none today"
	if c.n[code] > 0 {
		name = fmt.Sprintf("%s %d today, %d clean", code, c.n[code], c.well[code])
	}
	c.Press("button", name)
	c.Press("button", key)
	c.n[code]++
	if strings.HasPrefix(key, "Clean") || key == "Level 4" {
		c.well[code]++
	}
}

const (
	clean3Lz, called3Lz, popped3Lz, fall3Lz = "Clean as planned", "Called < · q · e · !", "Popped 2Lz or less", "Fall on it"
)

// Tried as a coach would on a phone, by names and roles alone: a link opens the book,
// twenty attempts in two touches each, one of them taken back, some while the server is
// away and some while the link is an old one, and a plan of what they come to.
func TestTwentyAttemptsAndOnePlan(t *testing.T) {
	server := browser.NewServer(t)
	book := newPracticeBook(t, server)
	page := openPractice(t, browser.Start(t), book.link, coachPhone)
	if address := browser.Ask(page, chromedp.Location()); address != server.URL+"/practice" {
		t.Errorf("the token stays in the address: %s", address)
	}
	page.Press("button", "Type an element")
	page.Type("textbox", "Element, as a code", "3lz 2a ccosp4")
	page.Press("button", "Add")
	c := &coach{page, map[string]int{}, map[string]int{}}
	// The first attempt asks whose they are.
	page.Press("button", "3Lz none today")
	page.Press("button", clean3Lz)
	page.Type("textbox", "Name", "Mira")
	page.Press("button", "Add")
	page.Wait(`document.getElementById("said").textContent === "3Lz clean kept"`)
	c.n["3Lz"], c.well["3Lz"] = 1, 1

	c.try("3Lz", fall3Lz)
	page.Press("button", "timing")
	c.try("3Lz", called3Lz)
	page.Press("button", "3Lz<<")
	c.try("3Lz", popped3Lz)
	c.try("2A", "Popped 1A or less")
	page.Press("button", "Undo")
	c.n["2A"]--
	for range 6 {
		c.try("2A", clean3Lz)
	}
	for _, key := range []string{"Level 4", "Level 3", "Level 4", "Level 4"} {
		c.try("CCoSp4", key)
	}
	page.Wait(`document.getElementById("unsent").hidden`)

	// The server is away: nothing is lost, and nothing is there twice.
	server.Stop()
	c.try("3Lz", clean3Lz)
	c.try("3Lz", fall3Lz)
	page.Wait(`document.getElementById("unsent").innerText.includes("2 not sent yet")`)
	page.Press("button", "axis")
	page.Picture("practice-unsent")
	server.Start()
	page.Wait(`document.getElementById("unsent").hidden`)
	clean(t, "practice", page, true)

	// An old link: what waits is sent when the book is open again.
	var renewed struct{ Token string }
	book.call(http.MethodPost, "/"+book.Book+":renewToken", book.Token, map[string]any{}, &renewed)
	book.Token = renewed.Token
	for range 4 {
		c.try("3Lz", clean3Lz)
	}
	page.Wait(`document.getElementById("closed").innerText.includes("This book is closed to this phone. Ask its owner for a new link.")`)
	page.Wait(`document.getElementById("unsent").innerText.includes("4 not sent yet")`)
	page.Picture("practice-closed")
	for _, barrier := range page.EveryBarrier() {
		t.Errorf("closed: %s", barrier)
	}
	page.Type("textbox", "Link of the book", book.linkWith(book.Token))
	page.Press("button", "Open")
	page.Do(chromedp.WaitVisible(".tile-of"))
	page.Wait(`document.querySelector("main").dataset.ready === "" && document.getElementById("unsent").hidden`)
	_ = page.Problems() // that the old token was refused

	got := map[string]int{}
	for _, a := range book.attempts() {
		key := a.Planned + " " + a.Came
		if a.Fall {
			key += " fall"
		}
		got[strings.TrimSpace(key+" "+a.Cause)]++
	}
	want := map[string]int{
		"3Lz 3Lz": 6, "3Lz 3Lz fall timing": 1, "3Lz 3Lz fall axis": 1, "3Lz 3Lz<<": 1, "3Lz 2Lz": 1, "2A 2A": 6, "CCoSp4 CCoSp4": 3, "CCoSp4 CCoSp3": 1,
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("the book has %v\nwant %v", got, want)
	}

	// One plan.
	page.Press("button", "Book")
	page.Press("button", "Choose it")
	page.Press("button", "Save")
	page.Press("button", "3Lz 6 of 10")
	page.Press("button", "Note a change")
	page.Type("textbox", "What was changed", "New entry")
	page.Press("button", "Note it")
	page.Wait(`document.querySelector("#element .verdict")?.innerText.includes("Not enough yet.")`)
	page.Press("button", "‹ Book")
	page.Press("link", "Plan with these")
	page.Do(chromedp.WaitVisible("#see"))
	page.Wait(`/^See the plan: \d+\.\d$/.test(document.getElementById("see").textContent) && document.querySelectorAll("[role=slider]").length === 3`)
	if text := browser.Evaluate[string](page, `document.querySelector(".ability").innerText`); !strings.Contains(text, "10 attempts") || !strings.Contains(text, "If not: ") {
		t.Errorf("the plan takes the Lutz as %q", text)
	}
	page.Press("button", browser.Evaluate[string](page, `document.getElementById("see").textContent`))
	page.Press("button", "Keep it for Mira")
	page.Wait(`document.querySelector(".toast")?.innerText.includes("Mira has plan A as the program now")`)
	page.Picture("plan-kept")
	clean(t, "plan", page, false)
	var skaters struct {
		Skaters []struct {
			Name     string
			Programs []struct {
				Segment  string
				Elements []struct{ Code string }
			}
		}
	}
	book.call(http.MethodGet, "/"+book.Book+"/skaters", book.Token, nil, &skaters)
	if p := skaters.Skaters[0].Programs; len(p) != 1 || p[0].Segment != "free-skating" || len(p[0].Elements) < 3 {
		t.Errorf("Mira's programs are %v", p)
	}
}

// fill puts some weeks of practice into the book.
func (b *practiceBook) fill() {
	b.t.Helper()
	program := []map[string]any{{"segment": "free-skating", "elements": []map[string]any{{"code": "2A"}, {"code": "CCoSp4"}, {"code": "3Lz", "secondHalf": true}}}}
	var added struct{ Skater struct{ Skater string } }
	b.call(http.MethodPost, "/"+b.Book+"/skaters", b.Token, map[string]any{"name": "Mira", "season": "2025-26", "category": "senior-women", "programs": program}, &added)
	var attempts []map[string]any
	changed := time.Date(2025, 12, 20, 0, 0, 0, 0, time.UTC)
	for day := range 40 {
		at := changed.AddDate(0, 0, day-25)
		lutz := map[string]any{"planned": "3Lz", "time": at}
		if every := map[bool]int{true: 3, false: 2}[at.After(changed)]; day%every == 0 {
			lutz["fall"], lutz["cause"] = day%4 == 0, []string{"timing", "axis", ""}[day%3]
			if day%4 != 0 {
				lutz["came"] = "3Lz<"
			}
		}
		attempts = append(attempts, lutz, map[string]any{"planned": "2A", "time": at}, map[string]any{"planned": "CCoSp4", "came": []string{"CCoSp4", "CCoSp3"}[day%2], "time": at})
	}
	var ok any
	b.call(http.MethodPost, "/"+b.Book+"/skaters/1/attempts", b.Token, map[string]any{"attempts": attempts}, &ok)
	b.call(http.MethodPost, "/"+b.Book+"/skaters/1/changes", b.Token, map[string]any{"text": "New entry", "code": "3Lz", "time": changed}, &ok)
}

// Every view of practice in both faces on both screens; the words on a change are what
// the book can tell.
func TestPracticePage(t *testing.T) {
	server := browser.NewServer(t)
	book := newPracticeBook(t, server)
	book.fill()
	var counted struct {
		Records []struct {
			Code                string
			Attempts, Successes int
			Changes             []struct {
				Verdict string
				Better  float64
			}
		}
	}
	book.call(http.MethodGet, "/"+book.Book+"/skaters/1/abilities?category=senior-women&season=2025-26", book.Token, nil, &counted)
	page := openPractice(t, browser.Start(t), server.URL+"/practice", coachPhone)
	read := func(selector string) string {
		t.Helper()
		return browser.Evaluate[string](page, fmt.Sprintf(`document.querySelector(%q).innerText`, selector))
	}
	looked(t, page, "practice-empty")
	page.Press("button", "Book")
	looked(t, page, "practice-no-book")
	page.Type("textbox", "Link of the book", book.link)
	page.Press("button", "Open")
	page.Do(chromedp.WaitVisible(".tile-of"))
	page.Wait(`document.querySelector("main").dataset.ready === ""`)
	page.Press("button", "3Lz none today")
	looked(t, page, "practice-attempts")
	page.Press("button", "Run-through")
	page.Press("button", "Clean")
	looked(t, page, "practice-run")
	page.Press("button", "Level 4")
	page.Press("button", "Undo")
	page.Press("button", "Undo")
	page.Wait(`JSON.parse(localStorage["rinktally.attempts"]).list.length === 0`) // it is out of the book again
	page.Press("button", "Book")
	page.Wait(`document.querySelector(".as-planned .worth") !== null`)
	for _, r := range counted.Records {
		if name := fmt.Sprintf("%d of %d", r.Successes, r.Attempts); !strings.Contains(read("#book"), name) {
			t.Errorf("%s: the book does not say %q", r.Code, name)
		}
	}
	looked(t, page, "practice-book")
	page.Press("button", "Changes")
	page.Wait(`document.querySelector("#changes .effect") !== null`)
	looked(t, page, "practice-changes")
	page.Press("button", "3Lz")
	page.Wait(`document.querySelector("#element .plot") !== null`)
	for _, r := range counted.Records {
		if r.Code != "3Lz" {
			continue
		}
		said := read("#element .verdict")
		if early := r.Changes[0].Verdict == "TOO_EARLY"; early != strings.Contains(said, "Too early to tell.") || !strings.Contains(said, fmt.Sprintf("%.0f chances in 100", 100*r.Changes[0].Better)) {
			t.Errorf("of %v it says %q", r.Changes[0], said)
		}
	}
	looked(t, page, "practice-element")
	page.Do(browser.Click("#skater summary"))
	page.Press("button", "What is kept and where")
	looked(t, page, "practice-kept")
	page.Press("button", "Delete the skater")
	page.Type("textbox", "Type the name to delete: Mira", "Mia")
	page.Press("button", "Delete")
	page.Wait(`document.querySelector("#kept [role=status]").innerText.includes("Nothing is deleted")`)
	clean(t, "practice", page, false)
}

// At a rink without a network a phone opens the page again: the skater's elements are at
// hand, and what is tried waits for the book.
func TestPracticeOpensAgain(t *testing.T) {
	server := browser.NewServerWith(t, wasm.Built(t))
	book := newPracticeBook(t, server)
	book.fill()
	page := openPractice(t, browser.Start(t), book.link, coachPhone)
	page.Wait(`document.querySelector("main").dataset.reopens === "true"`)
	before := len(book.attempts())
	server.Stop()
	page.Do(chromedp.Navigate("about:blank"))
	if !page.Opens(server.URL + "/practice") {
		t.Fatal("it does not open again without the server")
	}
	c := &coach{page, map[string]int{}, map[string]int{}}
	c.try("3Lz", fall3Lz)
	page.Press("button", "axis")
	c.try("CCoSp4", "Level 3")
	page.Wait(`document.getElementById("unsent").innerText.includes("2 not sent yet")`)
	page.Picture("practice-offline")
	server.Start()
	page.Wait(`document.getElementById("unsent").hidden`)
	page.Press("button", "Book")
	page.Wait(`document.querySelector("#book .shares") !== null`)
	if got := book.attempts(); len(got) != before+2 || got[1].Cause != "axis" || got[0].Came != "CCoSp3" {
		t.Errorf("of %d attempts the newest are %v", len(got)-before, got[:2])
	}
	// What was sent meanwhile can be taken back as well.
	page.Press("button", "Attempts")
	page.Press("button", "Undo")
	page.Wait(`document.getElementById("count").textContent.startsWith("1 attempt today")`)
}

// Attempts count for who made them, whoever is on the ice when they are sent.
func TestAttemptsStayWithTheirSkater(t *testing.T) {
	server := browser.NewServer(t)
	book := newPracticeBook(t, server)
	book.fill()
	page := openPractice(t, browser.Start(t), book.link, coachPhone)
	c := &coach{page, map[string]int{}, map[string]int{}}
	server.Stop()
	c.try("3Lz", clean3Lz)
	c.try("3Lz", fall3Lz)
	page.Do(browser.Click("#skater summary"))
	page.Press("button", "Add a skater")
	page.Type("textbox", "Name", "Nora")
	page.Press("button", "Add")
	page.Wait(`document.querySelector("#skater summary").innerText.includes("Nora") && document.getElementById("count").textContent === ""`)
	page.Picture("practice-second-skater")
	server.Start()
	page.Wait(`document.getElementById("unsent").hidden`)
	if count := browser.Evaluate[string](page, `document.getElementById("count").textContent`); count != "" {
		t.Errorf("Nora has %q of Mira's", count)
	}
	page.Do(browser.Click("#skater summary"))
	page.Press("button", "Mira")
	page.Wait(`document.getElementById("count").textContent.startsWith("2 attempts today")`)
}
