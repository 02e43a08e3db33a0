// What a plan is worth: the expected score, whether none is better, and how it spreads.

import { hundredths } from "../../embed/credit.js";
import { at, make, setText, show } from "../../embed/dom.js";
import { listed, number } from "../parts/numbers.js";
import { span } from "../parts/span.js";
import { rich, t } from "../parts/words.js";
import { allTogether, noise, points, steadier, swap, tenth, worth } from "./worth.js";

const one = (text) => number(tenth(text));
const hundred = (chance) => number(Math.round(chance * 100));

/** proof says why there is nothing better, or how much better there could be. */
function proof(answer, plan, figures) {
  if (plan !== answer.plans[0]) return t("plan.below", { points: number(plan.differs) });
  if (answer.optimal) return t("plan.highest");
  return figures.bound ? t("plan.found", { bound: one(figures.bound) }) : t("plan.foundAlone");
}

/** showScore fills the score with one plan of an answer; without one it is empty. */
export function showScore(answer, plan, target) {
  const figures = plan && worth(plan, answer.bound);
  setText(at("total"), plan ? one(figures.whole) : "–");
  setText(at("proof"), plan ? proof(answer, plan, figures) : "");
  setText(at("made"), !plan ? "" : figures.components
    ? t("plan.madeOf", { elements: one(figures.elements), components: one(figures.components), falls: one(figures.falls) })
    : t("plan.elementsOnly", { falls: one(figures.falls) }));
  showSpread(plan?.spread, figures?.whole, target);
  showChance(Boolean(plan), plan?.chanceOfTarget, target);
}

/** showScores fills the score with plans of several segments together. */
export function showScores(results, target) {
  const figures = results.map(({ answer }) => worth(answer.plans[0], answer.bound)), whole = sum(figures.map((f) => f.whole));
  setText(at("total"), one(whole));
  setText(at("proof"), results.every(({ answer }) => answer.optimal) ? t("plan.highestBoth") : t("plan.foundAlone"));
  setText(at("made"), results.map(({ title }, i) => `${title} ${one(figures[i].whole)}`).join(" + "));
  const lists = results.map(({ answer }) => answer.plans[0].scores);
  const all = lists.every((list) => list.length) ? allTogether(lists) : undefined;
  showSpread(all?.spread, whole, target);
  showChance(true, all && target ? all.reach(target) : undefined, target);
}

// showChance says how often the target is reached.
function showChance(planned, chance, target) {
  const known = chance !== undefined && chance !== null;
  setText(at("chance"), known ? t("plan.times", { n: hundred(chance) }) : planned && target ? t("plan.needsMarks") : "");
}

/** narrower names the plan with the better bad day, and its price. */
export function narrower(title, { plans }) {
  const other = steadier(plans);
  if (!other) return "";
  const s = swap(plans[0], other), bad = (p) => one(p.spread.p10), whole = (p) => one(worth(p).whole);
  return t("plan.narrower", {
    segment: title, instead: s.instead.join(", ") || "–", only: s.only.join(", ") || "–",
    value: whole(other), first: whole(plans[0]), bad: bad(other), worse: bad(plans[0]),
  });
}

// showSpread draws how a score spreads, from one time in ten to nine times in ten.
function showSpread(spread, expected, target) {
  if (!spread) return at("spread").replaceChildren();
  const low = Number(spread.p10), high = Number(spread.p90), mark = Number(target) > 0 ? Number(target) : undefined;
  const all = [low, high, Number(expected), ...(mark ? [mark] : [])], room = (Math.max(...all) - Math.min(...all)) / 4 || 1;
  const from = Math.min(...all) - room, to = Math.max(...all) + room;
  const words = t("plan.spread", { low: one(spread.p10), high: one(spread.p90), at: one(expected) });
  const label = (value, text, kind) => {
    const node = make("span", { class: kind }, text);
    node.style.insetInlineStart = `${((value - from) * 100) / (to - from)}%`;
    return node;
  };
  const near = (a, b) => Math.abs(a - b) < (to - from) * 0.12;
  const labels = [label(Number(expected), one(expected), "is")];
  const ends = [[low, one(spread.p10), ""], [high, one(spread.p90), ""]];
  for (const [value, text, kind] of mark ? [...ends, [mark, number(mark), "goal-label"]] : ends) {
    if (![Number(expected), ...(kind ? [low, high] : [])].some((other) => near(value, other))) labels.push(label(value, text, kind));
  }
  return at("spread").replaceChildren(span({ from, to, low, high, at: Number(expected), mark, label: words }),
    make("div", { class: "scale", "aria-hidden": "true" }, ...labels), make("p", {}, t("plan.between", { low: one(spread.p10), high: one(spread.p90) })));
}

