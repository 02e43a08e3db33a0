package browser_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// program is invented; 3Lz comes once too often, and one triple Lutz alone is
// repeated.
const program = "3Lz+3T +2, 3Lo +1, FCSp4 +2, 2A+2T | 3Lz, 3Lz, 3F+2T +1.5, 2A, StSq3 +2, ChSq1 +1, CCoSp3 +2, LSp4"

// answer is what of programs:check the page must show.
type answer struct {
	TotalBaseValue string
	Caution        string
	Predicted      struct{ ElementScore, Total string }
	Compared       *answer
	Findings       []struct{ Message, Advice string }
	Elements       []struct {
		Code, BaseValue, Goe, Score string
		Findings                    []int
		Worth                       []struct{ Call, Difference string }
	}
}

// checked asks the server itself.
func checked(t *testing.T, url, season string, body map[string]any) answer {
	t.Helper()
	data, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, url+"/v1/seasons/"+season+"/programs:check", bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	var a answer
	if err := json.NewDecoder(res.Body).Decode(&a); err != nil || res.StatusCode != http.StatusOK {
		t.Fatalf("%d, %v", res.StatusCode, err)
	}
	return a
}

// shown are the figures of the page's table, a line for each element.
func shown(p *browser.Page) [][]string {
	return browser.Evaluate[[][]string](p, `[...document.querySelectorAll(".elements tbody")].map(body => {
		const cells = [...body.rows[0].cells];
		return [cells[1].querySelector(".code").textContent, ...cells.slice(2).map(c => c.textContent.replace("−", "-").replace("+", ""))];
	})`)
}

func TestTypedProgramShowsTheFiguresOfTheAPI(t *testing.T) {
	url := browser.Serve(t)
	page := browser.Start(t).Open(t, url+"/program", browser.Desk)
	page.Wait(`document.getElementById("category").value === "senior-women"`)
	page.Do(chromedp.SendKeys("#program", program))
	page.Wait(`document.querySelectorAll(".elements tbody").length === 12`)

	want := checked(t, url, "2025-26", map[string]any{"category": "senior-women", "segment": "free-skating", "text": program})
	got := shown(page)
	for i, e := range want.Elements {
		goe := strings.TrimPrefix(e.Goe, "+")
		if line := []string{e.Code, e.BaseValue, goe, e.Score}; i >= len(got) || !slices.Equal(got[i], line) {
			t.Errorf("element %d: shown %v, want %v", i+1, got[min(i, len(got)-1)], line)
		}
	}
	sheet := page.Text("#sheet")
	for _, text := range []string{want.TotalBaseValue, want.Predicted.ElementScore, want.Caution} {
		if text == "" || !strings.Contains(sheet, text) {
			t.Errorf("the sheet does not show %q", text)
		}
	}
	// Both the element that is struck and the one that is reduced say why, at
	// their place.
	struck := 0
	for i, e := range want.Elements {
		for _, n := range e.Findings {
			body := browser.Evaluate[string](page, fmt.Sprintf(`document.querySelectorAll(".elements tbody")[%d].textContent`, i))
			if !strings.Contains(body, want.Findings[n].Message) || !strings.Contains(body, want.Findings[n].Advice) {
				t.Errorf("element %d does not say %q", i+1, want.Findings[n].Message)
			}
		}
		if strings.HasSuffix(e.Code, "*") {
			struck++
			if line := page.Text(fmt.Sprintf(".elements tbody:nth-of-type(%d) th", i+1)); !strings.Contains(line, "no value") {
				t.Errorf("element %d is struck and only says %q", i+1, line)
			}
		}
	}
	if struck == 0 {
		t.Error("nothing is struck in a program with one jump too often")
	}
	page.Picture("program")
	if problems := page.Problems(); len(problems) > 0 {
		t.Errorf("the browser complains: %s", strings.Join(problems, "\n"))
	}
}

