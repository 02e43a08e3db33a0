package browser_test

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"testing"
	"testing/fstest"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rinktally/rinktally/client/offline/engine"
	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/integration/wasm"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/server/cases"
	"github.com/rinktally/rinktally/server/tables"
)

// request is a call in the REST form.
type request struct {
	Target string `json:"target"`
	Body   string `json:"body"`
}

// golden are the requests of all golden cases.
func golden(t testing.TB) []request {
	t.Helper()
	list, err := cases.Load("rules/seasons", seasons.FS)
	if err != nil {
		t.Fatal(err)
	}
	var all []request
	for i := range list {
		for _, season := range list[i].Seasons {
			_, _ = list[i].Run(t.Context(), season, func(_ context.Context, call, season string, body []byte) ([]byte, error) {
				all = append(all, request{"/v1/seasons/" + season + "/" + call, string(body)})
				return nil, nil
			})
		}
	}
	return all
}

// TestGoldenCasesInThePage makes every golden case by the engine as WebAssembly in a
// page, under the policy that our pages have. The answers are those of the engine in
// process, which are a server's.
func TestGoldenCasesInThePage(t *testing.T) {
	list := golden(t)
	asked, err := json.Marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	page := browser.Start(t).Open(t, browser.NewServerWith(t, wasm.Built(t)).URL+"/program", browser.Phone)
	page.Do(chromedp.Evaluate[chromedp.Void](`globalThis.answers = (async (list) => {
		const { start } = await import("/embed/offline/start.js");
		const engine = await start();
		const answers = [];
		for (const { target, body } of list) answers.push(await engine("POST", target, body));
		return answers;
	})(` + string(asked) + `).then((answers) => { globalThis.answered = answers; }, (error) => { globalThis.answered = error.message; }); 0`))
	page.Wait("globalThis.answered !== undefined")
	text := browser.Evaluate[string](page, "JSON.stringify(globalThis.answered)")
	var answers []struct {
		Status int
		Answer any
	}
	if err := json.Unmarshal([]byte(text), &answers); err != nil || len(answers) != len(list) {
		t.Fatalf("%d of %d answers, %v: %.300s", len(answers), len(list), err, text)
	}
	embedded, err := tables.New(browser.Today)
	if err != nil {
		t.Fatal(err)
	}
	same, err := engine.New(embedded)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range list {
		status, data := same.Answer(t.Context(), "POST", r.Target, []byte(r.Body))
		var want any
		if err := json.Unmarshal(data, &want); err != nil {
			t.Fatal(err)
		}
		if got := answers[i]; got.Status != status || !reflect.DeepEqual(got.Answer, want) {
			t.Errorf("%s %s: the page answers %d %v\nthe engine %d %s", r.Target, r.Body, got.Status, got.Answer, status, data)
		}
	}
	if problems := page.Problems(); len(problems) > 0 {
		t.Errorf("the browser complains: %q", problems)
	}
}

// spinOf is a call that needs a season, which is an expression.
func spinOf(season string) string {
	return `call("CallLevels", {season: ` + season + `, category: "senior-women", segment: "free-skating",
		elements: [{spin: {feet: [{positions: [{position: "CAMEL", variation: "CAMEL_UPWARD", revolutions: 8}]}]}}]})`
}

// spin is the call under a season, and what came of it in a line.
func spin(season string) string {
	return spinOf(strconv.Quote(season)) + `.then((answer) => answer.elements[0].code, (error) => error.status + " " + error.reason + " " + error.temporary)`
}

