package browser_test

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rinktally/rinktally/integration/browser"
)

// performed is what one skater does in the test: elements as the technical panel
// types them, what they are called then, and the marks of the three judges.
type performed struct {
	name       string
	elements   []called
	components [3]string // of the three judges, for every component
	falls      int
	other      string // points that the referee takes off besides
}

type called struct {
	typed, code string
	half        bool
	marks       [3]int
}

// Invented programs; the marks have no source but this table.
var performances = []performed{
	{"Ada Invented", []called{
		{"3Lz+3T", "3Lz+3T", false, [3]int{2, 1, 3}}, {"FCSp4", "FCSp4", false, [3]int{1, 2, 2}},
		{"3f<", "3F<", false, [3]int{-3, -4, -3}}, {"2A x", "2A", true, [3]int{0, 1, 1}}, {"StSq3", "StSq3", false, [3]int{2, 3, 2}},
	}, [3]string{"7.25", "7.5", "7"}, 1, ""},
	{"Bea Invented", []called{
		{"3F+2T", "3F+2T", false, [3]int{1, 0, 2}}, {"CCoSp3V", "CCoSp3V", false, [3]int{5, 4, 5}},
		{"3Lo x", "3Lo", true, [3]int{-5, -5, -4}},
	}, [3]string{"8", "7.75", "8.25"}, 0, ""},
}

// A whole segment by hand: the organiser brings the entries in and makes the
// order, the referee runs it, the technical panel calls, three judges mark. The
// board of the hall and the element on a club's page follow, also over a restart
// of the server, and show what segments:score says.
func TestSegmentThroughTheDesks(t *testing.T) {
	r := newRink(t)
	hall := r.chrome.Open(t, r.server.URL+"/events/"+cup, browser.Hall)
	phone := r.chrome.Open(t, r.server.URL+"/events/"+cup, browser.Phone)
	club := r.chrome.Open(t, r.club, browser.Desk)
	boards := map[string]*browser.Page{"hall": hall, "phone": phone, "club": club}

	organiser := r.desk("organiser", "organiser", browser.Desk)
	bringEntries(t, organiser)
	makeOrder(organiser)

	referee := r.desk("referee", "referee", browser.Desk)
	technical := r.desk("technical", "technical", browser.Desk)
	judges := []*browser.Page{r.desk("judge 1", "judge", browser.Desk), r.desk("judge 2", "judge", browser.Phone), r.desk("judge 3", "judge", browser.Phone)}
	press(referee, "Start the segment")

	for i, p := range performances {
		press(referee, "Call ")
		for _, b := range boards {
			shows(b, "h3", p.name)
		}
		for n := range p.elements {
			callElement(t, technical, p, n)
			for j, judge := range judges {
				if i == 0 && n == 2 && j == 0 {
					r.restart(t, judge, boards, p.elements[n].marks[j])
					continue
				}
				markElement(judge, n, p.elements[n].marks[j])
			}
		}
		for _, b := range boards {
			b.Wait(fmt.Sprintf(`%s.querySelectorAll(".elements li:not(.head)").length === %d`, board, len(p.elements)))
		}
		for j, judge := range judges {
			markComponents(judge, p.components[j])
		}
		for range p.falls {
			before := browser.Evaluate[string](referee, fall+`.textContent`)
			n, _ := strconv.Atoi(before)
			referee.Do(chromedp.Evaluate[chromedp.Void](oneFall))
			referee.Wait(fmt.Sprintf(`%s.textContent === "%d"`, fall, n+1))
		}
		over(technical)
		referee.Wait(`document.getElementById("open-title").textContent === "Nothing is open"`)
		if i == 0 {
			pictures(map[string]*browser.Page{"technical": technical, "judge": judges[0], "judge2": judges[1], "referee": referee, "board": phone, "board-hall": hall, "club": club})
		}
		want := r.score(women, short, p)
		press(referee, "Confirm "+want.SegmentScore)
		for name, b := range boards {
			shows(b, ".figures .main dd", want.SegmentScore)
			for _, figure := range []string{want.ElementScore, want.ComponentScore} {
				shows(b, ".figures", figure)
			}
			for n, e := range want.Elements {
				got := browser.Evaluate[[]string](b, fmt.Sprintf(`[...%s.querySelectorAll(".elements li:not(.head)")[%d].children].map(c => c.firstChild.textContent)`, board, n))
				if fmt.Sprint(got) != fmt.Sprint([]string{p.elements[n].code, e.BaseValue, strings.Replace(e.Goe, "-", "−", 1), e.Score}) {
					t.Errorf("%s: element %d of %s is shown as %v, segments:score says %+v", name, n+1, p.name, got, e)
				}
			}
			shows(b, "tr.now .points", want.SegmentScore)
		}
	}

	referee.Wait(`document.querySelector(".bar .primary").firstChild.textContent === "Sign the result"`)
	shows(hall, ".standing-of", "Provisional")
	sign(referee)
	for _, b := range boards {
		shows(b, ".standing-of", "Official")
	}
	correct(t, r, referee, hall)
	pictures(map[string]*browser.Page{"official": phone, "official-hall": hall, "organiser": organiser, "corrected": referee})

	for name, p := range boards {
		clean(t, name, p, true)
	}
	for name, p := range map[string]*browser.Page{"technical": technical, "referee": referee, "judge 1": judges[0], "judge 2": judges[1], "judge 3": judges[2]} {
		clean(t, name, p, true)
	}
}

