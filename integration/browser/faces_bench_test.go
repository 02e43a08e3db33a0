package browser_test

import (
	"testing"

	"github.com/rinktally/rinktally/integration/browser"
)

// BenchmarkFirstPaint measures each page on a device that meets it for the first time:
// until something is painted, until all of its files are there, and how much comes over the
// wire for that, compressed. The engine as WebAssembly comes later, in a worker.
func BenchmarkFirstPaint(b *testing.B) {
	server, chrome := browser.NewServer(b), browser.Start(b)
	for _, f := range []struct{ name, path string }{
		{"home", "/"},
		{"count", "/count"},
		{"practice", "/practice"},
		{"plan", "/plan"},
		{"program", "/program"},
		{"trust", "/trust"},
		{"events", "/events"},
		{"new", "/desk"},
		{"desks", "/desk/" + cup},
		{"organiser", "/desk/" + cup + "/organiser"},
		{"technical", "/desk/" + cup + "/technical"},
		{"judge", "/desk/" + cup + "/judge"},
		{"referee", "/desk/" + cup + "/referee"},
		{"announcer", "/desk/" + cup + "/announcer"},
		{"board", "/events/" + cup},
		{"hall", "/events/" + cup + "?hall"},
		{"docs", "/docs/"},
		{"docs-errors", "/docs/errors"},
		{"docs-event", "/docs/event"},
		{"developers", "/developers"},
		{"seasons", "/seasons"},
		{"season", "/seasons/2025-26"},
		{"compare", "/seasons/compare"},
		{"parts", "/parts"},
		{"lost", "/no/such/page"},
	} {
		b.Run(f.name, func(b *testing.B) {
			var paint, loaded, wire float64
			for b.Loop() {
				page := chrome.Open(b, server.URL+f.path, browser.Phone)
				page.Wait(`performance.getEntriesByName("first-contentful-paint").length > 0 && performance.getEntriesByType("navigation")[0].loadEventEnd > 0`)
				m := browser.Evaluate[[]float64](page, `[
					performance.getEntriesByName("first-contentful-paint")[0].startTime,
					performance.getEntriesByType("navigation")[0].loadEventEnd,
					[...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")].reduce((sum, e) => sum + e.transferSize, 0),
				]`)
				paint, loaded, wire = paint+m[0], loaded+m[1], wire+m[2]
			}
			n := float64(b.N)
			b.ReportMetric(paint/n, "ms-painted")
			b.ReportMetric(loaded/n, "ms-loaded")
			b.ReportMetric(wire/n/1000, "kB")
		})
	}
}
