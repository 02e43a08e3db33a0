// Package browser opens the pages in a real Chromium for their tests: what a
// person types and sees, what the browser complains about, and what an
// accessibility checker finds. deploy/test/install.sh installs what it needs.
package browser

import (
	"context"
	"errors"
	"iter"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// patience bounds one step on a page, on a machine that does other things too. It is no
// measure of anything: a step that ends is not slower for it.
const patience = 2 * time.Minute

// Chrome is a running browser without a window.
type Chrome struct{ ctx context.Context }

// shared is the browser of all tests that want no flags: each opens its pages in
// profiles of its own. Where the system has Chromium's headless shell too, it is that
// one: the same engine without windows around the pages, which take a fifth of the time.
var shared struct {
	sync.Mutex
	chrome *Chrome
	stop   func()
}

// Main runs the tests of a package that open pages, and ends their browser.
func Main(m *testing.M) (code int) {
	defer func() {
		if shared.stop != nil {
			shared.stop()
		}
	}()
	return m.Run()
}

// Start returns the browser of the package's tests, or with flags one of its own, which
// ends with the test and has also what surrounds pages, such as warnings of addresses.
func Start(t testing.TB, flags ...chromedp.ExecAllocatorOption) *Chrome {
	t.Helper()
	if len(flags) > 0 {
		c, stop := start(t, chromium, flags...)
		t.Cleanup(stop)
		return c
	}
	shared.Lock()
	defer shared.Unlock()
	if shared.chrome == nil || shared.chrome.ctx.Err() != nil { // it has crashed in another test
		shared.chrome, shared.stop = start(t, append([]string{headlessShell}, chromium...))
	}
	return shared.chrome
}

func start(t testing.TB, names []string, flags ...chromedp.ExecAllocatorOption) (c *Chrome, stop func()) {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(program(t, names)),
		chromedp.WSURLReadTimeout(patience),
		chromedp.NoSandbox, // it only opens our own pages, and root has no sandbox
		chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		// The list under the address field is a page of its own in every window, which
		// costs more to start than most of ours, and nobody types an address here.
		chromedp.Flag("disable-features", "Translate,WebUIOmniboxPopup,WebUIOmniboxAimPopup,WebUIOmniboxFullPopup"),
	)
	allocator, stopAllocator := chromedp.NewExecAllocator(context.Background(), append(options, flags...)...)
	ctx, closeBrowser := chromedp.NewContext(allocator)
	stop = func() {
		closeBrowser()
		stopAllocator()
	}
	if err := chromedp.Do(ctx); err != nil {
		stop()
		t.Fatalf("the browser does not start: %v", err)
	}
	return &Chrome{ctx: ctx}, stop
}

// The names that systems give Chromium.
var chromium = []string{"chromium", "chromium-browser", "google-chrome"}

const headlessShell = "chromium-headless-shell"

// program finds the first of some programs.
func program(t testing.TB, names []string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Fatal("there is no Chromium here; deploy/test/install.sh installs it")
	return ""
}

// View is the screen that a page is looked at on.
type View struct {
	Name          string
	Width, Height int64
	Dark          bool
}

// The views that every page has to look well in.
var (
	Phone     = View{Name: "phone", Width: 360, Height: 740}
	PhoneDark = View{Name: "phone-dark", Width: 360, Height: 740, Dark: true}
	Desk      = View{Name: "desk", Width: 1280, Height: 900}
	DeskDark  = View{Name: "desk-dark", Width: 1280, Height: 900, Dark: true}
	Hall      = View{Name: "hall", Width: 1920, Height: 1080}
)

// Page is one open page.
type Page struct {
	t    testing.TB
	ctx  context.Context
	view View
	ways ways

	mu       sync.Mutex
	problems []string
	heard    chan struct{}
}

// Open opens a page in a new profile, as on a device of its own.
func (c *Chrome) Open(t testing.TB, url string, view View) *Page {
	t.Helper()
	return c.open(t, url, view, chromedp.WithNewBrowserContext())
}