// fall is the counter of falls on a desk.
const fall = `document.querySelector('[aria-label="One more fall"]').previousElementSibling`

func pictures(pages map[string]*browser.Page) {
	for name, p := range pages {
		p.Picture(name)
	}
}

// bringEntries takes a CSV file with a fault, which is reported by its line, and then
// the right one.
func bringEntries(t *testing.T, p *browser.Page) {
	t.Helper()
	use(p, "Skaters")
	p.Do(browser.Click("#entries summary"), chromedp.SetValue("#csv", "category,name,club\nsenior-women,Ada Invented,Pond\nseniors,Bea Invented,Lake\nsenior-women,,Lake\nseniors,Cleo Invented,Lake\nsenior-women,Dora Invented\n"), browser.Click("#csv-box button"))
	p.Wait(`[...document.querySelectorAll("#entries .fault li")].map(li => /^Line \d(: name is|: there is no category| has 2 fields)/.exec(li.textContent)?.[0]).join() === "Line 3: there is no category,Line 4: name is,Line 5: there is no category,Line 6 has 2 fields"`)
	p.Do(chromedp.SetValue("#csv", "category,name,club\nsenior-women,Ada Invented,Pond\nsenior-women,Bea Invented,Lake\n"), browser.Click("#csv-box button"))
	p.Wait(`document.querySelector("#entries").textContent.includes("2 added, 0 changed.")`)
	p.Wait(`document.querySelectorAll("#entries .entries li").length === 2`)
	// What the browser says of the refused call is no fault of the page.
	_ = p.Problems()
}

