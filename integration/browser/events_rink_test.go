package browser_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/server/config"
)

// rink is a server with an event, and the browser of everybody there. The event
// has one category and three judges; nobody in it exists.
type rink struct {
	t      *testing.T
	chrome *browser.Chrome
	server *browser.Server
	club   string            // address of another site, which shows the board
	tokens map[string]string // by desk: "judge 2"
}

const (
	cup   = "pond-cup"
	women = "senior-women"
	short = "short-program"
)

// clubPage is a page of a club's own site: one script and the element.
const clubPage = `<!doctype html><html lang="en"><meta charset="utf-8"><title>Our club</title>
<link rel="icon" href="data:,"><script type="module" src="%[1]s/embed/scoreboard.js"></script>
<main><h1>Our club</h1><rinktally-scoreboard event="%[2]s" server="%[1]s"></rinktally-scoreboard></main></html>`

// emptyRink is a rink on the first start of the server, before there is any event.
func emptyRink(t *testing.T) *rink {
	t.Helper()
	return &rink{t: t, server: browser.NewServer(t), chrome: browser.Start(t), tokens: map[string]string{}}
}

func newRink(t *testing.T, change ...func(*config.Config)) *rink {
	t.Helper()
	return newRinkWith(t, nil, func(server string) http.Handler { return pageOf(fmt.Sprintf(clubPage, server, cup)) }, change...)
}

// pageOf serves one page.
func pageOf(page string) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprint(w, page)
	}
}

// newRinkWith is newRink with an engine for the pages and a club's site of its own, which
// is given the server's address.
func newRinkWith(t *testing.T, engine fs.FS, site func(server string) http.Handler, change ...func(*config.Config)) *rink {
	t.Helper()
	r := &rink{t: t, tokens: map[string]string{}}
	var handler http.Handler
	club := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { handler.ServeHTTP(w, r) }))
	t.Cleanup(club.Close)
	r.club = club.URL
	r.server = browser.NewServerWith(t, engine, append(change, func(c *config.Config) { c.CORSOrigins = []string{r.club} })...)
	handler = site(r.server.URL)
	r.chrome = browser.Start(t)
	r.makeEvent()
	return r
}

// makeEvent makes the event and hands the tokens out.
func (r *rink) makeEvent() {
	r.t.Helper()
	r.tokens["admin"] = r.server.AdminToken
	r.call("admin", http.MethodPost, "/v1/events", map[string]any{
		"event": cup, "name": "Pond Cup", "place": "Invented Hall", "startDate": "2026-01-15", "season": "2025-26",
	}, nil)
	at := "/v1/events/" + cup
	r.call("admin", http.MethodPut, at+"/categories/"+women, map[string]any{}, nil)
	r.call("admin", http.MethodPut, at+"/panel", map[string]any{"panel": map[string]any{"judges": 3}}, nil)
	for desk, request := range map[string]map[string]any{
		"organiser": {"role": "ORGANISER"}, "technical": {"role": "TECHNICAL_PANEL"}, "referee": {"role": "REFEREE"},
		"judge 1": {"role": "JUDGE", "judge": 1}, "judge 2": {"role": "JUDGE", "judge": 2}, "judge 3": {"role": "JUDGE", "judge": 3},
	} {
		var made struct{ Token string }
		r.call("admin", http.MethodPost, at+"/tokens", request, &made)
		r.tokens[desk] = made.Token
	}
}

// call makes a call of the API with the token of a desk; "" has none.
func (r *rink) call(desk, method, path string, body, answer any) {
	r.t.Helper()
	data, err := json.Marshal(body)
	if err != nil {
		r.t.Fatal(err)
	}
	req, err := http.NewRequestWithContext(context.Background(), method, r.server.URL+path, bytes.NewReader(data))
	if err != nil {
		r.t.Fatal(err)
	}
	if method == http.MethodGet {
		req.Body = http.NoBody
	}
	if token := r.tokens[desk]; token != "" {
		req.Header.Set("Authorization", "Bearer "+token)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		r.t.Fatal(err)
	}
	defer res.Body.Close()
	var got bytes.Buffer
	if _, err := got.ReadFrom(res.Body); err != nil || res.StatusCode != http.StatusOK {
		r.t.Fatalf("%s %s: %d, %v: %s", method, path, res.StatusCode, err, got.String())
	}
	if answer == nil {
		return
	}
	if err := json.Unmarshal(got.Bytes(), answer); err != nil {
		r.t.Fatal(err)
	}
}

// desk opens a desk and returns its token.
func (r *rink) desk(name, page string, view browser.View) *browser.Page {
	r.t.Helper()
	p := r.chrome.Open(r.t, r.server.URL+"/desk/"+cup+"/"+page, view)
	sit(p, r.tokens[name])
	p.Wait(`!document.getElementById("desk").hidden`)
	return p
}

// sit types a token.
func sit(p *browser.Page, token string) {
	p.Do(chromedp.SendKeys("#token", token+"\r", chromedp.NodeVisible))
}

// board is the inside of the scoreboard, on any page.
const board = `document.querySelector("rinktally-scoreboard").shadowRoot`

// shows waits until a part of the board has a text.
func shows(p *browser.Page, selector, text string) {
	p.Wait(fmt.Sprintf(`%s.querySelector(%q)?.textContent.includes(%q)`, board, selector, text))
}

// arrived waits until a desk has everything acknowledged.
func arrived(p *browser.Page) {
	p.Wait(`document.querySelector(".sending .pill")?.dataset.state === "sent"`)
}

// away is what the browser complains about while a server stops and is not there.
var away = []string{"ERR_CONNECTION_REFUSED", "ERR_CONNECTION_RESET", "ERR_CONNECTION_CLOSED", "ERR_EMPTY_RESPONSE", "ERR_INCOMPLETE_CHUNKED_ENCODING"}

// conflict reports whether the browser says that the event was ahead of a call which
// depends on its state: the desk makes it again, from what stands then.
func conflict(problem string) bool {
	return strings.Contains(problem, "409 (Conflict)") && (strings.Contains(problem, "/deductions") || strings.Contains(problem, ":confirm"))
}

// clean fails the test for what the browser complained about. A server that is
// away is no fault of the page, when that is expected.
func clean(t *testing.T, name string, p *browser.Page, restarted bool) {
	t.Helper()
	for _, problem := range p.Problems() {
		if conflict(problem) || restarted && slices.ContainsFunc(away, func(one string) bool { return strings.Contains(problem, one) }) {
			continue
		}
		t.Errorf("%s: the browser complains: %s", name, problem)
	}
}
