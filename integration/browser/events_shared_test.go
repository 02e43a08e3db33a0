package browser_test

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
)

// everywhere are the pages that one laptop at the rink may have open, more than a
// browser keeps connections to a server. Each shows how many elements were called.
var everywhere = []struct{ path, token, elements string }{
	{"/events/" + cup + "?", "", board + `.querySelectorAll(".elements li:not(.head)").length`},
	{"/events/" + cup + "?hall", "", `document.querySelectorAll("#hall .elements li").length`},
	{"/desk/" + cup + "/technical", "technical", `document.querySelectorAll("#elements li").length`},
	{"/desk/" + cup + "/judge", "judge 1", `document.querySelectorAll("#elements .tile").length`},
	{"/desk/" + cup + "/judge", "judge 2", `document.querySelectorAll("#elements .tile").length`},
	{"/desk/" + cup + "/judge", "judge 3", `document.querySelectorAll("#elements .tile").length`},
	{"/desk/" + cup + "/referee", "referee", `document.querySelectorAll("#sheet .of-calls tr").length`},
	{"/desk/" + cup + "/referee", "organiser", `document.querySelectorAll("#sheet .of-calls tr").length`},
}

// All pages move, however many one browser has open, also when reading needs a
// token; when one of them closes or its token ends, the others go on.
func TestPagesOfOneBrowserMoveTogether(t *testing.T) {
	for _, restricted := range []bool{false, true} {
		t.Run(fmt.Sprintf("restricted %v", restricted), func(t *testing.T) {
			r := ready(t, "Ada Invented")
			viewer := ""
			var made struct {
				Token string
				Info  struct{ ID string }
			}
			if restricted {
				r.call("organiser", http.MethodPatch, "/v1/events/"+cup, map[string]any{"restricted": true}, nil)
				r.call("organiser", http.MethodPost, "/v1/events/"+cup+"/tokens", map[string]any{"role": "VIEWER"}, &made)
				viewer = "&token=" + made.Token
			}
			first := r.chrome.Open(t, r.server.URL+"/events", browser.Desk)
			pages := make([]*browser.Page, len(everywhere))
			for i, e := range everywhere {
				if e.token == "" {
					e.path += viewer
				}
				pages[i] = first.Beside(r.server.URL+e.path, browser.Desk)
				if e.token != "" {
					sit(pages[i], r.tokens[e.token])
				}
			}
			move := func(n int, code string) {
				t.Helper()
				r.element(code)
				for i, p := range pages {
					if p != nil {
						p.Wait(fmt.Sprintf("%s === %d", everywhere[i].elements, n))
					}
				}
			}
			move(1, "3Lz")
			move(2, "CCoSp4")
			// The page that opened the stream goes, its token ends, and that of a judge.
			pages[0].Do(chromedp.Navigate("about:blank"))
			pages[0] = nil
			r.revoke("judge 1")
			pages[3].Wait(`document.getElementById("desk").hidden`)
			pages[3] = nil
			if restricted {
				r.call("organiser", http.MethodDelete, "/v1/events/"+cup+"/tokens/"+made.Info.ID, nil, nil)
			}
			r.restartUnseen(pages[2])
			if restricted {
				pages[1].Wait(`document.querySelector("#hall .pill").dataset.state === "fault"`)
				pages[1] = nil
			}
			move(3, "StSq3")
			markElement(pages[5], 0, 3)
			arrived(pages[5])
		})
	}
}

// revoke ends the token of a judge.
func (r *rink) revoke(desk string) {
	r.t.Helper()
	var list struct {
		Tokens []struct {
			ID    string
			Judge int
		}
	}
	r.call("organiser", http.MethodGet, "/v1/events/"+cup+"/tokens", nil, &list)
	for _, token := range list.Tokens {
		if fmt.Sprintf("judge %d", token.Judge) == desk {
			r.call("organiser", http.MethodDelete, "/v1/events/"+cup+"/tokens/"+token.ID, nil, nil)
		}
	}
}

// restartUnseen stops the server, starts it again and waits until a desk is
// connected again.
func (r *rink) restartUnseen(desk *browser.Page) {
	r.t.Helper()
	r.server.Stop()
	desk.Wait(`document.querySelector(".sending").textContent.includes("no connection since")`)
	r.server.Start()
	arrived(desk)
}

// Where the worker that pages share does not start, a page has a stream of its own.
func TestBoardWithoutSharedWorker(t *testing.T) {
	r := ready(t, "Ada Invented")
	page := r.chrome.Open(t, r.server.URL+"/events/"+cup, browser.Desk)
	shows(page, "h3", "Ada Invented")
	page.Do(chromedp.Evaluate[chromedp.Void](`{
		SharedWorker = class extends SharedWorker { constructor(script, options) { super(new URL("none.js", script), options); } };
		const board = document.getElementById("board");
		board.remove();
		document.querySelector("main").append(board);
	}`))
	r.element("3Lz")
	shows(page, ".elements", "3Lz")
}
