package browser_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rinktally/rinktally/integration/browser"
)

// volunteers hold an event. What they do, they do by what they read: no address, code or
// name comes from elsewhere than a page or a printed sheet.
type volunteers struct {
	*rink
	at     map[string]*seat // by desk, as its sheet is headed
	hall   *browser.Page
	scores map[string]map[string]scored // by name and segment: what segments:score says
}

// seat is a desk: its sheet of paper, the link in its QR code, and its screen.
type seat struct {
	desk, paper, link string
	page              *browser.Page
}

// newEvent goes from the list that is empty to the organiser's desk of a new event.
func newEvent(t *testing.T, p *browser.Page, code string) {
	t.Helper()
	p.Finds("link", "Make the first event")
	for _, barrier := range p.EveryBarrier() {
		t.Error(barrier)
	}
	p.Picture("whole-first")
	p.Press("link", "Make the first event")
	p.Type("textbox", "Name of the event", "Two Ponds Cup")
	p.Type("textbox", "Place", "Invented Hall")
	p.Keys(kb.Tab + "01012026") // the same day wherever the day comes before the month
	p.Choose("Scored by the rules of", "Season 2025-26")
	p.Type("textbox", "Administrator's code", "rt__wrong\r")
	p.Sees("This server does not know this code")
	_ = p.Problems() // the refusal
	p.Picture("whole-new")
	p.Keys(strings.Repeat(kb.Backspace, len("rt__wrong")))
	p.Paste(code)
	p.Keys("\r")
}

// setUp makes categories, panel, entries and starting orders, by what the desk says
// is to be done now.
func setUp(p *browser.Page) {
	step := func(say, button string) {
		p.Sees(say)
		p.Press("button", button)
	}
	step("Add the categories that compete.", "Add a category")
	p.Picture("whole-organiser-empty")
	p.Choose("Rules of", "Senior women")
	p.Press("button", "Add the category")
	p.Finds("button", "Remove Senior women")
	p.Choose("Rules of", "Junior women")
	p.Press("textbox", "Title")
	p.Keys(strings.Repeat(kb.Backspace, len("Junior women")) + strings.Repeat(kb.Delete, len("Junior women")) + "Juniors, group B")
	p.Press("checkbox", "Free skating")
	p.Press("button", "Add the category")
	p.Finds("button", "Remove Juniors, group B")

	step("Bring in the skaters of Senior women.", "Add skaters")
	p.Press("DisclosureTriangle", "Take skaters from a CSV file")
	p.Sees(`In the column category stands one of: Senior women and "Juniors, group B".`)
	p.Press("textbox", "or its text")
	p.Paste(strings.Join(pondEntries, "\n"))
	p.Press("button", "Take these skaters")
	p.Sees("5 added, 0 changed.")

	step("Say how many judges there are.", "Set the panel")
	p.Type("spinbutton", "How many", "3\r")
	p.Sees("6 desks have no sheet yet: print them and hand them out.")

	p.Press("button", "Starting orders …")
	p.Type("textbox", "Number to draw from", "7\r")
	p.Sees("Drawn from the number 7,")
	p.Choose("Segment", "Juniors, group B, Short program")
	p.Sees("no order yet")
	p.Press("button", "Make the order")
	p.Sees("2 of 2 drawn")

	// Somebody comes too late for the draw, skates first then, and withdraws.
	p.Press("button", "Skaters …")
	p.Choose("Category", "Juniors, group B")
	p.Type("textbox", "Name", "Ivy Invented\r")
	p.Finds("button", "Withdraw Ivy Invented")
	p.Press("button", "Starting orders …")
	p.Picture("whole-late")
	p.Press("button", "Ivy Invented: Skates first")
	p.Sees("1.\nIvy Invented")
	p.Press("button", "Skaters …")
	p.Press("button", "Withdraw Ivy Invented")
	p.Press("button", "Withdraw")
	p.Finds("button", "Reinstate Ivy Invented")
}

