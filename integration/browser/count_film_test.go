package browser_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rinktally/rinktally/integration/browser"
)

// A film is made in the page, so that there is none in the repository, and chosen as a
// person does.
const chooseFilm = `(async () => {
	const canvas = document.createElement("canvas"), draw = canvas.getContext("2d"), parts = [];
	const recorder = new MediaRecorder(canvas.captureStream());
	recorder.ondataavailable = ({ data }) => parts.push(data);
	const stopped = new Promise((resolve) => { recorder.onstop = resolve; });
	recorder.start();
	for (let i = 0; i < 40; i++) {
		draw.fillRect(i, i, 9, 9);
		await new Promise(requestAnimationFrame);
	}
	recorder.stop();
	await stopped;
	const chosen = new DataTransfer();
	chosen.items.add(new File(parts, "spin.webm", { type: "video/webm" }));
	document.getElementById("film-file").files = chosen.files;
	document.getElementById("film-file").dispatchEvent(new Event("change"));
})()`

// TestCountFromAFilm counts a spin from a film: at each touch stands the film's time, a
// revolution that was missed is put where it was, and ticks are moved and taken away.
func TestCountFromAFilm(t *testing.T) {
	th := openCount(t, browser.Start(t), browser.Serve(t), "2021-22", atTheBoards)
	browser.Evaluate[any](th.Page, chooseFilm)
	th.Wait(`document.getElementById("film").readyState > 0`)
	seek := func(to float64) {
		t.Helper()
		th.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.getElementById("film").currentTime = %v`, to)))
		th.Wait(`!document.getElementById("film").seeking`)
	}
	ticks := func(n int) {
		t.Helper()
		th.Wait(fmt.Sprintf(`document.querySelectorAll(".mark-at").length === %d`, n))
	}
	th.tap(`[data-edge=right]`)
	for i, at := range []float64{0.1, 0.2, 0.4} {
		seek(at)
		th.tap("#pad")
		ticks(i + 1)
	}
	th.stands("CSpB", "1.10", "3")
	th.tap(`[data-edge=down]`)
	seek(0.3) // one was missed: it belongs to the camel, which was before
	th.tap("#pad")
	ticks(4)
	th.Wait(`document.getElementById("number").textContent === "0"`)
	for _, barrier := range th.EveryBarrier() {
		t.Error(barrier)
	}
	th.Picture("count-film")
	if over := browser.Evaluate[[]string](th.Page, cutOff); len(over) > 0 {
		t.Errorf("does not fit: %q", over)
	}
	before := browser.Evaluate[string](th.Page, `document.querySelector(".mark-at").getAttribute("aria-label")`)
	th.Do(chromedp.Focus(".mark-at"), chromedp.KeyEvent(kb.ArrowRight))
	th.Wait(fmt.Sprintf(`document.querySelector(".mark-at").getAttribute("aria-label") !== %q && document.activeElement.className === "mark-at"`, before))
	th.Do(chromedp.KeyEvent(kb.Delete))
	ticks(3)
	th.Do(browser.Click("#frame-on"), browser.Click("#film-done"))
	th.Wait(`document.querySelector("main").dataset.state === "after" && document.querySelector("#after .count-of button:nth-child(2)").textContent === "3"`)
	if n := browser.Evaluate[int](th.Page, `performance.getEntriesByType("resource").filter(r => r.initiatorType !== "fetch" && r.name.endsWith("webm")).length`); n != 0 {
		t.Errorf("the film was fetched from somewhere, %d times", n)
	}
	clean(t, "count", th.Page, false)
}

// TestBeatRuns has revolutions run by themselves after two taps; what they counted says
// so, also of a feature that rests on one of them.
func TestBeatRuns(t *testing.T) {
	th := openCount(t, browser.Start(t), browser.Serve(t), "2021-22", atTheBoards)
	th.clock = th.clock.Add(time.Hour) // no revolution is due before elapse()
	th.Do(browser.Click("#beat-runs"))
	th.tap(`[data-edge=right]`)
	th.tap("#pad")
	th.tap("#pad")
	for n := 3; n <= 8; n++ {
		th.Do(chromedp.Evaluate[chromedp.Void](`elapse(60_000)`))
		th.Wait(fmt.Sprintf(`document.getElementById("number").textContent === "≈%d"`, n))
	}
	th.Wait(`document.getElementById("features").textContent.includes("◇ rests on one revolution of the beat")`)
	th.Picture("count-beat")
	th.tap("#undo")
	th.Wait(`document.querySelector("main").dataset.state === "after" && document.querySelector("#after .list").textContent.includes("by the beat: check it")`)
	th.Do(browser.Click("#after .count-of button:last-child"))
	th.Wait(`!document.querySelector("#after .list").textContent.includes("by the beat")`)
	clean(t, "count", th.Page, false)
}
