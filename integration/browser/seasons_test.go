package browser_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// The views of the pages of rules.
var ruleViews = []browser.View{
	{Name: "phone-390", Width: 390, Height: 844}, {Name: "phone-390-dark", Width: 390, Height: 844, Dark: true},
	{Name: "wide", Width: 1366, Height: 768},
}

// drawn waits for the rows of a season.
const drawn = `document.querySelectorAll("#rules .value").length > 0 && document.getElementById("found").textContent.startsWith("◇")`

// looked checks what holds for every page as it is now, in every view: no barrier of any
// rule, and what fitted checks.
func looked(t *testing.T, page *browser.Page, name string) {
	t.Helper()
	for _, view := range ruleViews {
		for _, barrier := range page.BarriersOf(view) {
			t.Errorf("%s, %s: %s", name, view.Name, barrier)
		}
	}
	fitted(t, page, name)
}

// fitted checks in every view that there is no sideways scroll, targets for a finger and
// nothing that the browser complains about.
func fitted(t *testing.T, page *browser.Page, name string) {
	t.Helper()
	for _, view := range ruleViews {
		page.Look(view)
		page.Picture(name)
		if wide := browser.Evaluate[int](page, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
			t.Errorf("%s, %s: the page is %d px wider than the screen", name, view.Name, wide)
		}
		small := browser.Evaluate[[]string](page, `[...document.querySelectorAll("main :is(button, .button, select, summary, input:not([type=radio]), .segmented label, nav a, h2 a, .more a)")]
			.filter(n => n.checkVisibility() && n.getBoundingClientRect().height < 44).map(n => n.outerHTML)`)
		if len(small) > 0 {
			t.Errorf("%s, %s: too small for a finger: %s", name, view.Name, strings.Join(small, "\n"))
		}
	}
	page.Look(ruleViews[0])
	if problems := page.Problems(); len(problems) > 0 {
		t.Errorf("%s: the browser complains: %s", name, strings.Join(problems, "\n"))
	}
}

// manyRows checks a page of hundreds of rows, for which axe takes long: all of them in
// one view, and some in every view. They are alike.
func manyRows(t *testing.T, page *browser.Page, name string) {
	t.Helper()
	fitted(t, page, name)
	for _, barrier := range page.EveryBarrier() {
		t.Errorf("%s: %s", name, barrier)
	}
	page.Do(chromedp.Evaluate[chromedp.Void](`for (const list of new Set([...document.querySelectorAll("#rules :is(.value, .rule, tbody tr)")].map(row => row.parentElement)))
		[...list.children].slice(12).forEach(row => row.remove())`))
	looked(t, page, name+"-some")
}

// Every page of rules in every view: all rows, a row open, a search with and without
// hits, two seasons, the list, a season that is not there.
func TestRulePages(t *testing.T) {
	url := browser.Serve(t)
	page := browser.Start(t).Open(t, url+"/seasons", ruleViews[0])
	page.Wait(`document.querySelector("time").textContent.includes("Jul")`)
	looked(t, page, "seasons")
	page.Do(browser.Click(`a[href="seasons/2025-26"]`), chromedp.WaitVisible("#rules .value"))
	page.Wait(drawn)
	manyRows(t, page, "season")
	page.Do(chromedp.Reload())
	page.Wait(drawn)
	page.Do(chromedp.SendKeys("#text", "3lz"))
	page.Wait(`document.getElementById("found").textContent === "1 row"`)
	page.Do(browser.Click(`[id="3Lz"] .opener`), chromedp.WaitVisible(`[id="3Lz-more"] .facts`))
	looked(t, page, "season-search")
	page.Do(chromedp.Evaluate[chromedp.Void](`const f = document.getElementById("text"); f.value = "zebra"; f.dispatchEvent(new Event("input"))`))
	page.Wait(`document.getElementById("nothing")`)
	looked(t, page, "season-nothing")
	page.Do(chromedp.Navigate(url + "/seasons/2025-26#levels.spins.variations"))
	page.Wait(`document.getElementById("levels.spins.variations")?.open`)
	page.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#content details").open = true`),
		// All rows were looked at above, and axe takes long for so many.
		chromedp.Evaluate[chromedp.Void](`[...document.querySelectorAll("#rules .value")].slice(20).forEach(row => row.remove())`))
	looked(t, page, "season-rule")
	page.Do(chromedp.Navigate(url + "/seasons/compare?from=2021-22&to=2022-23"))
	page.Wait(`document.getElementById("rules")`)
	manyRows(t, page, "compare")
	page.Do(chromedp.Navigate(url + "/seasons/2099-00"))
	page.Do(chromedp.WaitVisible(`a[href="../seasons"]`))
	for _, problem := range page.Problems() {
		if !strings.Contains(problem, "404") { // the page itself
			t.Error(problem)
		}
	}
	looked(t, page, "season-lost")
}