func TestProgramUnderASecondSeasonAndWithATotal(t *testing.T) {
	url := browser.Serve(t)
	page := browser.Start(t).Open(t, url+"/program#season=2016-17&category=senior-women&segment=short-program&second=2025-26&text=3Lz%2C+2A%2C+CCoSp4", browser.Desk)
	page.Wait(`document.querySelectorAll(".elements tbody").length === 3`)
	want := checked(t, url, "2016-17", map[string]any{"category": "senior-women", "segment": "short-program", "text": "3Lz, 2A, CCoSp4", "compareSeason": "2025-26"})
	for i, line := range shown(page) {
		if e := want.Elements[i]; !slices.Equal(line, []string{e.Code, e.BaseValue, want.Compared.Elements[i].BaseValue}) {
			t.Errorf("shown %v of %+v beside %+v", line, e, want.Compared.Elements[i])
		}
	}
	if text := page.Text(".figures"); !strings.Contains(text, want.TotalBaseValue) || !strings.Contains(text, want.Compared.TotalBaseValue) {
		t.Errorf("the sums %s and %s are not in %q", want.TotalBaseValue, want.Compared.TotalBaseValue, text)
	}
	page.Picture("program-second")

	// A total as soon as every component has a mark.
	page.Do(chromedp.Click("#more summary"))
	var components []map[string]any
	for _, name := range browser.Evaluate[[]string](page, `[...document.querySelectorAll("#marks input")].map(i => i.dataset.component)`) {
		page.Do(chromedp.SendKeys("#mark-"+name, "7.25"))
		components = append(components, map[string]any{"component": name, "mark": 7.25})
	}
	page.Wait(`document.querySelector(".figures").textContent.includes("Total")`)
	want = checked(t, url, "2016-17", map[string]any{"category": "senior-women", "segment": "short-program", "text": "3Lz, 2A, CCoSp4", "components": components})
	if text := page.Text(".figures"); want.Predicted.Total == "" || !strings.Contains(text, want.Predicted.Total) {
		t.Errorf("the total %s is not in %q", want.Predicted.Total, text)
	}
	// The address keeps the program.
	if address := browser.Ask(page, chromedp.Location()); !strings.Contains(address, "text=3Lz") || !strings.Contains(address, "COMPOSITION=7.25") {
		t.Errorf("the address is %s", address)
	}
	if problems := page.Problems(); len(problems) > 0 {
		t.Errorf("the browser complains: %s", strings.Join(problems, "\n"))
	}
}

// What cannot be read is told, and the figures of the rest stay.
func TestHalfTypedProgramKeepsItsFigures(t *testing.T) {
	url := browser.Serve(t)
	page := browser.Start(t).Open(t, url+"/program", browser.Phone)
	page.Wait(`document.getElementById("category").value === "senior-women"`)
	page.Do(chromedp.SendKeys("#program", "3Lz, 2A, 3Lz+, <b>x</b>"))
	page.Wait(`document.querySelectorAll("#unread li").length === 2`)
	if got := shown(page); len(got) != 2 || got[0][0] != "3Lz" || got[1][0] != "2A" {
		t.Errorf("shown %v", got)
	}
	if n := browser.Evaluate[int](page, `document.querySelectorAll("#unread b").length`); n != 0 {
		t.Error("what was typed became markup")
	}
	page.Picture("program-unread")
	page.Do(chromedp.Click("#clear"))
	page.Wait(`document.querySelectorAll(".elements").length === 0`)
	if problems := page.Problems(); len(problems) > 0 {
		t.Errorf("the browser complains: %s", strings.Join(problems, "\n"))
	}
}

// The page can be used with the keyboard alone: what a person needs is reached
// with Tab, in the order on the screen.
func TestKeyboardReachesEverything(t *testing.T) {
	page := browser.Start(t).Open(t, browser.Serve(t)+"/program", browser.Desk)
	page.Wait(`document.getElementById("category").value === "senior-women"`)
	var order []string
	for range 12 {
		page.Do(chromedp.KeyEvent("\t"))
		order = append(order, browser.Evaluate[string](page, `document.activeElement.id || document.activeElement.textContent.trim().slice(0, 30)`))
	}
	want := []string{"Skip to the page", "rinktally", "Program", "season", "category", "segment", "second", "program", "example", "clear"}
	if !slices.Equal(order[:len(want)], want) {
		t.Errorf("Tab goes to %q, want %q", order, want)
	}
}