// Beside opens another page of the same profile, as in another tab of the same
// browser.
func (p *Page) Beside(url string, view View) *Page {
	p.t.Helper()
	return (&Chrome{ctx: p.ctx}).open(p.t, url, view)
}

func (c *Chrome) open(t testing.TB, url string, view View, options ...chromedp.ContextOption) *Page {
	t.Helper()
	ctx, closePage := chromedp.NewContext(c.ctx, options...)
	t.Cleanup(closePage)
	p := &Page{t: t, ctx: ctx, heard: make(chan struct{}, 1)}
	p.Look(view)
	go p.hear(chromedp.Console(ctx))
	p.Do(chromedp.Navigate(url))
	return p
}

// Look puts the page on another screen.
func (p *Page) Look(view View) {
	p.t.Helper()
	p.view = view
	if err := chromedp.Do(p.ctx, chromedp.EmulateViewport(view.Width, view.Height)); err != nil {
		p.t.Fatalf("put the page on a screen: %v", err)
	}
	p.media("")
}

// OnPaper shows the page as it is printed, while do looks at it.
func (p *Page) OnPaper(do func()) {
	p.t.Helper()
	p.media("print")
	defer p.media("")
	do()
}

// media shows the page for a medium; "" is the screen.
func (p *Page) media(of string) {
	p.t.Helper()
	scheme := "light"
	if p.view.Dark {
		scheme = "dark"
	}
	_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Media: of,
		Features: []*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: scheme},
			{Name: "prefers-reduced-motion", Value: "reduce"}, // what is looked at stands still
		},
	})
	if err != nil {
		p.t.Fatalf("put the page on a screen: %v", err)
	}
}

// hear keeps what the browser complains about until the page is closed.
func (p *Page) hear(messages iter.Seq2[chromedp.ConsoleMessage, error]) {
	for m, err := range messages {
		if err != nil {
			return
		}
		switch m.Type {
		case chromedp.ConsoleError, chromedp.ConsoleWarning, chromedp.ConsoleException:
			p.mu.Lock()
			p.problems = append(p.problems, m.String()+" "+m.URL)
			p.mu.Unlock()
		case chromedp.ConsoleDebug:
			if m.Text == endOfList {
				p.heard <- struct{}{}
			}
		}
	}
}

// endOfList is what Problems says itself, to know that it has heard all before.
const endOfList = "all problems before this one"

// Problems lists what the browser complained about since it was asked last:
// errors and warnings of scripts, files that are missing, breaches of the
// content security policy.
func (p *Page) Problems() []string {
	p.t.Helper()
	p.Do(chromedp.Evaluate[chromedp.Void]("console.debug(" + strconv.Quote(endOfList) + ")"))
	select {
	case <-p.heard:
	case <-time.After(patience):
		p.t.Error("the browser's console is silent")
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	problems := p.problems
	p.problems = nil
	return problems
}

// Do takes steps on the page. The test fails when one cannot be taken.
func (p *Page) Do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	for _, step := range steps {
		if _, err := again(ctx, notBegun, step); err != nil {
			p.t.Fatalf("on the page (%s): %v; it shows:\n%s", p.view.Name, err, p.excerpt())
		}
	}
}

// again takes a step until it ends otherwise than by the page being replaced by
// another in the meantime.
func again[T any](ctx context.Context, replaced func(error) bool, step chromedp.Action[T]) (T, error) {
	for {
		value, err := chromedp.Run(ctx, step)
		if !replaced(err) || ctx.Err() != nil {
			return value, err
		}
	}
}

// notBegun reports whether the browser refused a step because the page that it was for
// had gone, or drew the part that it was for again: nothing has happened on any page.
// Clicks and keys look for the place of that part before they do anything.
func notBegun(err error) bool {
	return errors.Is(err, chromedp.ErrInvalidDimensions) || says(err, "Cannot find context with specified id", "uniqueContextId not found",
		"Could not find node with given id", "No node with given id", "Node is detached from document", "Node does not have a layout object", "Could not compute content quads", "Element is not focusable")
}

