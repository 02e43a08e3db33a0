// The look of <rinktally-scoreboard>, beside what all elements share.

import { sheet } from "./dom.js";

export default sheet(`
h2:has(select:not([hidden])) { padding-right: 1.2em; min-height: 44px; display: flex; align-items: center; }
h2:has(select:not([hidden]))::after { content: ""; position: absolute; right: .25em; top: calc(50% - .3em); width: .4em; height: .4em; border: solid; border-width: 0 2px 2px 0; transform: rotate(45deg); }
h2:has(:focus-visible) { outline: 3px solid var(--focus); outline-offset: 2px; }
h2 select { position: absolute; inset: 0; width: 100%; height: 100%; margin: 0; font: inherit; color: var(--ink); background: var(--panel); opacity: 0; cursor: pointer; appearance: none; }
.standing-of { flex: none; padding: .15em .75em; border: 2px solid var(--ink); border-radius: 6px; font-size: .875em; font-weight: 600; background: repeating-linear-gradient(135deg, var(--line) 0 2px, transparent 2px 6px) var(--panel); }
.standing-of[data-status=OFFICIAL] { background: var(--signed); border-color: var(--signed); color: var(--panel); }
.copy { flex-basis: 100%; color: var(--soft); font-size: .875em; }
.copy[data-silent="yes"] { color: var(--open); font-weight: 600; }
.copy[data-silent="yes"]::before { content: "▲ " / ""; }
.correction { padding: .75em; background: var(--panel); border-radius: 6px; font-size: .9em; overflow-wrap: anywhere; }
.correction + .correction { margin-top: .5em; }

.skater { border: 2px solid var(--accent); background: var(--panel); padding: .8em 1em 1em; border-radius: 12px; min-width: 0; }
.skater .state { font-size: .875em; font-weight: 600; color: var(--accent); }
h3 { font-size: 1.375em; line-height: 1.25; font-weight: 650; }
h3:focus-visible { outline: 0; } /* it takes the focus to be read, and does nothing */
h3 button, td.name button { display: inline; padding: 0; border: 0; background: none; color: inherit; font: inherit; text-align: start; cursor: pointer; }
.figures { display: flex; flex-wrap: wrap; gap: .4em 1.6em; margin: .5em 0 .2em; }
.figures dt { font-size: .8em; color: var(--soft); }
.figures dd { font-size: 1.375em; font-weight: 650; line-height: 1.2; }
.figures .main dd { font-size: 2.5em; line-height: 1.1; }
.lead { margin-top: .3em; font-size: .9em; color: var(--soft); overflow-wrap: anywhere; }
.elements { margin-top: .6em; font-size: .92em; }
.elements li { display: grid; grid-template-columns: minmax(0, 1fr) 4.2em 4.2em 4.2em; gap: .4em; padding: .3em .3em; border-top: 1px solid var(--line); align-items: baseline; }
.elements span { text-align: right; }
.elements .code { text-align: left; overflow-wrap: anywhere; }
.elements .code span { font-family: ui-monospace, Consolas, "DejaVu Sans Mono", monospace; font-weight: 600; text-align: left; }
.elements li:not(.head) > span:last-child { font-weight: 600; }
.elements .head { border: 0; }
.elements .head span { color: var(--soft); font-size: .95em; font-weight: 400; }
.elements em { display: block; font-style: normal; color: var(--soft); font-size: .85em; }
.elements .review em { color: var(--open); }
@media (prefers-reduced-motion: no-preference) {
  .elements li.new { animation: arrive 1.6s ease-out; }
  @keyframes arrive { from { background: color-mix(in srgb, var(--accent) 35%, transparent); } to { background: transparent; } }
}

.places, .sheet { min-width: 0; }
:is(.places, .next, .order) > h3, .sheet h4 { display: flex; flex-wrap: wrap; align-items: baseline; justify-content: space-between; gap: 0 1em; font-size: 1.125em; font-weight: 650; margin-bottom: .3em; }
.order h4 { font-size: .875em; font-weight: 600; color: var(--soft); margin: .8em 0 .2em; }
td { vertical-align: middle; }
td.place { font-weight: 700; width: 2.2em; font-size: 1.1em; }
/* The name takes what the figures leave. It wraps between words; only a word that is
   wider than its column is parted. */
td.name { width: 100%; max-width: 0; overflow-wrap: break-word; }
td.name > * { display: block; }
td.name button { width: 100%; font-weight: 600; overflow-wrap: break-word; }
td.name button:disabled { cursor: default; color: inherit; }
td .club, td .corrected { color: var(--soft); font-size: .85em; line-height: 1.25; }
td .corrected { color: var(--ink); font-weight: 600; }
td .corrected:not(:empty)::before { content: "↺ " / ""; }
td.points { font-weight: 650; font-size: 1.1em; }
tbody tr { position: relative; }
td.name button:not(:disabled)::after { content: ""; position: absolute; inset: 0; }
tr:has(button:not(:disabled)):hover td { background: var(--tint); }
tr:has(button:not(:disabled)) td.points::after { content: "›" / ""; margin-left: .45em; color: var(--soft); font-weight: 400; }
tr:has(button:focus-visible) { outline: 3px solid var(--focus); outline-offset: -3px; }
td button:focus-visible { outline: 0; }
tr.now td { background: var(--tint); }
tr.gap td { border-top: .25em double var(--soft); }
.places > button, .back {
  font: inherit; font-weight: 600; min-height: 44px; padding: .2em 1em; margin-top: .3em; cursor: pointer;
  color: var(--accent); background: var(--panel); border: 1px solid; border-radius: 6px;
}
.places > button:hover, .back:hover { background: var(--tint); }
.back { margin: 0 0 .8em; }
.next { margin-top: 1.2em; }
.next li, .order li { display: flex; gap: .8em; align-items: baseline; padding: .45em .5em; background: var(--panel); border-bottom: 1px solid var(--line); overflow-wrap: anywhere; }
.next b, .order b { font-weight: 600; }
.next small, .order small { display: block; }
.next .place, .order .place { min-width: 1.6em; text-align: right; color: var(--soft); }

.sum { display: flex; flex-wrap: wrap; align-items: center; justify-content: space-between; gap: .2em 1.2em; margin: .6em 0 1em; }
.big { font-size: 2.5em; line-height: 1.1; font-weight: 700; }
.where { font-weight: 600; text-align: right; }
.where span { display: block; }
.sheet section { margin-top: 1.2em; }
.lines li { display: flex; gap: .8em; align-items: baseline; padding: .45em .5em; background: var(--panel); border-bottom: 1px solid var(--line); }
.lines .index { min-width: 1.4em; text-align: right; color: var(--soft); }
.lines .said { flex: 1; min-width: 0; overflow-wrap: break-word; }
.lines small { display: block; }
.lines code { font-weight: 600; font-size: 1.05em; }
.lines .points { text-align: right; white-space: nowrap; }
.lines b { font-weight: 650; font-size: 1.1em; }
.sheet section + .quiet { margin-top: .5em; }
.marks { margin-top: 1.2em; }
.scroll { overflow-x: auto; }
.marks th, .marks td { white-space: nowrap; }
.marks tbody th { color: var(--ink); font-size: .95em; vertical-align: middle; }

@container (max-width: 30rem) {
  .board { padding: .75em; }
  .skater { padding: .75em; }
  th, td { padding: .45em .3em; }
  td.place { width: auto; }
  .beside { display: none; } /* an opened row says them, and the list of all segments */
  .elements li { grid-template-columns: minmax(0, 1fr) 3.3em 3.3em 3.3em; }
  .elements li:not(.head, :last-child) { display: none; } /* the others are one tap away */
}
@container (min-width: 54rem) {
  .board { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); align-items: start; }
  header, ::slotted(*), .nothing, .corrections, .sheet, .order { grid-column: 1 / -1; }
  .skater[hidden] ~ .places { grid-column: 1 / -1; }
  .sheet { justify-self: center; width: min(100%, 42em); }
  .order { columns: 2; }
  .order h3 { column-span: all; }
  .order li { break-inside: avoid; }
  .skater[hidden] ~ .places th.number { white-space: nowrap; }
}
`);