// What a person types finds codes in any case, names, and words of rules, in all
// sections at once.
func TestSearchInASeason(t *testing.T) {
	page := browser.Start(t).Open(t, browser.Serve(t)+"/seasons/2025-26", browser.Desk)
	page.Wait(drawn)
	for _, c := range []struct{ typed, id, section string }{
		{"3lz", "3Lz", "values"}, {"ccosp4", "CCoSp4", "values"}, {"layback", "LSp1", "values"}, {"layback", "levels.spins.features.LAYBACK_SIDE_CHANGE", "levels"},
		{"falls", "deductions.FALL", "scores"}, {"ties", "standing.final", "scores"}, {"second half senior women", "categories.senior-women.segments.free-skating", "scores"},
		{"senior women jump elements", "program.layouts.free-women.boxes.jump", "content"}, {"memory", "panel.small", "scores"},
	} {
		page.Do(chromedp.KeyEvent("/")) // focuses the field and marks what is in it
		page.Wait(`document.activeElement.id === "text"`)
		page.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("text").value = ""`), chromedp.SendKeys("#text", c.typed))
		page.Wait(fmt.Sprintf(`new URLSearchParams(location.search).get("text") === %q`, c.typed))
		if !browser.Evaluate[bool](page, fmt.Sprintf(`document.getElementById(%q)?.checkVisibility() && document.getElementById(%q).closest("section.part").id === %q`, c.id, c.id, c.section)) {
			t.Errorf("%q does not find %s in %s; it finds %v", c.typed, c.id, c.section, browser.Evaluate[[]string](page, `[...document.querySelectorAll("#rules :is(.value, .rule)")].filter(n => n.checkVisibility()).map(n => n.id)`))
		}
		if browser.Evaluate[bool](page, `document.getElementById("2A").checkVisibility()`) {
			t.Errorf("%q leaves 2A", c.typed)
		}
		page.Do(chromedp.KeyEvent("\x1b"))
		page.Wait(`document.getElementById("2A").checkVisibility() && document.activeElement.id === "text"`)
		page.Do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`))
	}
	// What another discipline has is found there.
	page.Do(chromedp.SendKeys("#text", "death"))
	page.Wait(`document.getElementById("nothing")`)
	page.Do(browser.Click("#nothing button"))
	page.Wait(`document.getElementById("BiDs4")?.checkVisibility()`)
	if address := browser.Ask(page, chromedp.Location()); !strings.Contains(address, "discipline=pairs") || !strings.Contains(address, "text=death") {
		t.Errorf("the address is %s", address)
	}
	if problems := page.Problems(); len(problems) > 0 {
		t.Errorf("the browser complains: %s", strings.Join(problems, "\n"))
	}
}