// says reports whether the browser refused something with a message that begins so.
func says(err error, beginnings ...string) bool {
	fault, ok := errors.AsType[*cdproto.Error](err)
	return ok && slices.ContainsFunc(beginnings, func(b string) bool { return strings.HasPrefix(fault.Message, b) })
}

// unseen reports whether a look at a page, or at a part of it, ended with what was looked
// at, because it was replaced; looking again harms nothing.
func unseen(err error) bool {
	return notBegun(err) || says(err, "Execution context was destroyed", "Inspected target navigated or closed", "Promise was collected", "Could not find object")
}

// Opens goes to an address and reports whether a page came.
func (p *Page) Opens(url string) bool {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	return chromedp.Do(ctx, chromedp.Navigate(url)) == nil
}

// OpensAnyway goes to an address whose certificate the browser does not trust, and on at
// its warning.
func (p *Page) OpensAnyway(url string) {
	p.t.Helper()
	if p.Opens(url) {
		p.t.Errorf("the browser does not warn of %s", url)
	}
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	for {
		// The warning comes a moment after the address has failed, in a context of its own.
		_, err := chromedp.Run(ctx, chromedp.Poll[chromedp.Void](`document.getElementById("proceed-link") && (document.getElementById("proceed-link").click(), true)`))
		if err == nil {
			return
		}
		if ctx.Err() != nil {
			p.t.Fatalf("%s: no warning to go on at: %v", url, err)
		}
	}
}

// Text returns the text that a person sees in an element, and waits for it to be
// visible.
func (p *Page) Text(selector string) string {
	p.t.Helper()
	return ask(p, unseen, chromedp.Text(selector, chromedp.NodeVisible))
}

// Wait waits until an expression of JavaScript is true.
func (p *Page) Wait(expression string) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	if _, err := again(ctx, unseen, chromedp.Poll[chromedp.Void](expression, chromedp.WithPollingTimeout(patience))); err != nil {
		p.t.Fatalf("waiting for %s (%s): %v; the page shows:\n%s", expression, p.view.Name, err, p.excerpt())
	}
}

// excerpt is the beginning of the text on the page, for a person who looks for
// the reason of a failure.
func (p *Page) excerpt() string {
	ctx, cancel := context.WithTimeout(p.ctx, 10*time.Second)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string]("document.body.innerText.slice(0, 2000)"))
	if err != nil {
		return err.Error()
	}
	return text
}

// Ask takes a step on the page that returns something.
func Ask[T any](p *Page, step chromedp.Action[T]) T {
	p.t.Helper()
	return ask(p, notBegun, step)
}

func ask[T any](p *Page, replaced func(error) bool, step chromedp.Action[T]) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	value, err := again(ctx, replaced, step)
	if err != nil {
		p.t.Fatalf("on the page (%s): %v; it shows:\n%s", p.view.Name, err, p.excerpt())
	}
	return value
}

// Evaluate returns the value of an expression of JavaScript; a promise is awaited.
func Evaluate[T any](p *Page, expression string) T {
	p.t.Helper()
	return Ask(p, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

// Call runs a command of the browser's protocol on the page and returns its result.
func Call[P, R any](p *Page, command cdp.Command[P, R], params P) R {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	result, err := chromedp.Call(ctx, command, params)
	if err != nil {
		p.t.Fatalf("on the page (%s): %v; it shows:\n%s", p.view.Name, err, p.excerpt())
	}
	return result
}

// Picture writes the whole page as a PNG file into the folder that the
// environment variable RINKTALLY_SCREENSHOTS names; without it, nowhere.
func (p *Page) Picture(name string) {
	p.t.Helper()
	dir := os.Getenv("RINKTALLY_SCREENSHOTS")
	if dir == "" {
		return
	}
	const png = 100 // the quality that means PNG
	data := Ask(p, chromedp.FullScreenshot(png))
	if err := os.WriteFile(filepath.Join(dir, name+"-"+p.view.Name+".png"), data, 0o600); err != nil { //nolint:gosec // whoever runs the tests names the folder
		p.t.Error(err)
	}
}
