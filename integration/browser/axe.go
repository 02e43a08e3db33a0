package browser

import (
	"fmt"
	"os"
	"strings"

	"github.com/chromedp/chromedp"
)

// axe is where deploy/test/install.sh puts the accessibility checker.
const axe = "../../.build/npm/node_modules/axe-core/axe.min.js"

// EveryBarrier lists the barriers for people with disabilities that axe-core finds on the
// page as it is, by the success criteria of WCAG 2.2 up to level AA and its own best
// practices.
func (p *Page) EveryBarrier() []string {
	p.t.Helper()
	return p.barriers("")
}

// BarriersOf puts the page on a screen and lists the barriers there; on a dark one only
// what its colours make, for a page that is looked at in light on such a screen too.
func (p *Page) BarriersOf(view View) []string {
	p.t.Helper()
	p.Look(view)
	if view.Dark {
		return p.FaintText()
	}
	return p.EveryBarrier()
}

// FaintText is EveryBarrier for a page that was looked at already and has other colours
// now.
func (p *Page) FaintText() []string {
	p.t.Helper()
	return p.barriers(`, runOnly: ["color-contrast", "link-in-text-block"]`)
}

// barriers runs axe-core with more options, without what it can say of parts that are
// well: that takes a third of its time.
func (p *Page) barriers(more string) []string {
	p.t.Helper()
	if Evaluate[bool](p, `!globalThis.axe`) {
		source, err := os.ReadFile(axe)
		if err != nil {
			p.t.Fatalf("axe-core is not here; deploy/test/install.sh installs it: %v", err)
		}
		p.Do(chromedp.Evaluate[chromedp.Void](string(source)))
	}
	type violation struct {
		ID, Impact, Help string
		Nodes            []struct {
			HTML           string
			FailureSummary string
		}
	}
	found := Evaluate[struct {
		Passes     int
		Violations []violation
	}](p, fmt.Sprintf(`axe.run({ resultTypes: ["violations"], selectors: false%s }).then(r => ({passes: r.passes.length, violations: r.violations}))`, more))
	if found.Passes == 0 {
		p.t.Error("axe-core has checked nothing")
	}
	var list []string
	for _, v := range found.Violations {
		text := fmt.Sprintf("%s (%s): %s", v.ID, v.Impact, v.Help)
		for _, n := range v.Nodes {
			text += "\n  " + n.HTML + "\n    " + strings.ReplaceAll(n.FailureSummary, "\n", "\n    ")
		}
		list = append(list, text)
	}
	return list
}
