package browser_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/rinktally/rinktally/integration/browser"
)

// What moves away while it is aimed at is pressed where it is then, and what has come in
// its place is not pressed.
func TestPressFollowsWhatMoves(t *testing.T) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = io.WriteString(w, `<!doctype html><title>moves</title>
			<button id="other" hidden>Other</button><p><button id="wanted">Wanted</button>
			<script>
				const counts = globalThis.counts = { other: 0, wanted: 0, moves: 0 };
				for (const id of ["other", "wanted"]) document.getElementById(id).onclick = () => { counts[id] += 1; };
				const wanted = document.getElementById("wanted"), other = document.getElementById("other");
				wanted.scrollIntoView = () => {
					if (counts.moves) return;
					const box = wanted.getBoundingClientRect();
					queueMicrotask(() => {
						counts.moves += 1;
						Object.assign(other.style, { position: "fixed", left: box.left + "px", top: box.top + "px" });
						other.hidden = false;
						wanted.style.marginTop = "200px";
					});
				};
			</script>`)
	}))
	t.Cleanup(server.Close)
	const counts = `Object.values(counts).join()` // of the other, of the wanted, of moves
	page := browser.Start(t).Open(t, server.URL, coachPhone)
	page.Press("button", "Wanted")
	if got := browser.Evaluate[string](page, counts); got != "0,1,1" {
		t.Errorf("pressed by name: %s", got)
	}
	page.Press("button", "Other")
	if got := browser.Evaluate[string](page, counts); got != "1,1,1" {
		t.Errorf("then the other: %s", got)
	}
	page = browser.Start(t).Open(t, server.URL, coachPhone)
	page.Do(browser.Click("#wanted"))
	if got := browser.Evaluate[string](page, counts); got != "0,1,1" {
		t.Errorf("pressed by selector: %s", got)
	}
}
