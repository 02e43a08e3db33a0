package browser_test

import (
	"encoding/json"
	"testing"

	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/integration/wasm"
)

// BenchmarkEngine measures the engine as WebAssembly in a page: until one season is
// ready, the level of a spin after that, the memory that it holds with two seasons.
// Each round is a new page, whose files come from the server again; it is one without an
// engine of its own, which would take the second core.
func BenchmarkEngine(b *testing.B) {
	server := browser.NewServerWith(b, wasm.Built(b))
	chrome := browser.Start(b)
	var ready, first, level, memory float64
	for b.Loop() {
		page := chrome.Open(b, server.URL+"/", browser.Phone)
		text := browser.Evaluate[string](page, `(async () => {
			let instance;
			const instantiate = WebAssembly.instantiate;
			WebAssembly.instantiate = async (...args) => instance = await instantiate.apply(WebAssembly, args);
			const begun = performance.now();
			const { openOffline } = await import("/embed/offline/offline.js");
			const engine = await openOffline({ seasons: ["2025-26"] });
			const ready = performance.now() - begun;
			const spin = (season) => engine.`+spinOf("season")+`;
			const time = async () => { const t = performance.now(); await spin("2025-26"); return performance.now() - t; };
			const first = await time();
			for (let i = 0; i < 300; i++) await spin("2025-26");
			const times = [];
			for (let i = 0; i < 101; i++) times.push(await time());
			await engine.load(["2024-25"]);
			await spin("2024-25");
			return JSON.stringify({ Ready: ready, First: first, Level: times.sort((a, b) => a - b)[50], Memory: instance.exports.mem.buffer.byteLength / 1e6 });
		})()`)
		var m struct{ Ready, First, Level, Memory float64 }
		if err := json.Unmarshal([]byte(text), &m); err != nil {
			b.Fatal(err)
		}
		ready, first, level, memory = ready+m.Ready, first+m.First, level+m.Level, memory+m.Memory
	}
	n := float64(b.N)
	b.ReportMetric(ready/n, "ms-ready")
	b.ReportMetric(first/n, "ms-first")
	b.ReportMetric(level/n, "ms-level")
	b.ReportMetric(memory/n, "MB")
}
