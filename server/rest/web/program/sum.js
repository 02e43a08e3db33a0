// What a program is worth: the sum, what has no value, and how its places are filled.

import { hundredths, isStruck, unsure } from "../../embed/credit.js";
import { make } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { rich, t } from "../parts/words.js";

const signed = (points) => number(points, { signed: true });
export const difference = (from, to) => signed(((hundredths(to) - hundredths(from)) / 100).toFixed(2));

/** sentence says the most important for who does not see it. */
export function sentence(answer, lost) {
  const parts = [t("program.says", { value: number(answer.totalBaseValue) }), t("program.count", { n: answer.elements.length })];
  if (lost) parts.push(t("program.lost", { n: lost }));
  return `${parts.join(", ")}.`;
}

/** beside says what the same program is worth under the second season. */
export function beside(answer) {
  const other = answer.compared;
  if (!other) return [];
  return rich("program.beside", {
    season: other.rules.season, value: make("strong", {}, number(other.totalBaseValue)), difference: difference(answer.totalBaseValue, other.totalBaseValue),
  });
}

/** predicted returns the figures of a predicted score. */
export function predicted(answer) {
  const score = answer.predicted;
  const rows = score ? [["program.elementScore", score.elementScore], ["program.componentScore", score.componentScore], ["program.whole", score.total]] : [];
  return rows.filter(([, value]) => value).flatMap(([key, value]) => [make("dt", {}, t(key)), make("dd", {}, number(value))]);
}

/**
 * placesOf returns how many elements of each kind the rules have places for, from the
 * rules of a season and the findings of a program without elements.
 */
export function placesOf(rules, findings) {
  const layout = findings.map((f) => /^program\.layouts\.[\w-]+\./.exec(f.rule)?.[0]).find(Boolean);
  const value = new Map(rules.map((r) => [r.key, r.value]));
  const places = {};
  for (const [key, kind] of value) {
    const box = layout && key.startsWith(`${layout}boxes.`) && key.endsWith(".kind") && key.slice(0, -".kind".length);
    const most = Number(value.get(`${box}.max`));
    if (box && most) places[kind] = (places[kind] ?? 0) + most;
  }
  return places;
}

/** squares shows the places of each kind: filled, without value, or free. */
export function squares(answer, places) {
  const kinds = [...new Set([...Object.keys(places), ...answer.elements.map((e) => e.kind)])];
  return kinds.map((kind) => {
    const own = answer.elements.filter((e) => e.kind === kind);
    const free = Math.max(0, (places[kind] ?? 0) - own.length);
    const points = answer.kinds.find((k) => k.kind === kind)?.score ?? "0.00";
    return make("li", {}, make("span", {}, t(`program.kinds.${kind}`)),
      make("span", { class: "squares", role: "img", "aria-label": t("program.filled", { n: own.length, of: own.length + free }) },
        ...own.map((e) => make("i", { class: isStruck(e) && "struck-one" })), ...Array.from({ length: free }, () => make("i", { class: "free" }))),
      make("span", { class: "value" }, number(points)));
  });
}

/** doubts returns what is not surely known of the rules that the answer rests on. */
export const doubts = (answer) => unsure(answer, ({ message, source, confidence }) =>
  t("program.rests", { message, source, confidence: t(`program.confidence.${confidence}`) }));
