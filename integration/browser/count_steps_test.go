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

// TestStepsByTaps counts a step sequence by its cells, wants what the engine in process
// calls at each tap, keeps it, and counts the next one by its order: a touch a turn.
func TestStepsByTaps(t *testing.T) {
	const season = "2025-26"
	call := caller(t, season)
	server := browser.NewServer(t)
	chrome := browser.Start(t)
	book := newPracticeBook(t, server)
	th := openCount(t, chrome, server.URL, season, atTheBoards)
	th.Do(browser.Click("#is-steps"))
	counts := map[string]map[string]any{}
	var turns []map[string]any
	signs := map[string]any{}
	stands := func(when string) {
		t.Helper()
		element := map[string]any{"turns": turns}
		for name := range signs {
			element[name] = true
		}
		code, value := call(map[string]any{"stepSequence": element})
		th.Wait(fmt.Sprintf(`document.getElementById("value").textContent === %q`, code+" · "+value))
		t.Logf("%s: %s %s", when, code, value)
	}
	// Five types both ways, and one more choctaw; a third twizzle counts no more.
	row := strings.Fields("TWIZZLE/cc TWIZZLE/c BRACKET/c BRACKET/cc LOOP/c LOOP/cc COUNTER/c COUNTER/cc ROCKER/c ROCKER/cc CHOCTAW/c TWIZZLE/c")
	for i, one := range row {
		kind, short, _ := strings.Cut(one, "/")
		way := map[string]string{"c": "clockwise", "cc": "counterclockwise"}[short]
		th.tap(fmt.Sprintf(`[data-turn="%s %s"]`, kind, way))
		if counts[kind] == nil {
			counts[kind] = map[string]any{"type": kind, "clockwise": 0, "counterclockwise": 0}
			turns = append(turns, counts[kind])
		}
		counts[kind][way] = counts[kind][way].(int) + 1
		stands(one)
		if i == 2 {
			th.Picture("count-steps-begun")
		}
	}
	for sign, label := range map[string]string{"rotationsBothDirections": "Rota\u00adtions", "bodyMovement": "Body", "turnCombinationLeft": "Three, left", "turnCombinationRight": "Three, right"} {
		th.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`[...document.querySelectorAll("#sign-keys button")].find(b => b.textContent === %q).click()`, label)))
		signs[sign] = true
		stands(sign)
	}
	if said := th.Text("#turns"); !strings.Contains(said, "2 count") {
		t.Errorf("that a third twizzle counts no more is not said: %q", said)
	}
	for _, barrier := range th.EveryBarrier() {
		t.Error(barrier)
	}
	th.Picture("count-steps")
	if over := browser.Evaluate[[]string](th.Page, cutOff); len(over) > 0 {
		t.Errorf("does not fit: %q", over)
	}
	th.Do(chromedp.KeyEvent(kb.Escape))
	th.Wait(`document.querySelector("#after .worth").textContent.startsWith("StSq4")`)
	th.Picture("count-steps-after")
	for _, barrier := range th.EveryBarrier() {
		t.Error(barrier)
	}
	th.Do(browser.Click("#keep"), chromedp.WaitVisible("#ask-name"), chromedp.SendKeys("#ask-name", "Mira"), browser.Click("dialog button[value=yes]"))
	th.Wait(`document.querySelector("main").dataset.state === "ready" && document.getElementById("plan").textContent.includes("StSq4")`)
	if said := th.Text("#unsent"); said != "1 not sent yet" {
		t.Errorf("no book is open, and the page says %q", said)
	}

	// The same order again, one turn not clean.
	turns, counts, signs = nil, map[string]map[string]any{}, map[string]any{}
	for i, one := range row {
		kind, short, _ := strings.Cut(one, "/")
		if i == 4 {
			th.tap("#unclean")
			th.Picture("count-steps-planned")
			continue
		}
		th.tap("#clean")
		if counts[kind] == nil {
			counts[kind] = map[string]any{"type": kind, "clockwise": 0, "counterclockwise": 0}
			turns = append(turns, counts[kind])
		}
		way := map[string]string{"c": "clockwise", "cc": "counterclockwise"}[short]
		counts[kind][way] = counts[kind][way].(int) + 1
		stands("planned " + one)
	}
	clean(t, "count", th.Page, false)

	// With a book open on the phone what was kept goes there, as it was skated.
	th.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`localStorage.setItem("rinktally.book", JSON.stringify({ book: %q, token: %q }))`, book.Book, book.Token)))
	beside := th.Beside(server.URL+"/count", atTheBoards)
	beside.Wait(`document.querySelector("main").dataset.ready === "" && document.getElementById("unsent").hidden`)
	var skaters struct {
		Skaters []struct{ Skater, Name string }
	}
	book.call(http.MethodGet, "/"+book.Book+"/skaters", book.Token, nil, &skaters)
	if len(skaters.Skaters) != 1 || skaters.Skaters[0].Name != "Mira" {
		t.Fatalf("skaters of the book: %+v", skaters)
	}
	var list struct {
		Attempts []struct {
			Planned, Came string
			Level         struct {
				StepSequence struct{ Turns []struct{ Type string } }
			}
		}
	}
	book.call(http.MethodGet, "/"+book.Book+"/skaters/"+skaters.Skaters[0].Skater+"/attempts", book.Token, nil, &list)
	if len(list.Attempts) != 1 || list.Attempts[0].Planned != "StSq4" || len(list.Attempts[0].Level.StepSequence.Turns) != 6 {
		t.Errorf("attempts of the book: %+v", list)
	}
}
