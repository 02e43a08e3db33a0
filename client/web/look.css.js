// The look that all elements share. A page changes the colours by setting the --rt-…
// properties on an element.

import { sheet } from "./dom.js";

export default sheet(`
:host { display: block; container-type: inline-size; }
/* Not on the host: a page whose own names are the same would set them in a circle. */
.board {
  --ink: var(--rt-ink, #12202a); --soft: var(--rt-soft, #475865); --paper: var(--rt-paper, #eef2f4);
  --panel: var(--rt-panel, #fff); --line: var(--rt-line, #c8d2d9); --accent: var(--rt-accent, #0b5575);
  --on-accent: var(--rt-on-accent, #fff); --open: var(--rt-open, #7a4d00); --signed: var(--rt-signed, var(--ink));
  --bad: var(--rt-bad, #a1221a); --focus: var(--rt-focus, #b54708);
  --tint: color-mix(in srgb, var(--accent) 14%, var(--panel));
  color: var(--ink); background: var(--paper);
  font-family: system-ui, "Segoe UI", Roboto, "Noto Sans", "DejaVu Sans", Arial, sans-serif; line-height: 1.4; text-align: start;
}
:host([hidden]) { display: none; }
@media (prefers-color-scheme: dark) {
  .board {
    --ink: var(--rt-ink, #eaf0f4); --soft: var(--rt-soft, #a7b7c3); --paper: var(--rt-paper, #0c141a);
    --panel: var(--rt-panel, #15202a); --line: var(--rt-line, #2e3e4a); --accent: var(--rt-accent, #7cc8ec);
    --on-accent: var(--rt-on-accent, #05202d); --open: var(--rt-open, #f4c869); --bad: var(--rt-bad, #ffa396);
    --focus: var(--rt-focus, #ffb35c);
  }
}
*, *::before { box-sizing: border-box; }
h2, h3, h4, p, ol, dl, dd { margin: 0; padding: 0; }
ol { list-style: none; }
small { font-size: .85em; font-weight: 400; color: var(--soft); }
code { font-family: ui-monospace, "Cascadia Mono", Consolas, "Roboto Mono", "DejaVu Sans Mono", monospace; font-variant-ligatures: none; }
[hidden] { display: none !important; }
:focus-visible { outline: 3px solid var(--focus); outline-offset: 2px; }
.board { font-size: clamp(1rem, 1.45cqi, 2.6rem); padding: 1em; display: grid; gap: 1em; font-variant-numeric: tabular-nums; }
.quiet { color: var(--soft); font-size: .85em; }
.quiet:empty, .nothing:empty, .corrections:empty { display: none; }
.aloud { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }

header { display: flex; flex-wrap: wrap; gap: .5em 1em; align-items: start; justify-content: space-between; }
.titles { flex: 1 1 12em; min-width: 0; }
h2 { position: relative; width: fit-content; max-width: 100%; font-size: 1.375em; line-height: 1.25; font-weight: 650; overflow-wrap: anywhere; }
.link { flex-basis: 100%; color: var(--bad); font-weight: 600; font-size: .9em; overflow-wrap: anywhere; }
.nothing { padding: 1.2em; border: 2px dashed var(--line); border-radius: 12px; text-align: center; color: var(--soft); }

table { border-collapse: collapse; width: 100%; background: var(--panel); }
th { font-size: .8em; font-weight: 600; color: var(--soft); text-align: left; vertical-align: bottom; }
th, td { padding: .45em .5em; border-bottom: 1px solid var(--line); }
.number { text-align: right; }
td.number { white-space: nowrap; }
summary { min-height: 44px; display: flex; align-items: center; gap: .5em; color: var(--accent); font-weight: 600; cursor: pointer; }
summary::before { content: "›" / ""; font-size: 1.2em; }
[open] > summary::before { transform: rotate(90deg); }
`);
