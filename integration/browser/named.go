package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Named is what a person finds on a page by what it is and what it is called, as a
// screen reader says both: Named{"button", "Add"}. A name that ends in " …" is the
// beginning of one.
type Named struct{ Role, Name string }

// Press presses something in its middle, as soon as it is there.
func (p *Page) Press(role, name string) {
	p.t.Helper()
	p.PressAt(role, name, 0.5)
}

// PressAt presses something at a part of its width, as a bar whose place means
// something.
func (p *Page) PressAt(role, name string, part float64) {
	p.t.Helper()
	p.on(Named{role, name}, func(ctx context.Context, node cdp.BackendNodeID) (string, error) { return press(ctx, node, part) })
}

// Type puts a text into a field, at the end of what it holds.
func (p *Page) Type(role, name, text string) {
	p.t.Helper()
	p.Press(role, name)
	p.Do(chromedp.KeyEvent(text))
}

// Has reports whether a person finds something on the page now.
func (p *Page) Has(role, name string) bool {
	p.t.Helper()
	return len(p.find(Named{role, name})) > 0
}

// place scrolls to something and waits until nothing covers it at a part of its width.
func (p *Page) place(n Named, part float64) {
	p.t.Helper()
	p.on(n, func(ctx context.Context, node cdp.BackendNodeID) (string, error) {
		_, _, why, err := aim(ctx, node, part, false)
		return why, err
	})
}

// on does something with what is named, as soon as it is there and the page lets it be
// done.
func (p *Page) on(n Named, do func(context.Context, cdp.BackendNodeID) (why string, err error)) {
	p.t.Helper()
	p.Until(func() string {
		why := "is not there"
		if found := p.find(n); len(found) > 0 {
			ctx, cancel := context.WithTimeout(p.ctx, patience)
			defer cancel()
			var err error
			why, err = do(ctx, found[0].BackendDOMNodeID)
			switch {
			case unseen(err):
				why = "is gone again: " + err.Error()
			case err != nil:
				p.t.Fatal(err)
			case why == "":
				return ""
			}
		}
		return fmt.Sprintf("the %s %q %s", n.Role, n.Name, why)
	})
}

// Until looks at the page again and again, until nothing is missing; after a while the
// test fails with what is.
func (p *Page) Until(missing func() string) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	for what := missing(); what != ""; what = missing() {
		if ctx.Err() != nil {
			p.t.Fatalf("%s (%s); the page shows:\n%s", what, p.view.Name, p.excerpt())
		}
		p.pause()
	}
}

// pause is the time between two looks at a page.
func (p *Page) pause() {
	p.t.Helper()
	ask(p, unseen, chromedp.Evaluate[bool](`new Promise(done => setTimeout(() => done(true), 50))`, chromedp.EvalAwaitPromise))
}

// find lists what is not hidden from people.
func (p *Page) find(n Named) []*accessibility.Node {
	p.t.Helper()
	name, begins := strings.CutSuffix(n.Name, " …")
	asked := name
	if begins {
		asked = ""
	}
	all := ask(p, unseen, func(ctx context.Context, _ *chromedp.Target) ([]*accessibility.Node, error) {
		document, err := chromedp.Call(ctx, runtime.Evaluate, runtime.EvaluateParams{Expression: "document"})
		if err != nil {
			return nil, err
		}
		all, err := chromedp.Call(ctx, accessibility.QueryAXTree, accessibility.QueryAXTreeParams{
			ObjectID: document.Result.ObjectID, Role: n.Role, AccessibleName: asked,
		})
		if err != nil {
			return nil, err
		}
		return all.Nodes, nil
	})
	var found []*accessibility.Node
	for _, node := range all {
		if !node.Ignored && (!begins || strings.HasPrefix(named(node), name)) {
			found = append(found, node)
		}
	}
	return found
}

// named returns what a node is called.
func named(node *accessibility.Node) (name string) {
	if node.Name == nil || json.Unmarshal(node.Name.Value, &name) != nil {
		return ""
	}
	return name
}
