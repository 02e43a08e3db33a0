// Deductions: a counter for each kind that the season knows. Several desks may
// change them at once, so each press is added to what stands then.

import { list, make, setText, words } from "../../embed/dom.js";
import { named } from "./desk.js";

const rulesOf = new Map(); // by season

const OFTEN = ["FALL", "TIME_VIOLATION"]; // come first
const rank = ({ kind }) => (OFTEN.includes(kind) ? OFTEN.indexOf(kind) : OFTEN.length);

/** deductionRules gives the season's deductions, each with its points. */
export async function deductionRules(api, season) {
  if (!rulesOf.has(season)) {
    const answer = await api.call("GetSeason", { season });
    // The desks have no field for the points that OTHER needs.
    rulesOf.set(season, answer.season.deductions.filter((r) => r.kind !== "OTHER").sort((a, b) => rank(a) - rank(b)));
  }
  return rulesOf.get(season);
}

/** deductionCounters gives a node and a function that fills it for a performance. */
export function deductionCounters({ api, act }) {
  const kinds = make("div", { class: "counters" });
  const fault = make("p", { class: "fault", role: "alert" });
  let performance;

  function change(kind, by) {
    const p = performance;
    return act("SetDeductions", async () => {
      const now = await api.call("GetPerformance", named(p));
      const counts = new Map(now.performance.deductions.map((d) => [d.kind, { kind: d.kind, count: d.count, ...(d.kind === "OTHER" ? { value: d.value, note: d.note } : {}) }]));
      const count = Math.max(0, (counts.get(kind)?.count ?? 0) + by);
      if (count) counts.set(kind, { ...counts.get(kind), kind, count });
      else counts.delete(kind);
      return { ...named(p), deductions: [...counts.values()], expectedSequence: now.sequence };
    }, fault);
  }

  async function fill(state) {
    performance = state.performance;
    if (!performance) return;
    const rules = await deductionRules(api, state.event.rules.season);
    list(kinds, rules, (r) => r.kind, ({ kind, points, note }) => {
      const less = make("button", { type: "button", "aria-label": `One ${words(kind)} less`, onclick: () => change(kind, -1) }, "−");
      const more = make("button", { type: "button", "aria-label": `One more ${words(kind)}`, onclick: () => change(kind, 1) }, "+");
      return make("div", { class: "counter", title: note }, make("span", {}, words(kind), make("small", { class: "note" }, ` ${points[0] ?? ""}`)), less, make("output"), more);
    }, (node, { kind }) => {
      const count = performance.deductions.find((d) => d.kind === kind)?.count ?? 0;
      setText(node.querySelector("output"), String(count));
      node.classList.toggle("some", count > 0);
      node.querySelector("button").disabled = count === 0;
    });
  }
  return { node: make("div", {}, kinds, fault), fill };
}

