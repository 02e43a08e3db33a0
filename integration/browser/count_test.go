package browser_test

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rinktally/rinktally/client/offline/engine"
	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/integration/wasm"
	"github.com/rinktally/rinktally/server/tables"
)

// atTheBoards is a phone as a coach holds it.
var atTheBoards = coachViews[0]

// stillClock keeps what a page wants to do after a while until elapse(least) is called,
// which does what was to wait at least so many ms: no test depends on how fast the
// machine is.
const stillClock = `(() => {
	const waiting = new Map(), set = globalThis.setTimeout, clear = globalThis.clearTimeout;
	let last = 0;
	globalThis.setTimeout = (run, wait, ...args) => (wait >= 300 ? (waiting.set(--last, { wait, run: () => run(...args) }), last) : set(run, wait, ...args));
	globalThis.clearTimeout = (id) => (id < 0 ? waiting.delete(id) : clear(id));
	globalThis.elapse = (least = 0) => {
		const due = [...waiting].filter(([, one]) => one.wait >= least);
		for (const [id, { run }] of due) if (waiting.delete(id)) run();
	};
})()`

// thumb is a thumb on the page of counting, with a clock of its own.
type thumb struct {
	*browser.Page
	t     *testing.T
	clock time.Time
}

// openCount opens the page under a season, with a clock that stands still.
func openCount(t *testing.T, chrome *browser.Chrome, server, season string, view browser.View) *thumb {
	t.Helper()
	p := chrome.Open(t, "about:blank", view)
	browser.Call(p, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: stillClock + ";" + serversDay()})
	query := url.Values{"season": {season}, "category": {"senior-women"}, "segment": {"free-skating"}}
	p.Do(chromedp.Navigate(server + "/count#" + query.Encode()))
	p.Wait(`document.querySelector("main").dataset.ready === ""`)
	return &thumb{p, t, time.Now()}
}

// touch lays the thumb on a part of the page, moves it and lifts it after a while.
func (th *thumb) touch(selector string, dx, dy float64, lasts time.Duration) {
	th.t.Helper()
	at := browser.Evaluate[[]float64](th.Page, fmt.Sprintf(`(() => { const b = document.querySelector(%q).getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; })()`, selector))
	send := func(kind input.DispatchTouchEventType, after time.Duration, points ...*input.TouchPoint) {
		th.t.Helper()
		stamp := input.TimeSinceEpoch(float64(th.clock.Add(after).UnixMilli()) / 1000)
		browser.Call(th.Page, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points, Timestamp: stamp})
	}
	send(input.DispatchTouchEventTypeTouchStart, 0, &input.TouchPoint{X: at[0], Y: at[1]})
	if dx != 0 || dy != 0 {
		send(input.DispatchTouchEventTypeTouchMove, lasts/2, &input.TouchPoint{X: at[0] + dx, Y: at[1] + dy})
	}
	send(input.DispatchTouchEventTypeTouchEnd, lasts, []*input.TouchPoint{}...)
	th.clock = th.clock.Add(max(500*time.Millisecond, lasts+100*time.Millisecond)) // two revolutions a second
}

func (th *thumb) tap(selector string) { th.t.Helper(); th.touch(selector, 0, 0, 80*time.Millisecond) }

// stands waits until a glance finds the code with its value, and the number.
func (th *thumb) stands(code, value, number string) {
	th.t.Helper()
	want := code + " · " + value
	if code == "" {
		want = ""
	}
	th.Wait(fmt.Sprintf(`document.getElementById("number").textContent === %q && (%q === "" || document.getElementById("value").textContent === %q)`, number, want, want))
}

// strokes are strokes from the pad, as a thumb makes them.
var strokes = map[string][2]float64{"stroke-left": {-60, 4}, "stroke-right": {60, 4}, "stroke-up": {-4, -60}, "stroke-down": {4, 60}}

// position is a part of a spin in the REST form.
type position struct {
	Position    string  `json:"position"`
	Lean        string  `json:"lean,omitempty"`
	Variation   string  `json:"variation,omitempty"`
	Revolutions float64 `json:"revolutions"`
}

