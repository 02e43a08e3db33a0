package browser_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	neturl "net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rinktally/rinktally/integration/browser"
)

// program is invented; 3Lz comes once too often, and one triple Lutz alone is
// repeated. It is as people type it.
const program = "3lz+3t +2, 3lo +1, fcsp4 +2, 2a+2t | 3lz, 3lz, 3f+2t +1.5, 2a, stsq3 +2, chsq1 +1, ccosp3 +2, lsp4"

// The screens that pages of a coach are looked at on. The dark colours are the same on
// a wide screen; TestParts looks at each part there too.
var coachViews = []browser.View{
	{Name: "390", Width: 390, Height: 844}, {Name: "390-dark", Width: 390, Height: 844, Dark: true}, {Name: "1366", Width: 1366, Height: 768},
}

// answer is what of programs:check the page must show.
type answer struct {
	TotalBaseValue string
	Caution        string
	Predicted      struct{ ElementScore, Total string }
	Compared       *answer
	Findings       []struct{ Message, Advice string }
	Kinds          []struct{ Kind, Score string }
	Elements       []struct {
		Code, Name, BaseValue, Goe, Score string
		Findings                          []int
		Worth                             []struct{ Call, Difference string }
	}
}

// checked asks the server itself.
func checked(t *testing.T, url, season string, body map[string]any) answer {
	t.Helper()
	return asked[answer](t, url+"/v1/seasons/"+season+"/programs:check", body)
}

// asked is the answer of a call that a test makes beside the page.
func asked[T any](t *testing.T, url string, body map[string]any) (answer T) {
	t.Helper()
	data, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, url, bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if err := json.NewDecoder(res.Body).Decode(&answer); err != nil || res.StatusCode != http.StatusOK {
		t.Fatalf("%d, %v", res.StatusCode, err)
	}
	return answer
}

// openProgram opens the page with a program, and waits for what it is worth.
func openProgram(t *testing.T, chrome *browser.Chrome, url, text string, view browser.View) *browser.Page {
	t.Helper()
	page := chrome.Open(t, url+"/program#season=2025-26&category=senior-women&segment=free-skating&text="+neturl.QueryEscape(text), view)
	page.Wait(`document.querySelector("main").dataset.ready === ""`)
	return page
}

// stands waits until the rows of the page are those codes, the line between the
// halves as "|", and the server has valued them.
func stands(p *browser.Page, codes ...string) {
	p.Wait(fmt.Sprintf(`[...document.querySelectorAll("#rows > li")].map(li => li.querySelector(".code")?.textContent ?? "|").join() === %q`, strings.Join(codes, ",")))
}

// shown are the code, the value and the score of each row.
func shown(p *browser.Page) [][]string {
	return browser.Evaluate[[][]string](p, `[...document.querySelectorAll("#rows > .item")].map(li =>
		[".code", ".base", ".graded"].map(part => li.querySelector(part).textContent.replace("−", "-")))`)
}

