package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// glance is the time between two looks at what cannot be pressed yet.
const glance = 50 * time.Millisecond

// Click presses in the middle what a selector finds first, as soon as it is seen.
func Click(selector string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		for {
			nodes, err := chromedp.Nodes(selector, chromedp.NodeVisible)(ctx, t)
			if err != nil {
				return err
			}
			why, err := press(ctx, nodes[0].BackendNodeID, 0.5)
			if why == "" && !unseen(err) {
				return err
			}
			select {
			case <-ctx.Done():
				return fmt.Errorf("%s %s: %w", selector, why, ctx.Err())
			case <-time.After(glance):
			}
		}
	})
}

// press presses a node at a part of its width, or returns why it cannot be pressed now.
// A press that comes to something else, because the page has moved since, is kept from
// it: a person would have followed with the eye.
func press(ctx context.Context, node cdp.BackendNodeID, part float64) (why string, err error) {
	x, y, why, err := aim(ctx, node, part, true)
	if why != "" || err != nil {
		return why, err
	}
	_, err = chromedp.Run(ctx, chromedp.MouseClickXY(x, y))
	missed := false
	if err == nil {
		missed, err = chromedp.Run(ctx, chromedp.Evaluate[bool](`globalThis.aimed ? aimed.missed() : false`))
	}
	switch {
	case unseen(err): // the press has replaced the page
		return "", nil
	case missed:
		return "has moved away from the press", nil
	}
	return "", err
}

// aim scrolls to a node and returns where it is, at a part of its width, or why it cannot
// be pressed now. When a press follows, it must come to this node.
func aim(ctx context.Context, node cdp.BackendNodeID, part float64, follows bool) (x, y float64, why string, err error) {
	resolved, err := chromedp.Call(ctx, dom.ResolveNode, dom.ResolveNodeParams{BackendNodeID: node})
	if err != nil {
		return 0, 0, "", err
	}
	at, err := chromedp.Call(ctx, runtime.CallFunctionOn, runtime.CallFunctionOnParams{
		ObjectID: resolved.Object.ObjectID, ReturnByValue: new(true), Arguments: []*runtime.CallArgument{
			{Value: fmt.Append(nil, part)}, {Value: fmt.Append(nil, follows)},
		},
		FunctionDeclaration: `function(part, follows) {
			const node = this.nodeType === Node.TEXT_NODE ? this.parentElement : this;
			node.scrollIntoView({ block: "center" });
			const [box = node.getBoundingClientRect()] = node.getClientRects(); // of a link over two lines its first
			const x = box.left + box.width * part, y = box.top + box.height / 2;
			const shown = document.elementFromPoint(x, y), labels = [...node.labels ?? []];
			const kinds = ["pointerdown", "mousedown", "pointerup", "mouseup", "click"];
			let hit;
			const guard = (event) => {
				hit ??= event.composedPath().some(part => part === node || labels.includes(part));
				if (!hit) { event.stopImmediatePropagation(); event.preventDefault(); }
			};
			globalThis.aimed?.missed();
			globalThis.aimed = { missed() { for (const kind of kinds) removeEventListener(kind, guard, true); return hit === false; } };
			if (follows) for (const kind of kinds) addEventListener(kind, guard, true);
			return { x, y, hit: node.contains(shown) || labels.some(label => label.contains(shown)), shows: shown?.outerHTML.slice(0, 200) ?? "nothing" };
		}`,
	})
	if err != nil {
		return 0, 0, "", err
	}
	var got struct {
		X, Y  float64
		Hit   bool
		Shows string
	}
	if err := json.Unmarshal(at.Result.Value, &got); err != nil {
		return 0, 0, "", err
	}
	if !got.Hit {
		return 0, 0, "cannot be pressed: in its place is " + got.Shows, nil
	}
	return got.X, got.Y, "", nil
}