// choose takes one of the options of a list.
func choose(id, value string) chromedp.Action[chromedp.Void] {
	return chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{
		const list = document.getElementById(%q);
		list.value = %q;
		list.dispatchEvent(new Event("change", { bubbles: true }));
	}`, id, value))
}

func makeOrder(p *browser.Page) {
	use(p, "Starting orders")
	p.Wait(`document.getElementById("draw").checkVisibility()`)
	p.Do(choose("draw-method", "GIVEN"), chromedp.SendKeys("#draw-given", "1, 2\r"))
	p.Wait(`document.querySelectorAll("#order li").length === 2`)
}

// callElement types an element. The third one of the first skater is called
// wrongly at first: once with a code that does not exist, once as another
// element, which is taken back.
func callElement(t *testing.T, p *browser.Page, who performed, n int) {
	t.Helper()
	rows := func(n int) {
		p.Wait(fmt.Sprintf(`document.querySelectorAll("#elements li").length === %d && !document.querySelector("#elements [data-state=unsent]")`, n))
	}
	rows(n)
	if who.name == "Ada Invented" && n == 2 {
		p.Do(chromedp.SendKeys("#code", "3Q"))
		p.Wait(`document.querySelector("#read .says").textContent.includes("3Q")`)
		p.Do(chromedp.KeyEvent("\r"))
		p.Wait(`document.getElementById("call-fault").textContent.includes("3Q") && document.getElementById("code").value === "3Q"`)
		p.Do(chromedp.KeyEvent(kb.Escape), chromedp.KeyEvent("3Lo\r"))
		rows(n + 1)
		p.Do(chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
		rows(n)
	}
	p.Do(chromedp.SendKeys("#code", who.elements[n].typed+"\r"))
	rows(n + 1)
	want := who.elements[n].code
	if who.elements[n].half {
		want += " 2nd half"
	}
	got := browser.Evaluate[string](p, fmt.Sprintf(`[...document.querySelectorAll("#elements li")[%d].querySelectorAll(".code, .half")].map(c => c.textContent).join(" ").trim()`, n))
	if got != want {
		t.Errorf("%q was called and stands as %q", who.elements[n].typed, got)
	}
}

// over says at the technical panel's desk that the program is over.
func over(technical *browser.Page) {
	technical.Do(chromedp.KeyEvent(kb.F9))
	technical.Wait(`document.querySelector(".strip .pill").textContent === "program over"`)
}

// tile is the one of an element on a judge's desk, from 0.
const tile = `document.querySelectorAll("#elements .tile")[%d]`

// markElement enters a mark by keys.
func markElement(p *browser.Page, n, mark int) {
	p.Wait(fmt.Sprintf(tile+` !== undefined`, n))
	p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(tile+`.click()`, n)))
	p.Wait(fmt.Sprintf(tile+`.ariaCurrent === "true"`, n))
	p.Do(chromedp.KeyEvent(strconv.Itoa(mark)))
	p.Wait(fmt.Sprintf(tile+`.querySelector(".own").textContent === %q`, n, signed(mark)))
}

// signed is a mark as the desk shows it.
func signed(mark int) string {
	if mark == 0 {
		return "0"
	}
	return strings.Replace(fmt.Sprintf("%+d", mark), "-", "−", 1)
}

// seesElements waits until a judge's desk has so many elements.
func seesElements(p *browser.Page, n int) {
	p.Wait(fmt.Sprintf(`document.querySelectorAll("#elements .tile").length === %d`, n))
}

// markComponents types a judge's mark for every component.
func markComponents(p *browser.Page, mark string) {
	value, err := strconv.ParseFloat(mark, 64)
	if err != nil {
		panic(err)
	}
	for i := range 3 {
		one := fmt.Sprintf(`document.querySelectorAll("#components .tile")[%d]`, i)
		p.Do(chromedp.Evaluate[chromedp.Void](one + `.click()`))
		p.Wait(one + `.ariaCurrent === "true"`)
		p.Do(chromedp.KeyEvent(mark + "\r"))
		p.Wait(fmt.Sprintf(one+`.querySelector(".own").textContent === "%.2f"`, value))
	}
	arrived(p)
}

// restart stops the server while a judge marks: the mark is kept and arrives
// when the server is back, and the boards say that they have no news.
func (r *rink) restart(t *testing.T, judge *browser.Page, boards map[string]*browser.Page, mark int) {
	t.Helper()
	seesElements(judge, 3)
	r.server.Stop()
	for _, b := range boards {
		shows(b, ".link:not([hidden])", "Not connected, last news")
	}
	boards["hall"].Picture("cut")
	markElement(judge, 2, mark)
	judge.Wait(`document.querySelector(".sending").textContent.includes("1 not sent yet")`)
	judge.Picture("judge-cut")
	r.server.Start()
	for _, b := range boards {
		b.Wait(board + `.querySelector(".link").hidden`)
	}
	arrived(judge)
}

// scored is what segments:score answers.
type scored struct {
	ElementScore, ComponentScore, TotalDeductions, SegmentScore string
	Elements                                                    []struct{ BaseValue, Goe, Score string }
}

// score asks segments:score for a performance, by what was typed.
func (r *rink) score(category, segment string, p performed) scored {
	r.t.Helper()
	var elements, components []map[string]any
	for _, e := range p.elements {
		elements = append(elements, map[string]any{"code": e.code, "secondHalf": e.half, "marks": e.marks})
	}
	for _, name := range []string{"COMPOSITION", "PRESENTATION", "SKATING_SKILLS"} {
		var marks []float64
		for _, text := range p.components {
			mark, err := strconv.ParseFloat(text, 64)
			if err != nil {
				r.t.Fatal(err)
			}
			marks = append(marks, mark)
		}
		components = append(components, map[string]any{"component": name, "marks": marks})
	}
	body := map[string]any{"category": category, "segment": segment, "elements": elements, "components": components}
	var deductions []map[string]any
	if p.falls > 0 {
		deductions = append(deductions, map[string]any{"kind": "FALL", "count": p.falls})
	}
	if p.other != "" {
		deductions = append(deductions, map[string]any{"kind": "OTHER", "value": "-" + p.other, "note": "by the rules of the test"})
	}
	body["deductions"] = deductions
	var out scored
	r.call("", http.MethodPost, "/v1/seasons/2025-26/segments:score", body, &out)
	return out
}

// correct takes the fall of the first skater off and something else, with a reason.
func correct(t *testing.T, r *rink, referee, hall *browser.Page) {
	t.Helper()
	openCorrection(referee, "1")
	for _, barrier := range referee.EveryBarrier() {
		t.Error(barrier)
	}
	setIn(referee, "fall", "0")
	setIn(referee, "What another deduction is for, 1", "by the rules of the test")
	setIn(referee, "Points of another deduction, 1", "0,5")
	after := performances[0]
	after.falls, after.other = 0, "0.50"
	want := r.score(women, short, after)
	compares(referee, "Score", r.score(women, short, performances[0]).SegmentScore, want.SegmentScore)
	referee.Do(chromedp.SendKeys("#correct-reason", "no fall on the replay"), browser.Click("#correction .primary"))
	hall.Wait(fmt.Sprintf(`[...%s.querySelectorAll("tr")].some(r => r.querySelector("td.points")?.textContent === %q && r.querySelector(".corrected").textContent === "corrected")`, board, want.SegmentScore))
	referee.Wait(`document.querySelector("#corrections li")?.textContent.includes("no fall on the replay")`)
}
