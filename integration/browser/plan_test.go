package browser_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// coachPhone is the phone of the design.
var coachPhone = browser.View{Name: "390", Width: 390, Height: 844}

// planned is what of programs:plan the page must show.
type planned struct {
	Caution  string
	Practice []struct{ Code string }
	Plans    []struct {
		ExpectedNetScore string
		Program          struct{ Elements []struct{ Code string } }
		Elements         []struct{ Code string }
	}
}

// ability is an ability in the API's terms whose only miss is what the page takes for
// it.
func ability(code string, success float64, miss string, grade float64, fall bool) map[string]any {
	left := float64(int64((1-success)*100+0.5)) / 100
	return map[string]any{"code": code, "success": success, "grade": 0, "misses": []any{map[string]any{"code": miss, "chance": left, "grade": grade, "fall": fall}}}
}

// plan asks the server itself.
func plan(t *testing.T, url string, body map[string]any) planned {
	t.Helper()
	return asked[planned](t, url+"/v1/seasons/2025-26/programs:plan", body)
}

// oneDecimal is points as programs show them, rounded half up.
func oneDecimal(points string) string {
	var whole, hundredths int
	if _, err := fmt.Sscanf(points, "%d.%02d", &whole, &hundredths); err != nil {
		return err.Error()
	}
	tenths := whole*10 + (hundredths+5)/10
	return fmt.Sprintf("%d.%d", tenths/10, tenths%10)
}

// A coach plans on a phone, by what can be read alone: types elements, touches how often
// each comes, sees the plan follow, opens it, leaves an element out, and takes the plan
// over. Every figure is that of the API.
func TestPlanFollowsEachTouch(t *testing.T) {
	url := browser.Serve(t)
	page := browser.Start(t).Open(t, url+"/plan", coachPhone)
	page.Wait(`document.querySelector("main").dataset.ready === ""`)
	page.Type("textbox", "Elements, as codes", "3lz 3s2t 2a ccosp4 3xl")
	page.Press("button", "Add")
	page.Wait(`document.querySelectorAll("[role=slider]").length === 4`)
	if left := browser.Evaluate[string](page, `document.getElementById("code").value`); left != "3xl" {
		t.Errorf("what is no code is left in the field as %q", left)
	}
	if page.Has("button", "See the plan: 0.0") {
		t.Error("there is a plan before anything is said")
	}
	touches := []struct {
		code   string
		of     int
		as     map[string]any
		ifNot  string
		places float64
	}{
		{"3Lz", 5, ability("3Lz", 0.5, "3Lz", -5, true), "If not: falls 5", 0.45},
		{"3S+2T", 8, ability("3S+2T", 0.8, "3S", -5, true), "If not: falls 2", 0.75},
		{"2A", 9, ability("2A", 0.9, "2A", -5, true), "If not: falls 1", 0.85},
		{"CCoSp4", 7, ability("CCoSp4", 0.7, "CCoSp3", 0, false), "If not: CCoSp3 3", 0.65},
	}
	body := map[string]any{"category": "senior-women", "segment": "free-skating", "plans": 3}
	var abilities []any
	var last planned
	for _, touch := range touches {
		page.PressAt("slider", touch.code, touch.places)
		abilities = append(abilities, touch.as)
		body["abilities"] = abilities
		last = plan(t, url, body)
		row := fmt.Sprintf(`[...document.querySelectorAll(".ability")].find(li => li.querySelector(".code").textContent === %q).innerText`, touch.code)
		page.Wait(fmt.Sprintf(`%s.includes("%d of 10") && %s.includes(%q)`, row, touch.of, row, touch.ifNot))
		// Without component marks a plan is worth its elements less falls.
		page.Wait(`/^See the plan: \d+\.\d$/.test(document.getElementById("see").textContent) && !document.querySelector("main").dataset.following`)
	}
	page.Press("button", "See the plan: "+oneDecimal(last.Plans[0].ExpectedNetScore))
	for _, text := range []string{"the highest of all legal programs", last.Caution} {
		if got := browser.Evaluate[string](page, `document.querySelector("main").innerText`); text == "" || !strings.Contains(got, text) {
			t.Errorf("the plan does not say %q:\n%s", text, got)
		}
	}
	codes := func() []string {
		return browser.Evaluate[[]string](page, `[...document.querySelectorAll("#elements button.code")].map(b => b.textContent)`)
	}
	var want, credited []string
	for i, e := range last.Plans[0].Elements {
		want, credited = append(want, e.Code), append(credited, last.Plans[0].Program.Elements[i].Code)
	}
	if got := codes(); !slices.Equal(got, want) {
		t.Errorf("the plan is %v, want %v", got, want)
	}
	page.Press("button", "3Lz")
	page.Wait(`/falls 5.*It belongs in .*half the best program/s.test(document.querySelector("#elements .more:not([hidden])").innerText)`)
	page.Picture("plan-reason")
	page.Press("button", "Leave it out")
	page.Wait(`![...document.querySelectorAll("#elements button.code")].some(b => b.textContent === "3Lz")`)
	page.Press("button", "3Lz: no longer left out")
	page.Wait(`[...document.querySelectorAll("#elements button.code")].some(b => b.textContent === "3Lz")`)
	clean(t, "plan", page, false)

	page.Press("button", "What practice brings")
	page.Wait(fmt.Sprintf(`document.querySelector("#practice tbody tr").innerText.includes(%q)`, last.Practice[0].Code))
	page.Press("button", "Back to the plan")
	page.Press("link", "Use plan A")
	page.Do(chromedp.WaitVisible("#rows .code"))
	page.Wait(fmt.Sprintf(`location.pathname === "/program" && document.querySelectorAll("#rows > .item").length === %d`, len(want)))
	if got := browser.Evaluate[[]string](page, `[...document.querySelectorAll("#rows .code")].map(n => n.textContent)`); !slices.Equal(got, credited) {
		t.Errorf("taken over is %v, want %v", got, credited)
	}
	clean(t, "program", page, false)
}

// The page in both faces on both screens, with an invented repertoire; its figures are
// the API's, for one program and for both together. A link has all of it.
func TestPlanPage(t *testing.T) {
	url := browser.Serve(t)
	page := browser.Start(t).Open(t, url+"/plan", coachPhone)
	const follows = `!document.getElementById("see").hidden && !document.querySelector("main").dataset.following`
	page.Wait(`document.querySelector("main").dataset.ready === ""`)
	looked(t, page, "plan-empty")
	page.Press("button", "Put an invented example in")
	page.Wait(follows)
	looked(t, page, "plan-can")
	page.Do(browser.Click("#see"), browser.Click("#elements button.code"))
	looked(t, page, "plan-result")
	page.Do(browser.Click("#toPractice"))
	looked(t, page, "plan-brings")
	page.Do(browser.Click("#toPlan"))
	page.Press("radio", "Both")
	page.Type("textbox", "Target", "150")
	page.Wait(`/^\d+ times in 100$/.test(document.getElementById("chance").textContent)`)
	looked(t, page, "plan-both")
	said := browser.Evaluate[string](page, `document.getElementById("score").innerText`)

	// Whoever is sent the link sees the same.
	other := page.Beside(browser.Ask(page, chromedp.Location()), coachPhone)
	other.Wait(follows)
	other.Do(browser.Click("#see"))
	if got := browser.Evaluate[string](other, `document.getElementById("score").innerText`); got != said {
		t.Errorf("the link shows %q, want %q", got, said)
	}
	clean(t, "plan", page, false)
	clean(t, "plan", other, false)
}
