package browser_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rinktally/rinktally/integration/browser"
)

// deed is one thing that somebody does at a desk, with one call.
type deed struct {
	p     *browser.Page
	at    string // part of the call's address
	do    func()
	waits string   // what the page shows until it is acknowledged, in JavaScript
	done  string   // what it shows then
	facts []string // that the log has of it
}

// Addresses of calls that change something, as they end.
const (
	callsAt      = "/elements"
	marksAt      = "/elementMarks"
	gradesAt     = "/componentMarks"
	deductionsAt = "/deductions"
	endsAt       = ":endProgram"
	confirmsAt   = ":confirm"
	correctsAt   = ":correct"
)

// noticed says that a line above the desk names what is not sent.
func noticed(what string) string {
	return fmt.Sprintf(`[...document.querySelectorAll(".notice")].some(n => n.textContent === "Not sent yet: " + %q + ".")`, what)
}

// callDeed is an element that is typed.
func callDeed(p *browser.Page, typed, code string) deed {
	last := fmt.Sprintf(`document.querySelector("#elements li:last-child .code")?.textContent === %q`, code)
	return deed{
		p, callsAt, func() { p.Do(chromedp.KeyEvent(typed + "\r")) },
		last + ` && document.querySelector("#elements li:last-child").dataset.state === "unsent"`,
		last + ` && !document.querySelector("#elements [data-state=unsent]")`, []string{"ElementCalled"},
	}
}

// markDeed is a mark that is typed at the desk of a judge, where its element is chosen.
func markDeed(p *browser.Page, element int, key, mark string) deed {
	shows := fmt.Sprintf(tile+`?.querySelector(".own").textContent === %q`, element-1, mark)
	unsent := fmt.Sprintf(tile+`.classList.contains("unsent")`, element-1)
	return deed{p, marksAt, func() { p.Do(chromedp.KeyEvent(key)) }, shows + " && " + unsent, shows + " && !" + unsent, []string{"ElementMarksGiven"}}
}

// gradeDeed is a component's mark, typed where that component is chosen.
func gradeDeed(p *browser.Page, n int, mark string) deed {
	one := fmt.Sprintf(`document.querySelectorAll("#components .tile")[%d]`, n)
	shows := fmt.Sprintf(one+`?.querySelector(".own").textContent === %q`, mark)
	do := func() {
		p.Do(chromedp.Evaluate[chromedp.Void](one + `.click()`))
		p.Wait(one + `.ariaCurrent === "true"`)
		p.Do(chromedp.KeyEvent(mark + "\r"))
	}
	return deed{p, gradesAt, do, shows + " && " + one + `.classList.contains("unsent")`, shows + " && !" + one + `.classList.contains("unsent")`, []string{"ComponentMarksGiven"}}
}

// fallDeed is one more fall, which makes so many.
func fallDeed(p *browser.Page, waits string, falls int) deed {
	shows := fmt.Sprintf(`document.querySelector('[aria-label="One more fall"]')?.previousElementSibling.textContent === "%d"`, falls)
	do := func() { p.Do(chromedp.Evaluate[chromedp.Void](oneFall)) }
	return deed{p, deductionsAt, do, shows + " && " + waits, shows + ` && document.querySelector(".counter").dataset.state === ""`, []string{"DeductionsSet"}}
}

// counted says that the counter of falls shows what is not sent.
const counted = `document.querySelector(".counter")?.dataset.state === "unsent"`

// endDeed says that a program is over.
func endDeed(p *browser.Page, name string) deed {
	return deed{
		p, endsAt, func() { p.Do(chromedp.KeyEvent(kb.F9)) }, noticed("the program of " + name + " is over"),
		`document.querySelector(".strip .pill").textContent === "program over"`, []string{"ProgramEnded"},
	}
}

// confirmDeed confirms a score; then is what the bar offers next.
func confirmDeed(p *browser.Page, score, name, then string) deed {
	return deed{
		p, confirmsAt, func() { press(p, "Confirm "+score) },
		noticed("the score "+score+" of "+name+", to be confirmed") + ` && document.querySelector(".bar .primary").ariaDisabled === "true"`,
		fmt.Sprintf(`document.querySelector(".bar .primary").firstChild.textContent === %q`, then), []string{"SkaterConfirmed"},
	}
}