func TestTypedProgramShowsTheFiguresOfTheAPI(t *testing.T) {
	url := browser.Serve(t)
	page := openProgram(t, browser.Start(t), url, "", browser.Desk)
	page.Do(chromedp.SendKeys("#code", program+"\r"))
	page.Wait(`document.querySelectorAll("#rows > .item").length === 12 && document.getElementById("total").textContent !== "0.00"`)

	want := checked(t, url, "2025-26", map[string]any{"category": "senior-women", "segment": "free-skating", "text": spelled})
	got := shown(page)
	struck := 0
	for i, e := range want.Elements {
		score := ""
		if e.Goe != "" {
			score = e.Score
		}
		if line := []string{e.Code, e.BaseValue, score}; !slices.Equal(got[i], line) {
			t.Errorf("element %d: shown %v, want %v", i+1, got[i], line)
		}
		row := browser.Evaluate[string](page, fmt.Sprintf(`document.querySelectorAll("#rows > .item")[%d].textContent`, i))
		for _, n := range e.Findings {
			if !strings.Contains(row, want.Findings[n].Message) || !strings.Contains(row, want.Findings[n].Advice) {
				t.Errorf("element %d does not say %q", i+1, want.Findings[n].Message)
			}
		}
		if fault := browser.Evaluate[string](page, fmt.Sprintf(`document.querySelectorAll("#rows > .item")[%d].dataset.state`, i)) == "fault"; fault != strings.HasSuffix(e.Code, "*") {
			t.Errorf("element %d, %s, has a fault edge: %v", i+1, e.Code, fault)
		} else if fault {
			struck++
		}
	}
	if struck == 0 {
		t.Error("nothing is struck in a program with one jump too often")
	}
	side := page.Text(".side")
	for _, text := range []string{want.TotalBaseValue, want.Predicted.ElementScore, want.Caution, fmt.Sprintf("%d without value", struck)} {
		if text == "" || !strings.Contains(side, text) {
			t.Errorf("the side does not show %q", text)
		}
	}
	for i, k := range want.Kinds {
		if line := browser.Evaluate[string](page, fmt.Sprintf(`[...document.querySelectorAll("#places li")].map(li => li.querySelector(".value").textContent)[%d]`, i)); line != k.Score {
			t.Errorf("the %s are worth %s, shown %s", k.Kind, k.Score, line)
		}
	}
	// Opened, a row says what every call would change.
	page.Do(browser.Click("#rows > .item .code"))
	for _, change := range want.Elements[0].Worth {
		if change.Difference == "0.00" {
			continue
		}
		if more := page.Text("#rows .more:not([hidden])"); !strings.Contains(more, strings.Replace(change.Difference, "-", "−", 1)) {
			t.Errorf("%s %s is not in %q", change.Call, change.Difference, more)
		}
	}
	clean(t, "program", page, false)
}

// spelled is the program with its capitals.
const spelled = "3Lz+3T +2, 3Lo +1, FCSp4 +2, 2A+2T | 3Lz, 3Lz, 3F+2T +1.5, 2A, StSq3 +2, ChSq1 +1, CCoSp3 +2, LSp4"

