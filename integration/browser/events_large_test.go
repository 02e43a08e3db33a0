package browser_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// field enters so many skaters, who skate in the order of their numbers, and starts the
// segment.
func (r *rink) field(size int) {
	r.t.Helper()
	var csv strings.Builder
	csv.WriteString("category,name,club\n")
	order := make([]string, size)
	for i := range order {
		order[i] = fmt.Sprint(i + 1)
		fmt.Fprintf(&csv, "%s,Skater %d Invented,Pond\n", women, i+1)
	}
	at := "/v1/events/" + cup
	r.call("organiser", http.MethodPost, at+"/entries:import", map[string]any{"csv": csv.String()}, nil)
	at += "/categories/" + women + "/segments/" + short
	r.call("organiser", http.MethodPost, at+":drawOrder", map[string]any{"method": "GIVEN", "entries": order}, nil)
	r.call("referee", http.MethodPost, at+":start", map[string]any{}, nil)
}

// skates runs the next performance, which is that of an entry, to its confirmation; all
// judges give all components one mark.
func (r *rink) skates(entry string, mark float64) {
	r.t.Helper()
	at := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short
	r.call("technical", http.MethodPost, at+":callSkater", map[string]any{}, nil)
	r.call("technical", http.MethodPost, at+"/performances/"+entry+"/elements", map[string]any{"code": "2A"}, nil)
	r.scores(entry, 1, mark)
}

// scores marks so many elements of an entry that is on the ice +1, and all components
// one mark, to its confirmation.
func (r *rink) scores(entry string, elements int, mark float64) {
	r.t.Helper()
	at := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short + "/performances/" + entry
	executions := make([]map[string]any, elements)
	for i := range executions {
		executions[i] = map[string]any{"element": i + 1, "mark": 1}
	}
	for judge := 1; judge <= 3; judge++ {
		marks := []map[string]any{}
		for _, component := range []string{"COMPOSITION", "PRESENTATION", "SKATING_SKILLS"} {
			marks = append(marks, map[string]any{"component": component, "mark": mark})
		}
		desk, its := fmt.Sprint("judge ", judge), fmt.Sprint(at, "/judges/", judge)
		r.call(desk, http.MethodPut, its+"/elementMarks", map[string]any{"marks": executions}, nil)
		r.call(desk, http.MethodPut, its+"/componentMarks", map[string]any{"marks": marks}, nil)
	}
	r.call("referee", http.MethodPost, at+":confirm", map[string]any{}, nil)
}

// rows are the places that a board lists.
const rows = board + `.querySelectorAll("tbody tr")`

// The board of a large category lists the first and who skates, and all of them when
// somebody asks for them; then it follows what changes of any.
func TestBoardOfALargeCategory(t *testing.T) {
	const size = 70
	r := newRink(t)
	r.field(size)
	const best, step = 10.0, 0.25
	for i := range 40 {
		r.skates(fmt.Sprint(i+1), best-step*float64(i))
	}
	pages := []*browser.Page{
		r.chrome.Open(t, r.server.URL+"/events/"+cup, browser.Phone),
		r.chrome.Open(t, r.server.URL+"/events/"+cup, browser.DeskDark),
		r.chrome.Open(t, r.club, browser.Desk), // another site's
	}
	for _, p := range pages {
		shows(p, "h3", "Skater 40 Invented")
		listed := browser.Evaluate[int](p, rows+".length")
		if listed < 20 || listed >= size {
			t.Errorf("%d of %d places are listed", listed, size)
		}
		shows(p, ".places", fmt.Sprintf("and %d more", size-listed))
		// Of those who have a place the first 20 are listed, and the four before the skater.
		gaps := browser.Evaluate[string](p, `[...`+board+`.querySelectorAll("tr.gap .place")].map(node => node.textContent).join()`)
		if gaps != "36" {
			t.Errorf("behind a gap stand %s, want 36", gaps)
		}
		p.Picture("large")
		for _, barrier := range p.EveryBarrier() {
			t.Error(barrier)
		}
		p.Do(chromedp.Evaluate[chromedp.Void](board + `.querySelector(".places > button").click()`))
		p.Wait(fmt.Sprintf("%s.length === %d", rows, size))
		p.Wait(board + `.querySelector(".places > button").hidden`)
		if browser.Evaluate[bool](p, board+`.querySelector("tr.gap") !== null || `+board+`.querySelector(".places").textContent.includes("more")`) {
			t.Error("all places are listed, and yet some are said to be missing")
		}
		p.Picture("large-all")
	}
	// Entry 60 has not skated and stands far from who does.
	r.call("organiser", http.MethodPatch, "/v1/events/"+cup+"/entries/60", map[string]any{"club": "Lake"}, nil)
	r.skates("41", best)
	for _, p := range pages {
		shows(p, "tbody", "Lake")
		p.Wait(fmt.Sprintf(`[...%s].find(row => row.textContent.includes("Skater 41 ")).querySelector(".place").textContent === "1="`, rows))
		if listed := browser.Evaluate[int](p, rows+".length"); listed != size {
			t.Errorf("after a change %d of %d places are listed", listed, size)
		}
	}
}
