// The look of <rinktally-program>, beside what all elements share.

import { sheet } from "./dom.js";

export default sheet(`
.sum { text-align: right; }
.sum b { font-size: 2em; line-height: 1.1; font-weight: 700; color: var(--ink); }
.sum p { color: var(--soft); }
.lost { font-weight: 600; font-size: .9em; }
.sum .lost { color: var(--bad); }
td { vertical-align: top; }
td.code { width: 100%; overflow-wrap: anywhere; }
td.code > code { font-weight: 600; font-size: 1.05em; }
td.code small { display: block; }
td.points { font-weight: 650; }
tr.struck td.code > code { text-decoration: line-through; }
tr.struck td.points { color: var(--bad); }
tr.half td { color: var(--soft); font-size: .85em; font-weight: 600; border-bottom: 2px solid var(--ink); background: var(--paper); }
.finding { display: flex; align-items: baseline; gap: .35em; margin-top: .3em; font-size: .9em; overflow-wrap: anywhere; }
.finding[data-severity=ERROR] { color: var(--bad); font-weight: 600; }
.sign { display: inline-grid; place-content: center; flex: none; width: 1.3em; height: 1.3em; font-weight: 700; color: var(--open); }
[data-severity=ERROR] > .sign { color: var(--panel); background: var(--bad); border-radius: 3px; }
ul { margin: 0; padding: 0; list-style: none; }
.findings { padding: .75em; background: var(--panel); border: 1px solid var(--line); border-radius: 6px; }
.findings .finding:first-child { margin-top: 0; }
.predicted { display: flex; gap: 1em; justify-content: flex-end; padding: 0 .5em; }
.predicted dd { font-weight: 650; }
.caution { padding: .75em; border-left: 4px solid var(--open); background: var(--panel); font-size: .9em; }
details li { margin-bottom: .5em; font-size: .85em; color: var(--soft); overflow-wrap: anywhere; }
@container (max-width: 30rem) {
  .board { padding: .75em; }
  .sum { text-align: left; }
  th, td { padding: .45em .3em; }
}
`);