// Every rule and code has an address, whatever discipline it is of; what stands there
// is what the API says.
func TestAddressOpensARule(t *testing.T) {
	url := browser.Serve(t)
	page := browser.Start(t).Open(t, "about:blank", browser.Desk)
	for i, c := range []struct{ hash, id string }{
		{"3Lz", "3Lz"}, {"3Lz%3C", "3Lz"}, {"CCoSp4V", "CCoSp4"}, {"BiDs2", "BiDs2"}, {"values.pairs.3Lz", "3Lz"},
		{"levels.spins.per_foot", "levels.spins.per_foot"}, {"levels.spins.per_foot.max", "levels.spins.per_foot"},
		{"levels.pairs.lifts.features.DIFFICULT_CARRY", "levels.pairs.lifts.features.DIFFICULT_CARRY"}, {"levels.dance.key_points", "levels.dance.key_points"},
		{"program.layouts.short-pairs.boxes.lift", "program.layouts.short-pairs.boxes.lift"}, {"categories.junior-dance.deductions.FALL", "categories.junior-dance.deductions.FALL"},
		{"base_value.round_to", "base_value"}, {"deductions.INTERRUPTION", "deductions.INTERRUPTION"},
	} {
		t.Run(c.hash, func(*testing.T) {
			if i%4 == 0 { // From elsewhere, so that it is loaded.
				page.Do(chromedp.Navigate("about:blank"), chromedp.Navigate(url+"/seasons/2025-26#"+c.hash))
			} else { // Another rule of the page that is open, with nothing open in it.
				page.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{
					document.activeElement.blur();
					for (const open of document.querySelectorAll("#rules [aria-expanded=true]")) open.click();
					for (const open of document.querySelectorAll("#rules details[open]")) open.open = false;
					location.hash = %q;
				}`, c.hash)))
			}
			id := fmt.Sprintf("document.getElementById(%q)", c.id)
			page.Wait(id + `?.open || ` + id + `?.querySelector("[aria-expanded=true]")`)
			page.Wait(id + `.contains(document.activeElement) && ` + id + `.checkVisibility()`)
		})
	}
	page.Look(browser.Phone)
	page.Do(chromedp.Navigate("about:blank"), chromedp.Navigate(url+"/seasons/2025-26#deductions.INTERRUPTION"))
	page.Wait(`document.getElementById("deductions.INTERRUPTION")?.querySelector("dd")`)
	rule := browser.Evaluate[map[string]string](page, `fetch("../v1/seasons/2025-26").then(r => r.json()).then(a => a.season.rules.find(r => r.key === "deductions.INTERRUPTION"))`)
	text := page.Text(`[id="deductions.INTERRUPTION"]`)
	if rule["confidence"] != "medium" {
		t.Fatalf("the rule is %v; this test needs one that is not sure", rule)
	}
	for _, want := range []string{rule["source"], "◇ from a secondary text", "deductions.INTERRUPTION"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
	// The points of a grade, one tap away on a phone.
	page.Do(chromedp.Navigate(url + "/seasons/2025-26"))
	page.Wait(drawn)
	page.Do(browser.Click(`[id="3Lz"]`))
	if text := page.Text(`[id="3Lz-more"]`); !strings.Contains(text, "−2.95") || !strings.Contains(text, "+2.95") || !strings.Contains(text, "3Lz<<") {
		t.Errorf("3Lz shows %q", text)
	}
}

// Every value of every season is said in words of its own.
func TestEveryRuleHasWords(t *testing.T) {
	page := browser.Start(t).Open(t, browser.Serve(t)+"/seasons/2025-26", browser.Desk)
	page.Wait(drawn)
	unworded := browser.Evaluate[[]string](page, `(async () => {
		const { rowsOf, phrases } = await import("/assets/seasons/rules.js");
		const { seasons } = await (await fetch("/v1/seasons")).json();
		const missing = new Set();
		let rules = 0;
		for (const { season } of seasons) {
			const { season: table } = await (await fetch("/v1/seasons/" + season)).json();
			for (const row of rowsOf(table).values()) {
				rules += row.parts.length;
				for (const said of phrases(row)) if (/ = |undefined|\{\w+\}/.test(said)) missing.add(row.key + ": " + said);
			}
		}
		if (rules < 10000) missing.add("only " + rules + " values were read");
		return [...missing];
	})()`)
	for _, u := range unworded {
		t.Error(u)
	}
}

// What changed between two seasons is what the API says, and the address keeps the choice.
func TestCompareSeasons(t *testing.T) {
	url := browser.Serve(t)
	page := browser.Start(t).Open(t, url+"/seasons/compare?from=2017-18&to=2018-19&discipline=singles", browser.Desk)
	page.Wait(`document.getElementById("rules")`)
	type change struct{ Code, From, To, Difference string }
	want := browser.Evaluate[[]change](page, `fetch("../v1/seasons:compare?from=2017-18&to=2018-19&discipline=singles").then(r => r.json()).then(a => a.changed)`)
	have := browser.Evaluate[[][]string](page, `[...document.querySelectorAll("#values tbody tr")].map(r => [...r.cells].map(c => c.textContent))`)
	if len(want) == 0 || len(have) != len(want) {
		t.Fatalf("%d values are shown, %d changed", len(have), len(want))
	}
	for i, w := range want {
		difference := strings.Replace(w.Difference, "-", "−", 1)
		if !strings.HasPrefix(difference, "−") {
			difference = "+" + difference
		}
		if got := strings.Join(have[i], " "); got != strings.Join([]string{w.Code, w.From, w.To, difference}, " ") {
			t.Errorf("shown %s, changed %v", got, w)
		}
	}
	page.Do(chromedp.SendKeys("#text", "half"))
	page.Wait(`document.getElementById("found").textContent.endsWith("shown")`)
	page.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("text").value = ""; document.getElementById("text").dispatchEvent(new Event("input"))`))
	page.Do(browser.Click(`#discipline label:has([value=pairs])`))
	page.Wait(`location.search.includes("discipline=pairs") && document.querySelector("#values h3, #added h3, #removed h3")?.textContent === "Pairs"`)
	page.Do(browser.Click("#turn"))
	page.Wait(`document.getElementById("from").value === "2018-19" && location.search.includes("to=2017-18") && document.getElementById("rules")`)
	page.Do(chromedp.SetValue("#to", "2018-19"), chromedp.Evaluate[chromedp.Void](`document.getElementById("to").dispatchEvent(new Event("change", { bubbles: true }))`))
	page.Wait(`document.getElementById("nothing")?.textContent.includes("same season")`)
	if problems := page.Problems(); len(problems) > 0 {
		t.Errorf("the browser complains: %s", strings.Join(problems, "\n"))
	}
}