// handOut prints all sheets, reads them on paper, and seats each desk on a device of its
// own by the address of its sheet and the code that the organiser reads out.
func (v *volunteers) handOut(organiser *browser.Page) {
	v.t.Helper()
	organiser.Press("button", "Print all 6 sheets")
	organiser.Finds("heading", "6 sheets")
	organiser.Sees("This works on this machine only.")
	var papers string
	organiser.OnPaper(func() { papers = organiser.Reads() })
	v.at = map[string]*seat{}
	const above = "Two Ponds Cup, Invented Hall · desk sheet\n"
	for _, paper := range strings.Split(papers, above)[1:] {
		desk, _, _ := strings.Cut(strings.TrimSpace(paper), "\n")
		v.at[desk] = &seat{desk: desk, paper: paper, link: scan(organiser, func() []byte { return organiser.Photo("image", "QR code of "+desk) })}
	}
	organiser.OnPaper(func() { organiser.Picture("whole-sheets") })
	pdf := browser.Call(organiser, page.PrintToPDF, page.PrintToPDFParams{})
	if n := len(regexp.MustCompile(`/Type /Page\b`).FindAll(pdf.Data, -1)); n != len(v.at) {
		v.t.Errorf("%d sheets are printed on %d pages", len(v.at), n)
	}
	organiser.Press("button", "Close")
	organiser.Press("button", "Seat the desks …")
	for _, desk := range []string{"Referee", "Technical panel", "Judge 1", "Judge 2", "Judge 3", "Announcer"} {
		s := v.at[desk]
		if s == nil {
			v.t.Fatalf("no sheet is headed %s: %s", desk, papers)
		}
		v.sitByCode(organiser, s)
	}
	organiser.Picture("whole-seated")
}

// sitByCode opens a desk as its sheet says to who has no camera.
func (v *volunteers) sitByCode(organiser *browser.Page, s *seat) {
	v.t.Helper()
	address := v.read(`Open (\S+) and type the code that the organiser reads to you\.`, s.paper)
	organiser.Press("button", "Code: "+s.desk)
	organiser.Finds("button", "New code: "+s.desk)
	code := v.read(`(?s)\n`+s.desk+`\n.*?([2-9A-HJ-NP-Z]{3} [2-9A-HJ-NP-Z]{3})\n`, organiser.Reads())
	organiser.Uncovered(code)
	s.page = v.chrome.Open(v.t, "http://"+address, browser.Desk)
	s.page.TabTo("textbox", "Code")
	s.page.Keys(code + "\r")
	v.seated(s)
	organiser.Finds("button", "Code: "+s.desk) // the other one was good once
}

// sitByPaper puts another device in the place of one that died, by the sheet alone.
func (v *volunteers) sitByPaper(s *seat) {
	v.t.Helper()
	v.read(`(The tablet dies in the middle of a program\?\n+Take any other one and scan this sheet again\.)`, s.paper)
	s.page.Opens("about:blank")
	s.page = v.chrome.Open(v.t, s.link, browser.Desk)
	v.seated(s)
}

// seated sees what the sheet says that somebody who sits down sees.
func (v *volunteers) seated(s *seat) {
	v.t.Helper()
	s.page.Finds("heading", v.read(`The top of the screen says (.+)\. You are seated\.`, s.paper))
	s.page.Finds("DisclosureTriangle", "More")
}

// read finds what a person picks out of a text.
func (v *volunteers) read(pattern, text string) string {
	v.t.Helper()
	found := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if found == nil {
		v.t.Fatalf("nobody reads %s in:\n%s", pattern, text)
	}
	return found[1]
}

// skate holds a segment at the desks, from the referee's start to the signature.
func (v *volunteers) skate(of held) {
	v.t.Helper()
	referee := v.at["Referee"].page
	referee.Sees("Start " + of.title + ".")
	referee.Press("button", "Start the segment")
	todo := map[string]performed{}
	for _, p := range of.skated {
		todo[p.name] = p
	}
	for n := 0; len(todo) > 0; n++ {
		referee.Sees("when the ice is free.")
		button := v.read(`(?m)^(Call \d+ .+)$`, referee.Reads())
		p, waits := todo[v.read(`Call \d+ (.+)`, button)]
		if !waits {
			v.t.Fatalf("%s is to be called", button)
		}
		delete(todo, p.name)
		referee.Press("button", button)
		v.perform(of, p, of.category == juniors && n == 1)
	}
	referee.Press("button", "Sign the result")
	referee.Press("button", "Sign")
	v.hall.Sees("Official")
	for _, desk := range []string{"Technical panel", "Judge 1"} {
		v.at[desk].page.Sees("Everybody has skated.")
	}
}

