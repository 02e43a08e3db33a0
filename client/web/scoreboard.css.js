// The look of <rinktally-scoreboard>. A page changes the colours by setting the
// --rt-… properties on the element.

const styles = new CSSStyleSheet();
styles.replaceSync(`
:host {
  --ink: var(--rt-ink, #16242f); --soft: var(--rt-soft, #4b5d6b); --paper: var(--rt-paper, #fbfcfd);
  --panel: var(--rt-panel, #fff); --line: var(--rt-line, #cfd8df); --accent: var(--rt-accent, #0b5c83);
  --on-accent: var(--rt-on-accent, #fff); --open: var(--rt-open, #7a5200); --signed: var(--rt-signed, #1c6b3a);
  --bad: var(--rt-bad, #9c2a1f);
  display: block; container-type: inline-size; color: var(--ink); background: var(--paper);
  font-family: system-ui, sans-serif; line-height: 1.4; text-align: start;
}
:host([hidden]) { display: none; }
@media (prefers-color-scheme: dark) {
  :host {
    --ink: var(--rt-ink, #e6edf2); --soft: var(--rt-soft, #a9b8c3); --paper: var(--rt-paper, #10181e);
    --panel: var(--rt-panel, #17222a); --line: var(--rt-line, #33434f); --accent: var(--rt-accent, #6cc3ec);
    --on-accent: var(--rt-on-accent, #08202d); --open: var(--rt-open, #ecc478); --signed: var(--rt-signed, #7fd49d);
    --bad: var(--rt-bad, #ff9d90);
  }
}
*, *::before { box-sizing: border-box; }
h2, h3, h4, p, ol, dl, dd { margin: 0; padding: 0; }
ol { list-style: none; }
[hidden] { display: none !important; }
.board { font-size: clamp(1rem, 1.45cqi, 2.6rem); padding: 1em; display: grid; gap: 1em; font-variant-numeric: tabular-nums; }
.quiet { color: var(--soft); font-size: .82em; }
.aloud { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }

header { display: flex; flex-wrap: wrap; align-items: center; gap: .3em 1em; }
header .titles { flex: 1 1 12em; min-width: 0; }
h2 { font-size: 1.35em; line-height: 1.2; letter-spacing: -.01em; overflow-wrap: anywhere; }
.standing-of { border: .14em solid; border-radius: .4em; padding: .2em .7em; font-weight: 700; text-align: center; line-height: 1.15; color: var(--open); }
.standing-of[data-status=OFFICIAL] { background: var(--signed); border-color: var(--signed); color: var(--on-accent); }
.standing-of small { display: block; font-weight: 400; font-size: .68em; }
@media (prefers-color-scheme: light) { .standing-of[data-status=OFFICIAL] { color: #fff; } }
.link { flex-basis: 100%; color: var(--bad); font-weight: 600; font-size: .9em; }

.skater { border-top: .25em solid var(--accent); background: var(--panel); padding: .8em 1em 1em; border-radius: 0 0 .5em .5em; min-width: 0; }
.skater .state { font-size: .85em; font-weight: 600; color: var(--accent); }
h3 { font-size: 1.9em; line-height: 1.15; overflow-wrap: anywhere; }
.figures { display: flex; flex-wrap: wrap; gap: .4em 1.6em; margin: .5em 0 .2em; }
.figures dt { font-size: .75em; color: var(--soft); }
.figures dd { font-size: 1.5em; font-weight: 650; line-height: 1.1; }
.figures .main dd { font-size: 2.3em; }
.lead { margin-top: .3em; }
.lead b { font-size: 1.15em; }
.elements { margin-top: .6em; font-size: .92em; }
.elements li { display: grid; grid-template-columns: minmax(0, 1fr) 4.2em 4.2em 4.2em; gap: .4em; padding: .18em .3em; border-top: 1px solid var(--line); align-items: baseline; }
.elements span { text-align: right; }
.elements .code { text-align: left; font-weight: 600; overflow-wrap: anywhere; }
.elements .head { border: 0; }
.elements .head span { color: var(--soft); font-size: .8em; font-weight: 400; }
.elements em { font-style: normal; font-weight: 400; color: var(--soft); font-size: .8em; margin-left: .5em; }
.elements .review em { color: var(--open); }
@media (prefers-reduced-motion: no-preference) {
  .elements li.new { animation: arrive 1.6s ease-out; }
  @keyframes arrive { from { background: color-mix(in srgb, var(--accent) 35%, transparent); } to { background: transparent; } }
}

.places { min-width: 0; }
h4 { font-size: 1em; margin-bottom: .2em; }
table { border-collapse: collapse; width: 100%; }
th { font-size: .75em; font-weight: 400; color: var(--soft); text-align: left; vertical-align: bottom; }
th, td { padding: .22em .4em; border-bottom: 1px solid var(--line); }
td { vertical-align: baseline; }
.number { text-align: right; }
td.number { white-space: nowrap; }
td.place { font-weight: 700; width: 2.2em; }
/* The name takes what the figures leave. It wraps between words; a word that is
   wider still ends in an ellipsis. */
td.name { width: 100%; max-width: 0; }
td.name span { display: block; overflow: hidden; text-overflow: ellipsis; }
td .club, td .corrected { color: var(--soft); font-size: .72em; line-height: 1.2; }
td .corrected { color: var(--open); font-weight: 600; }
td.points { font-weight: 650; }
tr.now td { background: color-mix(in srgb, var(--accent) 14%, transparent); }
tr.gap td { border-top: .25em double var(--soft); }
.places button {
  font: inherit; min-height: 2.75rem; padding: .2em 1em; margin-top: .3em; cursor: pointer;
  color: var(--accent); background: var(--panel); border: .1em solid; border-radius: .4em;
}
.places button:hover { background: var(--accent); color: var(--on-accent); }
.next { margin-top: .8em; }
.next li { font-size: .9em; }
.notes { margin-top: .6em; }

@container (max-width: 30rem) {
  .board { padding: .6em; }
  .skater { padding: .6em .7em .8em; }
  h3 { font-size: 1.5em; }
  th, td { padding: .22em .25em; }
  td.number { font-size: .92em; }
  td.name { font-size: .95em; }
  td.place { width: auto; }
  .elements li { grid-template-columns: minmax(0, 1fr) 3.3em 3.3em 3.3em; }
}
@container (min-width: 54rem) {
  .board { grid-template-columns: minmax(0, 11fr) minmax(0, 9fr); align-items: start; }
  header, .nothing { grid-column: 1 / -1; }
  th.number { white-space: nowrap; }
}
:host([rows]) .notes { display: none; }
`);
export default styles;