func TestProgramPageHasNoBarriers(t *testing.T) {
	url := browser.Serve(t)
	chrome := browser.Start(t)
	for _, view := range []browser.View{browser.Phone, browser.PhoneDark, browser.Desk, browser.DeskDark} {
		t.Run(view.Name, func(t *testing.T) {
			page := chrome.Open(t, url+"/program", view)
			page.Wait(`document.getElementById("category").value === "senior-women"`)
			for _, barrier := range page.Barriers() {
				t.Errorf("without a program: %s", barrier)
			}
			page.Picture("program-empty")
			page.Do(chromedp.Click("#example"))
			page.Wait(`document.querySelectorAll(".elements tbody").length > 5`)
			page.Do(chromedp.SendKeys("#program", ", 3Lz+"), chromedp.Click("#more summary"))
			page.Wait(`document.querySelectorAll("#unread li").length > 0`)
			for _, barrier := range page.Barriers() {
				t.Errorf("with a program: %s", barrier)
			}
			page.Picture("program-full")
			if wide := browser.Evaluate[bool](page, `document.documentElement.scrollWidth > innerWidth`); wide {
				t.Error("the page is wider than the screen")
			}
		})
	}
}

// The time from a key to the new figures, in a page with a whole program. A
// person takes a tenth of a second for "at once"; the bound here is wide, since
// other tests may run beside this one.
func TestFiguresComeAtOnce(t *testing.T) {
	const times, bound = 20, time.Second
	page := browser.Start(t).Open(t, browser.Serve(t)+"/program", browser.Desk)
	page.Wait(`document.getElementById("category").value === "senior-women"`)
	page.Do(chromedp.SendKeys("#program", program))
	page.Wait(`document.querySelectorAll(".elements tbody").length === 12`)
	var took []time.Duration
	page.Do(chromedp.SendKeys("#program", " +"))
	for i := range times {
		// The grade of the last element comes and goes by a key each.
		page.Do(chromedp.Evaluate[chromedp.Void](`performance.clearMeasures()`), chromedp.SendKeys("#program", []string{"1", "\b"}[i%2]))
		page.Wait(`performance.getEntriesByType("measure").length > 0`)
		ms := browser.Evaluate[float64](page, `performance.getEntriesByType("measure").at(-1).duration`)
		took = append(took, time.Duration(ms*float64(time.Millisecond)))
	}
	slices.Sort(took)
	t.Logf("from the key to the figures: median %v, fastest %v, slowest %v of %d", took[times/2], took[0], took[times-1], times)
	if took[times/2] > bound {
		t.Errorf("figures took %v", took[times/2])
	}
}

func TestFirstPageLinksToThePrograms(t *testing.T) {
	page := browser.Start(t).Open(t, browser.Serve(t)+"/", browser.Phone)
	page.Wait(`document.querySelectorAll("[role=tab]").length > 0`)
	page.Do(chromedp.Click("#call button[type=submit]"))
	page.Wait(`document.querySelectorAll("#answer table").length > 0`)
	for _, barrier := range page.Barriers() {
		t.Error(barrier)
	}
	page.Picture("first")
	page.Do(chromedp.Click(`a[href="program"]`), chromedp.WaitVisible("#program"))
	if problems := page.Problems(); len(problems) > 0 {
		t.Errorf("the browser complains: %s", strings.Join(problems, "\n"))
	}
}

// Where the tables have no content rules, the page says so in words.
func TestNoRulesForTheProgram(t *testing.T) {
	page := browser.Start(t).Open(t, browser.Serve(t)+"/program#season=2009-10&category=senior-dance&segment=free-dance&text=RoLi4", browser.Phone)
	page.Wait(`document.querySelectorAll("#sheet li").length > 0`)
	if text := page.Text("#sheet"); !strings.Contains(text, "2009-10 has no content rules") {
		t.Errorf("the page says %q", text)
	}
	// The choice of another season mends it.
	page.Do(chromedp.SetValue("#season", "2025-26"), chromedp.Evaluate[chromedp.Void](`document.getElementById("season").dispatchEvent(new Event("change"))`))
	page.Wait(`document.querySelectorAll(".elements").length === 1`)
}