// correctDeed takes all falls off a score that was confirmed.
func correctDeed(p *browser.Page, entry, name, reason string) deed {
	do := func() {
		openCorrection(p, entry)
		setIn(p, "fall", "0")
		p.Wait(`document.querySelector("#correction .primary").ariaDisabled === "false"`)
		p.Do(chromedp.SendKeys("#correct-reason", reason), browser.Click("#correction .primary"))
	}
	return deed{
		p, correctsAt, do, noticed("the correction for "+name) + ` && document.getElementById("correction").open`,
		fmt.Sprintf(`!document.getElementById("correction").open && document.querySelector("#corrections li")?.textContent.includes(%q)`, reason), []string{"DeductionsSet", "ResultCorrected"},
	}
}

// kinds counts the facts of the log by kind.
func (r *rink) kinds() map[string]int {
	r.t.Helper()
	var log struct{ Facts []struct{ Kind string } }
	r.call("referee", http.MethodGet, "/v1/events/"+cup+"/facts?pageSize=1000", nil, &log)
	n := map[string]int{"": len(log.Facts)}
	for _, fact := range log.Facts {
		n[fact.Kind]++
	}
	return n
}

// onceMore checks that what was done stands in the log once, and nothing besides.
func (r *rink) onceMore(before map[string]int, facts ...string) {
	r.t.Helper()
	want := map[string]int{"": len(facts)}
	for _, fact := range facts {
		want[fact]++
	}
	now := r.kinds()
	for kind := range now {
		if got := now[kind] - before[kind]; got != want[kind] {
			r.t.Errorf("the log has %d facts %q more, want %d", got, kind, want[kind])
		}
	}
}

// unsent waits until the header counts what is not sent.
func unsent(p *browser.Page, n int) {
	p.Wait(fmt.Sprintf(`document.querySelector(".sending").textContent.includes("%d not sent yet")`, n))
}

// way is a deed whose call is held on a half of its way.
type way struct {
	deed
	half browser.Half
}

func (d deed) on(half browser.Half) way { return way{d, half} }

// kill kills the server when the calls of all deeds, each at another desk, are on their
// way, and starts it again.
func (r *rink) kill(deeds ...way) {
	r.t.Helper()
	before := r.kinds()
	held := make([]*browser.Held, len(deeds))
	for i, d := range deeds {
		held[i] = d.p.Hold(d.half, d.at)
		d.do()
		held[i].Wait()
	}
	r.server.Stop()
	for i, d := range deeds {
		held[i].Go()
		unsent(d.p, 1)
		// The server may have said that it stands, before it was killed.
		if d.half == browser.Going || d.at != callsAt {
			d.p.Wait(d.waits)
		}
		d.p.Picture("killed-" + d.at[1:])
	}
	r.server.Start()
	for _, d := range deeds { // the network has come back, so that nobody waits for a pause to end
		d.p.Do(chromedp.Evaluate[chromedp.Void](`dispatchEvent(new Event("online"))`))
	}
	var facts []string
	for _, d := range deeds {
		d.p.Wait(d.done)
		arrived(d.p)
		facts = append(facts, d.facts...)
	}
	r.onceMore(before, facts...)
}

// onlyCuts fails the test for what the browser complained about, but for a network or a
// server that was away, and for calls that are made again since the event had moved on.
func onlyCuts(t *testing.T, pages map[string]*browser.Page) {
	t.Helper()
	for name, p := range pages {
		for _, problem := range p.Problems() {
			if !strings.Contains(problem, "net::ERR_") && !conflict(problem) {
				t.Errorf("%s: the browser complains: %s", name, problem)
			}
		}
	}
}

// Nothing is lost and nothing doubled, whatever is killed, cut off, loaded again or closed
// in the middle of what somebody does at a desk; and the desk says what is not sent.
func TestNothingIsLostOrDoubled(t *testing.T) {
	r := &rink{t: t, server: browser.NewProgram(t), chrome: browser.Start(t), tokens: map[string]string{}}
	r.makeEvent()
	r.onIce("Ada Invented", "Bea Invented", "Cleo Invented", "Dora Invented")
	r.element("2A")
	technical, referee := r.desk("technical", "technical", laptop), r.desk("referee", "referee", laptop)
	first, second := r.desk("judge 1", "judge", tablet), r.desk("judge 2", "judge", phone)
	says(first, "Mark 1 2A.")
	r.killedInTheMiddle(technical, referee, first, second)
	r.cutOffAndLoadedAgain(technical, first)
	r.twoTabs(technical)
	r.confirmedAndLoadedAgain(referee)
	r.callNext(referee, technical, "Call 4 Dora Invented", "Dora Invented")
	r.faultsAtRandom(technical, first)
	onlyCuts(t, map[string]*browser.Page{"technical": technical, "referee": referee, "judge 1": first, "judge 2": second})
}