// caller calls an element in the REST form by the engine in process.
func caller(t *testing.T, season string) func(element map[string]any) (code, value string) {
	t.Helper()
	embedded, err := tables.New(browser.Today)
	if err != nil {
		t.Fatal(err)
	}
	e, err := engine.New(embedded)
	if err != nil {
		t.Fatal(err)
	}
	return func(element map[string]any) (code, value string) {
		t.Helper()
		body, err := json.Marshal(map[string]any{"category": "senior-women", "segment": "free-skating", "elements": []any{element}})
		if err != nil {
			t.Fatal(err)
		}
		status, data := e.Answer(t.Context(), "POST", "/v1/seasons/"+season+"/levels:call", body)
		var answer struct {
			Elements []struct{ Code, BaseValue string }
		}
		if err := json.Unmarshal(data, &answer); err != nil || status != 200 {
			t.Fatalf("%d %v %s", status, err, data)
		}
		return answer.Elements[0].Code, answer.Elements[0].BaseValue
	}
}

// spinOn is a spin in the REST form; change is where the second foot begins.
func spinOn(positions []position, change int) map[string]any {
	feet := []map[string]any{{"positions": positions[:min(change, len(positions))]}}
	if change < len(positions) {
		feet = append(feet, map[string]any{"change": "STEP", "positions": positions[change:]})
	}
	return map[string]any{"spin": map[string]any{"feet": feet}}
}

// TestSpinsOfCommonPracticeByTapsAlone counts two spins while the server is gone, and
// wants what the engine in process calls at each tap. Their levels are common practice,
// no source: a layback with eight revolutions in the classic position, three to the side
// and a variation is level 3; a camel variation held eight revolutions, a sit and an
// upright variation on the other foot are level 4.
func TestSpinsOfCommonPracticeByTapsAlone(t *testing.T) {
	const season = "2021-22"
	call := caller(t, season)
	server := browser.NewServerWith(t, wasm.Built(t))
	chrome := browser.Start(t)
	for _, c := range []struct {
		name, plan string
		positions  []position
		change     int
		ways       []string // to each position: edges, strokes from the pad, and a hold
		want       string
	}{
		{
			"layback", "Layback, ",
			[]position{{"LAYBACK", "BACKWARD", "", 8}, {"LAYBACK", "SIDEWAYS", "", 3}, {"LAYBACK", "BACKWARD", "LAYBACK", 3}},
			3, []string{"", "left", "stroke-left"}, "LSp3 · 2.40",
		},
		{
			"combination", "Combination",
			[]position{{"CAMEL", "", "CAMEL_SIDEWAYS", 8}, {"SIT", "", "SIT_BEHIND", 3}, {"UPRIGHT", "", "UPRIGHT_STRAIGHT_OR_SIDEWAYS", 3}},
			1, []string{"", "stroke-down", "up"}, "CCoSp4 · 3.50",
		},
		{ // the sit is the one that many call pancake
			"unplanned", "No plan",
			[]position{{"CAMEL", "", "CAMEL_UPWARD", 8}, {"SIT", "", "SIT_FORWARD", 3}, {"UPRIGHT", "", "UPRIGHT_STRAIGHT_OR_SIDEWAYS", 3}},
			1, []string{"right right stroke-right", "hold down stroke-down down", "stroke-up up"}, "CCoSp4 · 3.50",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			th := openCount(t, chrome, server.URL, season, atTheBoards)
			th.Wait(`document.getElementById("network").textContent.startsWith("No network needed")`)
			server.Stop()
			defer server.Start()
			th.Do(browser.Click("#plan button"), chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`[...document.querySelectorAll("#spins button")].find(b => b.textContent.startsWith(%q)).click()`, strings.TrimSuffix(c.plan, ", "))))
			th.Picture("count-ready-" + c.name)
			var code, value string
			for i := range c.positions {
				for _, way := range strings.Fields(c.ways[i]) {
					if to, ok := strokes[way]; ok {
						th.touch("#pad", to[0], to[1], 120*time.Millisecond)
					} else if way == "hold" {
						th.touch("#pad", 3, 3, 900*time.Millisecond)
					} else {
						th.tap(`[data-edge=` + way + `]`)
					}
				}
				held := int(c.positions[i].Revolutions)
				for n := 1; n <= held; n++ {
					th.tap("#pad")
					so := append([]position{}, c.positions[:i+1]...)
					so[i].Revolutions = float64(n)
					code, value = call(spinOn(so, c.change))
					th.stands(code, value, fmt.Sprint(n))
				}
				th.Picture(fmt.Sprintf("count-live-%s-%d", c.name, i+1))
			}
			if got := code + " · " + value; got != c.want {
				t.Errorf("%s, by common practice %s", got, c.want)
			}
			th.Do(chromedp.Evaluate[chromedp.Void](`elapse()`)) // three seconds without a touch
			th.Wait(fmt.Sprintf(`document.querySelector("main").dataset.state === "after" && document.querySelector("#after .worth").textContent === %q`, c.want))
			th.Picture("count-after-" + c.name)
		})
	}
}

