// Deductions: a counter for each kind that the season knows, and for the referee
// others in words. Several desks may change them at once, so each press is added to
// what stands then.

import { list, make, setText, show, words } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { named } from "./desk.js";
import { faultLine, field } from "../parts/form.js";
import { concerns } from "./outbox.js";

const seasons = new Map(); // by key

const OFTEN = ["FALL", "ILLEGAL_ELEMENT"]; // come first; the others are folded
const rank = ({ kind }) => (OFTEN.includes(kind) ? OFTEN.indexOf(kind) : OFTEN.length);
const titled = (kind) => words(kind).replace(/^./, (c) => c.toUpperCase());

/** seasonOf reads the table of an event's season once. */
export async function seasonOf(api, event) {
  const key = event.rules.season;
  if (!seasons.has(key)) seasons.set(key, (await api.call("GetSeason", { season: key })).season);
  return seasons.get(key);
}

/** deductionRules returns the deductions of a category of an event, each with its points. */
export async function deductionRules(api, event, category) {
  const season = await seasonOf(api, event);
  const own = season.categories.find((c) => c.category === category.rulesCategory)?.deductions ?? [];
  const rules = new Map([...season.deductions, ...own].map((r) => [r.kind, r]));
  return [...rules.values()].sort((a, b) => rank(a) - rank(b));
}

/** asked returns a deduction as a request has it. */
export const asked = ({ kind, count, value, note }) => (kind === "OTHER" ? { kind, count, value, note } : { kind, count });

const same = (a, b) => a.kind === "OTHER" && a.note === b.note && a.value === b.value;

// edited is a list of deductions after a press: so many more of a kind, an extra one in
// words, or one that is gone.
function edited(all, { kind, by, extra, gone }) {
  if (extra) return [...all, extra];
  if (gone) return all.toSpliced(all.findIndex((d) => same(d, gone)), all.some((d) => same(d, gone)) ? 1 : 0);
  const count = Math.max(0, (all.find((d) => d.kind === kind)?.count ?? 0) + by);
  return [...all.filter((d) => d.kind !== kind), ...(count ? [{ kind, count }] : [])];
}

/** pointsOff returns typed points as the contract has them: "1", "-1,0" and "1.00" are "-1.00". */
export function pointsOff(typed) {
  const text = typed.trim().replace(/^[-−+]/, "").replace(",", ".");
  return /^\d+(\.\d{0,2})?$/.test(text) ? `-${Number(text).toFixed(2)}` : typed.trim();
}

/** deductionCounters returns a node and a function that fills it; others says in words whether there are some. */
export function deductionCounters({ api, act, outbox }, others) {
  const kinds = make("div", { class: "counters" }), folded = make("div", { class: "counters" });
  const title = make("summary"), rest = make("details", {}, title, folded);
  const fault = faultLine();
  const more = make("ul", { class: "entries" });
  const note = make("input", { id: "other-note", autocomplete: "off", required: true, maxlength: 200 });
  const points = make("input", { id: "other-points", inputmode: "decimal", class: "short", autocomplete: "off", required: true, placeholder: "1.00" });
  const other = make("form", { class: "row" }, field(t("deduct.other"), note), field(t("deduct.points"), points),
    make("button", { type: "submit" }, t("deduct.take")));
  let performance, sequence; // of what the page shows
  let unsent = []; // what is pressed and not answered

  // What is pressed makes another list of the one that stands. When the event has moved
  // on meanwhile, it is asked what stands now.
  outbox.makes.SetDeductions = async ({ request, about }, again) => {
    const seen = !again && performance && concerns(performance)({ request });
    const now = seen ? { performance, sequence } : await api.call("GetPerformance", request);
    return { ...request, deductions: edited(now.performance.deductions.map(asked), about), expectedSequence: now.sequence };
  };
  const change = (edit) => act("SetDeductions", named(performance), fault, { about: { ...edit, shown: !others } });
  const add = (kind, by) => change({ kind, by });

  other.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const typed = [note.value, points.value];
    const extra = { kind: "OTHER", count: 1, value: pointsOff(points.value), note: note.value.trim() };
    other.reset(); // it stands in the list
    if (!await change({ extra }) && !note.value && !points.value) [note.value, points.value] = typed;
  });

  function counter({ kind, points: each, note: about }) {
    const less = make("button", { type: "button", "aria-label": t("technical.less", { what: words(kind) }), onclick: () => add(kind, -1) }, "−");
    const plus = make("button", { type: "button", "aria-label": t("technical.plus", { what: words(kind) }), onclick: () => add(kind, 1) }, "+");
    return make("div", { class: "counter" }, make("span", {}, titled(kind), others && about && make("small", { class: "note about" }, about)),
      make("span", { class: "number note" }, each[0] ? number(each[0]) : ""), make("span", { class: "stepper" }, less, make("output"), plus));
  }
  let stands = []; // with what is not answered
  function fillCounter(node, { kind }) {
    const count = stands.find((d) => d.kind === kind)?.count ?? 0;
    setText(node.querySelector("output"), String(count));
    node.classList.toggle("some", count > 0);
    node.dataset.state = unsent.some(({ about }) => about.kind === kind) ? "unsent" : "";
    node.querySelector("button").disabled = count === 0;
  }

  async function fill(state) {
    ({ performance, sequence } = state);
    if (!performance) return;
    unsent = outbox.open("SetDeductions").filter(concerns(performance));
    // What was sent once may stand already, though its answer has not come.
    stands = unsent.reduce((all, { about, made }) => made?.deductions ?? edited(all, about), performance.deductions.map(asked));
    const rules = await deductionRules(api, state.event, state.category);
    const often = ({ kind }) => OFTEN.includes(kind), key = (r) => `${r.kind} ${r.points}`;
    list(kinds, rules.filter(often), key, counter, fillCounter);
    list(folded, rules.filter((r) => !often(r)), key, counter, fillCounter);
    show(rest, folded.children.length > 0);
    setText(title, t("technical.others", { n: folded.children.length }));
    const said = stands.filter((d) => d.kind === "OTHER").map((d, i) => ({ ...d, i }));
    const row = (d) => make("li", {}, make("span", { class: "name" }, `${d.note || words(d.kind)} ${number(d.value)}`),
      make("button", {
        type: "button", class: "small", "aria-label": t("deduct.backOf", { what: d.note, value: number(d.value) }), onclick: () => change({ gone: d }),
      }, t("deduct.back")));
    list(more, said, (d) => `${d.note} ${d.value} ${d.i}`, row, () => {});
    show(more, said.length > 0);
  }
  return { node: make("div", {}, kinds, rest, more, others && other, fault), fill };
}