// The field says what it reads and what that is worth before it is added, in any case
// of letters; what cannot be read stays in it with what to do.
func TestFieldReadsBeforeItAdds(t *testing.T) {
	page := openProgram(t, browser.Start(t), browser.Serve(t), "FCSp3", browser.Desk)
	page.Do(chromedp.SendKeys("#code", "fssp3"))
	page.Wait(`document.getElementById("value").textContent === "FSSp3 2.60" && document.getElementById("read").textContent === "sit spin with flying entrance, level 3"`)
	stands(page, "FCSp3")
	page.Do(chromedp.KeyEvent("\r"))
	stands(page, "FCSp3", "FSSp3")
	page.Wait(`document.activeElement.id === "code" && document.activeElement.value === ""`)
	// The same spin again is seen before it is added.
	page.Do(chromedp.KeyEvent("fcsp3"))
	page.Wait(`document.getElementById("read").dataset.state === "look" && document.getElementById("read").textContent.includes("done in element 1 already")`)
	page.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("code").value = ""`), chromedp.KeyEvent("3xl, 2a <b>x</b>\r"))
	page.Wait(`document.getElementById("code").value === "3xl, <b>x</b>" && document.getElementById("code").getAttribute("aria-invalid") === "true"`)
	stands(page, "FCSp3", "FSSp3", "2A")
	if said := page.Text("#read"); !strings.Contains(said, "3xl") {
		t.Errorf("the field says %q", said)
	}
	if n := browser.Evaluate[int](page, `document.querySelectorAll("main b").length`); n != 0 {
		t.Error("what was typed became markup")
	}
	page.Picture("program-fault")
	clean(t, "program", page, false)
}

// A spin without value says what it would bring in another form that is no harder,
// as the API values that.
func TestStruckSpinSaysWhatWouldMendIt(t *testing.T) {
	const before = "3Lz, 3F, 3Lo, 3S, CCoSp4, FCSp3, StSq3, ChSq1 | 3T+3T, 3S+2T, 2A+1Eu+2S, "
	url := browser.Serve(t)
	page := openProgram(t, browser.Start(t), url, before+"FCSp3", browser.Desk)
	page.Wait(`document.querySelector("#rows > [data-state=fault] .why").textContent.includes("As FSSp3 it would bring")`)
	want := checked(t, url, "2025-26", map[string]any{"category": "senior-women", "segment": "free-skating", "text": before + "FSSp3"})
	for _, place := range []string{"#rows > [data-state=fault] .why", "#struck"} {
		if text := page.Text(place); !strings.Contains(text, "As FSSp3 it would bring "+want.Elements[11].BaseValue+".") {
			t.Errorf("%s says %q; FSSp3 is worth %s", place, text, want.Elements[11].BaseValue)
		}
	}
	clean(t, "program", page, false)
}

// Text is read as people write it, and written as the API and the command line read
// it.
func TestProgramAsText(t *testing.T) {
	page := openProgram(t, browser.Start(t), browser.Serve(t), "", browser.Desk)
	for text, want := range map[string]string{
		"3lz+3t +2, fcsp4 -1.5 | ccosp3v": "3Lz+3T +2, FCSp4 -1.5 | CCoSp3V",
		"3lz 3s + 2t; stsqb # remark, 2a": "3Lz, 3S+2T, StSqB",
		"2a\n3F x\n3lo x\nlsp2":           "2A | 3F, 3Lo, LSp2",
		"| 2a":                            "| 2A",
		"3lz −2":                          "3Lz -2",
		"3lz<+2t! +0":                     "3Lz<+2T! +0",
		" ,; \n":                          "",
		"nonsense, <b>":                   "nonsense, <b>",
	} {
		call := fmt.Sprintf(`import("/embed/text.js").then(({ read, write }) => [write(read(%q)), write(read(write(read(%q))))])`, text, text)
		if got := browser.Evaluate[[]string](page, call); got[0] != want || got[1] != want {
			t.Errorf("%q is %q, and read again %q; want %q", text, got[0], got[1], want)
		}
	}
}

// Rows and the line between the halves are moved with keys; what was removed comes
// back by the toast and by Ctrl Z.
func TestRowsMoveByKeys(t *testing.T) {
	page := openProgram(t, browser.Start(t), browser.Serve(t), "3Lz, 3F | 2A, LSp4", browser.Desk)
	stands(page, "3Lz", "3F", "|", "2A", "LSp4")
	alt, ctrl := chromedp.KeyModifiers(chromedp.ModifierAlt), chromedp.KeyModifiers(chromedp.ModifierCtrl)
	page.Do(chromedp.Focus("#rows > li:nth-child(2) .code"), chromedp.KeyEvent(kb.ArrowDown, alt))
	stands(page, "3Lz", "|", "3F", "2A", "LSp4")
	page.Do(chromedp.KeyEvent(kb.ArrowUp, alt), chromedp.KeyEvent(kb.ArrowUp, alt))
	stands(page, "3F", "3Lz", "|", "2A", "LSp4")
	page.Do(chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.ArrowDown, alt))
	stands(page, "3F", "3Lz", "2A", "|", "LSp4")
	page.Wait(`document.activeElement.closest("li").className === "half"`)
	page.Do(chromedp.KeyEvent(kb.ArrowUp), chromedp.KeyEvent(kb.Delete))
	stands(page, "3F", "3Lz", "|", "LSp4")
	page.Wait(`document.querySelector(".toast p").textContent === "2A removed."`)
	page.Do(browser.Click(".toast button"))
	stands(page, "3F", "3Lz", "2A", "|", "LSp4")
	page.Do(chromedp.KeyEvent("z", ctrl))
	stands(page, "3F", "3Lz", "|", "2A", "LSp4")
	page.Do(chromedp.Focus("#rows .half .grip"), chromedp.KeyEvent(kb.Delete))
	stands(page, "3F", "3Lz", "2A", "LSp4")
	page.Do(browser.Click("#begin"), chromedp.SendKeys("#code", "chsq1\r"))
	stands(page, "3F", "3Lz", "2A", "LSp4", "|", "ChSq1")
	// A row is changed in the field.
	page.Do(browser.Click("#rows > li .code"), browser.Click(".more button"))
	page.Wait(`document.getElementById("code").value === "3F" && document.getElementById("add").textContent === "Change it"`)
	page.Do(chromedp.KeyEvent("3lo\r"))
	stands(page, "3Lo", "3Lz", "2A", "LSp4", "|", "ChSq1")
	if address := browser.Ask(page, chromedp.Location()); !strings.HasSuffix(address, "text=3Lo%2C+3Lz%2C+2A%2C+LSp4+%7C+ChSq1") {
		t.Errorf("the address is %s", address)
	}
	clean(t, "program", page, false)
}

// A row is dragged by its grip, with a mouse or a finger.
func TestRowsAreDragged(t *testing.T) {
	page := openProgram(t, browser.Start(t), browser.Serve(t), "3Lz, 3F | 2A, LSp4", browser.Desk)
	stands(page, "3Lz", "3F", "|", "2A", "LSp4")
	drag := func(from, to int) {
		page.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{
			const rows = document.querySelectorAll("#rows > li");
			const send = (target, name, y) => target.dispatchEvent(new PointerEvent(name, { bubbles: true, cancelable: true, button: 0, clientX: 5, clientY: y }));
			const box = rows[%d].getBoundingClientRect();
			send(rows[%d].querySelector(".grip"), "pointerdown", 0);
			send(document, "pointermove", box.bottom - 2);
			send(document, "pointerup", box.bottom - 2);
		}`, to, from)))
	}
	drag(0, 3)
	stands(page, "3F", "|", "2A", "3Lz", "LSp4")
	drag(1, 3)
	stands(page, "3F", "2A", "3Lz", "|", "LSp4")
	clean(t, "program", page, false)
}