// killedInTheMiddle kills the program while a call, marks, deductions, confirmations and
// corrections are on their way to it or back.
func (r *rink) killedInTheMiddle(technical, referee, first, second *browser.Page) {
	r.t.Helper()
	const ada, bea = "Ada Invented", "Bea Invented"
	r.kill(callDeed(technical, "3lz", "3Lz").on(browser.Going), markDeed(first, 1, "3", "+3").on(browser.Going),
		gradeDeed(second, 0, "5.25").on(browser.Going), fallDeed(referee, noticed("a deduction for "+ada), 1).on(browser.Going))
	r.kill(callDeed(technical, "3lz", "3Lz").on(browser.Coming), markDeed(first, 2, "2", "+2").on(browser.Coming),
		gradeDeed(second, 1, "5.50").on(browser.Coming), fallDeed(referee, noticed("a deduction for "+ada), 2).on(browser.Coming))
	end := endDeed(technical, ada)
	end.do()
	technical.Wait(end.done)
	r.kill(confirmDeed(referee, r.scoreOf("1"), ada, "Call 2 "+bea).on(browser.Coming))

	r.callNext(referee, technical, "Call 2 "+bea, bea)
	r.kill(correctDeed(referee, "1", ada, "no fall on the replay").on(browser.Coming), endDeed(technical, bea).on(browser.Going))
	r.call("technical", http.MethodPost, r.performance("2")+"/elements", map[string]any{"code": "2A"}, nil)
	calls(technical, "2A")
	r.kill(confirmDeed(referee, r.scoreOf("2"), bea, "Call 3 Cleo Invented").on(browser.Going))
	r.callNext(referee, technical, "Call 3 Cleo Invented", "Cleo Invented")
}

func (r *rink) callNext(referee, technical *browser.Page, label, name string) {
	r.t.Helper()
	press(referee, label)
	technical.Wait(fmt.Sprintf(`document.getElementById("skater").textContent === %q`, name))
}

// listed waits until the list of what was called has these codes, so many of which at its
// end are not sent.
func listed(p *browser.Page, waiting int, want ...string) {
	p.Wait(fmt.Sprintf(`(rows => rows.map(li => li.querySelector(".code").textContent).join() === %q
		&& rows.filter(li => li.dataset.state === "unsent").length === %d
		&& rows.slice(rows.length - %d).every(li => li.dataset.state === "unsent"))([...document.querySelectorAll("#elements li")])`,
		strings.Join(want, ","), waiting, waiting))
}

// cutOffAndLoadedAgain cuts off the network of one desk alone, and loads desks again
// while they are cut off, while a call is on its way, and when its answer is lost.
func (r *rink) cutOffAndLoadedAgain(technical, judge *browser.Page) {
	r.t.Helper()
	before := r.kinds()
	technical.Cut(true)
	technical.Wait(`document.querySelector(".sending").textContent.includes("no connection since")`)
	technical.Do(chromedp.KeyEvent("2a\r"), chromedp.KeyEvent("3lo\r"), chromedp.KeyEvent("lsp2\r"))
	one := fallDeed(technical, counted, 1)
	one.do()
	unsent(technical, 4)
	listed(technical, 3, "2A", "3Lo", "LSp2")
	technical.Wait(one.waits)
	technical.Picture("killed-cut")
	if technical.Opens(r.server.URL + "/desk/" + cup + "/technical") {
		r.t.Error("a page is loaded without a network")
	}
	// What the page was that could not be loaded may still hear that the network is back.
	held := technical.Hold(browser.Going, callsAt)
	technical.Do(chromedp.Navigate("about:blank")) // the browser would load it again by itself
	technical.Cut(false)
	technical.Do(chromedp.Navigate(r.server.URL + "/desk/" + cup + "/technical"))
	held.Wait()
	unsent(technical, 4)
	// The first may have reached the server from the page before, which heard no answer.
	technical.Wait(`(rows => rows.map(li => li.querySelector(".code").textContent).join() === "2A,3Lo,LSp2"
		&& rows.slice(1).every(li => li.dataset.state === "unsent"))([...document.querySelectorAll("#elements li")])`)
	technical.Wait(one.waits)
	held.Go()
	calls(technical, "2A", "3Lo", "LSp2")
	technical.Wait(one.done)
	arrived(technical)
	r.onceMore(before, "ElementCalled", "ElementCalled", "ElementCalled", "DeductionsSet")

	for _, d := range []way{
		markDeed(judge, 1, "4", "+4").on(browser.Going), callDeed(technical, "2lz", "2Lz").on(browser.Coming), fallDeed(technical, counted, 2).on(browser.Coming),
	} {
		r.loadAgain(d)
	}
}

