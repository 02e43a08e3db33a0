// Deductions: a counter for each kind that the season knows, and for the referee
// others in words. Several desks may change them at once, so each press is added to
// what stands then.

import { list, make, setText, show, words } from "../../embed/dom.js";
import { named } from "./desk.js";
import { faultLine, field } from "./form.js";

const seasons = new Map(); // by key

const OFTEN = ["FALL", "TIME_VIOLATION"]; // come first
const rank = ({ kind }) => (OFTEN.includes(kind) ? OFTEN.indexOf(kind) : OFTEN.length);

/** seasonOf reads the table of an event's season once. */
export async function seasonOf(api, event) {
  const key = event.rules.season;
  if (!seasons.has(key)) seasons.set(key, (await api.call("GetSeason", { season: key })).season);
  return seasons.get(key);
}

/** deductionRules gives the deductions of a category of an event, each with its points. */
export async function deductionRules(api, event, category) {
  const season = await seasonOf(api, event);
  const own = season.categories.find((c) => c.category === category.rulesCategory)?.deductions ?? [];
  const rules = new Map([...season.deductions, ...own].map((r) => [r.kind, r]));
  return [...rules.values()].sort((a, b) => rank(a) - rank(b));
}

/** asked gives a deduction as a request has it. */
export const asked = ({ kind, count, value, note }) => (kind === "OTHER" ? { kind, count, value, note } : { kind, count });

/** pointsOff gives typed points as the contract has them: "1", "-1,0" and "1.00" are "-1.00". */
export function pointsOff(typed) {
  const text = typed.trim().replace(/^[-−+]/, "").replace(",", ".");
  return /^\d+(\.\d{0,2})?$/.test(text) ? `-${Number(text).toFixed(2)}` : typed.trim();
}

/** deductionCounters gives a node and a function that fills it; others tells whether there are some in words. */
export function deductionCounters({ api, act }, others) {
  const kinds = make("div", { class: "counters" });
  const fault = faultLine();
  const more = make("ul", { class: "entries" });
  const note = make("input", { id: "other-note", autocomplete: "off", required: true, maxlength: 200 });
  const points = make("input", { id: "other-points", inputmode: "decimal", class: "short", autocomplete: "off", required: true, placeholder: "1.00" });
  const other = make("form", { class: "row" }, field("Another deduction: what for", note), field("Points off", points), make("button", { type: "submit" }, "Take off"));
  let performance;

  let sequence; // of what the page shows

  // change makes another list of the one that stands. When the event has moved on
  // meanwhile, it is asked what stands now.
  function change(edit) {
    const p = performance, seen = sequence;
    return act("SetDeductions", async (again) => {
      const now = again ? await api.call("GetPerformance", named(p)) : { performance: p, sequence: seen };
      return { ...named(p), deductions: edit(now.performance.deductions.map(asked)), expectedSequence: now.sequence };
    }, fault);
  }
  const add = (kind, by) => change((all) => {
    const count = Math.max(0, (all.find((d) => d.kind === kind)?.count ?? 0) + by);
    return [...all.filter((d) => d.kind !== kind), ...(count ? [{ kind, count }] : [])];
  });
  const same = (a, b) => a.kind === "OTHER" && a.note === b.note && a.value === b.value;
  const drop = (d) => change((all) => { const at = all.findIndex((x) => same(x, d)); return all.filter((_, i) => i !== at); });

  other.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const extra = { kind: "OTHER", count: 1, value: pointsOff(points.value), note: note.value.trim() };
    if (await change((all) => [...all, extra])) { note.value = ""; points.value = ""; }
  });

  async function fill(state) {
    ({ performance, sequence } = state);
    if (!performance) return;
    const rules = await deductionRules(api, state.event, state.category);
    list(kinds, rules, (r) => `${r.kind} ${r.points}`, ({ kind, points: each, note: about }) => {
      const less = make("button", { type: "button", "aria-label": `One ${words(kind)} less`, onclick: () => add(kind, -1) }, "−");
      const plus = make("button", { type: "button", "aria-label": `One more ${words(kind)}`, onclick: () => add(kind, 1) }, "+");
      return make("div", { class: "counter" }, make("span", {}, words(kind), make("small", { class: "note" }, ` ${each[0] ?? ""}`), others && about && make("small", { class: "note about" }, about)), less, make("output"), plus);
    }, (node, { kind }) => {
      const count = performance.deductions.find((d) => d.kind === kind)?.count ?? 0;
      setText(node.querySelector("output"), String(count));
      node.classList.toggle("some", count > 0);
      node.querySelector("button").disabled = count === 0;
    });
    const said = performance.deductions.filter((d) => d.kind === "OTHER").map((d, i) => ({ ...d, i }));
    list(more, said, (d) => `${d.note} ${d.value} ${d.i}`, (d) => make("li", {}, make("span", { class: "name" }, `${d.note || words(d.kind)} ${d.value}`),
      make("button", { type: "button", class: "small", "aria-label": `Not ${d.note} ${d.value}`, onclick: () => drop(d) }, "Take back")), () => {});
    show(more, said.length > 0);
  }
  return { node: make("div", {}, kinds, more, others && other, fault), fill };
}
