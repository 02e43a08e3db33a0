package browser

import (
	"context"
	"encoding/json"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Named is what a person finds on a page by what it is and what it is called, as a
// screen reader says both: Named{"button", "Add"}.
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
	x, y := p.place(Named{role, name}, part)
	p.Do(chromedp.MouseClickXY(x, y))
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

// place scrolls to something and returns where it is, at a part of its width.
func (p *Page) place(n Named, part float64) (x, y float64) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	for {
		found := p.find(n)
		if len(found) > 0 {
			return p.show(ctx, n, found[0], part)
		}
		if ctx.Err() != nil {
			p.t.Fatalf("there is no %s %q (%s); the page shows:\n%s", n.Role, n.Name, p.view.Name, p.excerpt())
		}
		Evaluate[bool](p, `new Promise(done => setTimeout(() => done(true), 50))`) // between two looks
	}
}

// find lists what is not hidden from people.
func (p *Page) find(n Named) []*accessibility.Node {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	document, err := chromedp.Call(ctx, runtime.Evaluate, runtime.EvaluateParams{Expression: "document"})
	if err != nil {
		p.t.Fatal(err)
	}
	all, err := chromedp.Call(ctx, accessibility.QueryAXTree, accessibility.QueryAXTreeParams{
		ObjectID: document.Result.ObjectID, Role: n.Role, AccessibleName: n.Name,
	})
	if err != nil {
		p.t.Fatal(err)
	}
	var found []*accessibility.Node
	for _, node := range all.Nodes {
		if !node.Ignored {
			found = append(found, node)
		}
	}
	return found
}

func (p *Page) show(ctx context.Context, n Named, node *accessibility.Node, part float64) (x, y float64) {
	p.t.Helper()
	resolved, err := chromedp.Call(ctx, dom.ResolveNode, dom.ResolveNodeParams{BackendNodeID: node.BackendDOMNodeID})
	if err != nil {
		p.t.Fatal(err)
	}
	fraction, err := json.Marshal(part)
	if err != nil {
		p.t.Fatal(err)
	}
	at, err := chromedp.Call(ctx, runtime.CallFunctionOn, runtime.CallFunctionOnParams{
		ObjectID: resolved.Object.ObjectID, ReturnByValue: new(true), Arguments: []*runtime.CallArgument{{Value: fraction}},
		FunctionDeclaration: `function(part) {
			this.scrollIntoView({ block: "center" });
			const box = this.getBoundingClientRect(), x = box.left + box.width * part, y = box.top + box.height / 2;
			const hit = document.elementFromPoint(x, y);
			return { x, y, hit: this.contains(hit) || [...this.labels ?? []].some(label => label.contains(hit)), shows: hit?.outerHTML.slice(0, 200) ?? "nothing" };
		}`,
	})
	if err != nil {
		p.t.Fatal(err)
	}
	var got struct {
		X, Y  float64
		Hit   bool
		Shows string
	}
	if err := json.Unmarshal(at.Result.Value, &got); err != nil {
		p.t.Fatal(err)
	}
	if !got.Hit {
		p.t.Fatalf("the %s %q cannot be pressed (%s): in its place is %s", n.Role, n.Name, p.view.Name, got.Shows)
	}
	return got.X, got.Y
}
