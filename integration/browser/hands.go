package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Reads returns the text that a person reads on the page, from its top; text inside of
// elements of other sites comes last.
func (p *Page) Reads() string {
	p.t.Helper()
	return ask(p, unseen, chromedp.Evaluate[string](reads))
}

const reads = `[document.body, ...[...document.querySelectorAll(":defined")].flatMap(e => [...e.shadowRoot?.children ?? []])]
	.map(e => e?.innerText ?? "").join("\n")`

// Sees waits until a person reads a text somewhere on the page.
func (p *Page) Sees(text string) {
	p.t.Helper()
	p.Until(func() string {
		if strings.Contains(p.Reads(), text) {
			return ""
		}
		return fmt.Sprintf("nobody reads %q", text)
	})
}

// Finds waits until a person finds something on the page.
func (p *Page) Finds(role, name string) {
	p.t.Helper()
	p.Until(func() string {
		if p.Has(role, name) {
			return ""
		}
		return fmt.Sprintf("nobody finds the %s %q", role, name)
	})
}

// Uncovered waits until nothing covers a text, from its first letter to its last.
func (p *Page) Uncovered(text string) {
	p.t.Helper()
	for _, part := range []float64{0.02, 0.98} {
		p.place(Named{"StaticText", text}, part)
	}
}

// Paste puts a text where the focus is, as from the clipboard.
func (p *Page) Paste(text string) {
	p.t.Helper()
	Call(p, input.InsertText, input.InsertTextParams{Text: text})
}

// Keys presses keys, wherever the focus is.
func (p *Page) Keys(keys string, options ...chromedp.KeyOption) {
	p.t.Helper()
	p.Do(chromedp.KeyEvent(keys, options...))
}

// far is how often a person presses Tab before giving up.
const far = 60

// TabTo presses Tab until something has the focus.
func (p *Page) TabTo(role, name string) {
	p.t.Helper()
	p.Finds(role, name)
	for range far {
		if slices.ContainsFunc(p.find(Named{role, name}), focused) {
			return
		}
		p.Keys(kb.Tab)
	}
	p.t.Fatalf("Tab does not reach the %s %q (%s); the page shows:\n%s", role, name, p.view.Name, p.excerpt())
}

func focused(node *accessibility.Node) bool {
	return slices.ContainsFunc(node.Properties, func(of *accessibility.Property) bool {
		return of.Name == accessibility.PropertyNameFocused && string(of.Value.Value) == "true"
	})
}

// Choose takes an option of a list by its text, with the keys, as soon as it is there.
func (p *Page) Choose(name, option string) {
	p.t.Helper()
	list := Named{"combobox", name}
	p.place(list, 0.5)
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	if found := p.find(list); len(found) > 0 {
		Call(p, dom.Focus, dom.FocusParams{BackendNodeID: found[0].BackendDOMNodeID})
	}
	for before := ""; ; {
		var value string
		if found := p.find(list); len(found) > 0 && found[0].Value != nil {
			if err := json.Unmarshal(found[0].Value.Value, &value); err != nil {
				p.t.Fatal(err)
			}
		}
		switch {
		case value == option:
			return
		case ctx.Err() != nil:
			p.t.Fatalf("the list %q has no %q (%s); the page shows:\n%s", name, option, p.view.Name, p.excerpt())
		case value == before: // at its end, or not filled yet
			p.Keys(kb.Home)
			p.pause()
			before = ""
		default:
			p.Keys(kb.ArrowDown)
			before = value
		}
	}
}

// Photo is what a camera sees of something, as PNG.
func (p *Page) Photo(role, name string) []byte {
	p.t.Helper()
	p.place(Named{role, name}, 0.5)
	box := Call(p, dom.GetBoxModel, dom.GetBoxModelParams{BackendNodeID: p.find(Named{role, name})[0].BackendDOMNodeID}).Model
	corner := box.Border
	return Call(p, page.CaptureScreenshot, page.CaptureScreenshotParams{
		Clip: &page.Viewport{X: corner[0], Y: corner[1], Width: float64(box.Width), Height: float64(box.Height), Scale: 1},
	}).Data
}