// perform is one skater, from the call to what the announcer reads.
func (v *volunteers) perform(of held, p performed, tabletsDie bool) {
	v.t.Helper()
	referee, panel := v.at["Referee"].page, v.at["Technical panel"]
	panel.page.Finds("heading", p.name)
	for n, e := range p.elements {
		if tabletsDie && n == 1 {
			v.sitByPaper(panel)
			panel.page.Finds("heading", p.name)
			panel.page.Sees("1 element called.")
		}
		panel.page.Keys(e.typed + "\r")
		panel.page.Sees(map[int]string{0: "1 element called.", 1: "2 elements called."}[n])
	}
	for j := range 3 {
		judge := v.at[fmt.Sprint("Judge ", j+1)]
		judge.page.Finds("heading", p.name)
		for n, e := range p.elements {
			if tabletsDie && j == 1 && n == 1 {
				judge.page.Sees("Everything is sent")
				v.sitByPaper(judge)
			}
			judge.page.Sees(fmt.Sprintf("Mark %d %s.", n+1, e.code))
			for _, key := range fmt.Sprint(e.marks[j]) {
				judge.page.Keys(string(key))
			}
		}
		judge.page.Sees("Everything called so far has a mark.")
	}
	for n := range p.falls {
		panel.page.TabTo("button", "One more fall")
		panel.page.Keys(" ")
		referee.Sees(map[int]string{0: "Deductions: fall", 1: "Deductions: 2 × fall"}[n])
	}
	v.read(`(When the skater stops, press “The program is over” or F9\.)`, panel.paper)
	panel.page.Keys(kb.F9)
	panel.page.Sees("program over")
	for j := range 3 {
		judge := v.at[fmt.Sprint("Judge ", j+1)].page
		judge.Sees("Composition has no mark.")
		for range 3 {
			judge.Keys(p.components[j] + "\r")
		}
		judge.Sees("You are done.")
		judge.Sees("The referee has all your marks.")
	}
	if p.other != "" {
		referee.Press("DisclosureTriangle", "More")
		referee.Press("button", "Deductions")
		referee.Type("textbox", "Another deduction: what for", "by the rules of the test")
		referee.Type("textbox", "Points off", p.other+"\r")
		referee.Sees("by the rules of the test −" + p.other)
		referee.Picture("whole-deduction")
		referee.Press("button", "Close")
	}
	v.confirm(of, p)
}

// confirm ends a performance at the referee's desk. The score that everybody sees is the
// one of segments:score.
func (v *volunteers) confirm(of held, p performed) {
	v.t.Helper()
	referee, announcer := v.at["Referee"].page, v.at["Announcer"].page
	rules := map[string]string{women: women, juniors: "junior-women"}[of.category]
	want := v.score(rules, of.segment, p)
	referee.Sees("Nothing is open")
	referee.Sees("Confirm " + want.SegmentScore + " for " + p.name + ".")
	if p.falls > 0 {
		pictures(map[string]*browser.Page{"whole-over-referee": referee, "whole-over-technical": v.at["Technical panel"].page, "whole-over-judge": v.at["Judge 2"].page})
	}
	referee.Keys("\r", chromedp.KeyModifiers(chromedp.ModifierCtrl))
	v.hall.Sees(p.name)
	v.hall.Sees(want.SegmentScore)
	announcer.Sees(p.name)
	announcer.Sees("receives " + want.SegmentScore + " points.")
	announcer.Picture("whole-read")
	announcer.Keys(" ")
	announcer.Sees("Nothing to read")
	if v.scores[p.name] == nil {
		v.scores[p.name] = map[string]scored{}
	}
	v.scores[p.name][of.segment] = want
}