// loadAgain loads a desk again while its call is on its way.
func (r *rink) loadAgain(d way) {
	r.t.Helper()
	before := r.kinds()
	held := d.p.Hold(d.half, d.at)
	d.do()
	held.Wait()
	d.p.Do(chromedp.Reload())
	held.Wait() // the page has made its call again
	unsent(d.p, 1)
	if d.half == browser.Going || d.at != callsAt { // otherwise it stands there already
		d.p.Wait(d.waits)
	}
	held.Go()
	d.p.Wait(d.done)
	arrived(d.p)
	r.onceMore(before, d.facts...)
}

// twoTabs has two tabs of one desk, of which one is cut off and one is closed with a call
// that is not sent.
func (r *rink) twoTabs(technical *browser.Page) {
	r.t.Helper()
	before := r.kinds()
	stands := []string{"2A", "3Lo", "LSp2", "2Lz"}
	url := r.server.URL + "/desk/" + cup + "/"
	other := technical.Beside(url+"technical", laptop)
	sit(other, r.tokens["technical"])
	calls(other, stands...)
	technical.Cut(true)
	technical.Do(chromedp.KeyEvent("2lo\r"))
	listed(other, 1, append(stands, "2Lo")...)
	unsent(other, 1)
	other.Do(chromedp.KeyEvent("2f\r"))
	listed(technical, 2, append(stands, "2Lo", "2F")...)
	unsent(technical, 2)
	other.Do(ctrlZ())
	listed(technical, 1, append(stands, "2Lo")...)
	other.Do(chromedp.KeyEvent("chsq1\r"))
	listed(other, 2, append(stands, "2Lo", "ChSq1")...)
	other.Picture("killed-tabs")
	other.Close()
	listed(technical, 2, append(stands, "2Lo", "ChSq1")...)
	technical.Cut(false)
	calls(technical, append(stands, "2Lo", "ChSq1")...)
	arrived(technical)
	r.onceMore(before, "ElementCalled", "ElementCalled")

	// Another tab takes up what one has left that was alone at its desk.
	before = r.kinds()
	alone := technical.Beside(url+"judge", tablet)
	sit(alone, r.tokens["judge 3"])
	says(alone, "Mark 1 2A.")
	alone.Cut(true)
	alone.Do(chromedp.KeyEvent("2"), chromedp.KeyEvent("1"))
	unsent(alone, 2)
	alone.Close()
	heir := technical.Beside(url+"judge#token="+r.tokens["judge 3"], tablet)
	heir.Wait(fmt.Sprintf(`[...document.querySelectorAll("#elements .own")].slice(0, 2).map(o => o.textContent).join() === %q`, "+2,+1"))
	arrived(heir)
	r.onceMore(before, "ElementMarksGiven", "ElementMarksGiven")
}

// confirmedAndLoadedAgain loads the referee's desk again in the middle of a confirmation.
func (r *rink) confirmedAndLoadedAgain(referee *browser.Page) {
	r.t.Helper()
	r.call("technical", http.MethodPost, r.performance("3")+":endProgram", map[string]any{}, nil)
	r.loadAgain(confirmDeed(referee, r.scoreOf("3"), "Cleo Invented", "Call 4 Dora Invented").on(browser.Going))
}

// performance is the address of an entry's short program.
func (r *rink) performance(entry string) string {
	return "/v1/events/" + cup + "/categories/" + women + "/segments/" + short + "/performances/" + entry
}

// scoreOf sends every mark that an entry lacks and returns the score to confirm.
func (r *rink) scoreOf(entry string) string {
	r.t.Helper()
	r.marked(entry, 1, 7, true)
	r.markElements(entry)
	var sheet struct {
		Performance struct{ ScoreToConfirm struct{ SegmentScore string } }
	}
	r.call("referee", http.MethodGet, r.performance(entry), nil, &sheet)
	return sheet.Performance.ScoreToConfirm.SegmentScore
}