func TestProgramUnderASecondSeasonAndWithATotal(t *testing.T) {
	url := browser.Serve(t)
	page := browser.Start(t).Open(t, url+"/program#season=2016-17&category=senior-women&segment=short-program&second=2025-26&text=3Lz%2C+2A%2C+CCoSp4", browser.Desk)
	page.Wait(`document.querySelectorAll("#rows > .item").length === 3 && document.getElementById("beside").textContent !== ""`)
	request := map[string]any{"category": "senior-women", "segment": "short-program", "text": "3Lz, 2A, CCoSp4", "compareSeason": "2025-26"}
	want := checked(t, url, "2016-17", request)
	others := browser.Evaluate[[]string](page, `[...document.querySelectorAll("#rows > .item .compared")].map(n => n.textContent)`)
	for i, line := range shown(page) {
		if e := want.Elements[i]; !slices.Equal(line, []string{e.Code, e.BaseValue, ""}) || !strings.HasPrefix(others[i], want.Compared.Elements[i].BaseValue) {
			t.Errorf("shown %v, %s of %+v beside %+v", line, others[i], e, want.Compared.Elements[i])
		}
	}
	if text := page.Text(".sum"); !strings.Contains(text, want.TotalBaseValue) || !strings.Contains(text, want.Compared.TotalBaseValue) {
		t.Errorf("the sums %s and %s are not in %q", want.TotalBaseValue, want.Compared.TotalBaseValue, text)
	}
	page.Picture("program-second")

	// A total as soon as every component has a mark.
	page.Do(browser.Click("#expected summary"))
	if scale := browser.Evaluate[[]float64](page, `["min", "max"].map(end => Number(document.querySelector("#marks input")[end]))`); !slices.Equal(scale, []float64{0.25, 10}) {
		t.Errorf("a component mark is from %v; the season's table has 0.25 to 10", scale)
	}
	var components []map[string]any
	for _, name := range browser.Evaluate[[]string](page, `[...document.querySelectorAll("#marks input")].map(i => i.dataset.component)`) {
		page.Do(chromedp.SendKeys("#mark-"+name, "7.25"))
		components = append(components, map[string]any{"component": name, "mark": 7.25})
	}
	page.Wait(`document.getElementById("predicted").textContent.includes("Total")`)
	request["components"] = components
	want = checked(t, url, "2016-17", request)
	if text := page.Text("#predicted"); want.Predicted.Total == "" || !strings.Contains(text, want.Predicted.Total) {
		t.Errorf("the total %s is not in %q", want.Predicted.Total, text)
	}
	// The address keeps the program.
	if address := browser.Ask(page, chromedp.Location()); !strings.Contains(address, "text=3Lz") || !strings.Contains(address, "COMPOSITION=7.25") {
		t.Errorf("the address is %s", address)
	}
	clean(t, "program", page, false)
}