/** NAMES are those of the plans, the best first. */
export const NAMES = ["A", "B", "C"];

// swapped says what a plan has in place of what A has.
function swapped(plan, { only, instead }) {
  const values = { plan, instead: instead.join(", "), only: only.join(", ") };
  if (!only.length && !instead.length) return t("plan.moved", values);
  return t(!only.length ? "plan.swapMore" : !instead.length ? "plan.swapLess" : "plan.swap", values);
}

/** showNoise says what the order of the plans is worth. */
export function showNoise(answer, attempts) {
  const place = at("noise");
  show(place, Boolean(answer) && answer.plans.length > 1);
  if (place.hidden) return;
  const n = noise(answer, attempts), abc = listed(NAMES.slice(0, answer.plans.length));
  const bold = (text) => make("strong", {}, text);
  const tries = n.fewest === n.most ? number(n.most ?? 0) : `${number(n.fewest ?? 0)}–${number(n.most ?? 0)}`;
  const figures = Object.fromEntries(["apart", "error", "step"].map((name) => [name, number(n[name] ?? 0)]));
  const values = { ...figures, plans: abc, tries, code: make("code", {}, n.code ?? "") };
  const text = {
    one: () => [],
    noise: () => rich("plan.noise", { ...values, head: bold(t("plan.noiseHead", { plans: abc })) }),
    partly: () => rich("plan.partly", values),
    clear: () => rich("plan.clear", values),
    step: () => (n.less ? rich("plan.stepMore", { ...values, head: bold(t("plan.near", { plans: abc })) }) : rich("plan.stepLess", values)),
  }[n.state]();
  const swaps = answer.plans.slice(1).map((p, i) => ` ${swapped(NAMES[i + 1], swap(answer.plans[0], p))}`);
  place.replaceChildren(...text, ...swaps);
}

/** comparison is two plans side by side, what differs first. */
export function comparison(a, b) {
  const s = swap(a, b);
  const row = (head, left, right) => make("tr", {}, make("th", { scope: "row" }, head), make("td", {}, left), make("td", {}, right));
  const of = (p) => worth(p);
  const times = (p) => (p.chanceOfTarget === undefined || p.chanceOfTarget === null ? "" : t("plan.times", { n: hundred(p.chanceOfTarget) }));
  const rows = [
    ["plan.onlyHere", s.only.join(", ") || "–", s.instead.join(", ") || "–"],
    ["plan.otherHalf", s.moved.map((code) => where(a, code)).join(", "), s.moved.map((code) => where(b, code)).join(", ")],
    ["plan.expected", one(of(a).whole), one(of(b).whole)],
    ["plan.badDay", a.spread && one(a.spread.p10), b.spread && one(b.spread.p10)],
    ["plan.goodDay", a.spread && one(a.spread.p90), b.spread && one(b.spread.p90)],
    ["plan.fallsHead", number(a.expectedFalls.toFixed(1)), number(b.expectedFalls.toFixed(1))],
    ["plan.target", times(a), times(b)],
  ].filter(([, left, right]) => left || right).map(([key, left, right]) => row(t(key), left, right));
  const heads = NAMES.slice(0, 2).map((name) => make("th", { scope: "col" }, name));
  return make("table", {}, make("thead", {}, make("tr", {}, make("td"), ...heads)), make("tbody", {}, ...rows));
}
const where = (plan, code) => `${code} ${t(plan.elements.find((e) => e.code === code).secondHalf ? "plan.inSecond" : "plan.inFirst")}`;

// sum adds the points of several.
const sum = (list) => points(list.reduce((all, x) => all + hundredths(x), 0));
