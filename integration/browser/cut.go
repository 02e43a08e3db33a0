package browser

import (
	"context"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/cdproto/fetch"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// Half is the half of its way on which a call is held.
type Half = fetch.RequestStage

// The halves of a call's way: before the server has seen it, and when the server has
// answered and the page does not know.
const (
	Going  Half = fetch.RequestStageRequest
	Coming Half = fetch.RequestStageResponse
)

// Held are calls of a page that are held on their way.
type Held struct {
	p     *Page
	half  Half
	end   string // of the address
	calls chan fetch.RequestID
	ids   []fetch.RequestID
}

// ways is where the calls of a page pass.
type ways struct {
	open sync.Once
	mu   sync.Mutex
	held *Held // what is held; nil = nothing
}

// probe is what the page asks for to see that its calls pass.
const probe = "/v1/seasons"

// Hold holds what the page calls from now on to change something of a performance, at an
// address with this end.
func (p *Page) Hold(half Half, end string) *Held {
	p.t.Helper()
	p.ways.open.Do(p.watchWays)
	const many = 100 // more than a page calls until somebody lets it
	h := &Held{p: p, half: half, end: end, calls: make(chan fetch.RequestID, many)}
	p.ways.set(h)
	return h
}

func (w *ways) set(h *Held) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.held = h
}

// watchWays lets the page's calls pass, but for those that are to be held.
func (p *Page) watchWays() {
	p.t.Helper()
	paused := chromedp.Events(p.ctx, fetch.RequestPaused)
	var patterns []*fetch.RequestPattern
	for _, half := range []Half{Going, Coming} {
		for _, address := range []string{"*/performances/*", "*" + probe} {
			patterns = append(patterns, &fetch.RequestPattern{URLPattern: address, RequestStage: half})
		}
	}
	Call(p, fetch.Enable, fetch.EnableParams{Patterns: patterns})
	passes := make(chan struct{})
	go func() {
		passed := sync.OnceFunc(func() { close(passes) })
		for e, err := range paused {
			if err != nil {
				return
			}
			if strings.HasSuffix(e.Request.URL, probe) {
				passed()
			}
			if h := p.ways.takes(e); h != nil {
				h.calls <- e.RequestID
				continue
			}
			go func() { // none waits for another
				_, _ = chromedp.Call(p.ctx, fetch.ContinueRequest, fetch.ContinueRequestParams{RequestID: e.RequestID}) // the page may have given it up
			}()
		}
	}()
	// The browser turns the calls of a page that is open aside a moment after it says so.
	for {
		Evaluate[bool](p, `fetch("`+probe+`").then(r => r.ok)`)
		select {
		case <-passes:
			return
		default:
		}
	}
}

// takes returns what holds a call; nil lets it pass.
func (w *ways) takes(e fetch.EventRequestPaused) *Held {
	w.mu.Lock()
	defer w.mu.Unlock()
	half := Going
	if e.ResponseStatusCode != 0 || e.ResponseErrorReason != "" {
		half = Coming
	}
	if h := w.held; h != nil && h.half == half && e.Request.Method != http.MethodGet && strings.HasSuffix(e.Request.URL, h.end) {
		return h
	}
	return nil
}

// Wait waits until another call is held.
func (h *Held) Wait() {
	h.p.t.Helper()
	select {
	case id := <-h.calls:
		h.ids = append(h.ids, id)
	case <-time.After(patience):
		h.p.t.Fatalf("no call at …%s; the page shows:\n%s", h.end, h.p.excerpt())
	}
}

// Go lets the calls go on to the server, if there is one, and loses answers that are held.
func (h *Held) Go() {
	h.p.t.Helper()
	ctx, cancel := context.WithTimeout(h.p.ctx, patience)
	defer cancel()
	h.p.ways.set(nil)
	for len(h.calls) > 0 {
		h.Wait()
	}
	for _, id := range h.ids {
		// A page that was loaded again has given its call up.
		if h.half == Going {
			_, _ = chromedp.Call(ctx, fetch.ContinueRequest, fetch.ContinueRequestParams{RequestID: id})
		} else {
			_, _ = chromedp.Call(ctx, fetch.FailRequest, fetch.FailRequestParams{RequestID: id, ErrorReason: network.ErrorReasonConnectionReset})
		}
	}
}

// Cut cuts the page off from the network, or connects it again. Pages beside it are not.
func (p *Page) Cut(cut bool) {
	p.t.Helper()
	const unlimited = -1
	var conditions network.EmulateNetworkConditionsByRuleParams
	if cut {
		conditions.MatchedNetworkConditions = []*network.Conditions{{Offline: true, DownloadThroughput: unlimited, UploadThroughput: unlimited}}
	}
	Call(p, network.EmulateNetworkConditionsByRule, conditions)
	Call(p, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: cut, DownloadThroughput: unlimited, UploadThroughput: unlimited})
}

// Close closes the page, as a person closes a tab.
func (p *Page) Close() {
	p.t.Helper()
	if err := chromedp.Cancel(p.ctx); err != nil {
		p.t.Fatalf("close the page: %v", err)
	}
}