// A program goes into a file and comes back from it with its rules; its link stands
// in the address.
func TestProgramInAFile(t *testing.T) {
	chrome, url := browser.Start(t), browser.Serve(t)
	page := openProgram(t, chrome, url, "3Lz +2, 3F | 2A", browser.Desk)
	stands(page, "3Lz", "3F", "|", "2A")
	page.Do(chromedp.Evaluate[chromedp.Void](`{
		const make = URL.createObjectURL;
		URL.createObjectURL = (blob) => { blob.text().then((text) => { window.saved = text; }); return make.call(URL, blob); };
	}`), browser.Click("#save"))
	page.Wait(`window.saved !== undefined`)
	saved := browser.Evaluate[string](page, `window.saved`)
	if want := "# rules: 2025-26 senior-women free-skating\n3Lz +2\n3F\n| 2A\n"; saved != want {
		t.Errorf("the file is %q, want %q", saved, want)
	}
	file := filepath.Join(t.TempDir(), "program.txt")
	if err := os.WriteFile(file, []byte(strings.Replace(saved, "2025-26 senior", "2024-25 junior", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	other := openProgram(t, chrome, url, "", browser.Phone)
	other.Do(chromedp.SetUploadFiles("#file", []string{file}))
	stands(other, "3Lz", "3F", "|", "2A")
	other.Wait(`document.getElementById("chosen").textContent === "Junior women, Free skating, 2024-25"`)
	clean(t, "program", page, false)
	clean(t, "program", other, false)
}

// The page can be used with the keyboard alone: what a person needs is reached with
// Tab, in the order on the screen.
func TestKeyboardReachesEverything(t *testing.T) {
	page := openProgram(t, browser.Start(t), browser.Serve(t), "3Lz | 2A", browser.Desk)
	stands(page, "3Lz", "|", "2A")
	var order []string
	for range 16 {
		page.Do(chromedp.KeyEvent("\t"))
		order = append(order, browser.Evaluate[string](page, `document.activeElement.id || document.activeElement.textContent.trim().slice(0, 30)`))
	}
	want := []string{"Skip to the page", "rinktally", "Count", "Practice", "Plan", "Program", "chosen", "code", "add", "3Lz", "⇅ move Second half", "2A", "open", "save", "link", "print"}
	if !slices.Equal(order, want) {
		t.Errorf("Tab goes to %q, want %q", order, want)
	}
}

func TestProgramPageHasNoBarriers(t *testing.T) {
	page := openProgram(t, browser.Start(t), browser.Serve(t), "", coachViews[0])
	fits := func(state string) {
		t.Helper()
		for _, view := range coachViews {
			for _, barrier := range page.BarriersOf(view) {
				t.Errorf("%s, %s: %s", state, view.Name, barrier)
			}
			page.Picture("program-" + state)
			if wide := browser.Evaluate[bool](page, `document.documentElement.scrollWidth > innerWidth`); wide {
				t.Errorf("%s, %s: the page is wider than the screen", state, view.Name)
			}
		}
		page.Look(coachViews[0])
	}
	fits("empty")
	page.Do(browser.Click("#example"))
	page.Wait(`document.querySelectorAll("#rows > .item").length === 12 && document.getElementById("total").textContent === "54.01"`)
	fits("full")
	page.Do(chromedp.SendKeys("#code", "3xl"))
	page.Wait(`document.getElementById("read").dataset.state === "fault"`)
	page.Do(browser.Click("#rows > li:nth-child(10) .code"), browser.Click("#expected summary"), browser.Click("#chosen"))
	fits("open")
	clean(t, "program", page, false)
}

// The time from a key to the new figures, in a page with a whole program, is
// reported; a bound would fail by load alone.
func BenchmarkKeyToFigures(b *testing.B) {
	page := browser.Start(b).Open(b, browser.Serve(b)+"/program#text="+neturl.QueryEscape(spelled), browser.Desk)
	page.Wait(`document.querySelectorAll("#rows > .item").length === 12`)
	b.ResetTimer()
	for i := range b.N {
		page.Do(chromedp.SendKeys("#code", []string{"2", "\b"}[i%2]))
	}
}

// Where the tables have no content rules, the page says so in words.
func TestNoRulesForTheProgram(t *testing.T) {
	page := browser.Start(t).Open(t, browser.Serve(t)+"/program#season=2009-10&category=senior-dance&segment=free-dance&text=RoLi4", browser.Phone)
	page.Wait(`document.getElementById("away").textContent.includes("2009-10 has no content rules")`)
	// The choice of another season mends it.
	page.Do(browser.Click("#chosen"), chromedp.SetValue("#season", "2025-26"), chromedp.Evaluate[chromedp.Void](`document.getElementById("season").dispatchEvent(new Event("change"))`))
	page.Wait(`document.querySelectorAll("#rows > .item").length === 1 && document.getElementById("away").textContent === "" && document.getElementById("total").textContent !== "0.00"`)
}