// TestCountHasNoBarriers opens each state of the page on phones and screens, by keys
// alone, and on a phone whose browser has its bars open.
func TestCountHasNoBarriers(t *testing.T) {
	url, chrome := browser.Serve(t), browser.Start(t)
	for _, views := range [][]browser.View{coachViews[:2], coachViews[2:], {{Name: "short", Width: 390, Height: 664}}} {
		t.Run(views[0].Name, func(t *testing.T) {
			th := openCount(t, chrome, url, "2025-26", views[0])
			fits := func(state string) {
				t.Helper()
				for _, view := range views {
					for _, barrier := range th.BarriersOf(view) {
						t.Errorf("%s, %s: %s", state, view.Name, barrier)
					}
					th.Picture("count-" + state)
					if over := browser.Evaluate[[]string](th.Page, cutOff); len(over) > 0 {
						t.Errorf("%s, %s: does not fit: %q", state, view.Name, over)
					}
				}
				th.Look(views[0])
			}
			fits("ready")
			if size := browser.Evaluate[int](th.Page, pageSize); size > 100_000 || size < 10_000 {
				t.Errorf("without the engine the page is %d bytes, at most 100,000 are to be", size)
			}
			th.Do(browser.Click("#for"))
			th.Wait(`(() => { const box = document.getElementById("season").getBoundingClientRect(); return document.elementFromPoint(box.x + 9, box.y + 9) === document.getElementById("season"); })()`)
			fits("rules")
			th.Do(browser.Click("#for"))
			keys := func(list ...string) {
				for _, key := range list {
					th.Do(chromedp.KeyEvent(key))
				}
			}
			spins := func(n int) {
				for range n {
					keys(" ")
				}
			}
			keys(kb.ArrowRight, kb.ArrowRight)
			spins(8)
			keys("f", kb.ArrowDown, kb.ArrowDown)
			spins(3)
			keys(kb.ArrowUp, kb.ArrowUp)
			spins(2)
			th.stands("CCoSp3", "3.00", "2") // two variations count in a spin of this season, and the third is none
			fits("live")
			keys("x")
			th.Wait(`!document.getElementById("reports").hidden`)
			fits("reports")
			th.Do(browser.Click("#reports button"))
			th.stands("CCoSp4", "3.50", "2")
			keys(kb.Escape)
			th.Wait(`document.querySelector("main").dataset.state === "after" && document.activeElement.id === "keep"`)
			fits("after")
			clean(t, "count", th.Page, false)
		})
	}
}

// pageSize is what the page is made of, in bytes as they are sent.
const pageSize = `[...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")]
	.filter(r => !/\/(built|v1)\//.test(r.name)).reduce((sum, r) => sum + r.encodedBodySize, 0)`

// cutOff lists what is cut off at an edge of the screen or wider than the page.
const cutOff = `[...document.querySelectorAll("main *")].filter(n => n.checkVisibility() && !n.closest(".aloud, .live .features")).flatMap(n => {
	const box = n.getBoundingClientRect();
	const cut = box.right > innerWidth + 1 || box.left < -1 || n.closest(".frame, .head, .parts") && (box.bottom > innerHeight + 1 || box.top < -1) || n.closest(".frame button") && n.scrollWidth > n.clientWidth + 1 && n.clientWidth > 0;
	return cut ? [n.outerHTML.slice(0, 120)] : [];
})`