// TestPageGoesOnWithoutTheServer opens the engine that pages use: it answers from a
// worker, also when the server has gone; what it has not loaded then fails as a call
// to a server that does not answer.
func TestPageGoesOnWithoutTheServer(t *testing.T) {
	server := browser.NewServerWith(t, wasm.Built(t))
	page := browser.Start(t).Open(t, server.URL+"/program", browser.Phone)
	ready := browser.Evaluate[string](page, `import("/embed/offline/page.js").then(async ({ openEngine }) => {
		globalThis.engine = openEngine(location.origin, { seasons: ["2025-26"] });
		return [engine.offline, await engine.ready, engine.offline, engine.reason].join(" ");
	})`)
	if ready != "false true true " {
		t.Fatalf("the engine is %q", ready)
	}
	if code := browser.Evaluate[string](page, "engine."+spin("2016-17")); code != "CSp2" {
		t.Errorf("a season that had to be loaded: %s", code)
	}
	if problems := page.Problems(); len(problems) > 0 {
		t.Errorf("the browser complains: %q", problems)
	}
	server.Stop()
	for season, want := range map[string]string{"2025-26": "CSp2", "2016-17": "CSp2", "2024-25": "0  true", "1998-99": "404 SEASON_UNKNOWN false"} {
		if got := browser.Evaluate[string](page, "engine."+spin(season)); got != want {
			t.Errorf("%s without a server: %s, want %s", season, got, want)
		}
	}
	if got := browser.Evaluate[string](page, `engine.call("ListEvents").then(() => "answered", (error) => error.status + " " + error.temporary)`); got != "0 true" {
		t.Errorf("events without a server: %s", got)
	}
}

// TestPageWithoutAnEngine asks the server where the program was built without the
// engine, and says why.
func TestPageWithoutAnEngine(t *testing.T) {
	page := browser.Start(t).Open(t, browser.NewServerWith(t, fstest.MapFS{}).URL+"/program", browser.Phone)
	got := browser.Evaluate[string](page, `import("/embed/offline/page.js").then(async ({ openEngine }) => {
		globalThis.engine = openEngine(location.origin);
		return [await engine.ready, engine.offline, engine.reason !== ""].join(" ");
	})`)
	if got != "false false true" {
		t.Errorf("without an engine: %s", got)
	}
	if code := browser.Evaluate[string](page, "engine."+spin("2025-26")); code != "CSp2" {
		t.Errorf("the server answers %s", code)
	}
}

// The page of a program is of use at a rink without a network once it has been opened:
// the engine values what is added, and a season that it was opened with.
func TestProgramGoesOnWithoutTheServer(t *testing.T) {
	server := browser.NewServerWith(t, wasm.Built(t))
	page := openProgram(t, browser.Start(t), server.URL, "3Lz", browser.Phone)
	page.Wait(`document.getElementById("network").textContent === "Works without a network"`)
	server.Stop()
	page.Do(chromedp.SendKeys("#code", "fssp3\r"))
	stands(page, "3Lz", "FSSp3")
	page.Wait(`document.getElementById("total").textContent === "8.50"`) // 5.90 + 2.60, the values of 2025-26
	page.Picture("program-alone")
}

// Without an engine, and while the server does not answer, each row keeps what was said
// of it.
func TestRowsKeepTheirFiguresWithoutTheServer(t *testing.T) {
	server := browser.NewServerWith(t, fstest.MapFS{})
	page := openProgram(t, browser.Start(t), server.URL, "3lz, 2a, lsp4", browser.Desk)
	rows := func(want string) {
		t.Helper()
		page.Wait(fmt.Sprintf(`[...document.querySelectorAll("#rows > li")].map(row => row.querySelector(".code").textContent + " " + row.querySelector(".base").textContent).join() === %q`, want))
	}
	rows("3Lz 5.90,2A 3.30,LSp4 2.70") // the values of 2025-26
	server.Stop()
	page.Do(chromedp.Focus("#rows > li .code"), chromedp.KeyEvent(kb.Delete))
	page.Wait(`document.getElementById("away").textContent !== ""`)
	rows("2A 3.30,LSp4 2.70")
	page.Do(ctrlZ())
	rows("3Lz 5.90,2A 3.30,LSp4 2.70")
}
